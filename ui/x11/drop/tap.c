//go:build linux && !android && !nox11 && cgo

#include <pthread.h>
#include <unistd.h>

#include <X11/Xlibint.h>

#include "tap.h"

// One slot a window. Windows are few: a free slot has no display.
#define SLOTS 16

static struct slot {
	Display *display;
	uint32_t window;
	uint32_t types[4];
	int fd;
} slots[SLOTS];

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;

typedef Bool (*converter)(Display *, XEvent *, xEvent *);

// before is Xlib's own conversion of client messages. It is the same function for every connection, for
// nothing else in the program replaces it.
static converter before;

// tap stands in for Xlib's conversion of a client message. It runs on whatever thread reads the connection,
// with the connection locked: it must not call Xlib, and must not wait. A pipe that is full loses messages,
// which a drag survives.
static Bool tap(Display *display, XEvent *event, xEvent *wire)
{
	pthread_mutex_lock(&lock);
	for (int i = 0; i < SLOTS; i++) {
		struct slot *s = &slots[i];
		if (s->display != display || s->window != (uint32_t)wire->u.clientMessage.window || wire->u.u.detail != 32)
			continue;
		for (int t = 0; t < 4; t++) {
			if (s->types[t] == (uint32_t)wire->u.clientMessage.u.l.type) {
				ssize_t n = write(s->fd, wire, 32);
				(void)n;
			}
		}
	}
	converter own = before;
	pthread_mutex_unlock(&lock);
	return own(display, event, wire);
}

int tap_open(void *display, uint32_t window, const uint32_t types[4], int fd)
{
	int found = 0;
	pthread_mutex_lock(&lock);
	for (int i = 0; i < SLOTS && !found; i++) {
		struct slot *s = &slots[i];
		if (s->display)
			continue;
		s->display = display;
		s->window = window;
		for (int t = 0; t < 4; t++)
			s->types[t] = types[t];
		s->fd = fd;
		found = 1;
	}
	pthread_mutex_unlock(&lock);
	if (!found)
		return 0;
	// The connection's lock is never asked for while ours is held: tap takes them the other way round.
	XLockDisplay(display);
	converter own = XESetWireToEvent(display, ClientMessage, tap);
	if (own != tap) {
		pthread_mutex_lock(&lock);
		before = own;
		pthread_mutex_unlock(&lock);
	}
	XUnlockDisplay(display);
	return 1;
}

void tap_close(int fd)
{
	pthread_mutex_lock(&lock);
	for (int i = 0; i < SLOTS; i++) {
		if (slots[i].display && slots[i].fd == fd)
			slots[i].display = NULL;
	}
	pthread_mutex_unlock(&lock);
}

const char *tap_name(void *display)
{
	return DisplayString((Display *)display);
}
