package bundle

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// firstState is where a cold solve begins: the template figure of each position
// with prior lengths, and each camera placed by the size and the place of the
// marks of the position that has most of them, turned about the golfer by turns, radians.
//
// Unknowns that are not placed here begin at 0, which is the centre of their prior: the
// differences of the sides, the times and the biases.
func (p *Problem) firstState(turns []float64) *State {
	st := &State{Cameras: append([]geometry.Camera(nil), p.nominal...), g: make([]float64, p.nG)}
	for i := range p.Names {
		x := make([]float64, BlockSize)
		st.p = append(st.p, x)
		for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
			st.Set(i, pt, p.figure[i][pt])
		}
	}
	for l := range geometry.SegmentPriors {
		st.g[p.oLengths+l] = math.Log(geometry.SegmentPriors[l].Fraction * p.statureM)
	}
	st.g[p.oLengths+geometry.SegmentClub] = math.Log(p.clubM)
	st.g[p.oStature] = math.Log(p.statureM)
	feet := geometry.StanceFor(geometry.Address).Figure(p.statureM, p.clubM)
	for k, pt := range plantedPoints {
		f := feet[pt]
		copy(st.g[p.oPlanted+3*k:], []float64{f.X, f.Y, f.Z})
	}
	copy(st.g[p.oBall:], []float64{0.08, ballRadiusM, 0.65})
	for c := range p.Clips {
		p.placeCamera(st, c, turns[c])
	}
	for c := range p.Clips {
		p.placeLines(st, c)
	}
	return st
}

// firstPosition is the position a cold solve starts from: the address if it has
// marks, since it is where most is known beforehand, else the one with most.
func (p *Problem) firstPosition() int {
	if p.Address >= 0 && len(p.Marks[p.Address]) > 0 {
		return p.Address
	}
	best := 0
	for i := range p.Marks {
		if len(p.Marks[i]) > len(p.Marks[best]) {
			best = i
		}
	}
	return best
}

// placeCamera puts a camera at the distance at which the template figure is as
// large as the marks, aimed so that the two have the same centre. For points p
// of the figure and marks m about their means, a pinhole far away pictures ‖m‖
// = (f/z)‖p⊥‖, so that
//
//	z = f √(Σ‖p⊥‖² / Σ‖m‖²),
//
// p⊥ the part square to the axis: along the camera's right direction, and
// vertically. turn is how far round the golfer it stands from its view's line, as aside
// counts it.
//
// The first form is exact for points in a plane square to the axis and the centre's depth; the
// figure is half a metre deep at four metres, which makes the distance good to some tenth. It
// is where the minimiser starts from, no more. With n < 3 marks, or marks within 10 px of
// each other, the ratio is noise and the nominal distance is taken.
func (p *Problem) placeCamera(st *State, c int, turn float64) {
	best, most := -1, 0
	for i := range p.Marks {
		n := 0
		for _, m := range p.Marks[i] {
			if m.Clip == c {
				n++
			}
		}
		// The figure is at its best there.
		if i == p.Address {
			n *= 2
		}
		if n > most {
			best, most = i, n
		}
	}
	if best < 0 {
		return
	}
	cam := &st.Cameras[c]
	var mx, my, n float64
	var centre r3.Vec
	for _, m := range p.Marks[best] {
		if m.Clip == c {
			mx, my, n = mx+m.X, my+m.Y, n+1
			centre = r3.Add(centre, p.figure[best][m.Point])
		}
	}
	mx, my, centre = mx/n, my/n, r3.Scale(1/n, centre)
	sin, cos := math.Sincos(turn)
	fwd := r3.Vec{X: -sin, Z: -cos}
	if p.Views[c] == geometry.DownTheLine {
		fwd = r3.Vec{X: cos, Z: -sin}
	}
	right := r3.Cross(fwd, r3.Vec{Y: 1})
	var image, world float64
	for _, m := range p.Marks[best] {
		if m.Clip == c {
			d := r3.Sub(p.figure[best][m.Point], centre)
			image += sq(m.X-mx) + sq(m.Y-my)
			world += sq(r3.Dot(d, right)) + sq(d.Y)
		}
	}
	away := cameraAwayM
	// Fewer or bunched marks tell no size; 1.2 to 25 m is where phones stand.
	if n >= 3 && image > 100 && world > 0.01 {
		away = min(max(cam.FocalPx*math.Sqrt(world/image), 1.2), 25)
	}
	cam.Position = r3.Sub(centre, r3.Scale(away, fwd))
	cam.Position.Y = cameraHeightM
	cam.Rotation = geometry.LookAt(cam.Position, centre, 0)
	// Turn the camera so that the centre lands on the marks' centre.
	ray := r3.Vec{X: (mx - float64(cam.Width)/2) / cam.FocalPx, Y: (my - float64(cam.Height)/2) / cam.FocalPx, Z: 1}
	axis := r3.Cross(r3.Vec{Z: 1}, ray)
	if s := r3.Norm(axis); s > 1e-12 {
		cam.Rotation = geometry.Rotate(cam.Rotation, r3.Scale(math.Atan(s)/s, axis))
	}
}

