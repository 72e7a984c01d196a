package intake

import (
	"net/url"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPasted: a path is read as it is copied, bare, quoted and as the URI that
// net/url writes of it; what is no file there is refused.
func TestPasted(t *testing.T) {
	path := filepath.Join(t.TempDir(), "face on ä%20.mp4")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	uri := url.URL{Scheme: "file", Path: path}
	for _, line := range []string{path, "  " + path + "\r", `"` + path + `"`, "'" + path + "'", uri.String()} {
		got, ok := pasted(line)
		assert.True(t, ok, "%q", line)
		assert.Equal(t, path, got)
	}
	for _, line := range []string{"", "clip.mp4", "https://example.org/clip.mp4", path + "x", "file:%zz"} {
		_, ok := pasted(line)
		assert.False(t, ok, "%q", line)
	}
}

// TestATextIsNotATableOfShots: a note is told from a table.
func TestATextIsNotATableOfShots(t *testing.T) {
	dir := t.TempDir()
	for name, c := range map[string]struct {
		text  string
		table bool
	}{
		"note.txt":   {"Worked on the turn today, felt better.\nNext time: the grip, 7-iron, 10 balls.\n", false},
		"list.txt":   {"grip\nstance\nball 2 cm forward\n", false},
		"shots.csv":  {"club,club path,face to path\n7-iron,2.1,-0.4\n", true},
		"device.txt": {"Schlag;Carry [m];Seite\n1;140,2;3,1\n", true},
	} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(c.text), 0o600))
		assert.Equal(t, c.table, isTable(path), name)
	}
}
