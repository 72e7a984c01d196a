// Package spoken finds the film of a narrated review that lies beside a lesson, for what the
// student takes home.
package spoken

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"path/filepath"

	"turngauge/annotations/review"
	"turngauge/video"
)

// Still is a picture of a film.
type Still struct {
	JPEG          []byte
	Width, Height int    // pixels
	File          string // the film's name
	Title         string // of the review, "" for none
	Seconds       float64
}

// longer is how many pixels the longer side of a picture has: 288 to the inch, as the
// sheet's other pictures.
const longer = 560

// Of returns a picture of the newest film that was made of a lesson's reviews and lies in
// the lesson's folder, from the first third of it; nil where there is none that can be read.
// taken are the widths that no picture may have; its own is added.
func Of(ctx context.Context, all review.List, folder string, taken map[int]bool) *Still {
	for i := len(all) - 1; i >= 0; i-- {
		r := &all[i]
		if r.Film == "" || r.Film != filepath.Base(r.Film) {
			continue
		}
		if s := still(ctx, filepath.Join(folder, r.Film), taken); s != nil {
			s.File, s.Title = r.Film, r.Title
			return s
		}
	}
	return nil
}

func still(ctx context.Context, path string, taken map[int]bool) *Still {
	source, err := video.Open(path)
	if err != nil {
		return nil
	}
	reader := video.NewReader(source, video.ReaderOptions{CacheBytes: 32 << 20, Asked: true})
	defer func() { _ = reader.Close() }()
	frame, err := reader.Read(ctx, reader.Frames()/3)
	if err != nil {
		return nil
	}
	defer frame.Release()
	w, h := frame.Width, frame.Height
	k := min(longer/float64(max(w, h)), 1)
	width := max(int(k*float64(w)), 1)
	for taken[width] && width > 1 {
		width--
	}
	taken[width] = true
	img := image.NewRGBA(image.Rect(0, 0, width, max(width*h/w, 1)))
	var b bytes.Buffer
	if frame.Render(img, frame.Bounds()) != nil || jpeg.Encode(&b, img, &jpeg.Options{Quality: 84}) != nil {
		return nil
	}
	return &Still{
		JPEG: b.Bytes(), Width: img.Rect.Dx(), Height: img.Rect.Dy(),
		Seconds: source.Seconds(source.Frames() - 1),
	}
}

// Caption says what the film is and how it is called.
func (s *Still) Caption() string {
	n := int(s.Seconds + 0.5)
	text := fmt.Sprintf("The film that goes with this sheet: %s (%d:%02d)", s.File, n/60, n%60)
	if s.Title != "" {
		text = fmt.Sprintf("%s. The film that goes with this sheet: %s (%d:%02d)", s.Title, s.File, n/60, n%60)
	}
	return text
}
