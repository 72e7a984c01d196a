package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// Where patches are taken from and looked for in.
const (
	// clothBefore address and clothAfter impact, seconds, is as far as is looked.
	clothBefore, clothAfter = 0.03, 0.12
	// Seconds between the frames that patches are taken from, back and down, and between
	// those that they are looked for in.
	viewsBack, viewsDown = 0.14, 0.055
	looksBack, looksDown = 0.040, 0.0125
	patchesApartM        = 0.034 // on the picture of the body
	leastFacing          = 0.35  // cosine between a facet's normal and the way to the camera
	leastFacingFrom      = 0.45  // the same in the frame that it is taken from
	warpReachM           = 0.015 // from a patch's middle is where its warp is measured
)

// clothTime is one frame that is looked at.
type clothTime struct {
	frame  int
	own    float64 // clip's clock
	common float64
	pose   segmentPose
}

// clothTimes returns the frames of a clip between address and impact with the pelvis'
// pose in each, and which of them, by index, patches are taken from and looked for in.
func (f *problem) clothTimes(in *Input, clip int) (all []clothTime, from, into []int) {
	address, top := f.swingTimes()
	lastFrom, lastInto := math.Inf(-1), math.Inf(-1)
	for n, own := range in.Cloth.Frames(clip) {
		t := own + f.shift[clip]
		if t < address-clothBefore || t > clothAfter {
			continue
		}
		h := f.hermiteAt(t + f.clothLag[clip])
		var x, v [segmentDofs]float64
		h.mix(f.st.x, 0, segmentDofs, x[:], v[:])
		views, looks := viewsBack, looksBack
		if t > top-turnBefore {
			views, looks = viewsDown, looksDown
		}
		const frame = 1e-3 // a frame that is due within a millisecond counts
		if t-lastFrom > views-frame {
			from, lastFrom = append(from, len(all)), t
		}
		if t-lastInto > looks-frame {
			into, lastInto = append(into, len(all)), t
		}
		all = append(all, clothTime{n, own, t, poseOf(x[:])})
	}
	return all, from, into
}

// planned is a patch to be looked for, with what its matches need once it is found.
type planned struct {
	patch
	look Look
	// grid is the body's places about the patch's middle, a pixel of reach apart, rows
	// of v from above with u along each.
	grid  [9]r3.Vec
	reach float64 // pixels
	into  []clothTime
	// byDepth is by how much its place in each frame moves if it lies a metre further out,
	// pixels.
	byDepth [][2]float64
}

// planCloth lays out the patches of all clips for the current state.
func (f *problem) planCloth(in *Input, rho []float64) (*clothFit, []planned) {
	c := &clothFit{shell: newShell(f.st.g[f.oShape:], f.stature), cams: f.clothCameras, lag: f.clothLag}
	c.begin = f.keyTime(geometry.Address)
	_, c.top = f.swingTimes()
	c.hidden = true
	for i := range f.keyNames {
		c.hidden = c.hidden && !f.key.Marked(i, geometry.Buckle) && !f.key.Marked(i, geometry.Tailbone)
	}
	for _, t := range f.keyTimes {
		if geometry.Finite(t) && t > c.begin+1e-3 && t < clothAfter {
			c.knots = append(c.knots, t)
		}
	}
	c.oPose = f.oCloth
	var out []planned
	for clip := range f.nC {
		arms := f.limbsOf(in, clip)
		all, from, into := f.clothTimes(in, clip)
		for _, i := range from {
			list := f.patchesOf(in, c, clip, &all[i], arms, rho)
			if len(list) == 0 {
				continue
			}
			for k := range list {
				list[k].view = len(c.views)
				for _, j := range into {
					if j != i {
						list[k].expect(&c.cams[clip], &all[j], &all[i].pose, arms)
					}
				}
				if len(list[k].into) > 0 {
					out = append(out, list[k])
				}
			}
			c.views = append(c.views, view{clip, all[i].common})
		}
	}
	c.oShell = c.oPose + segmentDofs*len(c.views)
	c.oSlip = c.oShell + shellNodes
	return c, out
}

