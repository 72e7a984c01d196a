package render

// Camera is a pinhole camera with its principal point at the picture's centre.
type Camera struct {
	Position Vec
	// Right, Down and Forward are the camera's axes in the world.
	Right, Down, Forward Vec
	FocalPx              float32
	Width, Height        int
}

// near is the closest depth that is drawn, metres.
const near = 0.2

// project returns the picture of p in pixels and its inverse depth, which is
// not positive where p is not in front of the camera.
func (c *Camera) project(p Vec) (x, y, inv float32) {
	d := p.Sub(c.Position)
	z := d.Dot(c.Forward)
	if z < near {
		return 0, 0, 0
	}
	inv = 1 / z
	return float32(c.Width)/2 + c.FocalPx*d.Dot(c.Right)*inv,
		float32(c.Height)/2 + c.FocalPx*d.Dot(c.Down)*inv, inv
}

// Ray returns the direction in the world of what is seen at a place of the
// picture; its component along Forward is 1.
func (c *Camera) Ray(x, y float32) Vec {
	u := (x - float32(c.Width)/2) / c.FocalPx
	v := (y - float32(c.Height)/2) / c.FocalPx
	return c.Forward.Add(c.Right.Mul(u)).Add(c.Down.Mul(v))
}
