package thumbnail

import (
	"cmp"
	"image"
	"os"
	"slices"

	"gioui.org/op/paint"
)

// Worker does things beside the window; see session.Work.
type Worker interface {
	Go(what string, do, failed func())
	Post(do func())
}

// Pictures are the small pictures of a window. They belong to its goroutine.
type Pictures struct {
	// Address tells at which frame of a clip the golfer stands at address, where
	// that is known of the open lesson. It may be nil.
	Address func(clip string) (frame int, ok bool)

	work    Worker
	folder  string // of those that are kept; "" keeps none
	made    map[string]*picture
	waiting []source // the last asked for at the end
	running int
	clock   int
	era     int // counts what was forgotten: what was begun before is not kept
}

// picture is one that was read, or is being read.
type picture struct {
	op     paint.ImageOp
	size   image.Point
	broken bool // there is none to be had
	ready  bool
	used   int // by the clock of Pictures
}

const (
	// atOnce is how many pictures are read at once: the window and the fit have
	// work to do as well.
	atOnce = 2
	// mostWaiting is how many may wait, more than a list shows at once.
	mostWaiting = 40
	// mostInMemory of at most 224 by 224 pixels are 32 MB.
	mostInMemory = 160
)

// New returns the pictures of a window; folder is where they are kept, "" for nowhere.
func New(w Worker, folder string) *Pictures {
	return &Pictures{work: w, folder: folder, made: make(map[string]*picture)}
}

// of returns the picture of a file, and asks for it where it is not there. version
// tells apart what the file held at different times.
func (p *Pictures) of(path, version string) *picture {
	s := source{path: path, version: version, frame: -1}
	if p.Address != nil {
		if f, ok := p.Address(path); ok {
			s.frame = f
		}
	}
	p.clock++
	if t, ok := p.made[s.key()]; ok {
		t.used = p.clock
		return t
	}
	p.waiting = slices.DeleteFunc(p.waiting, func(o source) bool { return o.key() == s.key() })
	p.waiting = append(p.waiting, s)
	if n := len(p.waiting) - mostWaiting; n > 0 {
		p.waiting = slices.Delete(p.waiting, 0, n)
	}
	p.next()
	return nil
}

// next reads what was asked for last, while there is a goroutine to spare.
func (p *Pictures) next() {
	for p.running < atOnce && len(p.waiting) > 0 {
		s := p.waiting[len(p.waiting)-1]
		p.waiting = p.waiting[:len(p.waiting)-1]
		p.running++
		era, done := p.era, &picture{}
		p.made[s.key()] = done
		folder := p.folder
		p.work.Go("Making the small picture of "+s.path, func() {
			im, err := s.read(folder)
			p.work.Post(func() {
				p.running--
				done.ready, done.broken = true, err != nil
				if err == nil {
					done.op = paint.NewImageOp(im)
					done.op.Filter = paint.FilterLinear
					done.size = im.Rect.Size()
				}
				if era != p.era {
					p.Forget() // it was kept meanwhile
					return
				}
				p.trim()
				p.next()
			})
		}, func() {
			p.running--
			done.ready, done.broken = true, true
			p.next()
		})
	}
}

// trim drops what was not shown for the longest time.
func (p *Pictures) trim() {
	if len(p.made) <= mostInMemory {
		return
	}
	keys := make([]string, 0, len(p.made))
	for k, t := range p.made {
		if t.ready {
			keys = append(keys, k)
		}
	}
	slices.SortFunc(keys, func(a, b string) int { return cmp.Compare(p.made[a].used, p.made[b].used) })
	for _, k := range keys[:min(len(keys), len(p.made)-mostInMemory)] {
		delete(p.made, k)
	}
}

// Forget drops all pictures in memory and in the folder, as when a student is erased:
// which of them show the student can't be told.
func (p *Pictures) Forget() {
	p.era++
	p.waiting = nil
	clear(p.made)
	if p.folder != "" {
		_ = os.RemoveAll(p.folder)
	}
}
