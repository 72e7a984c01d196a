// Chapters and a track of text in a file that is being written, which the Go binding does
// not offer.
#ifndef TURNGAUGE_TEXTS_H
#define TURNGAUGE_TEXTS_H

#include <libavformat/avformat.h>
#include <stdint.h>

// Adds a chapter from and to so many milliseconds, before the header is written.
int tg_texts_chapter(void *format, int id, int64_t from, int64_t to, const char *title);
// Adds a track of timed text, before the header is written; its number or an error.
int tg_texts_track(void *format);
// Writes a text of that track, after the header; an empty one ends the one before.
int tg_texts_write(void *format, int track, int64_t from, int64_t to, const char *text);

#endif
