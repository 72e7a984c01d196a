package motion

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

// A golfer in motion, filmed by virtual phones, marked at the key positions and
// followed between them. What the motion is and where the phones stand comes
// from outside the fit; so does the truth of every measure.

type points = [geometry.NumPoints]geometry.WorldPt

// motion is a golfer over time, seconds with impact at 0.
type motion struct {
	at     func(t float64) points
	has    func(pt geometry.Point) bool
	events map[geometry.PositionName]float64
	// jitters says that places have errors of their own from frame to frame, so that speeds
	// are told over some hundredths of a second only, as usual with captured motion.
	jitters bool
}

// madeMotion is the kinematic golfer of package golfer with a body, a size and
// a swing of his own: none of it is drawn from the fit's priors.
func madeMotion(r *rand.Rand) motion {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	p := golfer.MaraFirstVisit()
	p.PelvisTurnTopDegrees = between(30, 52)
	p.TorsoTurnTopDegrees = p.PelvisTurnTopDegrees + between(32, 50)
	p.LeadFlareDegrees, p.TrailFlareDegrees = between(0, 30), between(0, 20)
	m := golfer.New(p)
	size, slow := between(0.92, 1.12), between(0.9, 1.25)
	var build [geometry.NumPoints][3]float64
	for pt := range build {
		for i := range build[pt] {
			build[pt][i] = between(0.88, 1.15)
		}
	}
	for _, pt := range []geometry.Point{geometry.LeadHip, geometry.LeadShoulder} {
		build[pt+1] = build[pt] // both sides alike
	}
	events := map[geometry.PositionName]float64{}
	for n, t := range m.Events() {
		events[n] = slow * (t - golfer.ImpactTime)
	}
	return motion{
		events: events,
		has:    func(geometry.Point) bool { return true },
		at: func(t float64) points {
			pose := m.At(t/slow + golfer.ImpactTime)
			out := points(pose.Points)
			for _, pt := range Points[:8] {
				f := pose.Pelvis
				if pt == geometry.LeadShoulder || pt == geometry.TrailShoulder || pt == geometry.Breastbone || pt == geometry.UpperBack {
					f = pose.Chest
				}
				x, y, z := f.In(out[pt])
				out[pt] = f.At(x*build[pt][0], y*build[pt][1], z*build[pt][2])
			}
			for i := range out {
				out[i] = r3.Scale(size, out[i])
			}
			return out
		},
	}
}

