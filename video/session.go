package video

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"sync/atomic"
	"time"

	"turngauge/video/sandbox"
)

var (
	// errDied is the end of a process that decodes, or its silence.
	errDied = errors.New("the part of the program that decodes stopped")
	// errAnswer is an answer that no sound process gives.
	errAnswer = errors.New("video: an answer that makes no sense")
)

// silence is how long a child may take for a call, or between two signs that it is
// working on one, before it is taken for hung.
const silence = time.Minute

// mostDeaths is how often a file may end the process that decodes it at one and the
// same thing.
const mostDeaths = 2

func refused(path string) error {
	return fileError(path, ErrUnsupported, "has twice stopped the part of the program that decodes clips, so it is left alone now: it is damaged, or made to do harm. Copy the clip from the phone again, or export it as H.264 and choose that.")
}

// session is one reader's link to the child of its clip. One goroutine at a time.
type session struct {
	child *child
	link  *sandbox.Link
	ended atomic.Bool // by interrupt or close
}

func openSession(f *os.File, stat fs.FileInfo) (*session, error) {
	c, l, err := children.visit(f, stat)
	if err != nil {
		return nil, err
	}
	return &session{child: c, link: l}, nil
}

// ask makes a call and waits for its answer, whose files are the caller's. Sound that
// comes before, in pieces, is given to use. The error is use's, errDied, ErrClosed after
// interrupt, or the other side's, as one of the file at path.
func (s *session) ask(c call, path string, use func(answer, []byte) error) (a answer, data []byte, files []*os.File, err error) {
	err = s.link.Send(c, nil)
	for err == nil {
		a = answer{}
		_ = s.link.Expect(time.Now().Add(silence))
		if data, files, err = s.link.Receive(&a); err == nil && !a.More {
			break
		}
		sandbox.CloseAll(files)
		if err == nil && a.Sound != nil && use != nil {
			if err := use(a, data); err != nil {
				return a, nil, nil, err
			}
		}
	}
	switch {
	case err == nil && a.Failed != nil:
		sandbox.CloseAll(files)
		return a, nil, nil, a.Failed.of(path)
	case err == nil:
		return a, data, files, nil
	case s.ended.Load():
		return a, nil, nil, ErrClosed
	}
	children.end(s.child)
	return a, nil, nil, errDied
}

// interrupt makes what is being asked for end at once, from any goroutine. Nothing can be
// asked for afterwards.
func (s *session) interrupt() {
	s.ended.Store(true)
	s.link.Close()
}

func (s *session) close() {
	s.interrupt()
	children.leave(s.child)
}

// ask asks for sound on a session of its own, once more where the child dies of it; each
// time, begun gives what is to be done with the pieces.
func ask(ctx context.Context, f *os.File, path string, stat fs.FileInfo, c call, begun func() func(answer, []byte) error) error {
	s, _, _, err := begin(ctx, f, path, stat, c, begun)
	if err == nil {
		s.close()
	}
	return err
}

// begin opens a session with a call, once more where the child dies of it. All sound goes
// to what begun gives.
func begin(ctx context.Context, f *os.File, path string, stat fs.FileInfo, c call, begun func() func(answer, []byte) error) (*session, answer, []byte, error) {
	for range mostDeaths {
		if err := ctx.Err(); err != nil {
			return nil, answer{}, nil, err
		}
		s, a, data, err := try(ctx, f, path, stat, c, begun)
		switch {
		case err == nil:
			return s, a, data, nil
		case ctx.Err() != nil:
			return nil, answer{}, nil, ctx.Err()
		case !errors.Is(err, errDied):
			return nil, answer{}, nil, err
		}
	}
	return nil, answer{}, nil, refused(path)
}

func try(ctx context.Context, f *os.File, path string, stat fs.FileInfo, c call, begun func() func(answer, []byte) error) (_ *session, a answer, data []byte, err error) {
	s, err := openSession(f, stat)
	if errors.Is(err, errDied) {
		return nil, a, nil, err
	}
	if err != nil {
		return nil, a, nil, fileError(path, ErrUnreadable, "can't be decoded: the part of the program that does so can't be started (%v). Close other programs and try again.", cause(err))
	}
	defer func() {
		if err != nil {
			s.close()
		}
	}()
	defer context.AfterFunc(ctx, s.interrupt)()
	use := begun()
	a, data, files, err := s.ask(c, path, use)
	sandbox.CloseAll(files)
	if file := (*FileError)(nil); a.Failed != nil && !errors.As(err, &file) {
		err = fileError(path, ErrUnreadable, "can't be decoded: %v. Close other programs and try again.", err)
	}
	if err == nil && a.Sound != nil {
		err = use(a, data)
	}
	if err == nil && s.ended.Load() {
		err = ErrClosed
	}
	return s, a, data, err
}
