package thumbnail

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	"image/draw"
	_ "image/jpeg" // for pictures that are files
	_ "image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	xdraw "golang.org/x/image/draw"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/golfer"
	"turngauge/video"
)

// source is what a picture is made of.
type source struct {
	path, version string
	frame         int // of a clip; -1 where that at address is not known
}

func (s *source) key() string { return fmt.Sprintf("%s\x00%s\x00%d", s.path, s.version, s.frame) }

// side is the longest side of a small picture, pixels: rows are up to 112 tall where
// the text is large on a fine screen.
const side = 224

// portrait is the shape of a picture cut about a golfer.
var portrait = image.Pt(168, side)

// aboveHead is what is cut off above of the part in which a golfer swings: at address
// nothing is there.
const aboveHead = 0.2

// patience is how long one clip may take, on a card or over a network.
const patience = 20 * time.Second

// mostBytes is how large a picture's file may be.
const mostBytes = 64 << 20

// mostPixels is how large a picture may be once it is decoded.
const mostPixels = 100e6

// errNoPicture says that there is nothing to be shown.
var errNoPicture = errors.New("there is no clip to show a picture of")

// read makes the picture, or takes the one that is kept.
func (s *source) read(folder string) (*image.RGBA, error) {
	switch strings.ToLower(filepath.Ext(s.path)) {
	case ".json":
		l, _, err := annotations.Load(s.path)
		if err != nil {
			return nil, err
		}
		shot, ok := Of(l, filepath.Dir(s.path))
		if !ok {
			return nil, errNoPicture
		}
		return shot.read(folder)
	case ".jpg", ".jpeg", ".png":
		return file(s.path)
	}
	shot := Shot{Clip: s.path, Frame: s.frame}
	return shot.read(folder)
}

// Shot is a frame of a clip, and the golfer in it.
type Shot struct {
	Clip  string
	Frame int       // -1: a third into the clip
	Box   bench.Box // about which it is cut; an empty one is not cut to
	Tall  bool      // it is cut to an upright picture
}

// Of is the picture that stands for a lesson whose document lies in a folder: the newest
// swing at address, face-on where that is known, else down-the-line. It reports false
// for a lesson without clips.
func Of(l *annotations.Lesson, folder string) (Shot, bool) {
	var best Shot
	found := false
	for i := len(l.Swings) - 1; i >= 0; i-- {
		sw := &l.Swings[i]
		b := bench.New(annotations.NewEditor(l), sw.ID)
		for at := range b.Stages {
			c := sw.ClipOf(b.Stages[at].View)
			if c == nil || c.File == "" {
				continue
			}
			shot := Shot{Clip: c.PathIn(folder), Frame: -1, Tall: true}
			if box, ok := b.Golfer(at); ok {
				box.Y0 += aboveHead * (box.Y1 - box.Y0)
				shot.Box = box
			}
			if f, ok := sw.FrameOf(c.ID, geometry.Address); ok {
				shot.Frame = f.Index
				return shot, true
			}
			if !found {
				best, found = shot, true
			}
		}
	}
	return best, found
}

// kept is the name of the file that a shot is kept as. It says nothing to who reads it.
func (t *Shot) kept() (string, error) {
	info, err := os.Stat(t.Clip)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\x00%d\x00%d\x00%+v", t.Clip, info.Size(), info.ModTime().UnixNano(), *t))
	return hex.EncodeToString(sum[:16]) + ".jpg", nil
}

func (t *Shot) read(folder string) (*image.RGBA, error) {
	name, err := t.kept()
	if err != nil {
		return nil, err
	}
	if im, err := load(folder, name); err == nil {
		return im, nil
	}
	im, err := t.Decode(portrait)
	if err == nil {
		keep(folder, name, im)
	}
	return im, err
}

// frameBudget is memory enough to read single frames.
const frameBudget = 48 << 20

// Decode reads the frame from the clip: cut to a size about the golfer where the shot has a
// box or is tall, else whole.
func (t *Shot) Decode(tall image.Point) (*image.RGBA, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	src, err := video.OpenContext(ctx, t.Clip)
	if err != nil {
		return nil, err
	}
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(frameBudget)})
	defer func() { _ = r.Close() }()
	n := t.Frame
	if n < 0 || n >= src.Frames() {
		n = src.Frames() / 3
	}
	f, err := r.Read(ctx, n)
	if err != nil {
		return nil, err
	}
	defer f.Release()
	size, part := small(f.Bounds().Size()), f.Bounds()
	if t.Tall || !t.Box.Empty() {
		size = tall
		part = golfer.Cut(t.Box, f.Bounds(), size)
	}
	im := image.NewRGBA(image.Rectangle{Max: size})
	return im, f.Render(im, part)
}

// small is the size of a small picture of a large one.
func small(size image.Point) image.Point {
	longest := max(size.X, size.Y, 1)
	return image.Pt(max(size.X*side/longest, 1), max(size.Y*side/longest, 1))
}

// file is the small picture of a picture.
func file(path string) (*image.RGBA, error) {
	whole, err := decoded(path)
	if err != nil {
		return nil, err
	}
	im := image.NewRGBA(image.Rectangle{Max: small(whole.Bounds().Size())})
	xdraw.ApproxBiLinear.Scale(im, im.Rect, whole, whole.Bounds(), draw.Src, nil)
	return im, nil
}

// Cut is the middle of a picture's file, scaled to a size.
func Cut(path string, size image.Point) (*image.RGBA, error) {
	whole, err := decoded(path)
	if err != nil {
		return nil, err
	}
	im := image.NewRGBA(image.Rectangle{Max: size})
	xdraw.CatmullRom.Scale(im, im.Rect, whole, golfer.Cut(bench.Box{}, whole.Bounds(), size), draw.Src, nil)
	return im, nil
}

// decoded reads a picture's file, upright.
func decoded(path string) (image.Image, error) {
	f, err := place.Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	if info, err := f.Stat(); err != nil || info.Size() > mostBytes {
		return nil, errors.Join(errNoPicture, err)
	}
	c, _, err := image.DecodeConfig(f)
	if err != nil {
		return nil, err
	}
	if float64(c.Width)*float64(c.Height) > mostPixels {
		return nil, errNoPicture
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	held := orientation(f)
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	whole, _, err := image.Decode(f)
	if err != nil {
		return nil, err
	}
	return upright(whole, held), nil
}
