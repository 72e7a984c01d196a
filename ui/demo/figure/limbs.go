package figure

import (
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo/render"
)

// bone is the course of a limb: up from end over joint to root, with the
// joint rounded.
type bone struct {
	end, joint, root r3.Vec
	pole             r3.Vec // the way the joint bends to
	round            float64
}

// at returns the frame at part s of the way up; the joint is at split.
func (b *bone) at(s, split float64) golfer.Frame {
	w := b.round
	var o, d r3.Vec
	switch {
	case s < split-w:
		o, d = mix(b.end, b.joint, s/split), r3.Sub(b.joint, b.end)
	case s > split+w:
		o, d = mix(b.joint, b.root, (s-split)/(1-split)), r3.Sub(b.root, b.joint)
	default:
		lo := mix(b.end, b.joint, (split-w)/split)
		hi := mix(b.joint, b.root, w/(1-split))
		o, d = curve3(lo, b.joint, hi, (s-split+w)/(2*w))
	}
	return frameAlong(o, d, b.pole)
}

// legs are trousers from inside the seat to the shoes.
type legs struct {
	k    float64
	l    golfer.Lengths
	legs [2]*tube
}

var (
	legSide  = profile{{0, 0.052}, {0.06, 0.051}, {0.20, 0.053}, {0.33, 0.058}, {0.46, 0.058}, {0.52, 0.060}, {0.66, 0.068}, {0.80, 0.079}, {0.90, 0.081}, {0.97, 0.075}, {1.08, 0.050}}
	legFront = profile{{0, 0.056}, {0.06, 0.053}, {0.20, 0.049}, {0.33, 0.050}, {0.44, 0.056}, {0.50, 0.063}, {0.56, 0.064}, {0.66, 0.075}, {0.80, 0.085}, {0.90, 0.081}, {0.97, 0.068}, {1.08, 0.035}}
	legRear  = profile{{0, 0.054}, {0.06, 0.052}, {0.20, 0.060}, {0.33, 0.070}, {0.44, 0.060}, {0.50, 0.054}, {0.60, 0.066}, {0.80, 0.089}, {0.90, 0.096}, {0.97, 0.092}, {1.08, 0.050}}
)

func newLegs(m *golfer.Model, w Wear) *legs {
	g := &legs{k: m.Params.Stature / 1.72 * (1 + girthOf(m)) / 2, l: m.Lengths}
	for i := range g.legs {
		g.legs[i] = newTube(34, 46, 2.1, trouserTexture(true, w.Legs != Trousers)).fold(0.0085, 2.2, 9, uint32(31+i), func(v float64) float64 {
			return 0.45 + 0.55*(1-smooth(0.05, 0.25, v)) + 0.5*smooth(0.3, 0.44, v)*(1-smooth(0.48, 0.62, v)) + 0.4*smooth(0.82, 0.95, v)
		})
	}
	return g
}

func (g *legs) update(p *golfer.Pose) {
	pts := &p.Points
	for i, q := range [2][3]geometry.Point{
		{geometry.LeadHip, geometry.LeadKnee, geometry.LeadAnkle},
		{geometry.TrailHip, geometry.TrailKnee, geometry.TrailAnkle},
	} {
		foot := p.LeadFoot
		if i == 1 {
			foot = p.TrailFoot
		}
		hip, knee, ankle := pts[q[0]], pts[q[1]], pts[q[2]]
		pole := r3.Add(r3.Scale(0.5, foot.Front), r3.Scale(0.4, p.Pelvis.Front))
		// The knee's own bend decides where its front is once it bends.
		pole = r3.Add(pole, r3.Scale(6, r3.Sub(knee, mix(hip, ankle, 0.5))))
		b := bone{end: ankle, joint: knee, root: hip, pole: pole, round: 0.07}
		t := g.legs[i]
		n := t.Rows()
		split := g.l.Shank / (g.l.Shank + g.l.Thigh)
		for j := range n {
			// The hem hangs a little over the ankle; the top runs on into the
			// seat, leaning with the pelvis.
			s := -0.012 + 1.09*float64(j)/float64(n-1)
			f := b.at(s, split)
			if s > 0.9 {
				w := smooth(0.9, 1.08, s)
				f = frameAlong(f.O, mix(f.Up, p.Pelvis.Up, w), mix(f.Front, p.Pelvis.Front, w))
			}
			k := g.k
			t.set(j, ring{f, legSide.value(s) * k, legFront.value(s) * k, legRear.value(s) * k})
		}
		t.Normals()
	}
}

