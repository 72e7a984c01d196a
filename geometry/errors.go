package geometry

import (
	"errors"
	"fmt"
)

// ErrNotConverged comes with a Solution whose Summary says how far the fit
// got. Its numbers are not to be trusted.
var ErrNotConverged = errors.New("geometry: the fit did not settle; check the marks for swapped sides or the wrong view")

// Insufficient says why a swing can't be fitted at all.
type Insufficient struct {
	Missing []Missing
}

// Error is for the log; what to do about it is in Missing.
func (e *Insufficient) Error() string {
	return fmt.Sprintf("geometry: the swing can't be fitted, for %d reasons", len(e.Missing))
}
