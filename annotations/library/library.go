package library

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"turngauge/annotations/library/sqlite"
	"turngauge/annotations/place"
)

// Library is a coach's open library. Its methods are safe for concurrent use.
// Errors are sentences for the coach.
type Library struct {
	folder   string
	readOnly bool

	mu      sync.RWMutex // held for writing while the next two are replaced
	store   Store
	file    fs.FileInfo // of the index as it was opened
	notices []string
	mending bool // the index is being replaced

	now func() time.Time // for tests
}

const (
	indexName = "library.db"
	lockName  = ".lock"
	movedName = "moved to"
)

// Open opens the library in a folder, which is made if need be, brings it to
// this version of the program, and makes sure that it is sound: damaged, it is
// put aside and the newest good backup opened (see [Library.Notices]). In a
// folder that can't be written it can be read only. The error is ErrNewer, that
// of ctx, or a sentence why there is no library.
func Open(ctx context.Context, folder string) (*Library, error) {
	folder, err := filepath.Abs(folder)
	if err != nil {
		return nil, sentence("the library in "+folder+" can't be opened", err)
	}
	if to, err := os.ReadFile(filepath.Join(folder, movedName)); err == nil && filepath.IsAbs(string(to)) {
		folder = string(to)
	}
	l := &Library{folder: folder, now: time.Now}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, sentence("the library in "+folder+" can't be made", err)
	}
	unlock, err := lockFolder(ctx, folder)
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case errors.Is(err, fs.ErrPermission) || place.IsReadOnly(err):
		l.readOnly = true
	case err != nil:
		return nil, sentence("the library in "+folder+" can't be opened", err)
	default:
		defer unlock()
	}
	if err := l.open(ctx); err != nil {
		return nil, sentence("the library in "+folder+" can't be opened", err)
	}
	return l, nil
}

// open opens the index, or what can be had in its place; one that was open before is its
// caller's to close. The folder is locked.
func (l *Library) open(ctx context.Context) error {
	l.store = nil
	err := l.connect(ctx)
	if err == nil {
		err = l.migrate(ctx)
	}
	if err == nil && l.small() {
		err = l.store.Sound(ctx)
	}
	if isDamage(err) && !l.readOnly {
		err = l.repair(ctx)
	}
	if err != nil && l.store != nil {
		_ = l.store.Close()
	}
	return err
}

// connect opens the index as it is.
func (l *Library) connect(ctx context.Context) error {
	f, err := sqlite.Open(ctx, l.index(), l.readOnly)
	if err != nil {
		return err
	}
	l.store = f
	l.file, err = os.Stat(l.index())
	return err
}

func (l *Library) index() string   { return filepath.Join(l.folder, indexName) }
func (l *Library) copies() string  { return filepath.Join(l.folder, "copies") }
func (l *Library) backups() string { return filepath.Join(l.folder, "backups") }
func (l *Library) trash() string   { return filepath.Join(l.folder, "trash") }

// Folder returns where the library is.
func (l *Library) Folder() string { return l.folder }

// ReadOnly reports whether the library can be read but not changed.
func (l *Library) ReadOnly() bool { return l.readOnly }

// Notices returns what the coach is to be told of the opening, once.
func (l *Library) Notices() []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	n := l.notices
	l.notices = nil
	return n
}

// Stamp changes whenever the index is changed, by whichever program.
func (l *Library) Stamp() string {
	stamp := ""
	for _, tail := range []string{"", "-wal"} {
		if info, err := os.Stat(l.index() + tail); err == nil {
			stamp += fmt.Sprint(info.Size(), " ", info.ModTime().UnixNano(), ";")
		}
	}
	return stamp
}

// Close closes the library. Its methods must not be called afterwards.
func (l *Library) Close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return sentence("the library was not closed well", l.store.Close())
}

// change runs a transaction that is on the disk when change returns nil, and
// not there at all otherwise.
func (l *Library) change(ctx context.Context, what string, do func(tx *sql.Tx) error) error {
	if l.readOnly {
		return ErrReadOnly
	}
	if err := l.follow(ctx); err != nil {
		return sentence(what, err)
	}
	l.mu.RLock()
	defer l.mu.RUnlock()
	tx, err := l.store.DB().BeginTx(ctx, nil)
	if err != nil {
		return sentence(what, err)
	}
	// While this waited for its turn, another window may have moved the index.
	if err = l.inPlace(l.file); err == nil {
		err = do(tx)
	}
	if err == nil {
		err = tx.Commit()
	}
	if err != nil {
		_ = tx.Rollback()
		return sentence(what, err)
	}
	return nil
}

// follow opens the index anew where another window has put another file in its
// place, after damage.
func (l *Library) follow(ctx context.Context) error {
	l.mu.RLock()
	known := l.file
	l.mu.RUnlock()
	err := l.inPlace(known)
	if !errors.Is(err, errReplaced) {
		return err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	unlock, err := lockFolder(ctx, l.folder)
	if err != nil {
		return err
	}
	defer unlock()
	old := l.store
	if err := l.open(ctx); err != nil {
		l.store = old
		return err
	}
	return old.Close()
}

// errReplaced says that the index is another file than the one that is open.
var errReplaced = errors.New("another window has replaced its index: try again")

// inPlace makes sure that the index is still the file that was opened.
func (l *Library) inPlace(opened fs.FileInfo) error {
	now, err := os.Stat(l.index())
	if err == nil && os.SameFile(now, opened) {
		return nil
	}
	if to, err := os.ReadFile(filepath.Join(l.folder, movedName)); err == nil {
		return fmt.Errorf("it was moved to %s by another window: close this one and start it again", to)
	}
	return errReplaced
}

// query reads rows, one after another.
func (l *Library) query(ctx context.Context, what, q string, args []any, row func(*sql.Rows) error) error {
	l.mu.RLock()
	defer l.mu.RUnlock()
	rows, err := l.store.DB().QueryContext(ctx, q, args...)
	if err != nil {
		return sentence(what, err)
	}
	defer func() { _ = rows.Close() }()
	for rows.Next() {
		if err := row(rows); err != nil {
			return sentence(what, err)
		}
	}
	return sentence(what, rows.Err())
}

// lockFolder keeps other processes from opening, mending and backing up the
// library meanwhile.
func lockFolder(ctx context.Context, folder string) (unlock func(), err error) {
	for {
		lock, err := place.TryLock(filepath.Join(folder, lockName))
		if held := (*place.HeldError)(nil); !errors.As(err, &held) {
			return lock.Unlock, err // a file system without locks has no second window to wait for
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(20 * time.Millisecond):
		}
	}
}

func millis(t time.Time) int64 { return t.UnixMilli() }
