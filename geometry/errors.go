package geometry

import (
	"errors"
	"strings"
)

// ErrNotConverged comes with a Solution whose Summary says how far the fit
// got. Its numbers are not to be trusted.
var ErrNotConverged = errors.New("geometry: the fit did not settle; check the marks for swapped sides or the wrong view")

// Insufficient says why a swing can't be fitted at all.
type Insufficient struct {
	Missing []Missing
}

// Error joins the reasons.
func (e *Insufficient) Error() string {
	var b strings.Builder
	for i, m := range e.Missing {
		if i > 0 {
			b.WriteString("; ")
		}
		b.WriteString(m.Reason)
	}
	return b.String()
}
