package geometry

// SameButMarks reports whether two swings differ in their marks only, so that the fit of
// one is a start for the other's. How long a frame lasts and how far it may be off count
// together, as InstantSigma.
//
// What is compared is all that decides the layout and the priors of the fit. Times themselves
// (Position.Seconds) are not: they enter tempo and rates, which are read after the fit.
func (sw *Swing) SameButMarks(o *Swing) bool {
	if o.Golfer != sw.Golfer || o.ClubLengthM != sw.ClubLengthM || o.ClickSigmaPx != sw.ClickSigmaPx || !sameMarking(o.Marking, sw.Marking) ||
		len(o.Clips) != len(sw.Clips) || len(o.Positions) != len(sw.Positions) {
		return false
	}
	for i := range sw.Clips {
		a, b := &o.Clips[i], &sw.Clips[i]
		if a.View != b.View || a.Width != b.Width || a.Height != b.Height || a.FocalPx != b.FocalPx || a.OffLine != b.OffLine || a.Mirrored != b.Mirrored ||
			a.FocalRelSigma != b.FocalRelSigma || len(a.GroundLines) != len(b.GroundLines) {
			return false
		}
		for k := range b.GroundLines {
			if a.GroundLines[k] != b.GroundLines[k] {
				return false
			}
		}
	}
	for i := range sw.Positions {
		if o.Positions[i].Name != sw.Positions[i].Name {
			return false
		}
		for c := range sw.Clips {
			if o.Positions[i].InstantSigma(c) != sw.Positions[i].InstantSigma(c) {
				return false
			}
		}
	}
	return true
}

func sameMarking(a, b *MarkingPrior) bool { return a == b || a != nil && b != nil && *a == *b }
