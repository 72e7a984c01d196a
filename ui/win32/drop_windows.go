package win32

import (
	"sync"
	"syscall"
	"unsafe"

	"golang.org/x/sys/windows"

	"turngauge/ui/desktop"
)

// targetTable is the table of an IDropTarget (oleidl.h), dataObject the beginning of an
// IDataObject (objidl.h).
type (
	targetTable struct {
		queryInterface, addRef, release      uintptr
		dragEnter, dragOver, dragLeave, drop uintptr
	}
	dataObject struct {
		table *struct{ queryInterface, addRef, release, getData, getDataHere, queryGetData uintptr }
	}
	formatEtc struct { // FORMATETC
		format uint16
		device uintptr
		aspect uint32
		index  int32
		medium uint32
	}
	storage struct { // STGMEDIUM
		medium  uint32
		handle  uintptr
		release uintptr
	}
)

const (
	effectNone = 0 // DROPEFFECT: what the source is told that is done with its files
	effectCopy = 1
	effectLink = 4

	succeeded   = 0                   // S_OK
	noInterface = uintptr(0x80004002) // E_NOINTERFACE
)

// files is what is asked of a drag: CF_HDROP, as content, in global memory.
var files = formatEtc{format: 15, aspect: 1, index: -1, medium: 1}

// table is the same for all windows. Go keeps few callbacks, and for ever.
var table = sync.OnceValue(func() *targetTable {
	return &targetTable{
		queryInterface: syscall.NewCallback(queryInterface),
		addRef:         syscall.NewCallback(func(*joined) uintptr { return 1 }), // it lives as long as the program
		release:        syscall.NewCallback(func(*joined) uintptr { return 1 }),
		dragEnter:      syscall.NewCallback(dragEnter),
		dragOver:       syscall.NewCallback(dragOver),
		dragLeave:      syscall.NewCallback(dragLeave),
		drop:           syscall.NewCallback(drop),
	}
})

var (
	iUnknown    = windows.GUID{Data4: [8]byte{0xC0, 0, 0, 0, 0, 0, 0, 0x46}}
	iDropTarget = windows.GUID{Data1: 0x122, Data4: [8]byte{0xC0, 0, 0, 0, 0, 0, 0, 0x46}}
)

func queryInterface(j *joined, id *windows.GUID, out **joined) uintptr {
	if *id == iUnknown || *id == iDropTarget {
		*out = j
		return succeeded
	}
	*out = nil
	return noInterface
}

func dragEnter(j *joined, data *dataObject, _ uintptr, at uint64, effect *uint32) uintptr {
	result, _, _ := syscall.SyscallN(data.table.queryGetData, uintptr(unsafe.Pointer(data)), uintptr(unsafe.Pointer(&files)))
	j.offers = result == succeeded
	return dragOver(j, 0, at, effect)
}

func dragOver(j *joined, _ uintptr, at uint64, effect *uint32) uintptr {
	if *effect = j.effect(*effect); *effect != effectNone {
		x, y := j.inside(at)
		j.tell(desktop.Drag{Kind: desktop.Over, X: x, Y: y})
	}
	return succeeded
}

func dragLeave(j *joined) uintptr {
	if j.offers {
		j.offers = false
		j.tell(desktop.Drag{Kind: desktop.Leave})
	}
	return succeeded
}

func drop(j *joined, data *dataObject, _ uintptr, at uint64, effect *uint32) uintptr {
	if *effect = j.effect(*effect); *effect == effectNone {
		return dragLeave(j)
	}
	j.offers = false
	x, y := j.inside(at)
	d := desktop.Drag{Kind: desktop.Drop, X: x, Y: y}
	var s storage
	result, _, _ := syscall.SyscallN(data.table.getData, uintptr(unsafe.Pointer(data)), uintptr(unsafe.Pointer(&files)), uintptr(unsafe.Pointer(&s)))
	if result == succeeded {
		d.Paths = paths(s.handle)
		_, _, _ = releaseStgMedium.Call(uintptr(unsafe.Pointer(&s)))
	}
	if len(d.Paths) == 0 {
		d.Err = errNothing
	}
	j.tell(d)
	return succeeded
}

var errNothing = &desktop.Failure{Text: "What was dropped is not in a folder of this computer. Copy it into one, then drop it from there."}

// effect is what is done with files that are dropped, of what the source allows. They are never
// moved: the source would delete them.
func (j *joined) effect(allowed uint32) uint32 {
	switch {
	case !j.offers:
		return effectNone
	case allowed&effectCopy != 0:
		return effectCopy
	case allowed&effectLink != 0:
		return effectLink
	}
	return effectNone
}

// inside is a point of the screen, two numbers of 32 bits in one, in pixels of the window.
func (j *joined) inside(at uint64) (x, y int) {
	p := point{int32(uint32(at)), int32(uint32(at >> 32))}
	_, _, _ = screenToClient.Call(j.window, uintptr(unsafe.Pointer(&p)))
	return int(p.x), int(p.y)
}

// paths are those of an HDROP.
func paths(handle uintptr) (all []string) {
	const count = 0xFFFFFFFF
	n, _, _ := dragQueryFile.Call(handle, count, 0, 0)
	for i := range n {
		length, _, _ := dragQueryFile.Call(handle, i, 0, 0) // without the zero at the end
		name := make([]uint16, length+1)
		if got, _, _ := dragQueryFile.Call(handle, i, uintptr(unsafe.Pointer(&name[0])), length+1); got != 0 {
			all = append(all, windows.UTF16ToString(name))
		}
	}
	return all
}
