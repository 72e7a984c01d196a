#include "system.h"

#include <windows.h>

// Views begin at multiples of 64 KiB, which is enough for planes; huge pages take a right
// that coaches don't have.
int tg_map_shared(size_t size, size_t align, uint8_t **base, int *file)
{
    (void)align;
    HANDLE section = CreateFileMappingW(INVALID_HANDLE_VALUE, NULL, PAGE_READWRITE, (DWORD)((uint64_t)size >> 32), (DWORD)size, NULL);
    if (!section)
        return -1;
    *base = MapViewOfFile(section, FILE_MAP_READ | FILE_MAP_WRITE, 0, 0, size);
    if (!*base) {
        CloseHandle(section);
        return -1;
    }
    *file = (int)(intptr_t)section;
    return 0;
}

void tg_unmap_shared(uint8_t *base, size_t size)
{
    (void)size;
    UnmapViewOfFile(base);
}

// What pages held is not kept on the disk, and they leave the memory of the process.
void tg_forget(uint8_t *data, size_t size)
{
    VirtualAlloc(data, size, MEM_RESET, PAGE_READWRITE);
    VirtualUnlock(data, size);
}
