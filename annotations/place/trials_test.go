//go:build linux

package place

import (
	"bytes"
	"errors"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations/faultfs"
)

var trials = flag.Int("trials", 200, "how often TestADiskThatFillsLosesNothing tries")

// TestADiskThatFillsLosesNothing writes files of many sizes to a disk with random
// room on it. What was there is there whole, or what is new is; sheets, stills,
// exports and settings are all written this way.
func TestADiskThatFillsLosesNothing(t *testing.T) {
	disk := faultfs.Mounted(t, "2m", "0 lost", "-trials", strconv.Itoa(*trials))
	if disk == "" {
		return
	}
	rng := rand.New(rand.NewPCG(5, uint64(*trials)))
	folder := filepath.Join(disk, "sheets")
	require.NoError(t, os.Mkdir(folder, 0o755))
	ballast, path := filepath.Join(disk, "ballast"), filepath.Join(folder, "sheet.pdf")
	there := []byte("before")
	require.NoError(t, Bytes(path, there))
	written, refused := 0, 0
	for n := range *trials {
		require.NoError(t, faultfs.Fill(ballast, rng.IntN(600<<10)))
		data := bytes.Repeat([]byte{byte(n)}, rng.IntN(600<<10))
		other := filepath.Join(folder, "new.pdf")
		for _, put := range []func() error{
			func() error { return Bytes(path, data) },
			func() error { return New(other, bytes.NewReader(data)) },
		} {
			err := put()
			if err == nil {
				written++
			} else {
				require.True(t, errors.Is(err, syscall.ENOSPC), "%v", err)
				refused++
			}
		}
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		require.True(t, bytes.Equal(got, data) || bytes.Equal(got, there))
		there = got
		if got, err := os.ReadFile(other); err == nil {
			require.True(t, bytes.Equal(got, data))
			require.NoError(t, os.Remove(other))
		}
		require.Equal(t, []string{"sheet.pdf"}, names(t, folder), "nothing half written stays")
		require.NoError(t, os.Remove(ballast))
	}
	t.Logf("%d disks that filled: %d files written, %d refused, 0 lost", *trials, written, refused)
}
