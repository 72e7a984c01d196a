//go:build unix

package library

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func init() {
	jobs["small files only"] = smallFilesOnly
	jobs["read only"] = readOnlyFolder
}

func smallFilesOnly(dir string) error {
	signal.Ignore(syscall.SIGXFSZ)
	ctx := context.Background()
	l, err := Open(ctx, dir)
	if err != nil {
		return err
	}
	info, err := os.Stat(filepath.Join(dir, indexName+"-wal"))
	if err != nil {
		return err
	}
	limit := uint64(info.Size()) + 20_000
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: limit, Max: limit}); err != nil {
		return err
	}
	for i := range 500 {
		if _, err := l.Record(ctx, fmt.Sprintf("/lessons/%d.json", i), generated(i), true); err != nil {
			fmt.Println(i)
			fmt.Println(err)
			return nil
		}
	}
	return errors.New("nothing failed")
}

// TestFullDisk lets writing fail in the middle of a transaction. What was there
// before stays, and the coach reads a sentence.
func TestFullDisk(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "library")
	out, err := job(t, "small files only", dir).CombinedOutput()
	require.NoError(t, err, "%s", out)
	lines := strings.SplitN(string(out), "\n", 2)
	n, err := strconv.Atoi(lines[0])
	require.NoError(t, err)
	assert.Contains(t, lines[1], "see whether it is full")
	l := openAt(t, dir)
	assert.Empty(t, l.notices)
	assert.Len(t, titles(t, l, Query{}), n)
	require.NoError(t, l.store.Sound(context.Background()))

	// SQLite's own word for it, which comes with a quota of pages.
	l.store.DB().SetMaxOpenConns(1)
	_, err = l.store.DB().Exec("PRAGMA max_page_count = 1")
	require.NoError(t, err)
	for i := range 500 {
		if _, err = l.Record(context.Background(), fmt.Sprintf("/full/%d.json", i), generated(i), true); err != nil {
			break
		}
	}
	require.ErrorContains(t, err, "the disk is full; make room on it")
}

func readOnlyFolder(dir string) error {
	ctx := context.Background()
	l, err := Open(ctx, dir)
	if err != nil {
		return err
	}
	list, err := l.Lessons(ctx, Query{Text: "mara"})
	if err != nil {
		return err
	}
	_, err = l.Record(ctx, "/lessons/x.json", generated(1), true)
	fmt.Println(l.ReadOnly(), len(list), errors.Is(err, ErrReadOnly), errors.Is(l.Backup(ctx), ErrReadOnly), errors.Is(l.Delete(ctx, list[0].Key), ErrReadOnly))
	return l.Close()
}

func TestReadOnlyFolder(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "library")
	l := openAt(t, folder)
	path := filepath.Join(dir, "a.json")
	record(t, l, path, written(t, path, "Mara Lindqvist", "First visit", "2026-05-02"))
	require.NoError(t, l.Close())
	cmd := job(t, "read only", folder)
	if os.Geteuid() == 0 { // root may write everywhere: be someone else
		for p := folder; p != filepath.Clean(os.TempDir()) && p != "/"; p = filepath.Dir(p) {
			require.NoError(t, os.Chmod(p, 0o755))
		}
		exe := filepath.Join(dir, "test.exe")
		require.NoError(t, copyFile(cmd.Path, exe))
		require.NoError(t, os.Chmod(exe, 0o755))
		require.NoError(t, os.Chmod(filepath.Join(folder, indexName), 0o644))
		cmd.Path = exe
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	} else {
		require.NoError(t, os.Chmod(filepath.Join(folder, indexName), 0o444))
		require.NoError(t, os.Chmod(folder, 0o555))
		t.Cleanup(func() { _ = os.Chmod(folder, 0o755) })
	}
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.Equal(t, "true 1 true true true\n", string(out))
}
