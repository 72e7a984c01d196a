package win32

import (
	"io"
	"os"
	"runtime"
	"strings"
	"unsafe"

	"gioui.org/x/explorer"
	"golang.org/x/sys/windows"
)

// Dialogs are the system's own dialogs, which stand over the window that joined. (The toolkit's
// stand over none, and take one file of several that may be chosen for none.)
type Dialogs struct{}

// openFileName is OPENFILENAMEW (commdlg.h).
type openFileName struct {
	size                        uint32
	owner, instance             uintptr
	filter, customFilter        *uint16
	mostCustom, filterIndex     uint32
	file                        *uint16
	mostFile                    uint32
	title                       *uint16
	mostTitle                   uint32
	folder, caption             *uint16
	flags                       uint32
	nameOffset, extensionOffset uint16
	defaultExtension            *uint16
	data, hook                  uintptr
	template                    *uint16
	_                           uintptr
	_                           uint32
	more                        uint32
}

const (
	flagsOfOne     = 0x00000004 | 0x00000008 | 0x00000800 | 0x00001000 | 0x00080000 // hide "read only", leave the folder of the program, the path and the file exist, new dialog
	flagsOfSeveral = flagsOfOne | 0x00000200
	mostNames      = 1 << 15 // characters of all paths
)

// ChooseFile asks for one file with one of the extensions.
func (Dialogs) ChooseFile(extensions ...string) (io.ReadCloser, error) {
	files, err := choose(flagsOfOne, extensions)
	if err != nil {
		return nil, err
	}
	return files[0], nil
}

// ChooseFiles asks for one file or several.
func (Dialogs) ChooseFiles(extensions ...string) ([]io.ReadCloser, error) {
	return choose(flagsOfSeveral, extensions)
}

func choose(flags uint32, extensions []string) ([]io.ReadCloser, error) {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	names := make([]uint16, mostNames)
	ask := openFileName{owner: owner.Load(), filter: filter(extensions), file: &names[0], mostFile: mostNames, flags: flags}
	ask.size = uint32(unsafe.Sizeof(ask))
	if ok, _, _ := getOpenFileName.Call(uintptr(unsafe.Pointer(&ask))); ok == 0 {
		return nil, explorer.ErrUserDecline
	}
	var open []io.ReadCloser
	for _, path := range chosen(names) {
		f, err := os.Open(path)
		if err != nil {
			for _, f := range open {
				_ = f.Close() // nothing was written
			}
			return nil, err
		}
		open = append(open, f)
	}
	if len(open) == 0 {
		return nil, explorer.ErrUserDecline
	}
	return open, nil
}

// filter is what the dialog shows: the files of the extensions, or all.
func filter(extensions []string) *uint16 {
	kinds := make([]string, len(extensions))
	for i, e := range extensions {
		kinds[i] = "*" + e
	}
	text := "*.*\x00*.*\x00\x00"
	if len(kinds) > 0 {
		list := strings.Join(kinds, ";")
		text = list + "\x00" + list + "\x00" + text
	}
	var units []uint16
	for part := range strings.SplitSeq(text, "\x00") {
		u, _ := windows.UTF16FromString(part) // it has no zero
		units = append(units, u...)
	}
	return &units[0]
}
