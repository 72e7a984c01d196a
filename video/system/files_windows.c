#include "system.h"

#include <errno.h>
#include <windows.h>

static HANDLE handle(int file) { return (HANDLE)(intptr_t)file; }

static int failed(void)
{
    switch (GetLastError()) {
    case ERROR_DISK_FULL:
    case ERROR_HANDLE_DISK_FULL:
        return -ENOSPC;
    case ERROR_ACCESS_DENIED:
    case ERROR_WRITE_PROTECT:
        return -EACCES;
    }
    return -EIO;
}

static OVERLAPPED place(int64_t at)
{
    OVERLAPPED o = {0};
    o.Offset = (DWORD)at;
    o.OffsetHigh = (DWORD)(at >> 32);
    return o;
}

int64_t tg_read_at(int file, void *buf, size_t size, int64_t at)
{
    OVERLAPPED o = place(at);
    DWORD n = 0;
    if (ReadFile(handle(file), buf, (DWORD)size, &n, &o) || GetLastError() == ERROR_HANDLE_EOF)
        return n;
    return failed();
}

int64_t tg_write_at(int file, const void *buf, size_t size, int64_t at)
{
    OVERLAPPED o = place(at);
    DWORD n = 0;
    return WriteFile(handle(file), buf, (DWORD)size, &n, &o) ? (int64_t)n : failed();
}

int64_t tg_file_size(int file)
{
    LARGE_INTEGER size;
    return GetFileSizeEx(handle(file), &size) ? size.QuadPart : failed();
}

void tg_close_file(int file) { CloseHandle(handle(file)); }
