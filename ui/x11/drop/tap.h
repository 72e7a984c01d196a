#include <stdint.h>

// tap_open copies the client messages of the given types for one window, as they come off the wire on the
// toolkit's connection, to the file descriptor fd, 32 bytes each. It returns 0 when there is no room.
int tap_open(void *display, uint32_t window, const uint32_t types[4], int fd);

// tap_close ends that. It does not touch the connection, which may be closed already; when it returns, fd
// will not be written to any more.
void tap_close(int fd);

// tap_name returns the name of the connection's display.
const char *tap_name(void *display);
