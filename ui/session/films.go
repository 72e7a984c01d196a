package session

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/video"
	"turngauge/video/sound"
)

// Reels are the opened clips of a swing by view, in the order of the bench's
// stages.
type Reels struct {
	Films  [bench.NumStages]*Film
	Waves  [bench.NumStages][]float32 // sound level along the clip
	Errors [bench.NumStages]string    // why a clip can't be shown
}

// closeAll closes the films.
func (r *Reels) closeAll() {
	for i, f := range r.Films {
		if f != nil {
			f.close()
		}
		r.Films[i], r.Waves[i] = nil, nil
	}
}

// reel returns where the clip that a stage shows is kept.
func (s *Session) reel(stage int) (*Reels, int) {
	switch {
	case s.Comparing == nil:
		return &s.Reels, stage
	case stage == 0:
		return &s.Reels, viewStage(s.Comparing.View())
	default:
		return &s.Other.Reels, viewStage(s.Comparing.View())
	}
}

// Film returns the opened clip that a stage shows, or nil.
func (s *Session) Film(stage int) *Film {
	r, i := s.reel(stage)
	return r.Films[i]
}

// Wave returns the sound level along the clip that a stage shows.
func (s *Session) Wave(stage int) []float32 {
	r, i := s.reel(stage)
	return r.Waves[i]
}

// Trouble says why a stage shows no picture, or "".
func (s *Session) Trouble(stage int) string {
	r, i := s.reel(stage)
	return r.Errors[i]
}

// OpenClips opens, in the background, the files of clips that are on a stage
// and not open yet, and closes those whose clip has gone.
func (s *Session) OpenClips() {
	for i := range s.Bench.Stages {
		st := &s.Bench.Stages[i]
		if s.Films[i] != nil && st.Film == nil {
			s.Films[i].close()
			s.Films[i], s.Waves[i] = nil, nil
		}
		s.Errors[i], s.clips[i] = "", opened{st.Clip, st.FilmedFPS}
		if st.Clip == "" || st.Film != nil {
			continue
		}
		c := s.Bench.Swing().Clip(st.Clip)
		if c.File == "" {
			s.Errors[i] = "This clip has no file. Drop the file on the window to show it."
			continue
		}
		clip, path, filmed := st.Clip, c.PathIn(filepath.Dir(s.Path)), c.FilmedFPS
		s.env.Go("Opening "+path, func() { s.openFilm(i, clip, path, filmed) }, nil)
	}
}

// openFilm opens one file, filmed at a rate as in annotations.Clip, on its own
// goroutine and hands it to the stage.
func (s *Session) openFilm(stage int, clip, path string, filmed float64) {
	src, err := video.OpenContext(s.ctx, path)
	if err != nil {
		s.env.Post(func() {
			if !s.closed && s.Bench.Stages[stage].Clip == clip {
				s.Errors[stage] = err.Error()
			}
		})
		return
	}
	src.SetFilmed(filmed)
	f := s.env.newFilm(src)
	s.env.Post(func() {
		st := &s.Bench.Stages[stage]
		if s.closed || (opened{st.Clip, st.FilmedFPS}) != (opened{clip, filmed}) || st.Film != nil {
			f.close()
			return
		}
		if c := s.Bench.Swing().Clip(clip); c.Width != f.Info.Width || c.Height != f.Info.Height {
			s.Errors[stage] = fmt.Sprintf("%s is %d × %d, but the lesson was marked on a clip of %d × %d. Find the clip that belongs to it.",
				filepath.Base(path), f.Info.Width, f.Info.Height, c.Width, c.Height)
			f.close()
			return
		}
		s.Films[stage] = f
		s.instants[stage].stop()
		s.instants[stage] = instants{}
		s.Bench.OpenFilm(stage, f)
		for _, w := range f.Info.Warnings {
			s.env.warn(bench.Note(w))
		}
		if filmed == 0 && f.Info.SlowedBy() != 1 {
			s.env.warn("In this lesson the clip's times count as they are played, so tempo and speeds are not those of life.")
		}
		part := st.Part
		s.searches[stage].listening = true
		heard := func() { s.searches[stage].listening = false }
		s.env.Go("Listening for the strike", func() {
			s.listen(stage, f, part)
			s.env.Post(func() {
				if s.Films[stage] == f {
					heard()
				}
			})
		}, heard)
		s.see(stage, f)
	})
}

