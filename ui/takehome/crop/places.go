package crop

import (
	"image"
	"math"
	"slices"
)

// Gap is the room between two panels, pixels.
const Gap = 4

// LeastShape and MostShape bound the shapes of a view that are tried, as width over height.
const LeastShape, MostShape = 0.4, 2.4

// Gathered gives places one shape, as large as the smallest of them allows, and moves them
// together about the middle of the room; they stand in rows as before.
func Gathered(places []image.Rectangle, room image.Rectangle, shape float64) []image.Rectangle {
	w, h := math.Inf(1), math.Inf(1)
	for _, p := range places {
		w, h = math.Min(w, float64(p.Dx())), math.Min(h, float64(p.Dy()))
	}
	w = math.Min(w, h*shape)
	size := image.Pt(int(w)&^1, int(w/shape)&^1)
	columns := 0
	for _, p := range places {
		if p.Min.Y == places[0].Min.Y {
			columns++
		}
	}
	rows := len(places) / columns
	whole := image.Pt(columns*(size.X+Gap)-Gap, rows*(size.Y+Gap)-Gap)
	at := room.Min.Add(image.Pt((room.Dx()-whole.X)/4*2, (room.Dy()-whole.Y)/4*2))
	var out []image.Rectangle
	for i := range places {
		p := at.Add(image.Pt(i%columns*(size.X+Gap), i/columns*(size.Y+Gap)))
		out = append(out, image.Rectangle{Min: p, Max: p.Add(size)})
	}
	return out
}

// Row places the sides of all views in one row; weights share the width
// among the views.
func Row(room image.Rectangle, weights []float64, sides int) []image.Rectangle {
	var all []float64
	for _, w := range weights {
		all = append(all, slices.Repeat([]float64{w}, sides)...)
	}
	var out []image.Rectangle
	for _, x := range shares(room.Dx(), all) {
		out = append(out, image.Rect(x[0], 0, x[1], room.Dy()&^1).Add(room.Min))
	}
	return out
}

// Rows places each view in a row of its own; weights share the height.
func Rows(room image.Rectangle, weights []float64, sides int) []image.Rectangle {
	var out []image.Rectangle
	for _, y := range shares(room.Dy(), weights) {
		for _, x := range shares(room.Dx(), slices.Repeat([]float64{1}, sides)) {
			out = append(out, image.Rect(x[0], y[0], x[1], y[1]).Add(room.Min))
		}
	}
	return out
}

// shares parts a length by weights, at even numbers, with gaps between.
func shares(length int, weights []float64) [][2]int {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	room := float64(length - Gap*(len(weights)-1))
	var out [][2]int
	from := 0
	for _, w := range weights {
		to := from + int(w/total*room+1e-6)&^1
		out = append(out, [2]int{from, to})
		from = to + Gap
	}
	return out
}

// Shape is that of a rectangle as width over height.
func Shape(r image.Rectangle) float64 { return float64(r.Dx()) / float64(r.Dy()) }

// Enlargement is by how much a part of a picture is enlarged to fit a place.
func Enlargement(part, place image.Rectangle) float64 {
	return math.Min(float64(place.Dx())/float64(part.Dx()), float64(place.Dy())/float64(part.Dy()))
}

// Even shrinks a rectangle to even numbers, where samples of colour begin.
func Even(r image.Rectangle) image.Rectangle {
	at := image.Pt((r.Min.X+1)&^1, (r.Min.Y+1)&^1)
	e := image.Rectangle{Min: at, Max: at.Add(image.Pt((r.Max.X-at.X)&^1, (r.Max.Y-at.Y)&^1))}
	if e.Empty() {
		return r
	}
	return e
}
