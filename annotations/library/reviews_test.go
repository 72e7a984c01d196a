package library

import (
	"archive/zip"
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/review"
)

// recordReview writes a review of a lesson into a folder, with a voice.
func recordReview(t *testing.T, folder, lesson, id string) review.Review {
	t.Helper()
	r := review.Review{ID: id, List: review.Folder + "/" + id + ".jsonl", Voice: review.Folder + "/" + id + ".wav", Seconds: 1}
	list, voice := r.Files(folder)
	log, err := review.Create(list, lesson, time.Now())
	require.NoError(t, err)
	require.NoError(t, log.Show(0, &review.State{Swing: "s1"}))
	require.NoError(t, log.Close(time.Second))
	v, err := review.CreateVoice(voice)
	require.NoError(t, err)
	require.NoError(t, v.Append(make([]int16, review.Rate)))
	require.NoError(t, v.Close())
	return r
}

// Erasing a student deletes his voice reviews, those too that the lesson names no more,
// and no one else's.
func TestEraseDeletesReviews(t *testing.T) {
	ctx, k := context.Background(), keptStudent(t)
	l, _, err := annotations.Load(k.paths[0])
	require.NoError(t, err)
	require.NotEmpty(t, l.ID)
	folder := filepath.Dir(k.paths[0])
	own, undone, other := recordReview(t, folder, l.ID, "01A"), recordReview(t, folder, l.ID, "01B"), recordReview(t, folder, "another lesson", "01C")
	film := filepath.Join(folder, "spoken to the parents.mp4")
	require.NoError(t, os.WriteFile(film, []byte("film"), 0o600))
	own.Film, undone.Film = filepath.Base(film), filepath.Base(k.paths[0])
	l.Reviews = l.Reviews.With(own).With(undone)
	require.NoError(t, annotations.Save(k.paths[0], l))
	h, err := k.l.HeldOf(ctx, k.student, k.exports)
	require.NoError(t, err)
	assert.Contains(t, h.Exported, film)
	assert.NotContains(t, h.Exported, k.paths[0], "what is no film is none")
	l.Reviews = l.Reviews.Without(undone.ID)
	require.NoError(t, annotations.Save(k.paths[0], l))
	out, err := k.l.EraseStudent(ctx, k.student, h, h.Exported)
	require.NoError(t, err)
	assert.NoFileExists(t, film)
	for _, r := range []review.Review{own, undone} {
		list, voice := r.Files(folder)
		assert.NoFileExists(t, list)
		assert.NoFileExists(t, voice)
		assert.Contains(t, out.Removed, voice)
	}
	list, voice := other.Files(folder)
	assert.FileExists(t, list)
	assert.FileExists(t, voice)
}

// A zip file has the reviews of its lessons, and an import puts them beside the document.
// A link that leads out of the folder is not followed.
func TestReviewsTravel(t *testing.T) {
	ctx, k := context.Background(), keptStudent(t)
	l, _, err := annotations.Load(k.paths[0])
	require.NoError(t, err)
	folder := filepath.Dir(k.paths[0])
	good, bad := recordReview(t, folder, l.ID, "01A"), recordReview(t, folder, l.ID, "01B")
	secret := filepath.Join(t.TempDir(), "secret")
	require.NoError(t, os.WriteFile(secret, []byte("secret"), 0o600))
	list, voice := bad.Files(folder)
	require.NoError(t, os.Remove(voice))
	require.NoError(t, os.Symlink(secret, voice))
	good.Title, good.Captions = "Spoken to the parents", []review.Caption{{From: 0, To: 1, Text: "Mind the wagglewort."}}
	anew, lost := recordReview(t, folder, l.ID, "01C"), []review.Span{{From: 0, To: 0.5}}
	good = good.Anew(review.Take{List: anew.List, Voice: anew.Voice, Clock: 1, Instead: lost}).Anew(review.Take{List: "reviews/gone.jsonl", Clock: 3, Instead: lost})
	l.Question = "How do I hit a snicketfade?"
	l.Reviews = l.Reviews.With(good).With(bad)
	require.NoError(t, annotations.Save(k.paths[0], l))
	key, err := k.l.Record(ctx, k.paths[0], l, false)
	require.NoError(t, err)
	for _, text := range []string{"spoken parents", "wagglewort", "review", "snicketfade"} {
		found, err := k.l.Lessons(ctx, Query{Text: text})
		require.NoError(t, err)
		require.Len(t, found, 1, text)
		assert.Equal(t, key, found[0].Key)
	}
	file := filepath.Join(t.TempDir(), "out.zip")
	out, err := k.l.Export(ctx, file, []int64{key}, ExportOptions{Clips: true, Opens: anyFilm})
	require.NoError(t, err)
	z, err := zip.OpenReader(file)
	require.NoError(t, err)
	defer z.Close()
	names := 0
	for _, f := range z.File {
		if filepath.Base(filepath.Dir(f.Name)) == review.Folder {
			names++
			assert.NotEqual(t, "01B.wav", filepath.Base(f.Name))
		}
	}
	assert.Equal(t, 5, names)
	assert.Contains(t, out.Notes[len(out.Notes)-1], "no plain file")

	dir := t.TempDir()
	to := openAt(t, filepath.Join(dir, "library"))
	in, err := to.ImportZip(ctx, file, filepath.Join(dir, "lessons"), ImportOptions{})
	require.NoError(t, err)
	require.Len(t, in.Lessons, 1)
	got, _, err := annotations.Load(in.Lessons[0].Path)
	require.NoError(t, err)
	require.Len(t, got.Reviews, 2)
	at := filepath.Dir(in.Lessons[0].Path)
	a, b := got.Reviews[0].Files(at)
	rec, err := review.ReadList(a)
	require.NoError(t, err)
	assert.Equal(t, 1.0, rec.Seconds)
	samples, err := review.ReadVoice(b)
	require.NoError(t, err)
	assert.Len(t, samples, review.Rate)
	assert.Empty(t, got.Reviews[1].Voice, "what was not in it is not named")
	require.Len(t, got.Reviews[0].Takes, 1, "what was said anew travels too, and what is not there is not named")
	c := review.Review{List: got.Reviews[0].Takes[0].List, Voice: got.Reviews[0].Takes[0].Voice}
	anewList, anewVoice := c.Files(at)
	assert.NotEqual(t, a, anewList)
	assert.FileExists(t, anewList)
	assert.FileExists(t, anewVoice)
	assert.FileExists(t, list)
}
