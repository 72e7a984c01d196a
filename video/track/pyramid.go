package track

import (
	"encoding/binary"
	"image"
)

// plane is one level of a pyramid: gray pixels without padding.
type plane struct {
	w, h int
	pix  []uint8
}

// pyramid is a Gaussian pyramid (Burt and Adelson 1983): a picture at full size and
// at each half of the size before. Pixel (i, j) of a level lies on pixel (2i, 2j) of
// the one below.
type pyramid struct {
	levels []plane
	gray   image.Gray // level 0, to be drawn into

	row  []uint8        // one row with its mirrored ends
	sums [ring][]uint64 // filtered rows, four pixels to a word
}

const (
	ring  = 5 // rows under the filter
	lanes = 4 // pixels to a word
)

// newPyramid returns a pyramid for pictures of the size, with at most levels
// levels; a level smaller than least pixels is left out.
func newPyramid(size image.Point, levels, least int) *pyramid {
	p := &pyramid{}
	w, h := size.X, size.Y
	for i := 0; i < levels && (i == 0 || min(w, h) > least); i++ {
		p.levels = append(p.levels, plane{w, h, make([]uint8, w*h)})
		w, h = (w+1)/2, (h+1)/2
	}
	p.gray = image.Gray{Pix: p.levels[0].pix, Stride: size.X, Rect: image.Rectangle{Max: size}}
	words := (p.levels[0].w/2 + lanes) / lanes
	p.row = make([]uint8, 2*lanes*words+2*lanes)
	for i := range p.sums {
		p.sums[i] = make([]uint64, words)
	}
	return p
}

// bytes returns how much memory a pyramid's pixels take.
func (p *pyramid) bytes() int64 {
	n := 0
	for _, l := range p.levels {
		n += len(l.pix)
	}
	return int64(n)
}

// build fills the upper levels from level 0.
func (p *pyramid) build() {
	for i := 1; i < len(p.levels); i++ {
		p.reduce(&p.levels[i], &p.levels[i-1])
	}
}

// reduce fills dst with src at half the size, smoothed by the binomial filter
// 1 4 6 4 1 over 16 in both directions, as Burt and Adelson's REDUCE; beyond its edges the picture is mirrored about
// the outermost pixels. The filter's sums fit 16 bits, so a word holds four.
func (p *pyramid) reduce(dst, src *plane) {
	done := -1 // the last row filtered
	at := func(y int) []uint64 {
		y = mirror(y, src.h)
		for done < y {
			done++
			p.filterRow(p.sums[done%ring], src.pix[done*src.w:(done+1)*src.w])
		}
		return p.sums[y%ring]
	}
	words := (dst.w + lanes - 1) / lanes
	for y := range dst.h {
		e := at(2*y + 2)[:words] // first, so that the five rows are there
		a, b, c, d := at(2*y - 2)[:words], at(2*y - 1)[:words], at(2 * y)[:words], at(2*y + 1)[:words]
		out := dst.pix[y*dst.w : (y+1)*dst.w]
		for i := range words {
			const half, low, pairs = 0x0080008000800080, 0x00ff00ff00ff00ff, 0x0000ffff0000ffff
			s := a[i] + e[i] + 4*(b[i]+d[i]) + 6*c[i] + half
			s = s >> 8 & low
			s = (s | s>>8) & pairs
			s |= s >> 16
			if len(out) >= lanes {
				binary.LittleEndian.PutUint32(out, uint32(s))
				out = out[lanes:]
				continue
			}
			for k := range out {
				out[k] = uint8(s >> (8 * k))
			}
		}
	}
}

// filterRow filters a row and keeps each second value.
func (p *pyramid) filterRow(dst []uint64, src []uint8) {
	w := len(src)
	row := p.row
	copy(row[2:], src)
	row[0], row[1] = src[mirror(-2, w)], src[mirror(-1, w)]
	row[w+2], row[w+3] = src[mirror(w, w)], src[mirror(w+1, w)]
	const low = 0x00ff00ff00ff00ff
	words := ((w+1)/2 + lanes - 1) / lanes
	dst = dst[:words]
	for i := range dst {
		in := row[2*lanes*i : 2*lanes*i+2*lanes+4]
		a := binary.LittleEndian.Uint64(in)
		b := binary.LittleEndian.Uint64(in[2:])
		c := binary.LittleEndian.Uint64(in[4:])
		dst[i] = a&low + c&low + 4*(a>>8&low+b>>8&low) + 6*(b&low)
	}
}

// mirror returns the pixel of [0, n) that stands for i outside it.
func mirror(i, n int) int {
	if n == 1 {
		return 0
	}
	for i < 0 || i >= n {
		if i < 0 {
			i = -i
		} else {
			i = 2*n - 2 - i
		}
	}
	return i
}