// placeLines puts the ends of a clip's sticks where their rays meet the ground,
// y = 0, at most 15 m off; rays that do not fall get 4 m.
func (p *Problem) placeLines(st *State, c int) {
	cam := &st.Cameras[c]
	for k := range p.Clips[c].GroundLines {
		for i, e := range p.Clips[c].GroundLines[k].Ends {
			o, d := cam.Ray(e.X, e.Y)
			t := 4.0
			if d.Y < -0.02 {
				t = min(-o.Y/d.Y, 15)
			}
			st.g[p.lineOffset[c][k]+2*i] = o.X + t*d.X
			st.g[p.lineOffset[c][k]+2*i+1] = o.Z + t*d.Z
		}
	}
}

// Seed places the points of a position: where the rays of two clips meet, or as
// near as a ray passes to the figure given; the figure itself where nothing is
// marked. Every marked point then projects onto its mark, and only lengths and
// posture are off.
//
// A start on the rays is worth more than a likely figure: the marks' residuals, which are the
// stiffest part of the cost (a pixel is some 3 mm), begin at zero, and what is left to be
// minimised are lengths and posture, whose residuals are centimetres to tens of them and whose
// terms are nearly quadratic there. A ray on which the figure's own point lies behind the lens
// is followed half a metre at least.
func (p *Problem) Seed(st *State, pos int, fig *[geometry.NumBody]r3.Vec) {
	for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
		st.Set(pos, pt, fig[pt])
	}
	for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
		if !p.Marked[pos][pt] {
			continue
		}
		var rays [][2]r3.Vec
		clip := -1
		for _, m := range p.Marks[pos] {
			if m.Point == pt && m.Clip != clip {
				o, d := st.Cameras[m.Clip].Ray(m.X, m.Y)
				rays = append(rays, [2]r3.Vec{o, d})
				clip = m.Clip
			}
		}
		if x, ok := geometry.MeetRays(rays); ok {
			st.Set(pos, pt, x)
			continue
		}
		o, d := rays[0][0], rays[0][1]
		t := math.Max(r3.Dot(r3.Sub(fig[pt], o), d), 0.5)
		st.Set(pos, pt, r3.Add(o, r3.Scale(t, d)))
	}
}

// SetSigmas gives every mark its standard deviation, and every point its
// motion, at the scale of the cameras of st. A misplacement of 8 mm is as many
// pixels as the camera is near, so that the variances hang on the unknowns;
// they are held during a minimisation and set between. Letting them follow
// would reward a camera for moving away.
//
// With x the distance along the axis and f the focal length, a camera's scale is f/x pixels
// per metre at mid-hip, the same for all marks of a picture: the golfer's own depth, a quarter
// metre to either side at four metres, changes it by a sixteenth, less than the scale is
// estimated to. Of a mark that its maker gives a standard deviation that one counts; of all
// others the variance has three factors and a summand,
//
//	σ² = v₀(point, view, scale) · exp(l_class + l_far) · (cell) + (speed · τ · scale)²,
//
// the usual variance (geometry.SigmaPxAt), what the residuals teach (MarkVariance, CellFactor)
// and what the frame's own time is worth where the other clip has another. share is what part
// of σ² the factors scale: the derivative of log σ² by each logarithm (reml.go of package fit).
func (p *Problem) SetSigmas(sw *geometry.Swing, st *State) {
	click := sw.ClickSigmaPx
	if click <= 0 {
		click = geometry.ClickSigmaPx
	}
	set := func(t *Mark, at r3.Vec, both bool) {
		m := &sw.Marks[t.Index]
		cam := &st.Cameras[t.Clip]
		scale := cam.FocalPx / math.Max(cam.ToCamera(at).Z, 0.5)
		t.Sigma, t.PxPerM, t.Share = m.SigmaPx, scale, 1
		if t.oBias > 0 {
			t.Sigma = m.OwnSigmaPx()
		}
		if t.Sigma <= 0 {
			t.Sigma = math.Sqrt(p.CellFactor(t.Pos, t.Point) * p.MarkVariance(t.Point, m.State, p.Views[t.Clip], scale, click))
		}
		if both { // the other clip's frame may differ in time; see timeoffset.go
			blur := pointSpeed(p.Names[t.Pos], t.Point) * sw.Positions[t.Pos].InstantSigma(t.Clip) * scale
			if p.oTime[t.Pos][t.Clip] > 0 && p.moving[t.Pos][t.Point] != (r3.Vec{}) {
				blur *= acrossShare(t.Point)
			}
			own := t.Sigma
			t.Sigma = math.Hypot(own, blur)
			t.Share = sq(own / t.Sigma)
		}
	}
	for l := range p.giveSigmas {
		p.giveSigmas[l] = p.GiveSigma(l)
	}
	p.setMoving(st)
	for pos := range p.Marks {
		centre := r3.Scale(0.5, r3.Add(st.At(pos, geometry.LeadHip), st.At(pos, geometry.TrailHip)))
		both := p.inSeveralClips(pos)
		for i := range p.Marks[pos] {
			set(&p.Marks[pos][i], centre, both)
		}
	}
	ball := r3.Vec{X: st.g[p.oBall], Y: st.g[p.oBall+1], Z: st.g[p.oBall+2]}
	for i := range p.BallMarks {
		set(&p.BallMarks[i], ball, false)
	}
}

