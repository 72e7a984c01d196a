package annotations

import "turngauge/annotations/jsontree"

// Part is a range of frames of a long take: the swing that was looked for in it. The
// zero value is the whole clip. Frames of key positions and marks keep the numbers that
// they have in the file.
type Part struct{ First, Last int }

// Whole reports whether the part is all of the clip.
func (p Part) Whole() bool { return p == Part{} }

// Of returns the first and the last frame of the part in a clip of so many frames.
func (p Part) Of(frames int) (first, last int) {
	if p.Whole() || p.First >= frames {
		return 0, frames - 1
	}
	return p.First, min(p.Last, frames-1)
}

func (p Part) node() *jsontree.Node {
	return &jsontree.Node{Kind: jsontree.Array, Items: []*jsontree.Node{integerNode(int64(p.First)), integerNode(int64(p.Last))}}
}

func (p Part) check(f *Faults, at string) {
	if !p.Whole() && (p.First < 0 || p.Last <= p.First || p.Last > maxIndex) {
		f.add(at, "must be two frames of the clip, the first before the last, such as [1200, 2100]")
	}
}

func (r *reader) part(n *jsontree.Node, path string) (p Part) {
	if ends := r.pair(n, path, "the first and the last frame, such as [1200, 2100]"); ends != nil {
		p = Part{int(r.integer(ends[0], path+"[0]")), int(r.integer(ends[1], path+"[1]"))}
		if p.Whole() {
			r.fault(path, "must be two frames of the clip, the first before the last, such as [1200, 2100]")
		}
	}
	return p
}
