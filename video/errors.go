package video

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"unicode"
	"unicode/utf8"
)

// Kinds of failure, to be matched with errors.Is. The error itself is always a
// *FileError or *FrameError, whose text is a sentence for the coach.
var (
	ErrMissing          = errors.New("the file is not there")
	ErrUnreadable       = errors.New("the file can't be read")
	ErrNotVideo         = errors.New("not a video")
	ErrNoVideoStream    = errors.New("no pictures in the file")
	ErrTruncated        = errors.New("the file was cut off")
	ErrUnsupported      = errors.New("the video's format is not supported")
	ErrChanged          = errors.New("the file was changed while open")
	ErrFrameUnavailable = errors.New("the frame can't be decoded")
	ErrClosed           = errors.New("already closed")
	ErrReleased         = errors.New("the frame was released")
)

// FileError says what is wrong with a file and what to do about it.
type FileError struct {
	Path string
	Kind error  // one of the kinds above
	Text string // the sentence, without the file's name
}

func (e *FileError) Error() string { return fmt.Sprintf("“%s” %s", filepath.Base(e.Path), e.Text) }

// Unwrap returns the kind.
func (e *FileError) Unwrap() error { return e.Kind }

// FrameError says why one frame of a clip can't be shown; the rest stays usable.
type FrameError struct {
	Path  string
	Index int
	Text  string
}

func (e *FrameError) Error() string {
	return fmt.Sprintf("frame %d of “%s” can't be shown: %s", e.Index, filepath.Base(e.Path), e.Text)
}

// Unwrap returns ErrFrameUnavailable.
func (e *FrameError) Unwrap() error { return ErrFrameUnavailable }

func fileError(path string, kind error, format string, args ...any) error {
	return &FileError{Path: path, Kind: kind, Text: fmt.Sprintf(format, args...)}
}

// openClip opens a clip to be read, and returns the facts of what was opened. The error
// is a sentence.
func openClip(path string) (*os.File, fs.FileInfo, error) {
	if _, err := statFile(path); err != nil {
		return nil, nil, err
	}
	// What has become a pipe in this moment is not waited for.
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, nil, fileError(path, ErrUnreadable, "can't be opened (%v). Check your right to read the file.", cause(err))
	}
	stat, err := f.Stat()
	if err == nil && !stat.Mode().IsRegular() {
		err = fileError(path, ErrNotVideo, "is not an ordinary file. Choose the clip itself.")
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return f, stat, nil
}

// statFile returns the file's facts, or a sentence when it is no readable file.
func statFile(path string) (fs.FileInfo, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fileError(path, ErrMissing, "is not where it was. If it was moved or renamed, choose it again; if it is on a stick or a network drive, connect that first.")
	case err != nil:
		return nil, fileError(path, ErrUnreadable, "can't be reached (%v). Check the drive and your right to read the file.", cause(err))
	case info.IsDir():
		return nil, fileError(path, ErrNotVideo, "is a folder. Choose the clip inside it.")
	case !info.Mode().IsRegular():
		return nil, fileError(path, ErrNotVideo, "is not an ordinary file. Choose the clip itself.")
	case info.Size() == 0:
		return nil, fileError(path, ErrNotVideo, "is empty (zero bytes). The copy from the phone probably failed: copy it again.")
	}
	return info, nil
}

// cause strips the path that os errors repeat.
func cause(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// sniffed is what a file that FFmpeg can't read appears to be.
var sniffed = []struct {
	at    int
	magic string
	what  string
}{
	{0, "\xff\xd8\xff", "holds a still picture (JPEG)"},
	{0, "\x89PNG", "holds a still picture (PNG)"},
	{0, "GIF8", "holds a picture (GIF)"},
	{4, "ftypheic", "holds a still picture (HEIC)"},
	{4, "ftypmif1", "holds a still picture (HEIF)"},
	{0, "%PDF", "is a PDF document"},
	{0, "PK\x03\x04", "is a zip archive: unpack it first"},
	{0, "\x1f\x8b", "is a compressed archive: unpack it first"},
	{0, "ID3", "holds sound only"},
	{8, "WAVE", "holds sound only"},
	{0, "fLaC", "holds sound only"},
}

// explainUnreadable finds the most helpful sentence for a file FFmpeg refused.
func explainUnreadable(f clipFile) error {
	head, path := make([]byte, 4096), f.name
	n, err := f.ReadAt(head, 0)
	if err != nil && (n == 0 || !errors.Is(err, io.EOF)) {
		return fileError(path, ErrUnreadable, "can't be read (%v). Check the drive it is on.", cause(err))
	}
	head = head[:n]
	for _, s := range sniffed {
		if len(head) >= s.at+len(s.magic) && string(head[s.at:s.at+len(s.magic)]) == s.magic {
			return fileError(path, ErrNotVideo, "is not a video the program can read: it %s. Choose the clip itself.", s.what)
		}
	}
	switch {
	case isText(head):
		return fileError(path, ErrNotVideo, "is not a video the program can read: it holds plain text. Choose the clip itself.")
	case len(head) >= 8 && bytes.Contains(head[4:min(len(head), 64)], []byte("ftyp")), len(head) >= 8 && bytes.HasPrefix(head[4:], []byte("mdat")):
		return fileError(path, ErrTruncated, "is cut off or damaged: its table of frames is missing, so nothing can be shown. Copy the clip from the phone again.")
	}
	return fileError(path, ErrNotVideo, "is not a video the program can read: what it holds is unknown or damaged. Choose the clip itself, or copy it again.")
}

func isText(b []byte) bool {
	if len(b) == 0 {
		return false
	}
	for i := 0; i < len(b); {
		r, size := utf8.DecodeRune(b[i:])
		if r == utf8.RuneError && size == 1 {
			return i >= len(b)-utf8.UTFMax // a letter cut at the end of what was read
		}
		if !unicode.IsPrint(r) && !unicode.IsSpace(r) {
			return false
		}
		i += size
	}
	return true
}
