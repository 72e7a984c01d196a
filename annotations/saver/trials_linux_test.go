package saver

import (
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations/faultfs"
)

// TestADiskThatFillsLosesNothing saves to a small disk that fills up, becomes
// read-only and loses its folder at random moments.
func TestADiskThatFillsLosesNothing(t *testing.T) {
	disk := faultfs.Mounted(t, "256k", "0 lost", "-trials", strconv.Itoa(*trials))
	if disk == "" {
		return
	}
	rng := rand.New(rand.NewPCG(2, uint64(*trials)))
	folder := filepath.Join(disk, "lessons")
	require.NoError(t, os.Mkdir(folder, 0o755))
	path := filepath.Join(folder, "lesson.json")
	s, _ := openSaver(t, path)
	lesson := fullLesson(t)
	ballast := filepath.Join(disk, "ballast")
	faults := []struct {
		name         string
		break_, mend func() error
	}{
		{"full", func() error { return faultfs.Fill(ballast, rng.IntN(20<<10)) }, func() error { return os.Remove(ballast) }},
		{"read-only", func() error {
			return errors.Join(syscall.Mount(folder, folder, "", syscall.MS_BIND, ""),
				syscall.Mount("none", folder, "", syscall.MS_BIND|syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))
		}, func() error { return syscall.Unmount(folder, syscall.MNT_DETACH) }},
		{"folder gone", func() error { return os.Rename(folder, folder+" away") }, func() error { return os.Rename(folder+" away", folder) }},
	}
	broken, acknowledged, spared := make(map[string]int), 0, 0
	at, edit := "", 0
	for range *trials {
		f := faults[rng.IntN(len(faults))]
		when := rng.IntN(6)
		for step := range 6 {
			if step == when {
				require.NoError(t, f.break_(), f.name)
			}
			edit++
			lesson.Notes = strconv.Itoa(edit) + strings.Repeat(" and more", rng.IntN(2000))
			s.Save(lesson)
			err := s.Flush()
			if err == nil {
				require.Equal(t, lesson.Notes, load(t, path).Notes)
				at = lesson.Notes
				acknowledged++
				continue
			}
			var failure *NotSavedError
			require.ErrorAs(t, err, &failure, f.name)
			require.Equal(t, lesson.Notes, load(t, failure.Spare).Notes)
			if f.name != "folder gone" && at != "" {
				require.Equal(t, at, load(t, path).Notes, "what was acknowledged is still there, whole")
			}
			spared++
		}
		broken[f.name]++
		require.NoError(t, f.mend(), f.name)
		require.NoError(t, s.Flush(), f.name)
		require.Equal(t, lesson.Notes, load(t, path).Notes)
		at = lesson.Notes
	}
	require.NoError(t, s.Close())
	require.Equal(t, at, load(t, path).Notes)
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, entries, 1, "nothing half written is left")
	t.Logf("faults %v: %d edits, %d acknowledged, %d told to be in a spare copy, 0 lost", broken, edit, acknowledged, spared)
}
