package film

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"os"

	"golang.org/x/sync/errgroup"

	"turngauge/annotations/place"
	"turngauge/annotations/review"
	"turngauge/ui/fault"
	"turngauge/video"
	"turngauge/video/loudness"
)

// quality is how finely a film is written.
type quality struct {
	crf    int // x264's constant rate factor: smaller is finer
	voice  int // bits a second of the sound
	shrink int // steps of making the pictures smaller; see sizes
}

// finest is how films are written that may be of any size.
var finest = quality{crf: 21, voice: 128_000}

// What a film that has to be small is made of.
const (
	// halving is by how much x264's factor rises where the pictures take half the bytes
	// (from memory; what was written shows it each time).
	halving = 6.0
	// coarsest is the factor from which on smaller pictures look better than coarser ones,
	// and worst the one at which it ends (ours, by looking at the demo's).
	coarsest, worst = 31, 40
	// leastVoice is the rate below which AAC of one channel is no longer clear, bits a
	// second (common practice, no source), and voiceShare its share of the film at most.
	leastVoice = 48_000
	voiceShare = 0.3
	// mostPasses bounds how often a film is written.
	mostPasses = 5
	// aim is the share of the room that is aimed at.
	aim = 0.94
)

// sizes are those of the pictures, as shares of what was asked for: each takes about half
// the bytes of the one before.
var sizes = [...]float64{1, 0.667, 0.5}

// Write makes the film. It stops when ctx ends; the file is complete or not there. The
// notes are sentences for the coach: what was left out, and why.
func Write(ctx context.Context, r Request) (notes []string, err error) {
	f, err := open(ctx, r)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	f.ahead = true
	learnt := false
	var hearing errgroup.Group
	hearing.Go(fault.Guard(func() (err error) {
		learnt, err = f.hear()
		return err
	}))
	err = errors.Join(f.openAll(ctx), f.follow(ctx))
	deaf := hearing.Wait()
	if err = errors.Join(err, f.heard(learnt || deaf != nil, deaf)); err != nil {
		return f.notes, err
	}
	if r.Progress == nil {
		r.Progress = func(int, int) {}
	}
	if r.MostMB <= 0 {
		return f.notes, f.write(ctx, r.MP4, finest, r.Progress)
	}
	return f.notes, f.writeWithin(ctx, r.MostMB*1e6, r.Progress)
}

// writeWithin writes the film in at most so many bytes: as it would be written anyway if
// that fits, else again, by what it came to, coarser.
func (f *Film) writeWithin(ctx context.Context, bytes float64, progress func(done, total int)) error {
	seconds := float64(f.Frames()) / Rate
	q := finest
	q.voice = int(min(max(voiceShare*8*bytes/seconds, leastVoice), float64(q.voice)))
	try := place.FreeName(f.request.MP4 + ".try")
	defer func() { _ = os.Remove(try) }()
	whole, slope, added := f.size, halving, codecAdds
	var before quality
	var larger float64
	for pass := range mostPasses {
		f.size = scaled(whole, sizes[q.shrink])
		err := f.write(ctx, try, q, func(done, total int) { progress(min(pass, 2)*total+done, 3*total) })
		if err != nil {
			return err
		}
		info, err := os.Stat(try)
		if err != nil {
			return err
		}
		size := float64(info.Size())
		if size <= bytes {
			over, err := f.overshoot(ctx, try)
			if err != nil {
				return err
			}
			if over > 0 && pass < mostPasses-1 {
				added += over + 0.3
				if err := f.normalize(added); err != nil {
					return err
				}
				continue
			}
			progress(1, 1)
			return os.Rename(try, f.request.MP4) // it was synced when it was closed
		}
		sound := float64(0)
		if len(f.sound) > 0 {
			sound = float64(q.voice) / 8 * seconds
		}
		room := aim*bytes - sound
		if q.crf >= worst && q.shrink == len(sizes)-1 || room <= 0 {
			break
		}
		picture := size - sound
		if pass > 0 && q.shrink == before.shrink && larger > picture { // so steep it is in this film
			slope = min(max(float64(q.crf-before.crf)/math.Log2(larger/picture), 3), 12)
		}
		before, larger = q, picture
		q = coarser(q, slope*math.Log2(picture/room))
	}
	least := math.Ceil((seconds*(leastVoice+60_000)/8)/1e5) / 10
	return fmt.Errorf("a film of %.0f s can't be as small as %g MB: allow %.1f MB or more, or cut it", seconds, bytes/1e6, max(least, bytes/1e6*1.2))
}

// overshoot is by how much the true peak of a film's sound as it is decoded is too high, dB:
// coarse AAC adds more than codecAdds at times.
func (f *Film) overshoot(ctx context.Context, path string) (float64, error) {
	if len(f.sound) == 0 {
		return 0, nil
	}
	heard, err := video.ReadAudio(ctx, path)
	if err != nil {
		return 0, err
	}
	_, peak, err := loudness.Of(heard.Samples)
	return peak - voicePeak, err
}

// coarser is a quality at which the pictures take fewer bytes, by so many steps of the
// factor: in smaller pictures where they would become too coarse.
func coarser(q quality, steps float64) quality {
	crf := q.crf + max(int(math.Ceil(steps)), 1)
	for crf > coarsest && q.shrink < len(sizes)-1 {
		q.shrink++
		crf -= int(halving)
	}
	q.crf = min(max(crf, finest.crf), worst)
	return q
}

// scaled is a size of pictures, in even numbers.
func scaled(p image.Point, by float64) image.Point {
	return image.Pt(int(by*float64(p.X)/2+0.5)*2, int(by*float64(p.Y)/2+0.5)*2)
}

// write writes the film into a file.
func (f *Film) write(ctx context.Context, path string, q quality, progress func(done, total int)) error {
	o := video.WriterOptions{
		Width: f.size.X, Height: f.size.Y, RateNum: Rate, CRF: q.crf, AudioBitRate: q.voice, Comment: f.title(),
		Chapters: f.Chapters(), Captions: f.captions(),
	}
	if len(f.sound) > 0 {
		o.AudioRate = review.Rate
	}
	out, err := video.Create(path, o)
	if err != nil {
		return err
	}
	done := false
	defer func() {
		if !done {
			out.Abort()
		}
	}()
	if err := f.film(ctx, out, progress); err != nil {
		return err
	}
	done = true
	return out.Close()
}

// film writes all frames and the sound beside them.
func (f *Film) film(ctx context.Context, out *video.Writer, progress func(done, total int)) error {
	surface, err := video.NewSurface(f.size.X, f.size.Y)
	if err != nil {
		return err
	}
	defer surface.Free()
	e := f.easel(onSurface{surface})
	ahead := f.readAhead(ctx)
	defer ahead.end()
	total, sounded := f.Frames(), 0
	var last *review.State
	for n := range total {
		if err := ctx.Err(); err != nil {
			return err
		}
		if s := f.shown(n); n == 0 || s != last {
			last = s
			ahead.next()
		}
		if err := fault.Guard(func() error { return e.draw(ctx, n) })(); err != nil {
			return err
		}
		if err := out.WriteSurface(surface); err != nil {
			return err
		}
		if end := min((n+1)*review.Rate/Rate, len(f.sound)); end > sounded {
			if err := out.WriteAudio(f.sound[sounded:end]); err != nil {
				return err
			}
			sounded = end
		}
		if (n+1)*100/total > n*100/total {
			progress((n+1)*100/total, 100)
		}
	}
	return nil
}
