package students

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"path/filepath"

	"gioui.org/op/paint"

	"turngauge/annotations/words"
	"turngauge/ui/choose"
	"turngauge/ui/golfer"
	"turngauge/ui/kit"
	"turngauge/ui/thumbnail"
)

// photo is the picture on the card: the one that is kept, or one that is to be.
type photo struct {
	path    string // of the one that is kept
	changed bool   // there is another, or none, from now on
	jpeg    []byte
	op      paint.ImageOp
	size    image.Point
	busy    bool
}

// photoSize is that of a photo, pixels: as much as a card shows on a fine screen.
var photoSize = image.Pt(336, 448)

const photoQuality = 88

// askPhoto asks for a picture, or a clip of which the golfer is taken.
func (r *Room) askPhoto() {
	r.host.Ask(kit.Files{Title: "A picture of " + r.was.Name + ", or a clip", Kinds: []choose.Kind{choose.Photos, choose.Clips}, Dir: choose.Pictures()}, func(paths []string) {
		if len(paths) == 0 || !r.Shown {
			return
		}
		path := paths[0]
		r.take("Looking at "+filepath.Base(path), func() (*image.RGBA, error) {
			if choose.Photos.Matches(path) {
				return thumbnail.Cut(path, photoSize)
			}
			seen, err := golfer.See(context.Background(), path, photoSize)
			return seen.Picture, err
		})
	})
}

// photoOfFrame takes the frame that is shown, cut about the golfer.
func (r *Room) photoOfFrame() {
	s := r.host.Session()
	if s == nil {
		return
	}
	st := &s.Bench.Stages[s.Bench.Active]
	f := s.Films[s.Bench.Active]
	if f == nil {
		return
	}
	shot := thumbnail.Shot{Clip: f.Info.Path, Frame: st.Frame}
	if box, ok := s.Bench.Golfer(s.Bench.Active); ok {
		// Head and shoulders: a face is to be known again.
		tall := box.Y1 - box.Y0
		box.Y0, box.Y1 = box.Y0+0.2*tall, box.Y0+0.62*tall
		shot.Box = box
	}
	r.take("Taking the picture", func() (*image.RGBA, error) { return shot.Decode(photoSize) })
}

// take makes a photo beside the window and puts it on the card.
func (r *Room) take(what string, make func() (*image.RGBA, error)) {
	r.photo.busy, r.problem = true, ""
	of := r.was.Student
	r.host.Go(what, func() {
		im, err := make()
		var b bytes.Buffer
		if err == nil {
			err = jpeg.Encode(&b, im, &jpeg.Options{Quality: photoQuality})
		}
		r.host.Post(func() {
			if !r.Shown || r.was.Student != of {
				return
			}
			r.photo.busy = false
			if err != nil {
				r.problem = "The picture can't be read: " + words.Sentence(err.Error()) + "."
				return
			}
			r.photo = photo{changed: true, jpeg: b.Bytes(), op: paint.NewImageOp(im), size: im.Rect.Size()}
		})
	}, func() { r.photo.busy = false })
}
