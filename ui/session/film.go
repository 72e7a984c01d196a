package session

import (
	"context"
	"image"
	"time"

	"turngauge/ui/bench"
	"turngauge/video"
)

// Film is an opened clip.
type Film struct {
	Reader *video.Reader
	Info   video.Info
	// Err says why the frame last looked for can't be shown, or is "".
	Err string

	source *video.Source
	closed chan struct{}
	wanted int
}

// Frames, PTS, Seconds and FrameAt make a film a bench.Film.
func (f *Film) Frames() int           { return f.source.Frames() }
func (f *Film) PTS(n int) int64       { return f.source.PTS(n) }
func (f *Film) Seconds(n int) float64 { return f.source.Seconds(n) }
func (f *Film) FrameAt(s float64) int { return f.source.FrameAt(s) }

// newFilm makes the film of an opened clip, and watches its file.
func (e *Env) newFilm(src *video.Source) *Film {
	f := &Film{source: src, Info: src.Info(), wanted: -1, closed: make(chan struct{})}
	f.Reader = video.NewReader(src, video.ReaderOptions{Budget: e.Budget, OnReady: e.Wake})
	e.Go("Watching "+f.Info.Path, func() { e.watch(f) }, nil)
	return f
}

// Closed is closed with the film.
func (f *Film) Closed() <-chan struct{} { return f.closed }

// close ends everything of the film; it is called once.
func (f *Film) close() {
	close(f.closed)
	f.Reader.Close()
}

// Want asks for a frame; the newest request wins.
func (f *Film) Want(n int) {
	if n == f.wanted {
		return
	}
	direction := 1
	if n < f.wanted {
		direction = -1
	}
	f.wanted = n
	f.Reader.Request(n, direction)
}

// Frame returns the frame to show for n: itself, or the nearest one that is
// decoded already, or nil. The caller releases it.
func (f *Film) Frame(n int) *video.Frame {
	fr, err := f.Reader.Frame(n)
	f.Err = ""
	if err != nil {
		f.Err = err.Error()
	}
	if fr == nil {
		fr = f.Reader.Nearest(n)
	}
	return fr
}

// Thumbnail renders a small picture of frame n, cut to the part of the picture
// given, in the clip's pixels. It waits for the decoder, so it is for workers
// only.
func (f *Film) Thumbnail(ctx context.Context, n int, part image.Rectangle, size image.Point) (*image.RGBA, error) {
	fr, err := f.Reader.Read(ctx, n)
	if err != nil {
		return nil, err
	}
	defer fr.Release()
	dst := image.NewRGBA(image.Rectangle{Max: size})
	return dst, fr.Render(dst, part)
}

// watchEvery is how often an open clip's file is looked at.
const watchEvery = 2 * time.Second

// watch tells, once each, when a clip's file has gone or is another one now,
// when parts of it can't be decoded, and when what decodes it had to be started again,
// until the film is closed. Only then is the window woken.
func (e *Env) watch(f *Film) {
	ticker := time.NewTicker(watchEvery)
	defer ticker.Stop()
	gone, trouble, restarts := "", "", 0
	for {
		select {
		case <-f.closed:
			return
		case <-ticker.C:
		}
		now := ""
		if err := f.source.Check(); err != nil {
			now = err.Error()
		}
		if now != "" && now != gone {
			e.Post(func() { e.Alert(now) })
		}
		gone = now
		stats := f.Reader.Stats()
		if stats.Restarts > restarts {
			restarts = stats.Restarts
			text := stats.Restarted()
			e.Post(func() { e.warn(bench.Note(text)) })
		}
		stats.Restarts = 0 // told above
		if t := stats.Trouble(); t != "" && trouble == "" {
			trouble = t
			e.Post(func() { e.warn(bench.Note(t)) })
		}
	}
}
