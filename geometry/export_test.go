package geometry

// CentreOfMass is centreOfMass of plain points, for tests outside the package.
func CentreOfMass(s Sex, p *[NumPoints]WorldPt) WorldPt {
	c := centreOfMass(s, func(q Point) dvec { return dvec{num(p[q].X), num(p[q].Y), num(p[q].Z)} })
	return WorldPt{X: c.x.v, Y: c.y.v, Z: c.z.v}
}
