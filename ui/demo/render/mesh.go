package render

// Mesh is a surface of triangles in the world. Its slices may be refilled for
// every frame; the triangles and texture coordinates stay.
type Mesh struct {
	Pos    []Vec
	Normal []Vec // unit, outward
	UV     [][2]float32
	Tri    [][3]uint32 // counter-clockwise seen from outside
	Tex    *Texture
	// Gloss is the strength of the highlight and Shine its exponent.
	Gloss, Shine float32
	// TwoSided surfaces are seen from behind too.
	TwoSided bool

	cols, rows int
	wrap       bool
}

// NewGrid returns a mesh of rows of cols vertices. With wrap the last column
// joins the first: the mesh is a tube whose seam has its own vertices, so that
// u runs from 0 to 1. Seen from outside, columns run to the right where rows
// run up.
func NewGrid(cols, rows int, wrap bool, tex *Texture) *Mesh {
	if wrap {
		cols++
	}
	n := cols * rows
	m := &Mesh{
		Pos: make([]Vec, n), Normal: make([]Vec, n), UV: make([][2]float32, n),
		Tri: make([][3]uint32, 0, 2*(cols-1)*(rows-1)),
		Tex: tex, cols: cols, rows: rows, wrap: wrap,
	}
	for j := range rows {
		for i := range cols {
			m.UV[j*cols+i] = [2]float32{float32(i) / float32(cols-1), float32(j) / float32(rows-1)}
			if i == cols-1 || j == rows-1 {
				continue
			}
			a := uint32(j*cols + i)
			b, c, d := a+1, a+uint32(cols), a+uint32(cols)+1
			m.Tri = append(m.Tri, [3]uint32{a, b, d}, [3]uint32{a, d, c})
		}
	}
	return m
}

// Cols and Rows return the size of the grid, the doubled seam included.
func (m *Mesh) Cols() int { return m.cols }

// Rows returns the number of rows of the grid.
func (m *Mesh) Rows() int { return m.rows }

// Set places the vertex of a column and row.
func (m *Mesh) Set(col, row int, p Vec) { m.Pos[row*m.cols+col] = p }

// Normals computes the normals of a grid from its neighbours. Where a row
// shrinks to a point the row next to it is used.
func (m *Mesh) Normals() {
	for j := range m.rows {
		j0, j1 := max(j-1, 0), min(j+1, m.rows-1)
		for i := range m.cols {
			i0, i1 := i-1, i+1
			if m.wrap {
				if i0 < 0 {
					i0 = m.cols - 2
				}
				if i1 > m.cols-1 {
					i1 = 1
				}
			} else {
				i0, i1 = max(i0, 0), min(i1, m.cols-1)
			}
			du := m.Pos[j*m.cols+i1].Sub(m.Pos[j*m.cols+i0])
			if du.Dot(du) < 1e-12 {
				k := j1
				if j == m.rows-1 {
					k = j0
				}
				du = m.Pos[k*m.cols+i1].Sub(m.Pos[k*m.cols+i0])
			}
			dv := m.Pos[j1*m.cols+i].Sub(m.Pos[j0*m.cols+i])
			m.Normal[j*m.cols+i] = du.Cross(dv).Unit()
		}
	}
}
