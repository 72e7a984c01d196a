package library

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
)

var hostileParcels = flag.Int("parcels", 10, "how many made parcels TestHostileParcels imports")

// made is a parcel that was made to do harm, at random. Every kind packs well: what
// arrives is small.
func made(t *testing.T, r *rand.Rand) (kind, file string) {
	t.Helper()
	head := `{"kind": "turngauge-lesson", "version": 1, "student": {"handed": "right", "name": "` + strings.Repeat("x", r.IntN(50)) + `"}, `
	long := func(before, repeated, after string, most int) []byte {
		n := max(most-len(head)-len(before)-len(after)-2, 0) / len(repeated)
		return []byte(head + before + strings.Repeat(repeated, n) + after + "}")
	}
	size := annotations.MaxBytes / (1 + r.IntN(8))
	mark := `{"clip": "fo", "position": "top", "point": "lead hip", "x": 1, "y": 2}`
	kinds := []string{"an unknown list", "an unknown object", "marks", "empty marks", "notes", "deep", "swings", "too large", "many lessons", "one clip often", "lies", "names", "cut", "manifest", "noise"}
	kind = kinds[r.IntN(len(kinds))]
	file = zipOf(t, func(z *zip.Writer) {
		document := func(data []byte) {
			for i := range 1 + r.IntN(4) {
				add(t, z, fmt.Sprintf("%d/lesson.json", i), data)
			}
		}
		switch kind {
		case "an unknown list":
			document(long(`"later": [0`, `,[]`, `]`, size))
		case "an unknown object":
			document(long(`"later": {"a": 0`, `,"a":{"b":[1]}`, `}`, size))
		case "marks":
			document(long(`"swings": [{"id": "s1", "clips": [{"id": "fo", "view": "face-on", "width": 1920, "height": 1080}], "marks": [`+mark, `,`+mark, `]}]`, size))
		case "empty marks":
			document(long(`"swings": [{"id": "s1", "marks": [{}`, `,{}`, `]}]`, size))
		case "notes":
			document(long(`"notes": "`, `\u202e`, `"`, size))
		case "deep":
			document(long(`"later": `, `[`, ``, size))
		case "swings":
			document(long(`"swings": [{"id": "s"}`, `,{"id": "s"}`, `]`, size))
		case "too large":
			document(long(`"later": "`, `a`, `"`, 3*annotations.MaxBytes))
		case "many lessons":
			data := long(`"notes": "`, `a`, `"`, 100_000)
			for i := range 1 + r.IntN(2500) {
				add(t, z, fmt.Sprintf("%d.json", i), data)
			}
		case "one clip often":
			for i := range 1 + r.IntN(100) {
				add(t, z, fmt.Sprintf("%d.json", i), documentOf(t, "fo.mp4"))
			}
			add(t, z, "fo.mp4", make([]byte, 1+r.IntN(60<<20)))
		case "lies":
			add(t, z, "a/lesson.json", documentOf(t, "fo.mp4"))
			add(t, z, "a/fo.mp4", make([]byte, 1<<20))
		case "names":
			for _, n := range []string{"../x", "/etc/x", "a/../../x", "CON", "\x1b[2J", strings.Repeat("🏌", 80), "a\u202eb"} {
				add(t, z, n+".json", documentOf(t, n))
				add(t, z, n, []byte("x"))
			}
		case "manifest":
			add(t, z, "turngauge-export.json", append([]byte(`{"kind":"turngauge-export","version":1,"lessons":[`), bytes.Repeat([]byte(`{"document":"a","tags":["x"]},`), size/30)...))
			document(documentOf(t, ""))
		case "noise":
			noise := make([]byte, 1<<16)
			for i := range noise {
				noise[i] = byte(r.Uint32())
			}
			document(append([]byte(head+`"later": "`), noise...))
		default:
			document(documentOf(t, ""))
		}
	})
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	switch kind {
	case "lies":
		at := bytes.LastIndex(data, []byte("PK\x01\x02"))
		copy(data[at+24:], []byte{byte(r.Uint32()), byte(r.Uint32()), byte(r.Uint32()), byte(r.Uint32())})
	case "cut":
		data = data[:r.IntN(len(data))]
	}
	require.NoError(t, os.WriteFile(file, data, 0o600))
	return kind, file
}

// memoryMB is the most memory that this process has had at once.
func memoryMB(t *testing.T) int {
	t.Helper()
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, err := strconv.Atoi(strings.Fields(rest)[0])
			require.NoError(t, err)
			return kb >> 10
		}
	}
	return 0
}

// TestHostileParcels imports parcels that were made to do harm: none writes outside its
// folder, or more than is written unasked, or keeps going when told to stop. With -v and
// -parcels 500, run alone, it prints what they took.
func TestHostileParcels(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 500))
	var written int64
	var slowest, latest time.Duration
	count := make(map[string]int)
	before := memoryMB(t)
	for n := range *hostileParcels {
		root := t.TempDir()
		kind, file := made(t, r)
		debug.FreeOSMemory() // what making it took is not the import's
		l := openAt(t, filepath.Join(root, "library"))
		to := filepath.Join(root, "deep", "in", "lessons")
		start := time.Now()
		_, err := l.ImportZip(context.Background(), file, to, ImportOptions{})
		slowest = max(slowest, time.Since(start))
		if err != nil {
			count[kind+", refused"]++
		} else {
			count[kind]++
		}
		var bytes int64
		require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			info, err := d.Info()
			require.NoError(t, err)
			rel, _ := filepath.Rel(root, path)
			require.True(t, strings.HasPrefix(rel, "library") || strings.HasPrefix(rel, "deep/in/lessons/"), rel)
			require.True(t, info.Mode().IsRegular(), rel)
			bytes += info.Size()
			return nil
		}))
		require.Less(t, bytes, int64(2*UnaskedBytes), kind)
		written = max(written, bytes)

		ctx, cancel := context.WithCancel(context.Background())
		again := openAt(t, filepath.Join(root, "again"))
		done := make(chan error, 1)
		go func() {
			_, err := again.ImportZip(ctx, file, to, ImportOptions{})
			done <- err
		}()
		time.Sleep(time.Duration(r.IntN(200)) * time.Millisecond)
		cancel()
		told := time.Now()
		select {
		case err = <-done:
			latest = max(latest, time.Since(told))
		case <-time.After(time.Minute):
			t.Fatalf("parcel %d, %s: it goes on", n, kind)
		}
		if err != nil && !errors.Is(err, context.Canceled) {
			require.NotEmpty(t, err.Error())
		}
		require.NoError(t, os.RemoveAll(root))
		require.NoError(t, os.Remove(file))
	}
	t.Logf("%d parcels: at most %d MB written, memory from %d to %d MB (making them included), slowest %.1f s, stopped within %.2f s",
		*hostileParcels, written>>20, before, memoryMB(t), slowest.Seconds(), latest.Seconds())
	for kind, n := range count {
		t.Logf("%4d %s", n, kind)
	}
}