func (g *legs) meshes() []*render.Mesh { return []*render.Mesh{g.legs[0].Mesh, g.legs[1].Mesh} }

// arms are bare arms, sleeves and hands.
type arms struct {
	k       float64
	l       golfer.Lengths
	skin    [2]*tube
	sleeves [2]*tube
	palms   [2]*tube
	fists   [2]*tube
	thumbs  [2]*tube
}

var (
	armSide  = profile{{0, 0.0235}, {0.06, 0.024}, {0.20, 0.032}, {0.34, 0.039}, {0.42, 0.038}, {0.46, 0.036}, {0.60, 0.039}, {0.80, 0.043}, {1, 0.043}}
	armFront = profile{{0, 0.019}, {0.06, 0.0205}, {0.20, 0.029}, {0.34, 0.036}, {0.42, 0.036}, {0.46, 0.036}, {0.60, 0.042}, {0.80, 0.045}, {1, 0.045}}
)

func newArms(m *golfer.Model) *arms {
	a := &arms{k: m.Params.Stature / 1.72, l: m.Lengths}
	for i := range a.skin {
		hand, thumb := gloveTexture(), gloveTexture()
		if i == 1 {
			hand, thumb = skinHandTexture(), skinTexture()
		}
		a.skin[i] = newTube(22, 34, 2, skinTexture())
		a.skin[i].Gloss, a.skin[i].Shine = 0.05, 14
		a.sleeves[i] = newTube(28, 18, 2, sleeveTexture()).fold(0.0060, 2.2, 4, uint32(51+i), func(float64) float64 { return 1 })
		a.sleeves[i].TwoSided = true
		a.palms[i] = newTube(18, 8, 2.2, thumb)
		a.fists[i] = newTube(22, 14, 2.5, hand)
		a.thumbs[i] = newTube(12, 8, 2, thumb)
	}
	return a
}

func (a *arms) update(p *golfer.Pose) {
	pts := &p.Points
	k := a.k
	for i, q := range [2][3]geometry.Point{
		{geometry.LeadShoulder, geometry.LeadElbow, geometry.LeadWrist},
		{geometry.TrailShoulder, geometry.TrailElbow, geometry.TrailWrist},
	} {
		hand, out := p.LeadHand, 1.0
		if i == 1 {
			hand, out = p.TrailHand, -1
		}
		shoulder, elbow, wrist := pts[q[0]], pts[q[1]], pts[q[2]]
		// Front of an arm is the side its elbow opens to; a hanging straight
		// arm opens to the front.
		pole := r3.Add(p.Chest.Dir(0.3*out, 0.2, 0.5), r3.Scale(-6, r3.Sub(elbow, mix(shoulder, wrist, 0.5))))
		b := bone{end: wrist, joint: elbow, root: shoulder, pole: pole, round: 0.06}
		split := a.l.Forearm / (a.l.Forearm + a.l.UpperArm)
		n := a.skin[i].Rows()
		for j := range n {
			// The arm ends inside the sleeve.
			s := 0.84 * float64(j) / float64(n-1)
			a.skin[i].set(j, ring{b.at(s, split), armSide.value(s) * k, armFront.value(s) * k, armFront.value(s) * k})
		}
		a.skin[i].Normals()
		a.sleeve(i, p, shoulder, elbow, out)
		a.hand(i, hand, wrist, elbow)
	}
}

