package system

import (
	"unsafe"

	"golang.org/x/sys/windows"
)

var globalMemoryStatusEx = windows.NewLazySystemDLL("kernel32.dll").NewProc("GlobalMemoryStatusEx")

// Memory returns how many bytes of memory the computer has; false where that can't be told.
func Memory() (int64, bool) {
	var status struct { // MEMORYSTATUSEX
		length, load                                                                uint32
		total, free, totalPage, freePage, totalVirtual, freeVirtual, freeExtendedVM uint64
	}
	status.length = uint32(unsafe.Sizeof(status))
	if ok, _, _ := globalMemoryStatusEx.Call(uintptr(unsafe.Pointer(&status))); ok == 0 {
		return 0, false
	}
	return int64(status.total), true
}
