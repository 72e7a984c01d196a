package takehome

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
	"turngauge/ui/x11/xtest"
)

// A sheet carries a picture of the film of what was said, and its name, in all that is made
// of it; where the film isn't there it has neither.
func TestTheSheetNamesTheFilm(t *testing.T) {
	t.Parallel()
	pdftotext := xtest.Need(t, "pdftotext")
	l, path := fixture(t)
	found(l)
	l.Reviews = review.List{{ID: "01J", List: "reviews/01J.jsonl", Film: "mara-review.mp4"}}
	dir := t.TempDir()
	written := func() (text, page string) {
		r := Request{Lesson: l, Path: path, PDF: filepath.Join(dir, "sheet.pdf"), HTML: filepath.Join(dir, "sheet.html")}
		_, err := Write(t.Context(), r)
		require.NoError(t, err)
		out, err := exec.Command(pdftotext, "-layout", r.PDF, "-").Output()
		require.NoError(t, err)
		data, err := os.ReadFile(r.HTML)
		require.NoError(t, err)
		return strings.Join(strings.Fields(string(out)), " "), string(data)
	}
	text, page := written()
	assert.NotContains(t, text, "mara-review.mp4")
	film(t, filepath.Join(filepath.Dir(path), "mara-review.mp4"), 360, 640, false)
	const caption = "The film that goes with this sheet: mara-review.mp4 (0:02)"
	pictures := strings.Count(page, "<img")
	text, page = written()
	assert.Contains(t, text, caption)
	assert.Contains(t, page, caption)
	assert.Equal(t, pictures+1, strings.Count(page, "<img"))
}
