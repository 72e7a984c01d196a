package place

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// pending is how long a lock is tried again that its last holder has given back while
// somebody was reading who that is: the name goes when the last of them closes it.
const pending = time.Second

// tryLock opens the file so that nobody else may open it for writing, and so that it goes
// with its last handle, at the end of the process too. (A lock of bytes with a file that is
// removed afterwards once let two have it.)
func tryLock(path string) (*Lock, error) {
	name, err := windows.UTF16PtrFromString(path)
	if err != nil {
		return nil, &fs.PathError{Op: "open", Path: path, Err: err}
	}
	for until := time.Now().Add(pending); ; time.Sleep(5 * time.Millisecond) {
		if !isPlain(name) {
			return nil, &NotLockError{path}
		}
		h, err := windows.CreateFile(name, windows.GENERIC_READ|windows.GENERIC_WRITE|windows.DELETE,
			windows.FILE_SHARE_READ|windows.FILE_SHARE_DELETE, nil, windows.OPEN_ALWAYS,
			windows.FILE_ATTRIBUTE_NORMAL|windows.FILE_FLAG_DELETE_ON_CLOSE|windows.FILE_FLAG_OPEN_REPARSE_POINT, 0)
		switch {
		case err == nil:
			f := os.NewFile(uintptr(h), path)
			_ = f.Truncate(0)
			_, _ = fmt.Fprintf(f, "%d\n", os.Getpid()) // only for the message of another
			return &Lock{f}, nil
		case errors.Is(err, windows.ERROR_SHARING_VIOLATION):
			return nil, &HeldError{holder(name, path)}
		case !errors.Is(err, windows.ERROR_ACCESS_DENIED) || time.Now().After(until):
			return nil, &fs.PathError{Op: "open", Path: path, Err: err}
		}
	}
}

// isPlain reports whether there is nothing at path, or a plain file of this one name.
func isPlain(name *uint16) bool {
	h, err := windows.CreateFile(name, 0, windows.FILE_SHARE_READ|windows.FILE_SHARE_WRITE|windows.FILE_SHARE_DELETE, nil,
		windows.OPEN_EXISTING, windows.FILE_FLAG_OPEN_REPARSE_POINT|windows.FILE_FLAG_BACKUP_SEMANTICS, 0)
	if err != nil {
		return true // of what can't be looked at, opening says why
	}
	defer func() { _ = windows.CloseHandle(h) }()
	var by windows.ByHandleFileInformation
	const strange = windows.FILE_ATTRIBUTE_REPARSE_POINT | windows.FILE_ATTRIBUTE_DIRECTORY
	err = windows.GetFileInformationByHandle(h, &by)
	return err != nil || by.NumberOfLinks <= 1 && by.FileAttributes&strange == 0
}

// holder reads the process of a lock that another has; "" where it can't be told.
func holder(name *uint16, path string) string {
	h, err := windows.CreateFile(name, windows.GENERIC_READ,
		windows.FILE_SHARE_READ|windows.FILE_SHARE_WRITE|windows.FILE_SHARE_DELETE, nil, windows.OPEN_EXISTING, windows.FILE_ATTRIBUTE_NORMAL, 0)
	if err != nil {
		return ""
	}
	f := os.NewFile(uintptr(h), path)
	defer func() { _ = f.Close() }()
	text, _ := io.ReadAll(io.LimitReader(f, 20))
	return processID(text)
}

func (l *Lock) release() { _ = l.file.Close() }
