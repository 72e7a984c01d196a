package pose

import (
	"cmp"
	_ "embed" // the networks
	"fmt"
	"image"
	"math"
	"slices"
	"sync"

	"turngauge/video/pose/tflite"
)

//go:embed models/pose_detection.tflite
var detectionModel []byte

//go:embed models/pose_landmark_full.tflite
var landmarkModel []byte

// networks are read once, when the first finder is made.
var networks = sync.OnceValues(func() ([2]*tflite.Network, error) {
	detection, err := tflite.Load(detectionModel, "Identity", "Identity_1")
	if err != nil {
		return [2]*tflite.Network{}, fmt.Errorf("pose: detection: %w", err)
	}
	landmarks, err := tflite.Load(landmarkModel, "Identity", "Identity_1", "Identity_3")
	if err != nil {
		return [2]*tflite.Network{}, fmt.Errorf("pose: landmarks: %w", err)
	}
	return [2]*tflite.Network{detection, landmarks}, nil
})

// Finder finds people in pictures. It has memory of its own to work in, about
// 20 MB, and belongs to one goroutine at a time.
type Finder struct {
	detection, landmarks *tflite.Run
	anchors              [][2]float64
}

// NewFinder returns a finder.
func NewFinder() (*Finder, error) {
	n, err := networks()
	if err != nil {
		return nil, err
	}
	return &Finder{n[0].NewRun(), n[1].NewRun(), anchors()}, nil
}

// mostWander is how much of the person's size the landmarks may wander between
// two looks, in the middle of them all. Landmarks that wander more have been
// found on something else: on 294 rendered golfers this told all ten figures
// that were wrong, and no right one.
const mostWander = 0.02

// Find finds the landmarks of the largest person in a picture. It looks twice,
// the second time where the first look says that he stands, and believes only
// what stays where it was. It reports false where there is nobody to be found
// for sure.
func (f *Finder) Find(im *image.RGBA) (Figure, bool) {
	w, h := float64(im.Rect.Dx()), float64(im.Rect.Dy())
	// A small person is found better in the middle of a wide picture alone.
	for _, side := range [...]float64{math.Max(w, h), math.Min(w, h), 0.6 * math.Max(w, h)} {
		regions := f.Regions(im, Region{X: w / 2, Y: h / 2, Side: side})
		if len(regions) == 0 {
			continue
		}
		largest := slices.MaxFunc(regions, func(a, b Region) int { return cmp.Compare(a.Side, b.Side) })
		if fig, ok := f.confirm(im, largest); ok {
			return fig, true
		}
	}
	return Figure{}, false
}

// mostAside is how far a person's hips may lie from a place that is on him, as a part
// of his size: hands and feet are no farther.
const mostAside = 0.55

// FindAt is Find of the person who stands at a place in the picture, pixels. Smaller and
// smaller parts of the picture about the place are looked at, because the network tells
// of the greatest there only.
func (f *Finder) FindAt(im *image.RGBA, x, y float64) (Figure, bool) {
	w, h := float64(im.Rect.Dx()), float64(im.Rect.Dy())
	aside := func(r Region) float64 { return math.Hypot(r.X-x, r.Y-y) / (r.Side / regionMargin) }
	var regions []Region
	for _, side := range [...]float64{math.Max(w, h), math.Min(w, h), 0.6 * math.Max(w, h), 0.4 * math.Max(w, h)} {
		for _, r := range f.Regions(im, Region{X: within(x, side, w), Y: within(y, side, h), Side: side}) {
			if aside(r) < mostAside {
				regions = append(regions, r)
			}
		}
	}
	slices.SortStableFunc(regions, func(a, b Region) int { return cmp.Compare(aside(a), aside(b)) })
	for _, r := range regions {
		if fig, ok := f.confirm(im, r); ok && aside(fig.Next) < mostAside {
			return fig, true
		}
	}
	return Figure{}, false
}

// FindFrom is Find of the person who stood in a region shortly before.
func (f *Finder) FindFrom(im *image.RGBA, r Region) (Figure, bool) { return f.confirm(im, r) }

// mostBeyond is by how much the part of the picture in which a person stands may be larger
// than the one in which he was looked for. Beyond that his legs or arms lay outside, and
// mostAnew is how often he is looked for anew, each time in a larger part.
const (
	mostBeyond = 1.1
	mostAnew   = 4
)

// confirm looks at a person three times: where he was found, where the first look says
// that he stands, and there in the mirror. It believes only what stays where it was, and
// takes the mean of picture and mirror. Where he reached beyond the part that was looked
// at, the first look is made anew.
func (f *Finder) confirm(im *image.RGBA, r Region) (Figure, bool) {
	first, ok := f.Look(im, r)
	for anew := 0; ok && first.Next.Side > mostBeyond*r.Side && anew < mostAnew; anew++ {
		r = first.Next
		first, ok = f.Look(im, r)
	}
	if !ok {
		return Figure{}, false
	}
	fig, ok := f.Look(im, first.Next)
	if !ok {
		return Figure{}, false
	}
	var wander []float64
	for i := range fig.Landmarks {
		l, m := &fig.Landmarks[i], &first.Landmarks[i]
		l.Wander = math.Hypot(l.X-m.X, l.Y-m.Y)
		wander = append(wander, l.Wander)
	}
	slices.Sort(wander)
	if wander[len(wander)/2] > mostWander*fig.Size() {
		return fig, false
	}
	if other, ok := f.look(im, first.Next, true); ok {
		for i := range fig.Landmarks {
			l, m := &fig.Landmarks[i], &other.Landmarks[i]
			l.Wander = math.Hypot(l.Wander, math.Hypot(l.X-m.X, l.Y-m.Y)/2)
			l.X, l.Y = (l.X+m.X)/2, (l.Y+m.Y)/2
		}
	}
	return fig, true
}

