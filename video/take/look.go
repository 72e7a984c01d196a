package take

import (
	"context"
	"image"
	"maps"
	"math"
	"slices"
	"sort"

	"turngauge/video/background"
)

const (
	// stepS is how far the pictures lie apart that are compared, seconds.
	stepS = 1 / 60.
	// block is the side of the squares in which a picture is searched for motion.
	block = 12
	// dead are the levels by which pixels differ without motion.
	dead = 8
	// beforeS and afterS are what is looked at about a strike, seconds; nearS what is
	// looked at first.
	beforeS, afterS, nearS = 3.0, 0.4, 0.6
)

// look is a take with the small pictures of its latest part, so that none has to be
// decoded for two purposes. It makes a motion.Clip.
type look struct {
	Clip
	step     int // frames from one picture that is compared to the next
	pictures map[int]*image.Gray
}

func newLook(c Clip) *look {
	l := &look{Clip: c, pictures: make(map[int]*image.Gray)}
	last := c.Frames() - 1
	frameS := c.Seconds(last) / math.Max(float64(last), 1)
	l.step = max(int(math.Round(stepS/math.Max(frameS, 1e-6))), 1)
	return l
}

// Gray returns a small picture, decoding it if need be.
func (l *look) Gray(ctx context.Context, n int, dst *image.Gray) error {
	p, err := l.picture(ctx, n)
	if err != nil {
		return err
	}
	copy(dst.Pix, p.Pix)
	return nil
}

func (l *look) picture(ctx context.Context, n int) (*image.Gray, error) {
	if p := l.pictures[n]; p != nil {
		return p, nil
	}
	p := image.NewGray(image.Rectangle{Max: Size})
	if err := l.Clip.Gray(ctx, n, p); err != nil {
		return nil, err
	}
	l.pictures[n] = p
	return p, nil
}

// standing is what the camera saw about a strike where nothing moved, by the pictures that
// are there already.
func (l *look) standing(strike float64) *image.Gray {
	const most = 21 // pictures
	numbers := slices.Sorted(maps.Keys(l.pictures))
	first := l.at(strike - beforeS)
	numbers = slices.DeleteFunc(numbers, func(n int) bool { return n < first })
	var list []*image.Gray
	for i := range min(most, len(numbers)) {
		list = append(list, l.pictures[numbers[i*len(numbers)/min(most, len(numbers))]])
	}
	return background.Standing(list)
}

// forget drops the pictures that are of no use for strikes from a time on.
func (l *look) forget(strike float64) {
	first := l.at(strike - beforeS)
	maps.DeleteFunc(l.pictures, func(n int, _ *image.Gray) bool { return n < first })
}

// at returns the frame on show at a time, within the clip.
func (l *look) at(seconds float64) int {
	n := sort.Search(l.Frames(), func(n int) bool { return l.Seconds(n) > seconds })
	return max(n-1, 0)
}

// heard reports whether the golfer swings at a strike that is heard, and how lively he
// is then. The picture is decoded from a moment before the strike; the seconds before
// that only if it may be a swing.
func (l *look) heard(ctx context.Context, strike float64) (speed float64, ok bool, err error) {
	l.forget(strike)
	s, err := l.read(ctx, strike-nearS, strike+afterS)
	if err != nil {
		return 0, false, err
	}
	if _, ok := s.turn(strike); !ok {
		return 0, false, nil
	}
	if s, err = l.read(ctx, strike-beforeS, strike+afterS); err != nil {
		return 0, false, err
	}
	speed, ok = s.swing(strike)
	return speed, ok, nil
}

// read looks through a part of the take, all of its frames in order.
func (l *look) read(ctx context.Context, from, to float64) (*series, error) {
	first, last := l.at(from), l.at(to)
	s := &series{}
	for n := first; n <= last; n++ {
		p, err := l.picture(ctx, n)
		if err != nil {
			return nil, err
		}
		if (n-first)%l.step == 0 {
			s.add(l.Seconds(n), p)
		}
	}
	return s, nil
}

// whole looks through the whole take once.
func (l *look) whole(ctx context.Context, progress func(float64)) (*series, error) {
	s := &series{}
	last := l.Frames() - 1
	p := image.NewGray(image.Rectangle{Max: Size})
	for n := 0; n <= last; n += l.step {
		if err := l.Clip.Gray(ctx, n, p); err != nil {
			return nil, err
		}
		s.add(l.Seconds(n), p)
		progress(float64(n) / float64(last+1))
	}
	return s, nil
}

// series is how much each square of the picture changes over time.
type series struct {
	seconds []float64 // in the middle between the two pictures
	changes [][]uint16
	before  []uint8 // the last picture
	at      float64
}

// across and down are how many squares a picture has.
var across, down = (Size.X + block - 1) / block, (Size.Y + block - 1) / block

// add compares a picture with the one before.
func (s *series) add(seconds float64, p *image.Gray) {
	if s.before != nil {
		sums := make([]int, across*down)
		for y := range Size.Y {
			row, past := p.Pix[y*p.Stride:], s.before[y*Size.X:]
			squares := sums[y/block*across:]
			for x := range Size.X {
				if d := max(int(row[x])-int(past[x]), int(past[x])-int(row[x])); d > dead {
					squares[x/block] += d - dead
				}
			}
		}
		change := make([]uint16, len(sums))
		for i, v := range sums {
			change[i] = uint16(min(v, math.MaxUint16))
		}
		s.changes = append(s.changes, change)
		s.seconds = append(s.seconds, (s.at+seconds)/2)
	}
	s.at = seconds
	s.before = slices.Clone(p.Pix[:Size.X*Size.Y])
}
