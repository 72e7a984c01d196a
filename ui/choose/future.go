package choose

// future is a value that another goroutine works out. It is polled from the window's goroutine.
type future[T any] struct{ ch chan T }

// start works out a value on a goroutine of its own and calls wake when it is there. A future nobody polls
// any more costs nothing once its work is done.
func start[T any](wake func(), work func() T) *future[T] {
	f := &future[T]{make(chan T, 1)}
	go func() {
		f.ch <- work()
		wake()
	}()
	return f
}

// take returns the value once it is there, and once only. A nil future has none.
func (f *future[T]) take() (v T, ok bool) {
	if f == nil {
		return v, false
	}
	select {
	case v = <-f.ch:
		return v, true
	default:
		return v, false
	}
}