// within moves the middle of a part so that it reaches over no edge of the picture
// that it can be kept from.
func within(at, side, whole float64) float64 {
	if side >= whole {
		return whole / 2
	}
	return math.Max(side/2, math.Min(at, whole-side/2))
}

// Regions finds where people stand in a part of a picture, the surest first.
func (f *Finder) Regions(im *image.RGBA, whole Region) []Region {
	if im.Rect.Empty() || !(whole.Side >= 1) {
		return nil
	}
	sample(f.detection.Input(), detectionSide, im, whole, -1, 1, false)
	f.detection.Do()
	var out []Region
	for _, p := range people(f.anchors, f.detection.Output(0), f.detection.Output(1)) {
		x := func(v float64) float64 { return whole.X + (v-0.5)*whole.Side }
		y := func(v float64) float64 { return whole.Y + (v-0.5)*whole.Side }
		out = append(out, about(x(p.hipX), y(p.hipY), x(p.upX), y(p.upY)))
	}
	return out
}

// leastPerson is the score below which no person is in a region. Source: the
// graph.
const leastPerson = 0.5

const (
	landmarkSide  = 256
	heatSide      = 64
	numGiven      = 39 // the landmarks, two to find the next region by, four more
	numEach       = 5
	nextHip       = 33
	nextUp        = 34
	heatWindow    = 3   // cells on either side that a landmark is refined from
	leastHeatPart = 0.5 // the greatest of them must be at least this
)

// Look finds the landmarks of the person in a region. It reports false where
// there is none.
func (f *Finder) Look(im *image.RGBA, r Region) (Figure, bool) { return f.look(im, r, false) }

// look is Look, or that at the region's mirror image, turned back.
func (f *Finder) look(im *image.RGBA, r Region, mirror bool) (Figure, bool) {
	if !(r.Side >= 1) || math.IsInf(r.Side, 0) || math.IsNaN(r.X+r.Y+r.Angle) {
		return Figure{}, false
	}
	sample(f.landmarks.Input(), landmarkSide, im, r, 0, 1, true)
	if mirror {
		turnOver(f.landmarks.Input(), landmarkSide)
	}
	f.landmarks.Do()
	fig := Figure{Score: float64(f.landmarks.Output(1)[0]), Region: r}
	if fig.Score < leastPerson {
		return fig, false
	}
	given, heat := f.landmarks.Output(0), f.landmarks.Output(2)
	point := func(i int) (x, y float64) {
		v := given[i*numEach:]
		x, y = refine(heat, i, float64(v[0])/landmarkSide, float64(v[1])/landmarkSide)
		if mirror {
			x = 1 - x
		}
		return r.out(x, y)
	}
	for i := range fig.Landmarks {
		from := i
		if mirror {
			from = int(Name(i).Opposite())
		}
		v := given[from*numEach:][:numEach]
		l := &fig.Landmarks[i]
		l.X, l.Y = point(from)
		l.Depth = float64(v[2]) / landmarkSide * r.Side
		l.Seen, l.Present = logistic(v[3]), logistic(v[4])
	}
	hipX, hipY := point(nextHip)
	upX, upY := point(nextUp)
	fig.Next = about(hipX, hipY, upX, upY)
	return fig, true
}

// turnOver turns n × n pixels of three colours left for right.
func turnOver(pixels []float32, n int) {
	for y := range n {
		row := pixels[3*n*y:][:3*n]
		for x := range n / 2 {
			for k := range 3 {
				a, b := 3*x+k, 3*(n-1-x)+k
				row[a], row[b] = row[b], row[a]
			}
		}
	}
}

// out maps parts of the region, 0 to 1 from its top left corner, to pixels of the
// picture.
func (r Region) out(x, y float64) (float64, float64) {
	sin, cos := math.Sincos(r.Angle)
	u, v := (x-0.5)*r.Side, (y-0.5)*r.Side
	return r.X + u*cos - v*sin, r.Y + u*sin + v*cos
}

// refine moves a landmark to the mean of its heat map about where it is.
func refine(heat []float32, i int, x, y float64) (float64, float64) {
	col, row := int(math.Floor(x*heatSide)), int(math.Floor(y*heatSide))
	if col < 0 || row < 0 || col >= heatSide || row >= heatSide {
		return x, y
	}
	var sum, sx, sy, most float64
	for r := max(row-heatWindow, 0); r <= min(row+heatWindow, heatSide-1); r++ {
		for c := max(col-heatWindow, 0); c <= min(col+heatWindow, heatSide-1); c++ {
			p := logistic(heat[(r*heatSide+c)*numGiven+i])
			sum += p
			sx += p * float64(c)
			sy += p * float64(r)
			most = math.Max(most, p)
		}
	}
	if most < leastHeatPart || sum <= 0 {
		return x, y
	}
	return sx / sum / heatSide, sy / sum / heatSide
}