// wavePoints is how finely the sound level is kept along a clip.
const wavePoints = 2000

// listen finds the strike in the sound of a part of a clip.
func (s *Session) listen(stage int, f *Film, part annotations.Part) {
	silent := func() {
		s.env.Post(func() {
			if s.closed || s.Films[stage] != f {
				return
			}
			s.searches[stage].silent = true
		})
	}
	if !f.Info.HasAudio {
		silent()
		return
	}
	snd, from, length, err := soundOf(s.ctx, f.source.Index, part)
	if err != nil || len(snd.Samples) == 0 {
		silent()
		return
	}
	wave := sound.Envelope(alongClip(snd, length), wavePoints)
	strikes := sound.FindStrikes(snd.Samples, snd.Rate)
	if len(strikes) == 0 {
		silent()
	}
	s.env.Post(func() {
		if s.closed || s.Films[stage] != f {
			return
		}
		s.Waves[stage] = wave
		if len(strikes) == 0 {
			return
		}
		unsure := strikes[0].Confidence < sound.Sure
		s.Bench.HearStrike(stage, f.source.Life(strikes[0].Seconds+snd.Start+from), unsure)
		if unsure {
			s.env.warn(bench.Note(fmt.Sprintf("The strike can't be told for sure in the %s clip's sound: look at the hollow 6 on its time rail, drag it to impact or press Enter on it.", s.Bench.Stages[stage].View)))
		}
	})
}

// soundOf reads the sound of a part of a clip, which begins from seconds after its first
// frame, as the file has it, and is so many seconds long. The sound's own clock begins
// with the part.
func soundOf(ctx context.Context, clip *video.Index, part annotations.Part) (snd *video.Audio, from, length float64, err error) {
	if part.Whole() {
		snd, err = video.ReadAudio(ctx, clip.Info().Path)
		return snd, 0, clip.Info().Duration.Seconds(), err
	}
	const piece, around = 10.0, 0.2 // seconds; a strike is told by what is around it
	first, last := part.Of(clip.Frames())
	tb := clip.Info().TimeBase
	played := func(n int) float64 {
		return float64(clip.PTS(n)-clip.PTS(0)) * float64(tb[0]) / float64(tb[1])
	}
	from = played(first)
	length = played(last) - from
	snd = &video.Audio{}
	past := errors.New("past the part")
	err = clip.EachSound(ctx, piece, 0, func(a *video.Audio) error {
		if a.Rate == 0 {
			return nil
		}
		at := func(seconds float64) int {
			return min(max(int((seconds-a.Start)*float64(a.Rate)), 0), len(a.Samples))
		}
		i, j := at(from-around), at(from+length+around)
		if i < j && len(snd.Samples) == 0 {
			snd.Rate, snd.Start = a.Rate, a.Start+float64(i)/float64(a.Rate)-from
		}
		snd.Samples = append(snd.Samples, a.Samples[i:j]...)
		if a.Start > from+length+around {
			return past
		}
		return nil
	})
	if errors.Is(err, past) {
		err = nil
	}
	return snd, from, length, err
}

// alongClip returns the sound from the first to the last shown frame, with
// silence where there is none.
func alongClip(snd *video.Audio, seconds float64) []float32 {
	n := int(seconds * float64(snd.Rate))
	from := int(-snd.Start * float64(snd.Rate))
	if n <= 0 || from >= len(snd.Samples) {
		return nil
	}
	out := make([]float32, n)
	if from < 0 {
		if -from < n {
			copy(out[-from:], snd.Samples)
		}
		return out
	}
	copy(out, snd.Samples[from:])
	return out
}
