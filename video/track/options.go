package track

import (
	"image"
	"math"
)

// Options of Follow. The zero value of each field stands for its default.
type Options struct {
	// Window is the side of the window looked at, pixels, odd. The default is
	// 21 for pictures 1080 pixels high and grows with them.
	Window int
	// Levels is the number of pyramid levels, with the full picture; 4.
	Levels int
	// Before and After are how many frames a point is followed beyond its
	// first and last mark.
	Before, After int
	// RoundTrip is the forward-backward error beyond which a point counts as
	// lost, pixels; 1.
	RoundTrip float64
	// Correlation is the least with which the template counts as found; 0.8.
	Correlation float64
	// Renew is the correlation below which the template is taken anew, 0.93, and
	// Strain how far an entry of its affine warp may be from the identity, 0.35.
	Renew, Strain float64
	// Slack is how far the template may be found from where the flow led, pixels;
	// 2 at 1080 pixels.
	Slack float64
	// Apart is how far both ways may lie apart before neither is believed,
	// pixels; 14 at 1080 pixels.
	Apart float64
	// Creep is how much a point followed from one mark only may have crept
	// before it counts as lost, pixels as a standard deviation; 0.15.
	Creep float64
	// Doubt is the standard deviation at which confidence has fallen to a
	// half, pixels; 3 at 1080 pixels.
	Doubt float64
	// MemoryBytes bounds the pictures kept for going back; 256 MiB. Pictures
	// beyond it are drawn twice.
	MemoryBytes int64
	// Progress, which may be nil, is called from Follow's goroutine with the
	// steps done and the steps in all.
	Progress func(done, total int)
}

func (o Options) withDefaults(size image.Point) Options {
	scale := float64(min(size.X, size.Y)) / 1080
	pixels := func(v *float64, at1080 float64) {
		if !(*v > 0) {
			*v = at1080 * math.Max(scale, 0.5)
		}
	}
	number := func(v *float64, d float64) {
		if !(*v > 0) {
			*v = d
		}
	}
	if o.Window <= 0 {
		o.Window = max(2*int(math.Round(10.5*scale-0.5))+1, leastWindow)
	}
	o.Window = min(max(o.Window|1, leastWindow), mostWindow)
	if o.Levels <= 0 {
		o.Levels = 4
	}
	pixels(&o.Slack, 2)
	pixels(&o.Apart, 14)
	pixels(&o.Doubt, 3)
	number(&o.RoundTrip, 1)
	number(&o.Creep, 0.15)
	number(&o.Correlation, 0.8)
	number(&o.Renew, 0.93)
	number(&o.Strain, 0.35)
	if o.MemoryBytes <= 0 {
		o.MemoryBytes = 256 << 20
	}
	o.Before, o.After = max(o.Before, 0), max(o.After, 0)
	return o
}

const leastWindow, mostWindow = 11, 63
