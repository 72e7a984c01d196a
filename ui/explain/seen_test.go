package explain

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// solved fits the marked lesson and returns what it sees and measures.
func solved(t *testing.T, l *annotations.Lesson) ([][]Seen, *fit.Solution) {
	t.Helper()
	p, _ := annotations.Problem(l, 0)
	s, err := fit.NewSolver().Solve(context.Background(), p)
	require.NoError(t, err)
	return See(s, &p), s
}

// TestTheLinesShowWhatIsMeasured compares the lines with the measures, which the
// geometry package works out from points in space and tests against outside
// sources: how far the hip lies behind the ankle-knee line, and the clubhead above the
// plane.
func TestTheLinesShowWhatIsMeasured(t *testing.T) {
	l := lesson(t)
	seen, solution := solved(t, l)
	measures, _ := solution.Measures()
	s := &l.Swings[0]
	clip := s.ClipOf(geometry.DownTheLine)
	// The marks scatter about the fit by 2.5 px, about a centimetre here; the
	// offset is a difference of three.
	const tolCm = 3.0
	address := solution.Points[s.PositionIndex(geometry.Address)]
	shaft := r3.Sub(address[geometry.Grip].At, address[geometry.Clubhead].At)
	compared := map[string]int{}
	for _, m := range measures {
		see := seen[s.ClipIndex(clip.ID)][s.PositionIndex(m.Position)]
		ref, ok := s.FrameOf(clip.ID, m.Position)
		if !ok {
			continue
		}
		// What is known of the picture's scale there: the back of the knee is
		// 0.034 of stature from its middle, and the plane is drawn over 2.1
		// lengths of the shaft.
		line, ink, cmPerPx := AnkleKneeLine, LeadInk, 0.0
		knee := func(side int) float64 {
			return 100 * geometry.KneeDepthFraction / 2 * l.Student.StatureM / math.Hypot(see.Back[side].X, see.Back[side].Y)
		}
		switch m.Name {
		case "lead hip offset from the ankle-knee line":
			cmPerPx = knee(0)
		case "trail hip offset from the ankle-knee line":
			ink, cmPerPx = TrailInk, knee(1)
		case "club above plane":
			// Above is on the ball's side of the rising plane, which is the
			// other way round.
			line, ink, cmPerPx = ShaftPlane, MiddleInk, -210*math.Hypot(shaft.Y, shaft.Z)/dist(see.Plane[0], see.Plane[1])
		default:
			continue
		}
		g := NewFrame(l, s.ID, clip.ID, ref.Index, see, nil).Figure(only(line))
		for _, st := range g.Strokes {
			if !st.Thin || st.Ink != ink {
				continue
			}
			cm := dist(st.From, st.To) * cmPerPx
			if st.To.X > st.From.X { // behind a right-hander is to the left
				cm = -cm
			}
			assert.InDelta(t, m.Value, cm, tolCm, "%s at %s", m.Name, m.Position)
			compared[m.Name]++
		}
	}
	for _, name := range []string{"lead hip offset from the ankle-knee line", "trail hip offset from the ankle-knee line", "club above plane"} {
		assert.GreaterOrEqual(t, compared[name], 3, name)
	}
}

func TestTheFitSeesThePointsWhereTheyAreMarked(t *testing.T) {
	l := lesson(t)
	seen, _ := solved(t, l)
	s := &l.Swings[0]
	n := 0
	for _, m := range s.Marks {
		spot := seen[s.ClipIndex(m.Clip)][s.PositionIndex(m.Position)].Spots[m.Point]
		if m.State != geometry.Placed || !spot.Known {
			continue
		}
		n++
		assert.Less(t, dist(m.At, spot.At), 25.0, "%s at %s in %s", m.Point, m.Position, m.Clip)
		assert.True(t, spot.Fitted)
	}
	assert.Greater(t, n, 50)
}

// A left-hander is a right-hander in the mirror: every line must come out as in
// the mirror, too.
func TestALeftHanderIsSeenInTheMirror(t *testing.T) {
	right := lesson(t)
	left := right.Clone()
	left.Student.Handed = geometry.LeftHanded
	seenInTheMirror(t, right, left)
}

// So must they in clips that are mirror images, as a selfie camera films.
func TestAMirroredClipIsSeenInTheMirror(t *testing.T) {
	right := lesson(t)
	selfie := right.Clone()
	for i := range selfie.Swings[0].Clips {
		selfie.Swings[0].Clips[i].Mirrored = true
	}
	seenInTheMirror(t, right, selfie)
}

// seenInTheMirror flips the marks of left, a copy of right, and compares what is
// drawn of the two.
func seenInTheMirror(t *testing.T, right, left *annotations.Lesson) {
	t.Helper()
	s := &left.Swings[0]
	flip := func(clip string, p *geometry.ImagePt) { p.X = float64(s.Clip(clip).Width) - p.X }
	for i := range s.Marks {
		if s.Marks[i].State != geometry.Hidden {
			flip(s.Marks[i].Clip, &s.Marks[i].At)
		}
	}
	for i := range s.Clips {
		for k := range s.Clips[i].GroundLines {
			for e := range s.Clips[i].GroundLines[k].Ends {
				flip(s.Clips[i].ID, &s.Clips[i].GroundLines[k].Ends[e])
			}
		}
	}
	seenR, _ := solved(t, right)
	seenL, _ := solved(t, left)
	strokes := 0
	for c := range s.Clips {
		for p := range s.Positions {
			ref, ok := s.Positions[p].Frame(s.Clips[c].ID)
			if !ok {
				continue
			}
			on := Set{true, true, true, true, true, true}
			a := NewFrame(right, s.ID, ref.Clip, ref.Index, seenR[c][p], nil).Figure(on)
			b := NewFrame(left, s.ID, ref.Clip, ref.Index, seenL[c][p], nil).Figure(on)
			require.Len(t, b.Strokes, len(a.Strokes))
			for i := range a.Strokes {
				strokes++
				w := float64(s.Clips[c].Width)
				// The two fits take their own steps; they end within a pixel.
				for _, e := range [][2]geometry.ImagePt{{a.Strokes[i].From, b.Strokes[i].From}, {a.Strokes[i].To, b.Strokes[i].To}} {
					assert.InDelta(t, w-e[0].X, e[1].X, 1)
					assert.InDelta(t, e[0].Y, e[1].Y, 1)
				}
				assert.Equal(t, a.Strokes[i].Dashed, b.Strokes[i].Dashed)
			}
		}
	}
	assert.Greater(t, strokes, 20)
}