// capturedMotion is the golf swing of the CMU motion capture database
// (mocap.cs.cmu.edu), resampled from 120 frames a second. It has joints only:
// buckle, tailbone, breastbone and upper back are hung on its hips and
// shoulders, fixed to a frame of each line and the spine.
func capturedMotion(t *testing.T) motion {
	t.Helper()
	dir := os.Getenv("TURNGAUGE_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "data")
	}
	f, err := os.Open(filepath.Join(dir, "mocap", "golf_skeleton_cmu.csv"))
	if err != nil {
		if os.Getenv("CI") != "" && (os.Getenv("TURNGAUGE_DATA") != "" || isThere(dir)) {
			t.Fatalf("the open data is not whole: %v", err)
		}
		t.Skipf("the open data is not beside the repository (set TURNGAUGE_DATA): %v", err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, n := range rows[0] {
		column[n] = i
	}
	joints := map[string]geometry.Point{
		"l_ankle": geometry.LeadAnkle, "r_ankle": geometry.TrailAnkle, "l_toe": geometry.LeadToe, "r_toe": geometry.TrailToe,
		"l_knee": geometry.LeadKnee, "r_knee": geometry.TrailKnee, "l_hip": geometry.LeadHip, "r_hip": geometry.TrailHip,
		"head": geometry.Head, "l_shoulder": geometry.LeadShoulder, "r_shoulder": geometry.TrailShoulder,
		"l_elbow": geometry.LeadElbow, "r_elbow": geometry.TrailElbow, "l_wrist": geometry.LeadWrist, "r_wrist": geometry.TrailWrist,
	}
	const address, impact, rate = 30, 280, 120.0
	var frames []points
	for _, row := range rows[1:] {
		var p points
		for name, pt := range joints {
			var v [3]float64
			for i, axis := range []string{"_x", "_y", "_z"} {
				v[i], err = strconv.ParseFloat(row[column[name+axis]], 64)
				require.NoError(t, err)
			}
			p[pt] = r3.Vec{X: v[0], Y: v[2], Z: -v[1]}
		}
		hang := func(lead geometry.Point, up r3.Vec, front, rear geometry.Point, high, deep float64) {
			mid := r3.Scale(0.5, r3.Add(p[lead], p[lead+1]))
			side := r3.Unit(r3.Sub(p[lead], p[lead+1]))
			ahead := r3.Unit(r3.Cross(side, up))
			top := r3.Cross(ahead, side)
			p[front] = r3.Add(mid, r3.Add(r3.Scale(high, top), r3.Scale(deep, ahead)))
			p[rear] = r3.Add(mid, r3.Add(r3.Scale(high, top), r3.Scale(-deep, ahead)))
		}
		spine := r3.Sub(r3.Add(p[geometry.LeadShoulder], p[geometry.TrailShoulder]), r3.Add(p[geometry.LeadHip], p[geometry.TrailHip]))
		hang(geometry.LeadHip, spine, geometry.Buckle, geometry.Tailbone, 0.08, 0.105)
		hang(geometry.LeadShoulder, spine, geometry.Breastbone, geometry.UpperBack, -0.09, 0.11)
		frames = append(frames, p)
	}
	mid := r3.Scale(0.5, r3.Add(frames[address][geometry.LeadAnkle], frames[address][geometry.TrailAnkle]))
	mid.Y = 0
	for i := range frames {
		for pt := range frames[i] {
			frames[i][pt] = r3.Sub(frames[i][pt], mid)
		}
	}
	given := map[geometry.Point]bool{}
	for _, pt := range joints {
		given[pt] = true
	}
	for _, pt := range Points {
		given[pt] = true
	}
	at := func(k float64) float64 { return (k - impact) / rate }
	return motion{
		events: map[geometry.PositionName]float64{geometry.Address: at(address), geometry.LeadArmLevel: at(150), geometry.Top: at(204),
			geometry.Delivery: at(266), geometry.Impact: 0, geometry.Finish: at(398)},
		has:     func(pt geometry.Point) bool { return given[pt] },
		jitters: true,
		at: func(s float64) points {
			k := math.Min(math.Max(s*rate+impact, 1), float64(len(frames)-3))
			i := int(k)
			u := k - float64(i)
			var out points
			for pt := range out { // Catmull-Rom
				a, b, c, d := frames[i-1][pt], frames[i][pt], frames[i+1][pt], frames[i+2][pt]
				m0, m1 := r3.Scale(0.5, r3.Sub(c, a)), r3.Scale(0.5, r3.Sub(d, b))
				u2, u3 := u*u, u*u*u
				out[pt] = r3.Add(r3.Add(r3.Scale(2*u3-3*u2+1, b), r3.Scale(u3-2*u2+u, m0)),
					r3.Add(r3.Scale(3*u2-2*u3, c), r3.Scale(u3-u2, m1)))
			}
			return out
		},
	}
}

// truthAt is what the measures are at a time, by the definitions of the key
// positions on the true points.
func (m *motion) truthAt(t float64) map[string]float64 {
	name := geometry.Delivery
	if t > 0.15 {
		name = geometry.Finish
	}
	out := map[string]float64{}
	for _, x := range geometry.MeasuresOf(geometry.Golfer{}, []geometry.Position{{Name: geometry.Address}, {Name: name}},
		[]points{m.at(m.events[geometry.Address]), m.at(t)}) {
		if x.Position == name {
			out[x.Name] = x.Value
		}
	}
	return out
}

// frameOf is the frame of the segment a landmark is misplaced on: columns to
// the lead side, up, to the front.
func frameOf(p *points, pt geometry.Point) [3]r3.Vec {
	var side, front r3.Vec
	switch {
	case pt == geometry.LeadHip || pt == geometry.TrailHip || pt == geometry.Buckle || pt == geometry.Tailbone:
		side, front = r3.Sub(p[geometry.LeadHip], p[geometry.TrailHip]), r3.Sub(p[geometry.Buckle], p[geometry.Tailbone])
	case pt >= geometry.LeadKnee && pt <= geometry.TrailToe: // a leg turns little
		return [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	default:
		side, front = r3.Sub(p[geometry.LeadShoulder], p[geometry.TrailShoulder]), r3.Sub(p[geometry.Breastbone], p[geometry.UpperBack])
	}
	side = r3.Unit(side)
	up := r3.Unit(r3.Cross(front, side))
	return [3]r3.Vec{side, up, r3.Cross(side, up)}
}

// reel is what comes of filming, marking and following a motion.
type reel struct {
	motion
	input  Input
	cams   []geometry.Camera
	phases []float64 // of each clip's frames, seconds
}

// filming are the errors made, one standard deviation.
type filming struct {
	trackPx  float64 // of following, anew in each frame
	clickPx  float64 // of each mark
	placingM float64 // of a landmark on the body, the same all the time and in both clips
}

const filmRate = 240.0

// impactSeconds is the time of the frame of impact on each clip's own clock.
const impactSeconds = 100.0

// film films a motion with two phones and marks and follows it.
func filmMotion(r *rand.Rand, m motion, o filming) *reel {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	out := &reel{motion: m}
	sw := &out.input.Swing
	names := []geometry.PositionName{}
	for _, n := range geometry.KeyPositions {
		if _, ok := m.events[n]; ok {
			names = append(names, n)
			sw.Positions = append(sw.Positions, geometry.Position{Name: n})
		}
	}
	var off [geometry.NumPoints][3]float64
	for pt := range off {
		for k := range 3 {
			off[pt][k] = o.placingM * r.NormFloat64()
		}
	}
	aimed := func(t float64, pt geometry.Point) r3.Vec {
		p := m.at(t)
		w := p[pt]
		if pt == geometry.Grip || pt == geometry.Clubhead || pt == geometry.Ball {
			return w
		}
		for k, axis := range frameOf(&p, pt) {
			w = r3.Add(w, r3.Scale(off[pt][k], axis))
		}
		return w
	}
	yaw := 0.02 * r.NormFloat64()
	stick := [2]r3.Vec{{X: between(-0.8, -0.5), Z: between(0.4, 0.9)}}
	stick[1] = r3.Add(stick[0], r3.Vec{X: 1.22 * math.Cos(yaw), Z: 1.22 * math.Sin(yaw)})
	first, last := m.events[geometry.Address]-0.05, m.events[geometry.Finish]
	for c, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		aim := r3.Vec{X: between(-0.1, 0.1), Y: between(0.8, 1.05), Z: between(0, 0.3)}
		dist, turn := between(3.2, 5.3), between(-6, 6)*math.Pi/180
		cam := geometry.Camera{FocalPx: between(1320, 1620), Width: 1920, Height: 1080}
		if view == geometry.FaceOn {
			cam.Position = r3.Vec{X: aim.X + dist*math.Sin(turn), Y: between(0.8, 1.3), Z: dist * math.Cos(turn)}
		} else {
			cam.Position = r3.Vec{X: -dist * math.Cos(turn), Y: between(0.8, 1.3), Z: aim.Z + dist*math.Sin(turn)}
		}
		cam.Rotation = geometry.LookAt(cam.Position, aim, between(-2, 2)*math.Pi/180)
		clip := geometry.Clip{View: view, Width: 1920, Height: 1080, FocalPx: cam.FocalPx * (1 + 0.04*r.NormFloat64()), FocalRelSigma: 0.05}
		line := geometry.GroundLine{LengthM: 1.22, Along: geometry.AlongTargetLine}
		for i, e := range stick {
			at, _ := cam.Project(e)
			line.Ends[i] = geometry.ImagePt{X: at.X + 1.5*r.NormFloat64(), Y: at.Y + 1.5*r.NormFloat64()}
		}
		clip.GroundLines = []geometry.GroundLine{line}
		sw.Clips = append(sw.Clips, clip)
		phase, start := between(-0.5, 0.5)/filmRate, impactSeconds
		out.cams, out.phases = append(out.cams, cam), append(out.phases, phase)
		frame := func(t float64) int { return int(math.Round((t - phase) * filmRate)) }
		time := func(f int) float64 { return float64(f)/filmRate + phase }
		for i, n := range names {
			sw.Positions[i].Seconds = append(sw.Positions[i].Seconds, start+float64(frame(m.events[n]))/filmRate)
			sw.Positions[i].FrameSeconds = append(sw.Positions[i].FrameSeconds, 1/filmRate)
		}
		for pt := range geometry.Point(geometry.NumPoints) {
			if !m.has(pt) {
				continue
			}
			out.follow(r, c, pt, &cam, names, o, aimed, frame, time, start, frame(first), frame(last))
		}
	}
	return out
}

// faces reports whether a point of the trunk's front or rear looks at a camera.
func faces(p *points, pt geometry.Point, cam *geometry.Camera) bool {
	f := frameOf(p, pt)[2]
	switch pt {
	case geometry.Buckle, geometry.Breastbone:
	case geometry.Tailbone, geometry.UpperBack:
		f = r3.Scale(-1, f)
	default:
		return true
	}
	return r3.Dot(f, r3.Unit(r3.Sub(cam.Position, p[pt]))) > 0.25
}

func (l *reel) follow(r *rand.Rand, c int, pt geometry.Point, cam *geometry.Camera, names []geometry.PositionName, o filming,
	aimed func(float64, geometry.Point) r3.Vec, frame func(float64) int, time func(int) float64, start float64, first, last int) {
	sw := &l.input.Swing
	click := o.clickPx
	if sw.Clips[c].View == geometry.DownTheLine && pt.Side() == geometry.Lead {
		click *= 2.2
	}
	type mark struct {
		frame int
		err   [2]float64
	}
	var marks []mark
	for i, n := range names {
		f := frame(l.events[n])
		p := l.at(time(f))
		if pt == geometry.Ball && n != geometry.Address || !faces(&p, pt, cam) {
			continue
		}
		at, err := cam.Project(aimed(time(f), pt))
		if err != nil {
			continue
		}
		e := [2]float64{click * r.NormFloat64(), click * r.NormFloat64()}
		marks = append(marks, mark{f, e})
		sw.Marks = append(sw.Marks, geometry.Mark{Clip: c, Position: i, Point: pt, At: geometry.ImagePt{X: at.X + e[0], Y: at.Y + e[1]}})
	}
	tracked := false
	for _, q := range Points {
		tracked = tracked || q == pt
	}
	if !tracked || len(marks) == 0 {
		return
	}
	track := Track{Clip: c, Point: pt}
	next, whole := 0, true
	for f := first; f <= last; f++ {
		p := l.at(time(f))
		marked := next < len(marks) && marks[next].frame == f
		if !marked && !faces(&p, pt, cam) {
			whole = false
			continue
		}
		if !marked && (next == 0 || next == len(marks)) && len(marks) > 1 {
			continue // only between the marks
		}
		at, err := cam.Project(aimed(time(f), pt))
		if err != nil {
			continue
		}
		s := Observation{Seconds: start + float64(f)/filmRate, At: at, SigmaPx: o.trackPx}
		switch {
		case marked:
			e := marks[next].err
			s.At.X, s.At.Y = at.X+e[0], at.Y+e[1]
			track.Anchors = append(track.Anchors, Anchor{Observation: len(track.Observations)})
			if next > 0 && whole {
				was := &track.Anchors[len(track.Anchors)-2]
				b := marks[next-1].err
				was.MissSigmaPx = o.trackPx
				was.Missed = geometry.ImagePt{X: b[0] - e[0] + o.trackPx*r.NormFloat64(), Y: b[1] - e[1] + o.trackPx*r.NormFloat64()}
			}
			next, whole = next+1, true
		case next > 0 && next < len(marks):
			a, b := marks[next-1], marks[next]
			s.Part = float64(f-a.frame) / float64(b.frame-a.frame)
			s.At.X = at.X + (1-s.Part)*a.err[0] + s.Part*b.err[0] + o.trackPx*r.NormFloat64()
			s.At.Y = at.Y + (1-s.Part)*a.err[1] + s.Part*b.err[1] + o.trackPx*r.NormFloat64()
		default:
			e := marks[max(next-1, 0)].err
			s.At.X += e[0] + o.trackPx*r.NormFloat64()
			s.At.Y += e[1] + o.trackPx*r.NormFloat64()
		}
		track.Observations = append(track.Observations, s)
	}
	l.input.Tracks = append(l.input.Tracks, track)
}

// isThere reports whether there is something at a path.
func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