// inSeveralClips reports whether a position is marked in more than one clip.
func (p *Problem) inSeveralClips(pos int) bool {
	for _, m := range p.Marks[pos] {
		if m.Clip != p.Marks[pos][0].Clip {
			return true
		}
	}
	return false
}

// OneViewed reports whether the turn of a position hangs on one picture: some
// pair of the pelvis or the torso is not marked in two clips. Such a position
// may have mirror images (package fit), and depths that enter by their squares
// (curvature.go, skew.go).
func (p *Problem) OneViewed(pos int) bool {
	var seen [geometry.NumBody]int
	for _, m := range p.Marks[pos] {
		seen[m.Point]++
	}
	pelvis := seen[geometry.LeadHip] >= 2 && seen[geometry.TrailHip] >= 2
	torso := seen[geometry.LeadShoulder] >= 2 && seen[geometry.TrailShoulder] >= 2
	return !(pelvis && torso)
}

// figures lists the postures a position is started from: the usual one and,
// where the turn hangs on one picture, the ones that look the same in it. Seen
// face-on a width is the cosine of the turn, so that a turn looks like the same
// turn the other way; seen down the line it is the sine, so that a turn looks
// like its supplement to half a turn. Pelvis and torso may be mirrored together
// or each by itself; what turnRange rules out by more than 10 degrees is not
// tried.
//
// With w the half width of a segment at a heading ψ from square, a distant camera face-on sees
// w cos ψ and one down the line w sin ψ, so that ψ and −ψ, and ψ and π − ψ, have one picture.
func (p *Problem) figures(st *State, pos int) [][geometry.NumBody]r3.Vec {
	s := geometry.StanceFor(p.Names[pos])
	h, club := math.Exp(st.g[p.oStature]), math.Exp(st.g[p.oLengths+geometry.SegmentClub])
	out := [][geometry.NumBody]r3.Vec{s.Figure(h, club)}
	if !p.OneViewed(pos) || pos == p.Address {
		return out
	}
	var seen [3]int
	for _, m := range p.Marks[pos] {
		seen[p.Views[m.Clip]]++
	}
	mirrored := func(turn float64) float64 { return -turn }
	if seen[geometry.DownTheLine] > seen[geometry.FaceOn] {
		mirrored = func(turn float64) float64 {
			// A turn near a quarter is its own mirror image: start to both sides.
			if d := 90 - math.Abs(turn); math.Abs(d) < 15 {
				return turn - math.Copysign(30, turn)
			}
			return math.Copysign(180-math.Abs(turn), turn)
		}
		if d := 90 - math.Abs(s.TorsoTurn); math.Abs(d) < 15 {
			t := s
			t.TorsoTurn += math.Copysign(30, s.TorsoTurn)
			out[0] = t.Figure(h, club)
		}
	}
	pelvis, torso, bounded := turnRange(p.Names[pos])
	inside := func(v float64, r [2]float64) bool { return !bounded || v >= r[0]-10 && v <= r[1]+10 }
	for _, f := range [3][2]bool{{true, true}, {true, false}, {false, true}} {
		t := s
		if f[0] {
			t.PelvisTurn = mirrored(s.PelvisTurn)
		}
		if f[1] {
			t.TorsoTurn = mirrored(s.TorsoTurn)
		}
		if inside(t.PelvisTurn, pelvis) && inside(t.TorsoTurn, torso) {
			out = append(out, t.Figure(h, club))
		}
	}
	return out
}
