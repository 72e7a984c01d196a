package bundle

import (
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// State is a value of all unknowns. Cameras are kept as such, since rotations
// have no good coordinates: a step moves them in their tangent space.
//
// Of the global block, the entries of the cameras are not read: Cameras has them, and a step
// moves those there. All other entries are values as the table at Problem lists them.
type State struct {
	Cameras []geometry.Camera
	g       []float64   // the global block; its camera entries hold log focal and k1 only by way of cams
	p       [][]float64 // by position
}

// Clone returns a copy that shares nothing.
func (s *State) Clone() *State {
	c := &State{Cameras: append([]geometry.Camera(nil), s.Cameras...), g: append([]float64(nil), s.g...)}
	for _, x := range s.p {
		c.p = append(c.p, append([]float64(nil), x...))
	}
	return c
}

// copyFrom makes s equal to o, which is of the same problem, without
// allocating.
func (s *State) copyFrom(o *State) {
	copy(s.Cameras, o.Cameras)
	copy(s.g, o.g)
	for i := range s.p {
		copy(s.p[i], o.p[i])
	}
}

// At is the place of a point at a position, metres in the world.
func (s *State) At(pos int, pt geometry.Point) r3.Vec {
	x := s.p[pos][3*pt:]
	return r3.Vec{X: x[0], Y: x[1], Z: x[2]}
}

// Set puts a point of a position somewhere.
func (s *State) Set(pos int, pt geometry.Point, v r3.Vec) {
	x := s.p[pos][3*pt:]
	x[0], x[1], x[2] = v.X, v.Y, v.Z
}

// step moves the state by dG and dP in its tangent space: cameras by
// Camera.Move, all else by addition. nil in dP leaves a position where it is.
//
// The tangent space of a camera is (δposition, δω, δlog f, δk₁): a rotation is moved to
// exp([δω]×)R, so that the derivatives by δω at 0 are those of Camera.Linearise and no
// rotation is ever renormalised; for the logarithm of the focal length the step is exact for
// any size.
func (s *State) step(dG []float64, dP [][]float64) {
	for c := range s.Cameras {
		s.Cameras[c].Move(dG[c*geometry.CameraUnknowns:])
	}
	for i := len(s.Cameras) * geometry.CameraUnknowns; i < len(s.g); i++ {
		s.g[i] += dG[i]
	}
	for i, d := range dP {
		if d == nil {
			continue
		}
		for j := range d {
			s.p[i][j] += d[j]
		}
	}
}

// Blank returns a state of the problem's shape with nothing in it.
func (p *Problem) Blank() *State {
	s := &State{Cameras: make([]geometry.Camera, len(p.Clips)), g: make([]float64, p.nG)}
	for range p.Names {
		s.p = append(s.p, make([]float64, BlockSize))
	}
	return s
}