// sleeve runs from inside the chest over the shoulder to two thirds of the
// upper arm, hem first.
func (a *arms) sleeve(i int, p *golfer.Pose, shoulder, elbow r3.Vec, out float64) {
	k := a.k
	hem := mix(shoulder, elbow, 0.56)
	inside := r3.Add(shoulder, p.Chest.Dir(-0.075*k*out, -0.005*k, -0.004*k))
	over := r3.Add(mix(hem, shoulder, 1.10), p.Chest.Dir(0.010*k*out, 0.006*k, 0))
	t := a.sleeves[i]
	n := t.Rows()
	front := r3.Add(p.Chest.Front, r3.Scale(0.2, p.Chest.Up))
	for j := range n {
		s := float64(j) / float64(n-1)
		o, d := curve3(hem, over, inside, s)
		r := sleeveRadius.value(s) * k
		t.set(j, ring{frameAlong(o, d, front), r * 1.02, r, r})
	}
	t.Normals()
}

var sleeveRadius = profile{{0, 0.0535}, {0.25, 0.0535}, {0.5, 0.0555}, {0.7, 0.058}, {0.85, 0.057}, {1, 0.048}}

// hand draws palm, closed fingers and thumb about the grip.
func (a *arms) hand(i int, f golfer.Frame, wrist, elbow r3.Vec) {
	k := a.k
	// The palm: from the wrist to the grip, flat, broad along the grip.
	end := r3.Add(f.O, r3.Scale(0.004*k, f.Front))
	t := a.palms[i]
	n := t.Rows()
	start := mix(wrist, elbow, 0.06)
	for j := range n {
		s := float64(j) / float64(n-1)
		o, d := curve3(end, mix(end, wrist, 0.55), start, s)
		w := smooth(0, 1, s)
		g := frameAlong(o, d, f.Lead)
		t.set(j, ring{g, (0.040 - 0.0155*w) * k, (0.019 + 0.002*w) * k, (0.019 + 0.002*w) * k})
	}
	t.Normals()
	// The closed fingers: a rounded box about the grip's axis.
	t = a.fists[i]
	n = t.Rows()
	c := f.At(0, 0, 0.006*k)
	for j := range n {
		s := float64(j)/float64(n-1)*2 - 1
		r := roundEnd(s)
		g := frameAlong(r3.Add(c, r3.Scale(0.040*k*s, f.Up)), f.Up, f.Front)
		// Four fingers show as shallow grooves.
		groove := 1 - 0.07*fingerGroove(s)
		t.set(j, ring{g, 0.031 * r * k, 0.029 * r * groove * k, 0.026 * r * k})
	}
	t.Normals()
	// The thumb lies along the grip toward the head.
	t = a.thumbs[i]
	n = t.Rows()
	from, over, to := f.At(0.016*k, 0.02*k, -0.022*k), f.At(0.022*k, -0.025*k, -0.020*k), f.At(0.010*k, -0.056*k, -0.015*k)
	if i == 1 {
		from, over, to = f.At(-0.016*k, 0.02*k, -0.022*k), f.At(-0.022*k, -0.025*k, -0.018*k), f.At(-0.008*k, -0.052*k, -0.013*k)
	}
	for j := range n {
		s := float64(j) / float64(n-1)
		o, d := curve3(to, over, from, s)
		r := 0.0115 * k * roundEnd(s*1.4-1)
		t.set(j, ring{frameAlong(o, d, f.Front), r, r, r})
	}
	t.Normals()
}

func (a *arms) meshes() []*render.Mesh {
	var out []*render.Mesh
	for i := range a.skin {
		out = append(out, a.skin[i].Mesh, a.sleeves[i].Mesh, a.palms[i].Mesh, a.fists[i].Mesh, a.thumbs[i].Mesh)
	}
	return out
}
