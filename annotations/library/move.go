package library

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"turngauge/annotations/place"
)

// Move moves a whole library to another folder, which must be empty or not there
// yet, and returns it opened there; l is closed then. The library is copied,
// checked and then removed from the old folder, where a note tells other windows
// and later openings. Of a move that fails nothing changes, and l stays open.
// Documents and clips of lessons stay where they are.
func (l *Library) Move(ctx context.Context, to string) (*Library, error) {
	const what = "the library can't be moved"
	if l.readOnly {
		return nil, ErrReadOnly
	}
	to, err := filepath.Abs(to)
	if err != nil {
		return nil, sentence(what, err)
	}
	if rel, err := filepath.Rel(l.folder, to); err == nil && filepath.IsLocal(rel) {
		return nil, fmt.Errorf("%s: %s lies inside it. Choose a folder elsewhere", what, to)
	}
	entries, _ := os.ReadDir(to)
	for _, e := range entries {
		if e.Name() != lockName && e.Name() != movedName {
			return nil, fmt.Errorf("%s: the folder %s is not empty. Choose an empty one", what, to)
		}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	unlock, err := lockFolder(ctx, l.folder)
	if err != nil {
		return nil, sentence(what, err)
	}
	defer unlock()
	// Nobody changes the index until it is gone from here: a change that waits
	// meanwhile finds that it was moved.
	hold, err := l.store.DB().BeginTx(ctx, nil)
	if err != nil {
		return nil, sentence(what, err)
	}
	moved, err := l.copyTo(ctx, to)
	if err == nil {
		err = place.File(filepath.Join(l.folder, movedName), strings.NewReader(to))
		if err != nil {
			_ = moved.store.Close()
		}
	}
	if err != nil {
		for _, part := range parts {
			_ = os.RemoveAll(filepath.Join(to, part)) // there was nothing before
		}
		_ = hold.Rollback()
		return nil, sentence(what, err)
	}
	release := func() {
		_ = hold.Rollback()
		_ = l.store.Close()
	}
	if !place.OpenCanGo {
		release()
	}
	for _, part := range parts {
		if err := os.RemoveAll(filepath.Join(l.folder, part)); err != nil {
			moved.notices = append(moved.notices, fmt.Sprintf("The library is now in %s. What is left in %s can be deleted.", to, l.folder))
			break
		}
	}
	if place.OpenCanGo {
		release()
	}
	return moved, nil
}

// parts is what a library consists of in its folder.
var parts = []string{indexName, indexName + "-wal", indexName + "-shm", "copies", "backups", "trash", "photos"}

// copyTo copies everything of the library to a folder and opens it there.
func (l *Library) copyTo(ctx context.Context, to string) (*Library, error) {
	if err := l.copyFiles(ctx, to); err != nil {
		return nil, err
	}
	if err := os.Remove(filepath.Join(to, movedName)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	moved := &Library{folder: to, now: l.now}
	if err := moved.open(ctx); err != nil {
		return nil, err
	}
	// Documents of deleted lessons lie in the library itself.
	from := l.trash()
	_, err := moved.store.DB().ExecContext(ctx, "UPDATE lesson SET path = $1 || substr(path, length($2) + 1) WHERE deleted IS NOT NULL AND substr(path, 1, length($2)) = $2",
		moved.trash(), from)
	if err != nil {
		_ = moved.store.Close()
		return nil, err
	}
	return moved, nil
}

func (l *Library) copyFiles(ctx context.Context, to string) error {
	if err := os.MkdirAll(to, 0o700); err != nil {
		return err
	}
	if err := l.store.CopyTo(ctx, filepath.Join(to, indexName)); err != nil {
		return err
	}
	for _, part := range []string{"copies", "backups", "trash", "photos"} {
		root := filepath.Join(l.folder, part)
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || ctx.Err() != nil {
				return errors.Join(err, ctx.Err())
			}
			rel, err := filepath.Rel(l.folder, path)
			if err != nil {
				return err
			}
			if d.IsDir() {
				return os.MkdirAll(filepath.Join(to, rel), 0o700)
			}
			return copyFile(path, filepath.Join(to, rel))
		})
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}
