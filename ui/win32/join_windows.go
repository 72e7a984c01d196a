package win32

import (
	"fmt"
	"sync"
	"sync/atomic"
	"syscall"
	"unsafe"

	"golang.org/x/sys/windows"

	"turngauge/ui/desktop"
)

// joined is a window that has joined, and the target of drops on it: OLE calls it by the
// pointer to its table, which must come first.
type joined struct {
	table  *targetTable
	window uintptr // HWND
	before uintptr // the window's procedure that ours passes everything on to
	offers bool    // what is held over the window are files; of the window's thread

	mu    sync.Mutex
	drags func(desktop.Drag) // nil once closed
}

// all are the windows that have joined, which keeps them where OLE looks for them.
var all sync.Map // HWND to *joined

// owner is the window that dialogs belong to: the last that joined.
var owner atomic.Uintptr

const (
	windowProcedure = ^uintptr(3) // GWLP_WNDPROC, -4
	wmDestroy       = 0x0002
)

// joinMessage asks the window's thread to take drops.
var joinMessage = sync.OnceValue(func() uintptr {
	name, _ := windows.UTF16PtrFromString("Turngauge takes drops") // it has no zero
	message, _, _ := registerWindowMessage.Call(uintptr(unsafe.Pointer(name)))
	return message
})

// Join joins a window of the toolkit's, the HWND of its app.Win32ViewEvent, which must be open
// still. Each step of a drag over it is given to drags on the window's thread, which drags must
// not keep waiting. Join does not wait for that thread.
func Join(window uintptr, drags func(desktop.Drag)) (desktop.Desktop, error) {
	j := &joined{table: table(), window: window, drags: drags}
	var err error
	if j.before, _, err = getWindowLongPtr.Call(window, windowProcedure); j.before == 0 {
		return nil, fmt.Errorf("the window's procedure can't be told: %w", err)
	}
	all.Store(window, j)
	owner.Store(window)
	if was, _, err := setWindowLongPtr.Call(window, windowProcedure, procedure()); was == 0 {
		return nil, fmt.Errorf("the window takes no procedure: %w", err)
	}
	_, _, _ = postMessage.Call(window, joinMessage(), 0, 0) // the window can be gone
	return j, nil
}

var procedure = sync.OnceValue(func() uintptr {
	return syscall.NewCallback(func(window, message, w, l uintptr) uintptr {
		v, ok := all.Load(window)
		if !ok {
			return 0 // not ours any more
		}
		j := v.(*joined)
		switch message {
		case joinMessage():
			j.register()
			return 0
		case wmDestroy:
			_, _, _ = revokeDragDrop.Call(window)
			_, _, _ = oleUninitialize.Call()
		}
		answer, _, _ := callWindowProc.Call(j.before, window, message, w, l)
		return answer
	})
})

// register has OLE tell of drags, on the window's thread. Where it can't, files are opened by
// other means.
func (j *joined) register() {
	if result, _, _ := oleInitialize.Call(0); int32(result) < 0 {
		return
	}
	_, _, _ = registerDragDrop.Call(j.window, uintptr(unsafe.Pointer(j)))
}

// tell tells of a step of a drag.
func (j *joined) tell(d desktop.Drag) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.drags != nil {
		j.drags(d)
	}
}

// Close has no drag told of any more. The window may be gone already.
func (j *joined) Close() error {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.drags = nil
	return nil
}
