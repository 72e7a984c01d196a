// What the C code of video wants of the operating system. A file is named by what Go's
// File.Fd gives, which fits into an int on all systems.
#ifndef TURNGAUGE_VIDEO_SYSTEM_H
#define TURNGAUGE_VIDEO_SYSTEM_H

#include <stddef.h>
#include <stdint.h>

// Reads or writes at a place of a file; the bytes, 0 at the end, or minus an errno.
int64_t tg_read_at(int file, void *buf, size_t size, int64_t at);
int64_t tg_write_at(int file, const void *buf, size_t size, int64_t at);
int64_t tg_file_size(int file); // or minus an errno

// Maps memory that another process can map too, and that can't be cut off, aligned to align,
// which is a power of two; file is what to map it by. Not 0 without memory.
int tg_map_shared(size_t size, size_t align, uint8_t **base, int *file);
void tg_unmap_shared(uint8_t *base, size_t size);
void tg_close_file(int file);
// Gives back the memory of whole pages; they are written before they are read again.
void tg_forget(uint8_t *data, size_t size);

#endif
