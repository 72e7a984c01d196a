package visit

import (
	"image"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/geometry"
	"turngauge/video/take"
)

// ground is what a phone sees whose picture is shifted by some pixels: squares of random
// brightness, with noise of its own.
func ground(seed uint64, shift int) *image.Gray {
	im := image.NewGray(image.Rectangle{Max: take.Size})
	r, noise := rand.New(rand.NewPCG(1, 1)), rand.New(rand.NewPCG(seed, 2))
	var levels [60 * 60]int
	for i := range levels {
		levels[i] = 40 + r.IntN(160)
	}
	for y := range take.Size.Y {
		for x := range take.Size.X {
			im.Pix[y*im.Stride+x] = uint8(levels[(y+20)/5*60+(x+shift+20)/5] + noise.IntN(5))
		}
	}
	return im
}

// TestAPhoneThatWasBumped: a phone whose picture shifts before the third swing and stays
// there has a stand of its own from then on; one that stands still has one.
func TestAPhoneThatWasBumped(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	strikes := []float64{10, 20, 30, 40}
	v := &Visit{Films: []*Film{film(t, dir, "a.mp4", geometry.FaceOn, strikes), film(t, dir, "b.mp4", geometry.DownTheLine, strikes)}}
	v.pair()
	for k, f := range v.Films {
		f.SHA256 = string(rune('a'+k)) + "0"
		for i := range f.Swings {
			shift := 0
			if k == 0 && i >= 2 {
				shift = 1
			}
			f.Swings[i].Standing = ground(uint64(10*k+i), shift)
			f.Swings[i].First, f.Swings[i].Last = 10*i, 10*i+5
		}
	}
	assert.Equal(t, [][2]int{{1, 1}, {1, 1}, {2, 1}, {2, 1}}, v.Stands())
	assert.Equal(t, []string{
		"The face-on phone has moved before swing 3: from there on it has a camera of its own.",
		"The down-the-line phone stood still: its swings share one camera.",
	}, v.Standing())
	assert.Equal(t, []geometry.View{geometry.FaceOn}, v.Moved())
	swings, _ := v.Swings(dir, FullSwing, annotations.Club{})
	assert.Equal(t, []int{2, 1}, []int{swings[3].Clips[0].Stand, swings[3].Clips[1].Stand})

	// Swings that come later go on from there: the phone is put back where it stood first.
	kept := Kept(t.TempDir())
	for _, f := range v.Films {
		kept.keep(f, Options{})
	}
	l := annotations.NewLesson()
	l.Swings = swings
	later := &Visit{Films: []*Film{film(t, dir, "c.mp4", geometry.FaceOn, []float64{5, 15})}}
	later.pair()
	later.Films[0].Swings[0].Standing, later.Films[0].Swings[1].Standing = ground(50, 1), ground(51, 0)
	later.After(l, kept)
	assert.Equal(t, [][2]int{{2, 0}, {1, 0}}, later.Stands())
	assert.Equal(t, []geometry.View{geometry.FaceOn}, later.Moved())
	both := &Visit{Films: v.Films, Rows: v.Rows[:2]}
	assert.Equal(t, []string{"Both phones stood still: the swings share their cameras."}, both.Standing())
	later.After(l, "")
	assert.Equal(t, [][2]int{{1, 0}, {2, 0}}, later.Stands(), "nothing is known of the earlier ones")

	// Where nothing can be told nothing is said.
	v.Films[0].Swings[1].Standing = nil
	assert.Equal(t, 0, v.Stands()[1][0])
}

