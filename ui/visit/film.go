package visit

import (
	"context"
	"image"
	"math"
	"path/filepath"

	"turngauge/geometry"
	"turngauge/ui/golfer"
	"turngauge/ui/propose"
	"turngauge/video"
	"turngauge/video/sound"
	"turngauge/video/take"
)

// Film is one file of a visit, and what was found in it.
type Film struct {
	Path   string
	SHA256 string
	Index  *video.Index // on life's clock as far as the file says how fast it plays
	View   geometry.View
	// ViewSure says that the view is seen clearly in the picture.
	ViewSure bool
	Swings   []take.Swing
	// Pictures are small ones of the address of each swing.
	Pictures []*image.RGBA
	Strikes  []sound.Strike // all that were heard
}

// Name is the file's, without its folder.
func (f *Film) Name() string { return filepath.Base(f.Path) }

// PictureSize is that of the small pictures, pixels.
var PictureSize = image.Pt(120, 160)

// Options say what is taken in.
type Options struct {
	// Practice has practice swings looked for too, through every picture of the takes.
	Practice bool
	// Pictures has a small picture made of every swing.
	Pictures bool
	// Progress, which may be nil, is told how much of the work on all films is done, 0 to
	// 1, from any goroutine.
	Progress func(part float64)
	// Kept is where what was found in files is kept.
	Kept Kept
}

// lookAt finds the swings in a file, and from where they were filmed.
func lookAt(ctx context.Context, path string, o Options) (*Film, error) {
	x, err := video.ReadIndex(ctx, path)
	if err != nil {
		return nil, err
	}
	info := x.Info()
	if info.SlowedBy() != 1 {
		x = x.Filmed(info.FilmedFPS)
	}
	f := &Film{Path: path, Index: x}
	if f.SHA256, err = video.Fingerprint(path); err != nil {
		return nil, err
	}
	if o.Kept.fill(f, o) {
		return f, nil
	}
	if f.Strikes, err = take.Strikes(ctx, x); err != nil {
		return nil, err
	}
	r, err := propose.Reader(ctx, x)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	at := make([]float64, len(f.Strikes))
	for i, s := range f.Strikes {
		at[i] = s.Seconds
	}
	const finding = 0.9 // of the work
	f.Swings, err = take.Find(ctx, r, at, take.Options{
		Unheard: o.Practice || !info.HasAudio,
		Progress: func(part float64) {
			if o.Progress != nil {
				o.Progress(finding * part)
			}
		},
	})
	if err != nil {
		return nil, err
	}
	if err := f.see(ctx, r, o); err != nil {
		return nil, err
	}
	o.Kept.keep(f, o)
	return f, nil
}

// see tells the view from the addresses of the swings: it looks until one shows it
// clearly, and at all of them where pictures are wanted.
func (f *Film) see(ctx context.Context, r *video.Reader, o Options) error {
	var broad []float64
	f.Pictures = make([]*image.RGBA, len(f.Swings))
	const enough = 3
	for i := range f.Swings {
		if f.ViewSure && !o.Pictures || i >= enough && !o.Pictures {
			break
		}
		s, err := golfer.SeeIn(ctx, r, []int{Address(f.Index, &f.Swings[i])}, PictureSize)
		if err != nil {
			return err
		}
		f.Pictures[i] = s.Picture
		if !s.Found {
			continue
		}
		broad = append(broad, s.Broad)
		mean := golfer.Seen{Found: true}
		for _, b := range broad {
			mean.Broad += b / float64(len(broad))
		}
		f.View, f.ViewSure, _ = mean.View()
	}
	return nil
}

// Address returns the frame in which the golfer stands at the ball in a swing, as far as
// that is told.
func Address(x *video.Index, s *take.Swing) int {
	for _, p := range s.Positions {
		if p.Name == string(geometry.Address) {
			return p.Frame
		}
	}
	const usual = 1.3 // seconds before the strike
	return x.FrameAt(math.Max(s.Strike-usual, 0))
}

// moments are the strikes of a film for pairing: those of its swings, and all others
// that were heard.
func (f *Film) moments() (m []take.Moment, swing []int) {
	k := 0
	own := func(i int) {
		m, swing = append(m, take.Moment{Seconds: f.Swings[i].Strike, Own: true}), append(swing, i)
	}
	for _, s := range f.Strikes {
		for ; k < len(f.Swings) && f.Swings[k].Strike <= s.Seconds; k++ {
			own(k)
		}
		if n := len(m); n > 0 && m[n-1].Seconds == s.Seconds {
			continue // a swing's
		}
		m, swing = append(m, take.Moment{Seconds: s.Seconds}), append(swing, -1)
	}
	for ; k < len(f.Swings); k++ {
		own(k)
	}
	return m, swing
}
