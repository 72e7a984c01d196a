package win32

import (
	"image"
	"unsafe"

	"golang.org/x/sys/windows"
)

var (
	user32   = windows.NewLazySystemDLL("user32.dll")
	kernel32 = windows.NewLazySystemDLL("kernel32.dll")
	shell32  = windows.NewLazySystemDLL("shell32.dll")
	ole32    = windows.NewLazySystemDLL("ole32.dll")
	comdlg32 = windows.NewLazySystemDLL("comdlg32.dll")

	callWindowProc          = user32.NewProc("CallWindowProcW")
	closeClipboard          = user32.NewProc("CloseClipboard")
	emptyClipboard          = user32.NewProc("EmptyClipboard")
	getWindowLongPtr        = user32.NewProc("GetWindowLongPtrW")
	openClipboard           = user32.NewProc("OpenClipboard")
	postMessage             = user32.NewProc("PostMessageW")
	registerClipboardFormat = user32.NewProc("RegisterClipboardFormatW")
	registerWindowMessage   = user32.NewProc("RegisterWindowMessageW")
	screenToClient          = user32.NewProc("ScreenToClient")
	setClipboardData        = user32.NewProc("SetClipboardData")
	setWindowLongPtr        = user32.NewProc("SetWindowLongPtrW")
	systemParametersInfo    = user32.NewProc("SystemParametersInfoW")

	globalAlloc   = kernel32.NewProc("GlobalAlloc")
	globalFree    = kernel32.NewProc("GlobalFree")
	globalLock    = kernel32.NewProc("GlobalLock")
	globalUnlock  = kernel32.NewProc("GlobalUnlock")
	rtlMoveMemory = kernel32.NewProc("RtlMoveMemory")

	dragQueryFile = shell32.NewProc("DragQueryFileW")

	oleInitialize    = ole32.NewProc("OleInitialize")
	oleUninitialize  = ole32.NewProc("OleUninitialize")
	registerDragDrop = ole32.NewProc("RegisterDragDrop")
	releaseStgMedium = ole32.NewProc("ReleaseStgMedium")
	revokeDragDrop   = ole32.NewProc("RevokeDragDrop")

	commDlgExtendedError = comdlg32.NewProc("CommDlgExtendedError")
	getOpenFileName      = comdlg32.NewProc("GetOpenFileNameW")
)

// point and rect are POINT and RECT (windef.h).
type (
	point struct{ x, y int32 }
	rect  struct{ left, top, right, bottom int32 }
)

// titleBar is about how high the bar and the frame of a window are, pixels.
const titleBar = 40

// Screen returns the room that windows have on the main screen, pixels: what the task bar
// leaves of it; none where that can't be told.
func Screen() image.Point {
	const workArea = 0x0030 // SPI_GETWORKAREA
	var r rect
	if ok, _, _ := systemParametersInfo.Call(workArea, 0, uintptr(unsafe.Pointer(&r)), 0); ok == 0 {
		return image.Point{}
	}
	return image.Pt(int(r.right-r.left), int(r.bottom-r.top)-titleBar)
}
