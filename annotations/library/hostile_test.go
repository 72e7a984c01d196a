package library

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library/parcel"
)

var hostileParcels = flag.Int("parcels", 6, "how many made parcels and documents TestHostileParcels takes in")

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
	if r.IntN(3) > 0 {
		return kind, file
	}
	// The first document of it by itself, where it has one.
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return kind, file
	}
	for _, f := range z.File {
		from, err := f.Open()
		if err != nil || filepath.Ext(f.Name) != ".json" || f.Name == parcel.ManifestName {
			continue
		}
		text, err := io.ReadAll(from)
		require.NoError(t, from.Close())
		if err == nil {
			alone := strings.TrimSuffix(file, ".zip") + ".json"
			require.NoError(t, os.WriteFile(alone, text, 0o600))
			require.NoError(t, os.Remove(file))
			return kind + ", by itself", alone
		}
	}
	return kind, file
}

// taken is what taking in a parcel or a document came to.
type taken struct {
	Refused  bool
	Seconds  float64 // of processor time, all turns
	Late     float64 // seconds from being told to stop to having stopped
	MemoryMB int     // the most that the process has had at once
}

// takeHostile takes in what lies in a folder, wholly and then, a parcel, until it is told to
// stop, and prints what came of it. It is a process of its own, so that its memory is its own.
func takeHostile(dir string) error {
	files, err := filepath.Glob(filepath.Join(dir, "x.*"))
	if err != nil {
		return err
	}
	take := func(ctx context.Context, l *Library) error {
		if filepath.Ext(files[0]) == ".zip" {
			_, err := l.ImportZip(ctx, files[0], filepath.Join(dir, "deep", "in", "lessons"), ImportOptions{})
			return err
		}
		lesson, _, err := annotations.Load(files[0])
		if err == nil {
			_, err = l.Record(ctx, files[0], lesson, true)
		}
		if err == nil {
			err = annotations.Save(filepath.Join(dir, "deep", "in", "lessons", "saved.json"), lesson)
		}
		return err
	}
	if err := os.MkdirAll(filepath.Join(dir, "deep", "in", "lessons"), 0o700); err != nil {
		return err
	}
	var out taken
	turns := []string{"library", "library 2"}
	if filepath.Ext(files[0]) != ".zip" {
		turns = turns[:1] // whoever gives up does not wait for a document that is being read
	}
	for _, name := range turns {
		l, err := Open(context.Background(), filepath.Join(dir, name))
		if err != nil {
			return err
		}
		ctx, cancel := context.WithCancel(context.Background())
		if name == "library" {
			out.Refused = take(ctx, l) != nil
		} else {
			var told time.Time
			time.AfterFunc(time.Duration(rand.IntN(200))*time.Millisecond, func() {
				told = time.Now()
				cancel()
			})
			_ = take(ctx, l)
			ended := time.Now()
			<-ctx.Done()
			out.Late = max(ended.Sub(told).Seconds(), 0)
		}
		cancel()
		if err := l.Close(); err != nil {
			return err
		}
	}
	if out.MemoryMB, err = memoryMB(); err != nil {
		return err
	}
	return json.NewEncoder(os.Stdout).Encode(out)
}

// memoryMB is the most memory that this process has had at once (proc(5): VmHWM).
func memoryMB() (int, error) {
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0, err
	}
	for line := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, err := strconv.Atoi(strings.Fields(rest)[0])
			return kb >> 10, err
		}
	}
	return 0, nil
}

// TestHostileParcels takes in parcels and documents that were made to do harm: none writes
// outside its folder, or more than is written unasked, takes gigabytes of memory, or keeps
// going when told to stop. With -v and -parcels 500 it prints what they took, and holds
// them to 500 MB and to stopping within a second.
func TestHostileParcels(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 500))
	var written int64
	var most taken
	count := make(map[string]int)
	for range *hostileParcels {
		root := t.TempDir()
		kind, file := made(t, r)
		require.NoError(t, os.Rename(file, filepath.Join(root, "x"+filepath.Ext(file))))
		cmd := job(t, "take what is hostile", root)
		var text bytes.Buffer
		cmd.Stdout, cmd.Stderr = &text, os.Stderr
		require.NoError(t, cmd.Start())
		hung := time.AfterFunc(20*time.Minute, func() { _ = cmd.Process.Kill() })
		require.NoError(t, cmd.Wait(), "%s: %s", kind, &text)
		hung.Stop()
		var one taken
		require.NoError(t, json.Unmarshal(text.Bytes(), &one))
		one.Seconds = (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
		if one.Refused {
			kind += ", refused"
		}
		if count[kind]++; *hostileParcels >= 500 {
			t.Logf("%s: %+v", kind, one)
		}
		most.Seconds, most.Late, most.MemoryMB = max(most.Seconds, one.Seconds), max(most.Late, one.Late), max(most.MemoryMB, one.MemoryMB)
		if *hostileParcels >= 500 {
			assert.Less(t, one.MemoryMB, 500, kind)
			assert.Less(t, one.Late, 1.0, kind)
		}
		assert.Less(t, one.MemoryMB, 2000, "%s: the race detector takes several times as much", kind)

		var bytes int64
		require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			info, err := d.Info()
			require.NoError(t, err)
			rel, _ := filepath.Rel(root, path)
			require.True(t, strings.HasPrefix(rel, "library") || strings.HasPrefix(rel, "deep/in/lessons/") || strings.HasPrefix(rel, "x."), rel)
			require.True(t, info.Mode().IsRegular(), rel)
			bytes += info.Size()
			return nil
		}))
		require.Less(t, bytes, int64(2*UnaskedBytes), kind) // it was taken in twice
		written = max(written, bytes)
		require.NoError(t, os.RemoveAll(root))
	}
	t.Logf("%d parcels and documents: at most %d MB written in both turns, %d MB of memory, at most %.1f s of processor time, stopped within %.2f s",
		*hostileParcels, written>>20, most.MemoryMB, most.Seconds, most.Late)
	for kind, n := range count {
		t.Logf("%4d %s", n, kind)
	}
}
