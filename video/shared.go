package video

import (
	"io/fs"
	"runtime"
	"sync"
	"weak"
)

// indexes are those in use anywhere in the program, by path, so that a clip that
// is open is not read from end to end for each further reader.
var indexes = sharedIndexes{byPath: make(map[string]weak.Pointer[Index])}

// sharedIndexes finds indexes for as long as somebody holds them; it keeps none
// alive itself.
type sharedIndexes struct {
	mu     sync.Mutex
	byPath map[string]weak.Pointer[Index]
}

// find returns the index of the file at path, whose facts are now these, or nil
// where none is known.
func (s *sharedIndexes) find(path string, now fs.FileInfo) *Index {
	s.mu.Lock()
	defer s.mu.Unlock()
	x := s.byPath[path].Value()
	if x == nil || x.same(now) != nil {
		return nil
	}
	return x
}

// share lets others find x by its path, and returns the index that all share: of
// those that were made at the same time of one file the first.
func (s *sharedIndexes) share(x *Index) *Index {
	at, p := x.info.Path, weak.Make(x)
	s.mu.Lock()
	defer s.mu.Unlock()
	if first := s.byPath[at].Value(); first != nil && first.same(x.stat) == nil {
		return first
	}
	s.byPath[at] = p
	runtime.AddCleanup(x, func(at string) {
		s.mu.Lock()
		defer s.mu.Unlock()
		if s.byPath[at] == p {
			delete(s.byPath, at)
		}
	}, at)
	return x
}