// patchesOf finds the patches of one frame: on a grid over the picture of the shell,
// where it faces the camera and no arm is before it.
func (f *problem) patchesOf(in *Input, c *clothFit, clip int, at *clothTime, arms *limbs, rho []float64) []planned {
	cam := &c.cams[clip]
	scale := cam.FocalPx / math.Max(cam.ToCamera(at.pose.at).Z, 0.5)
	box := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, x := range [2]float64{-1, 1} {
		for _, z := range [2]float64{-1, 1} {
			for _, y := range [2]float64{0, c.shell.belt + overBelt} {
				p, err := cam.Project(r3.Add(at.pose.at, weighted(&at.pose.axes, [3]float64{x * c.shell.a0, y, c.shell.z0 + z*c.shell.b})))
				if err != nil {
					return nil
				}
				box[0], box[1] = math.Min(box[0], p.X), math.Min(box[1], p.Y)
				box[2], box[3] = math.Max(box[2], p.X), math.Max(box[3], p.Y)
			}
		}
	}
	step := patchesApartM * scale
	into := func(w r3.Vec) r3.Vec {
		return r3.Vec{X: r3.Dot(at.pose.axes[0], w), Y: r3.Dot(at.pose.axes[1], w), Z: r3.Dot(at.pose.axes[2], w)}
	}
	meet := func(x, y float64) (face facet, q, ray r3.Vec, ok bool) {
		o, d := cam.Ray(x, y)
		d = into(d)
		face, q, ok = c.shell.meet(into(r3.Sub(o, at.pose.at)), d, rho)
		return face, q, d, ok
	}
	var out []planned
	for y := box[1]; y <= box[3]; y += step {
		for x := box[0]; x <= box[2]; x += step {
			p := planned{patch: patch{clip: clip, frame: at.frame, seconds: at.common}, reach: math.Max(warpReachM*scale, 2)}
			p.at = geometry.ImagePt{X: math.Floor(x) + 0.5, Y: math.Floor(y) + 0.5}
			p.origin, p.ray = cam.Ray(p.at.X, p.at.Y)
			face, q, d, ok := meet(p.at.X, p.at.Y)
			if !ok || q.Y < overHip || q.Y > c.shell.belt+overBelt || -r3.Dot(face.normal, d) < leastFacingFrom || arms.hide(p.at, at.own, scale) {
				continue
			}
			for k := range p.grid {
				if _, p.grid[k], _, ok = meet(p.at.X+p.reach*float64(k%3-1), p.at.Y+p.reach*float64(k/3-1)); !ok {
					break
				}
			}
			if !ok {
				continue
			}
			p.facet = face
			p.look = Look{Clip: clip, Frame: at.frame, At: p.at}
			out = append(out, p)
		}
	}
	return out
}

// expect adds a frame to those that a patch is looked for in, if it faces the camera
// there and no arm hides it: its warp is how the shell's picture there follows from the
// picture it was taken from, to the second order by central differences h apart,
//
//	∂u X = (X₊ − X₋)/2h,   ½ ∂uu X = (X₊ + X₋ − 2X₀)/2h²,   ∂uv X = (X₊₊ − X₊₋ − X₋₊ + X₋₋)/4h².
//
// Taken for flat, cloth about the side of a hip is found short of where it is: by 0.2 degrees
// of 3 in a rendered backswing.
func (p *planned) expect(cam *geometry.Camera, to *clothTime, from *segmentPose, arms *limbs) {
	var x [9]geometry.ImagePt
	for k, q := range p.grid {
		var err error
		if x[k], err = cam.Project(r3.Add(to.pose.at, weighted(&to.pose.axes, [3]float64{q.X, q.Y, q.Z}))); err != nil {
			return
		}
	}
	q := p.grid[4]
	w := r3.Add(to.pose.at, weighted(&to.pose.axes, [3]float64{q.X, q.Y, q.Z}))
	normal := weighted(&to.pose.axes, [3]float64{p.normal.X, p.normal.Y, p.normal.Z})
	if r3.Dot(normal, r3.Unit(r3.Sub(cam.Position, w))) < leastFacing {
		return
	}
	if arms.hide(x[4], to.own, cam.FocalPx/math.Max(cam.ToCamera(w).Z, 0.5)) {
		return
	}
	h := p.reach
	warp := Warp{Frame: to.frame, At: x[4]}
	warp.XX, warp.YX = (x[5].X-x[3].X)/(2*h), (x[5].Y-x[3].Y)/(2*h)
	warp.XY, warp.YY = (x[7].X-x[1].X)/(2*h), (x[7].Y-x[1].Y)/(2*h)
	h *= h
	warp.Bend = [3][2]float64{
		{(x[5].X + x[3].X - 2*x[4].X) / (2 * h), (x[5].Y + x[3].Y - 2*x[4].Y) / (2 * h)},
		{(x[8].X - x[6].X - x[2].X + x[0].X) / (4 * h), (x[8].Y - x[6].Y - x[2].Y + x[0].Y) / (4 * h)},
		{(x[7].X + x[1].X - 2*x[4].X) / (2 * h), (x[7].Y + x[1].Y - 2*x[4].Y) / (2 * h)},
	}
	const out = 0.01 // metres
	d := r3.Vec{X: r3.Dot(from.axes[0], p.ray), Y: r3.Dot(from.axes[1], p.ray), Z: r3.Dot(from.axes[2], p.ray)}
	q = r3.Add(q, r3.Scale(out/r3.Dot(p.normal, d), d))
	further, err := cam.Project(r3.Add(to.pose.at, weighted(&to.pose.axes, [3]float64{q.X, q.Y, q.Z})))
	if err != nil {
		return
	}
	p.look.Into = append(p.look.Into, warp)
	p.into = append(p.into, *to)
	p.byDepth = append(p.byDepth, [2]float64{(further.X - x[4].X) / out, (further.Y - x[4].Y) / out})
}
