package thumbnail

import (
	"bytes"
	"cmp"
	"errors"
	"image"
	"image/draw"
	"image/jpeg"
	"os"
	"path/filepath"
	"slices"

	"turngauge/annotations/place"
)

const (
	quality = 85
	// mostKept files of some 10 kB each are 20 MB.
	mostKept = 2000
	// mostKeptBytes is how large one may be; a larger one is none of ours.
	mostKeptBytes = 1 << 20
)

var errNoFolder = errors.New("small pictures are not kept")

// load reads a picture that was kept.
func load(folder, name string) (*image.RGBA, error) {
	if folder == "" {
		return nil, errNoFolder
	}
	data, err := place.Read(filepath.Join(folder, name), mostKeptBytes)
	if err != nil {
		return nil, err
	}
	c, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil || c.Width > side || c.Height > side {
		return nil, errors.Join(errNoPicture, err)
	}
	whole, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	im := image.NewRGBA(whole.Bounds())
	draw.Draw(im, im.Rect, whole, whole.Bounds().Min, draw.Src)
	return im, nil
}

// keep writes a picture for the next time. That it can't be written costs time alone.
func keep(folder, name string, im *image.RGBA) {
	if folder == "" {
		return
	}
	var b bytes.Buffer
	if jpeg.Encode(&b, im, &jpeg.Options{Quality: quality}) != nil || place.Folder(folder) != nil {
		return
	}
	if place.Bytes(filepath.Join(folder, name), b.Bytes()) == nil {
		sweep(folder)
	}
}

// sweep removes the oldest pictures once there are too many.
func sweep(folder string) {
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) <= mostKept {
		return
	}
	age := make(map[string]int64, len(entries))
	for _, e := range entries {
		if info, err := e.Info(); err == nil {
			age[e.Name()] = info.ModTime().UnixNano()
		}
	}
	slices.SortFunc(entries, func(a, b os.DirEntry) int { return cmp.Compare(age[a.Name()], age[b.Name()]) })
	for _, e := range entries[:len(entries)-mostKept*9/10] {
		_ = os.Remove(filepath.Join(folder, e.Name()))
	}
}
