#define _GNU_SOURCE
#include "system.h"

#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>

int tg_map_shared(size_t size, size_t align, uint8_t **base, int *file)
{
    int fd = memfd_create("pictures", MFD_CLOEXEC | MFD_ALLOW_SEALING);
    if (fd < 0)
        return -1;
    if (ftruncate(fd, size) || fcntl(fd, F_ADD_SEALS, F_SEAL_SHRINK | F_SEAL_GROW | F_SEAL_SEAL))
        goto failed;
    uint8_t *raw = mmap(NULL, size + align, PROT_NONE, MAP_ANONYMOUS | MAP_PRIVATE | MAP_NORESERVE, -1, 0);
    if (raw == MAP_FAILED)
        goto failed;
    size_t ahead = (align - (uintptr_t)raw % align) % align;
    uint8_t *at = raw + ahead;
    if (ahead)
        munmap(raw, ahead);
    munmap(at + size, align - ahead);
    if (mmap(at, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_FIXED, fd, 0) == MAP_FAILED) {
        munmap(at, size);
        goto failed;
    }
    madvise(at, size, MADV_HUGEPAGE); // only a wish
    *base = at;
    *file = fd;
    return 0;
failed:
    close(fd);
    return -1;
}

void tg_unmap_shared(uint8_t *base, size_t size) { munmap(base, size); }

void tg_forget(uint8_t *data, size_t size) { madvise(data, size, MADV_REMOVE); }
