package annotations

import "github.com/oklog/ulid/v2"

// NewID returns a fresh identifier for a lesson, a swing or a clip: 26
// characters that sort by the time they were made. It is safe for concurrent
// use.
func NewID() string { return ulid.Make().String() }