// TestWhatWasFoundIsKept: a film that was looked through is not looked through again, and
// goes on with what is known of its swings; another program's version of it, half a file
// or one with other pictures is found anew.
func TestWhatWasFoundIsKept(t *testing.T) {
	t.Parallel()
	f := film(t, t.TempDir(), "a.mp4", geometry.DownTheLine, []float64{1, 2}, 1.5)
	f.SHA256 = "ab12"
	f.Swings[1].Standing = ground(1, 0)
	f.Pictures = []*image.RGBA{image.NewRGBA(image.Rect(0, 0, 3, 4)), nil}
	f.Pictures[0].Pix[5], f.Pictures[0].Pix[7] = 77, 255
	k := Kept(filepath.Join(t.TempDir(), "swings"))
	k.keep(f, Options{})
	again := &Film{Path: f.Path, SHA256: f.SHA256, Index: f.Index}
	require.True(t, k.fill(again, Options{}))
	assert.Equal(t, f.Swings, again.Swings)
	assert.Equal(t, f.Strikes, again.Strikes)
	assert.Equal(t, []any{f.View, f.ViewSure}, []any{again.View, again.ViewSure})
	assert.Equal(t, f.Pictures[0].Pix[5], again.Pictures[0].Pix[5])
	assert.Nil(t, again.Pictures[1])

	assert.False(t, k.fill(&Film{SHA256: f.SHA256, Index: f.Index}, Options{Pictures: true}), "a picture is missing")
	assert.False(t, k.fill(&Film{SHA256: f.SHA256, Index: f.Index}, Options{Practice: true}))
	assert.False(t, Kept("").fill(&Film{SHA256: f.SHA256, Index: f.Index}, Options{}))
	l := annotations.NewLesson()
	l.Swings = []annotations.Swing{{ID: "s", Clips: []annotations.Clip{{ID: "c", SHA256: f.SHA256, Part: annotations.Part{First: 10, Last: 40}}}}}
	assert.Equal(t, 1.0, k.Known(l)["s"]["c"].Strike)
	path := k.file(f.SHA256, false)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, data[:len(data)/2], 0o600))
	assert.False(t, k.fill(&Film{SHA256: f.SHA256, Index: f.Index}, Options{}))
}

// TestMoving: a picture can be put into the other column, into a row of its own and back,
// and all that can be written down and taken up again.
func TestMoving(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	v := &Visit{Films: []*Film{
		film(t, dir, "a", geometry.FaceOn, []float64{10, 31}), film(t, dir, "b", geometry.DownTheLine, []float64{11, 32}),
	}}
	v.pair()
	first := v.Arrangement()
	require.Equal(t, [][2]string{{"a1", "b1"}, {"a2", "b2"}}, pairs(v))
	assert.Equal(t, Place{2, 1}, v.Move(Place{0, 1}, Place{2, 1}))
	assert.Equal(t, [][2]string{{"a1", ""}, {"a2", "b2"}, {"", "b1"}}, pairs(v))
	assert.Equal(t, Place{2, 0}, v.Move(Place{2, 1}, Place{2, 0}), "it looks from the other side than the rest of its film")
	v.Rows[1].Leave = true
	second := v.Arrangement()
	assert.Equal(t, Place{0, 1}, v.Move(Place{2, 0}, Place{0, 1}), "and its row goes")
	assert.Equal(t, [][2]string{{"a1", "b1"}, {"a2", "b2"}}, pairs(v))
	require.True(t, v.Arrange(&second))
	assert.Equal(t, [][2]string{{"a1", ""}, {"a2", "b2"}, {"b1", ""}}, pairs(v))
	assert.True(t, v.Rows[1].Leave)
	require.True(t, v.Arrange(&first))
	assert.Equal(t, [][2]string{{"a1", "b1"}, {"a2", "b2"}}, pairs(v))
	second.Rows[0].Shots[0][1] = 7
	assert.False(t, v.Arrange(&second), "no such swing is found")
	first.Films[0] = "other"
	assert.False(t, v.Arrange(&first))

	d := Diary(t.TempDir())
	d.Write("lesson.json", &UnderWay{Clips: []string{"a", "b"}, Arrangement: &second})
	assert.Equal(t, second, *d.Read("lesson.json").Arrangement)
	assert.Equal(t, UnderWay{}, d.Read("other.json"))
	d.Write("other.json", &UnderWay{Folder: "phones"})
	d.Forget([]library.Entry{{Path: "lesson.json"}})
	assert.Equal(t, UnderWay{}, d.Read("lesson.json"))
	assert.Equal(t, "phones", d.Read("other.json").Folder, "of another student")
	d.Write("other.json", &UnderWay{})
	left, err := os.ReadDir(string(d))
	require.NoError(t, err)
	assert.Empty(t, left)
}
