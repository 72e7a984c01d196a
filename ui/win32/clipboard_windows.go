package win32

import (
	"bytes"
	"errors"
	"fmt"
	"image/png"
	"runtime"
	"time"
	"unsafe"

	"golang.org/x/sys/windows"

	"turngauge/ui/desktop"
)

const (
	cfDIB    = 8      // CF_DIB, for programs that take no PNG
	moveable = 0x0002 // GMEM_MOVEABLE: what the clipboard takes
)

// CopyPNG puts a picture on the clipboard, where it stays when the program ends: as "PNG" and
// as a bitmap.
func (j *joined) CopyPNG(data []byte) error {
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return err
	}
	name, err := windows.UTF16PtrFromString("PNG")
	if err != nil {
		return err
	}
	asPNG, _, err := registerClipboardFormat.Call(uintptr(unsafe.Pointer(name)))
	if asPNG == 0 {
		return fmt.Errorf("%w: %w", desktop.ErrNoPictures, err)
	}
	runtime.LockOSThread() // which has the clipboard open
	defer runtime.UnlockOSThread()
	if err := j.open(); err != nil {
		return err
	}
	defer func() { _, _, _ = closeClipboard.Call() }()
	if ok, _, err := emptyClipboard.Call(); ok == 0 {
		return fmt.Errorf("the clipboard can't be emptied: %w", err)
	}
	return errors.Join(offer(asPNG, data), offer(cfDIB, dib(m)))
}

// open opens the clipboard, which one program has at a time, for a moment as a rule.
func (j *joined) open() error {
	const patience = time.Second
	for until := time.Now().Add(patience); ; time.Sleep(10 * time.Millisecond) {
		ok, _, err := openClipboard.Call(j.window)
		if ok != 0 {
			return nil
		}
		if time.Now().After(until) {
			return fmt.Errorf("another program holds the clipboard: %w", err)
		}
	}
}

// offer hands over a copy of data.
func offer(format uintptr, data []byte) error {
	memory, _, err := globalAlloc.Call(moveable, uintptr(len(data)))
	if memory == 0 {
		return fmt.Errorf("there is no memory for a picture on the clipboard: %w", err)
	}
	at, _, err := globalLock.Call(memory)
	if at != 0 {
		_, _, _ = rtlMoveMemory.Call(at, uintptr(unsafe.Pointer(unsafe.SliceData(data))), uintptr(len(data)))
		_, _, _ = globalUnlock.Call(memory)
		var ok uintptr
		if ok, _, err = setClipboardData.Call(format, memory); ok != 0 {
			return nil // the clipboard's now
		}
	}
	_, _, _ = globalFree.Call(memory)
	return fmt.Errorf("the clipboard does not take the picture: %w", err)
}
