package sandbox

import (
	"os"
	"unsafe"

	"golang.org/x/sys/windows"
)

// MakeMemory makes memory of so many bytes, for one user, and the file by which another
// can map it; close that.
func MakeMemory(size int) (*Memory, *os.File, error) {
	h, err := windows.CreateFileMapping(windows.InvalidHandle, nil, windows.PAGE_READWRITE, uint32(uint64(size)>>32), uint32(size), nil)
	if err != nil {
		return nil, nil, os.NewSyscallError("CreateFileMapping", err)
	}
	f := os.NewFile(uintptr(h), "memory")
	m := &Memory{}
	m.users.Store(1)
	if m.bytes, err = mapView(h, windows.FILE_MAP_READ|windows.FILE_MAP_WRITE, int64(size)); err != nil {
		f.Close()
		return nil, nil, err
	}
	m.bytes = m.bytes[:size:size]
	return m, f, nil
}

// MapMemory maps what came as an open file, of at most so many bytes, for one user.
// The file may be closed afterwards.
func MapMemory(f *os.File, most int64) (*Memory, error) {
	m := &Memory{}
	m.users.Store(1)
	var err error
	m.bytes, err = mapView(windows.Handle(f.Fd()), windows.FILE_MAP_READ, most)
	return m, err
}

// mapView maps all of a section, whose size is whole pages.
func mapView(h windows.Handle, access uint32, most int64) ([]byte, error) {
	at, err := windows.MapViewOfFile(h, access, 0, 0, 0)
	if err != nil {
		return nil, os.NewSyscallError("MapViewOfFile", err)
	}
	var info windows.MemoryBasicInformation
	err = windows.VirtualQuery(at, &info, unsafe.Sizeof(info))
	if page := int64(os.Getpagesize()); err == nil && int64(info.RegionSize) > (most+page-1)/page*page {
		err = errMemory
	}
	if err != nil {
		_ = windows.UnmapViewOfFile(at)
		return nil, err
	}
	first := *(**byte)(unsafe.Pointer(&at)) // memory of the system's, which Go does not move
	return unsafe.Slice(first, min(int64(info.RegionSize), most)), nil
}

// unmap ends a mapping that is there.
func unmap(bytes []byte) {
	_ = windows.UnmapViewOfFile(uintptr(unsafe.Pointer(unsafe.SliceData(bytes))))
}
