#include "system.h"

#include <errno.h>
#include <sys/stat.h>
#include <unistd.h>

int64_t tg_read_at(int file, void *buf, size_t size, int64_t at)
{
    ssize_t n = pread(file, buf, size, at);
    return n < 0 ? -errno : n;
}

int64_t tg_write_at(int file, const void *buf, size_t size, int64_t at)
{
    ssize_t n = pwrite(file, buf, size, at);
    return n < 0 ? -errno : n;
}

int64_t tg_file_size(int file)
{
    struct stat st;
    return fstat(file, &st) ? -errno : st.st_size;
}

void tg_close_file(int file) { close(file); }
