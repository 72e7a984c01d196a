package demo

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/video"
	"turngauge/video/sound"
)

// TestVisit makes a visit in small pictures, and looks at what its files say of each
// other.
func TestVisit(t *testing.T) {
	dir := t.TempDir()
	o := Options{Visit: true, Swings: 2, Shrink: 10}
	path := create(t, dir, o)
	assert.Equal(t, filepath.Join(dir, VisitMarkedFile), path)
	truth, err := LoadVisitTruth(filepath.Join(dir, VisitTruthFile))
	require.NoError(t, err)
	require.Len(t, truth.Swings, 2)
	assert.Len(t, truth.PracticeSeconds, 1)
	assert.Len(t, truth.NeighbourSeconds, 1)

	for k, c := range truth.Swings[0].Clips {
		src, err := video.Open(filepath.Join(dir, c.File))
		require.NoError(t, err)
		defer src.Close()
		a, err := video.ReadAudio(t.Context(), filepath.Join(dir, c.File))
		require.NoError(t, err)
		var own, others []float64
		for _, s := range truth.Swings {
			own = append(own, s.Clips[k].StrikeSeconds)
			part := s.Clips[k].Part
			assert.InDelta(t, s.Clips[k].StrikeSeconds-golfer.ImpactTime-partBefore, src.Seconds(part[0]), 0.02)
			assert.InDelta(t, s.Clips[k].StrikeSeconds-golfer.ImpactTime+golfer.FinishTime+partAfter, src.Seconds(part[1]), 0.02)
			for _, p := range s.Positions {
				f := p.Frame(c.ID)
				require.NotNil(t, f)
				assert.Equal(t, src.PTS(f.Index), f.PTS)
				assert.InDelta(t, p.Seconds, f.SwingSeconds, 0.5/takeRate+1e-6, "the picture nearest to %s", p.Name)
				assert.True(t, f.Index >= part[0] && f.Index <= part[1])
			}
		}
		for _, at := range truth.NeighbourSeconds {
			others = append(others, at-truth.Swings[0].Clips[k].StartSeconds)
		}
		heard := map[bool]int{}
		for _, s := range sound.All(a.Samples, a.Rate) {
			near := func(list []float64) bool {
				for _, at := range list {
					if math.Abs(at-s.Seconds-a.Start) < 0.003 {
						return true
					}
				}
				return false
			}
			switch {
			case near(own):
				heard[true]++
			case near(others):
				heard[false]++
			default:
				t.Errorf("a strike is heard at %g s of the %s take, where there is none", s.Seconds, c.View)
			}
		}
		assert.Equal(t, map[bool]int{true: 2, false: 1}, heard)
	}

	l, warnings, err := annotations.Load(path)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	require.Len(t, l.Swings, 2)
	for i := range l.Swings {
		assert.Len(t, l.Swings[i].Positions, len(geometry.KeyPositions))
		assert.Equal(t, l.Swings[0].Clips[0].GroundLines, l.Swings[i].Clips[0].GroundLines, "one stick")
	}
	before, err := CreateWith(t.Context(), dir, o, func(done, total int) { t.Error("it is not made twice") })
	require.NoError(t, err)
	assert.Equal(t, path, before)
}

// TestVisitSpreads: the five swings are about as the student's are, and what is said of
// those is what their parameters were drawn with.
func TestVisitSpreads(t *testing.T) {
	student := map[string]StudentMeasure{}
	for _, m := range studentMeasures() {
		student[m.Name+" "+string(m.Position)] = m
	}
	pelvis := student["pelvis turn top"]
	assert.InDelta(t, spreadPelvis, pelvis.Spread, 0.25) // its standard error is 0.09
	assert.InDelta(t, 38, pelvis.Mean, 1)
	assert.InDelta(t, spreadTorso, student["torso turn top"].Spread, 0.3)
	assert.InDelta(t, math.Hypot(spreadPelvis, spreadTorso), student["separation top"].Spread, 0.4)
	assert.Zero(t, math.Round(1000*student["lead foot flare address"].Spread), "nobody moves his feet")

	var turns []float64
	for _, s := range newTake(visitSeed, visitSwings).truths() {
		turns = append(turns, s.Position(geometry.Top).Measures["pelvis turn"])
	}
	mean, sd := stat.MeanStdDev(turns, nil)
	assert.InDelta(t, pelvis.Mean, mean, pelvis.Spread/2)
	assert.InDelta(t, pelvis.Spread, sd, 0.3*pelvis.Spread)
}

// TestPauseJoinsTheSwings: where a swing ends and where the next one begins, the golfer
// does not jump, and no limb is torn.
func TestPauseJoinsTheSwings(t *testing.T) {
	k := newTake(visitSeed, visitSwings)
	for i, s := range k.scenes[1:] {
		before, after := k.at(s.begins-1e-6), k.at(s.begins)
		for p := range before.Points {
			if geometry.Point(p) == geometry.Ball {
				continue
			}
			d := math.Hypot(math.Hypot(after.Points[p].X-before.Points[p].X, after.Points[p].Y-before.Points[p].Y), after.Points[p].Z-before.Points[p].Z)
			assert.Less(t, d, 1e-3, "%s where scene %d begins", geometry.Point(p), i+1)
		}
	}
	for now := 0.0; now < k.ends; now += 0.01 {
		pose := k.at(now)
		require.LessOrEqual(t, pose.Reach, 1.03, "at %g s", now) // of a limb of 0.6 m, 18 mm, as he walks the club back
	}
}
