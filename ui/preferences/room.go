// Package preferences is the card on which the coach says how the program is to
// be, and the keys that change that without it.
package preferences

import (
	"image"
	"slices"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/shelf/worker"
	"turngauge/video"
)

// Room is the card.
type Room struct {
	kit.Openable
	host  kit.Host
	shelf *worker.Client
	doors Doors
	size  image.Point // of the window, dp
	card  kit.Modal

	ground, units, text, paper, cache draw.Segmented
	decided                           draw.Segmented
	library                           draw.Field // folder of the library
	libraryIs                         string     // that it has been put to
	browse, move                      draw.Button
	moving                            bool
	ranges                            draw.Button
	academy                           academy
	done                              draw.Button
}

// Doors are the ways from the card into the rest of the window.
type Doors struct {
	// LimitCache bounds the memory that decoded pictures take.
	LimitCache func(bytes int64)
	// JudgeAnew has what is measured judged and written anew.
	JudgeAnew func()
	// Help says what a command does.
	Help func(id string) string
}

// New returns the room of a window.
func New(h kit.Host, c *worker.Client, d Doors) *Room { return &Room{host: h, shelf: c, doors: d} }

// Commands are the way into the room and the keys for what is changed often.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{
		{ID: "dark", Group: "Picture", After: "bones", Help: "Dark or light window", Keys: kit.WithMod(key.ModCtrl, "D"), Do: r.toggleDark, Anywhere: true},
		{ID: "larger text", Group: "Picture", After: "dark", Help: "Larger text",
			Keys: []kit.Chord{{Key: "=", Mods: key.ModCtrl}, {Key: "+", Mods: key.ModCtrl | key.ModShift}, {Key: "+", Mods: key.ModCtrl}},
			Do:   func() { r.scaleText(1.1) }, Anywhere: true},
		{ID: "smaller text", Group: "Picture", After: "larger text", Help: "Smaller text", Keys: kit.WithMod(key.ModCtrl, "-"), Do: func() { r.scaleText(1 / 1.1) }, Anywhere: true},
		{ID: "preferences", Group: "Lesson", After: "home", Help: "How you like it: units, text, light or dark, memory",
			Keys: kit.WithMod(key.ModCtrl, ","), Do: func() { r.Shown = true }, Anywhere: true},
	}
}

func (r *Room) toggleDark() {
	s := r.host.Settings()
	s.Light = !s.Light
	r.host.Theme().SetDark(!s.Light)
	r.host.KeepSettings()
}

// cacheChoicesMB are the sizes offered for decoded pictures; 0 is the
// program's own choice.
var cacheChoicesMB = []int64{0, 512, 1024, 2048, 4096}

// decidedChoices are the probabilities offered from which on a verdict is given;
// they begin with "likely" and hold "very likely", see words.Likelihood.
var decidedChoices = []float64{0.66, geometry.Decided, 0.9, 0.95}

// decidedIndex is the choice that counts.
func decidedIndex(s *profile.Settings) int {
	if s.Decided == 0 {
		return slices.Index(decidedChoices, geometry.Decided)
	}
	return slices.Index(decidedChoices, s.Decided)
}

// textChoices are the text sizes offered; keys go in between.
var textChoices = []float32{0.8, 1, 1.25, 1.5, 2}

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	s := r.host.Settings()
	before := *s
	if i, ok := r.ground.Update(gtx); ok {
		s.Light = i == 1
		r.host.Theme().SetDark(!s.Light)
	}
	if i, ok := r.units.Update(gtx); ok {
		s.Imperial = i == 1
	}
	if i, ok := r.text.Update(gtx); ok {
		s.TextScale = textChoices[i]
		r.fitText()
	}
	if i, ok := r.decided.Update(gtx); ok {
		s.Decided = decidedChoices[i]
	}
	if i, ok := r.paper.Update(gtx); ok {
		s.LetterPaper = i == 1
	}
	if i, ok := r.cache.Update(gtx); ok {
		s.CacheMB = cacheChoicesMB[i]
		r.doors.LimitCache(CacheBytes(*s))
	}
	if r.done.Clicked(gtx) {
		r.Shown = false
	}
	r.updateLibraryPlace(gtx)
	r.updateAcademy(gtx)
	if *s != before {
		r.host.KeepSettings()
		if s.Imperial != before.Imperial || s.Decided != before.Decided {
			r.doors.JudgeAnew()
		}
	}
}

// CacheBytes is how much memory decoded pictures may take.
func CacheBytes(s profile.Settings) int64 {
	if s.CacheMB <= 0 {
		return video.DefaultCacheBytes()
	}
	return s.CacheMB << 20
}
