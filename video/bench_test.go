package video

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"image"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The benchmarks measure beside the ffmpeg command line on the same clip in
// the same run, so that their ratios mean something on a busy machine:
//
//	go test -run - -bench . -benchtime 1x ./video
//
// Ratios named cpu compare processor time, which other programs disturb less.

// decodeHere has the benchmarks decode and encode in their own process, so that what the other
// costs can be told: run with it and without by turns.
var decodeHere = flag.Bool("inside", false, "benchmarks decode and encode in this process, not in one of its own")

// benchClip returns 8 s of 1080p at 240 frames a second with sensor-like noise,
// about as many bits as phones write, spread evenly. It is kept between runs:
// it takes longer to make than to measure.
func benchClip(b *testing.B) string {
	b.Helper()
	needFFmpeg(b)
	if *decodeHere {
		decodeInside(b)
	}
	dir := filepath.Join(os.TempDir(), "turngauge-bench")
	require.NoError(b, os.MkdirAll(dir, 0o755))
	path := filepath.Join(dir, "h264-1080p240-8s-g30.mp4")
	if _, err := os.Stat(path); err != nil {
		ffmpeg(b, "-f lavfi -i testsrc2=size=1920x1080:rate=240:duration=8,noise=alls=6:allf=t -c:v libx264 -preset veryfast -crf 18 -g 30 -bf 2 -sc_threshold 0 -pix_fmt yuv420p -colorspace bt709 -color_range tv", path+".part.mp4")
		require.NoError(b, os.Rename(path+".part.mp4", path))
	}
	return path
}

// cost is the time something took, by the clock and by the processor.
type cost struct{ wall, cpu time.Duration }

func (c *cost) add(other cost) {
	c.wall += other.wall
	c.cpu += other.cpu
}

// reportSpeed reports how fast ours was in terms of another's speed; above 1 is faster.
func reportSpeed(b *testing.B, other string, ours, theirs cost) {
	b.ReportMetric(float64(theirs.wall)/float64(ours.wall), "speed/"+other)
	b.ReportMetric(float64(theirs.cpu)/float64(ours.cpu), "cpu-speed/"+other)
}

// ffmpegDecode measures the command line decoding a clip's first frames to
// nowhere, through a filter if one is named.
func ffmpegDecode(b *testing.B, path, filter string, frames int) cost {
	b.Helper()
	c := exec.Command("ffmpeg", "-v", "error", "-nostdin", "-threads", fmt.Sprint(decodeThreads), "-i", path, "-an", "-vsync", "passthrough")
	if filter != "" {
		c.Args = append(c.Args, "-vf", filter)
	}
	c.Args = append(c.Args, "-frames:v", fmt.Sprint(frames), "-f", "null", "-")
	start := time.Now()
	require.NoError(b, c.Run())
	u := c.ProcessState.SysUsage().(*syscall.Rusage)
	return cost{time.Since(start), cpuOf(u)}
}

func cpuOf(u *syscall.Rusage) time.Duration {
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// ownCPU is the processor time of this process and of those that decode for it.
func ownCPU() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	all := cpuOf(&u)
	children.mu.Lock()
	defer children.mu.Unlock()
	for _, c := range children.all {
		if c.process.PID() == os.Getpid() {
			continue // counted above: it decodes in here
		}
		stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", c.process.PID()))
		if err != nil {
			continue
		}
		const tick = time.Second / 100        // proc(5): sysconf(_SC_CLK_TCK)
		fields := bytes.Fields(stat)          // our name holds no space
		for _, field := range fields[13:15] { // utime and stime
			n, _ := strconv.ParseInt(string(field), 10, 64)
			all += time.Duration(n) * tick
		}
	}
	return all
}

func measure(f func()) cost {
	cpu, start := ownCPU(), time.Now()
	f()
	return cost{time.Since(start), ownCPU() - cpu}
}

// BenchmarkOpen opens a clip that nobody has open: its packets are read from end
// to end.
func BenchmarkOpen(b *testing.B) {
	path := benchClip(b)
	b.ReportAllocs()
	for b.Loop() {
		s, err := openFirst(context.Background(), path)
		require.NoError(b, err)
		s.Close()
	}
}

// BenchmarkOpenSecond opens a clip that is open already, for another reader, as
// all work in the background does.
func BenchmarkOpenSecond(b *testing.B) {
	path := benchClip(b)
	first, err := Open(path)
	require.NoError(b, err)
	defer first.Close()
	b.ReportAllocs()
	for b.Loop() {
		s, err := Open(path)
		require.NoError(b, err)
		s.Close()
	}
}

// BenchmarkIndex is the part of opening a clip first that reads every packet's
// times and numbers the frames.
func BenchmarkIndex(b *testing.B) {
	s, _ := streamOf(b, benchClip(b))
	for b.Loop() {
		b.StopTimer()
		require.NoError(b, s.reopen())
		b.StartTimer()
		raw, err := readPackets(context.Background(), s, s.in.Load().format.Streams()[s.streamIndex])
		require.NoError(b, err)
		require.Equal(b, s.Frames(), newFrameIndex(raw).frames())
	}
	b.ReportMetric(float64(s.Frames()), "frames")
}

func BenchmarkOpenToFirstPicture(b *testing.B) {
	path := benchClip(b)
	img := image.NewRGBA(image.Rect(0, 0, 800, 450))
	var ours, theirs cost
	for b.Loop() {
		var r *Reader
		ours.add(measure(func() {
			s, err := openFirst(context.Background(), path)
			require.NoError(b, err)
			r = NewReader(s, ReaderOptions{})
			r.Request(0, 1)
			f := waitFrame(b, r, 0)
			require.NoError(b, f.Render(img, f.Bounds()))
			f.Release()
		}))
		b.StopTimer()
		r.Close()
		theirs.add(ffmpegDecode(b, path, displayFilter, 1))
		b.StartTimer()
	}
	reportSpeed(b, "ffmpeg", ours, theirs)
}

// displayFilter does to a picture what Render does for a view of 800 x 450.
const displayFilter = "scale=800:450:flags=bilinear,format=rgba"

// BenchmarkSequential decodes four seconds to pictures ready for display,
// beside the command line decoding only, and decoding and converting.
func BenchmarkSequential(b *testing.B) {
	path := benchClip(b)
	for _, view := range []struct {
		name, filter string
		w, h         int
	}{
		{"800x450", displayFilter, 800, 450},
		{"1920x1080", "format=rgba", 1920, 1080},
	} {
		b.Run(view.name, func(b *testing.B) {
			const frames = 960
			img := image.NewRGBA(image.Rect(0, 0, view.w, view.h))
			budget := NewBudget(300 << 20)
			var ours, bare, same cost
			for b.Loop() {
				r := openReader(b, path, ReaderOptions{Budget: budget})
				ours.add(measure(func() {
					for n := range frames {
						f, err := r.Read(context.Background(), n)
						require.NoError(b, err)
						require.NoError(b, f.Render(img, f.Bounds()))
						f.Release()
					}
				}))
				r.Close()
				b.StopTimer()
				bare.add(ffmpegDecode(b, path, "", frames))
				same.add(ffmpegDecode(b, path, view.filter, frames))
				b.StartTimer()
			}
			b.ReportMetric(float64(frames*b.N)/ours.wall.Seconds(), "frames/s")
			reportSpeed(b, "ffmpeg", ours, bare)
			reportSpeed(b, "ffmpeg-rgba", ours, same)
		})
	}
}

// BenchmarkStepCached is a step inside the cache: look-up and conversion.
func BenchmarkStepCached(b *testing.B) {
	r := openReader(b, benchClip(b), ReaderOptions{CacheBytes: 300 << 20})
	for n := range 30 {
		f, err := r.Read(context.Background(), n)
		require.NoError(b, err)
		f.Release()
	}
	img := image.NewRGBA(image.Rect(0, 0, 800, 450))
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		f, err := r.Frame(n % 30)
		require.NoError(b, err)
		require.NotNil(b, f)
		require.NoError(b, f.Render(img, f.Bounds()))
		f.Release()
		n++
	}
}

// BenchmarkStepBack holds the back key at 30 steps a second from the clip's end.
func BenchmarkStepBack(b *testing.B) {
	path := benchClip(b)
	const period = time.Second / 30
	var waits []time.Duration
	for b.Loop() {
		ready := make(chan struct{}, 1)
		r := openReader(b, path, ReaderOptions{CacheBytes: 600 << 20, OnReady: func() {
			select {
			case ready <- struct{}{}:
			default:
			}
		}})
		n := r.Source().Frames() - 1
		for k := range 150 {
			start := time.Now()
			r.Request(n-k, -1)
			for {
				f, err := r.Frame(n - k)
				require.NoError(b, err)
				if f != nil {
					f.Release()
					break
				}
				<-ready
			}
			if w := time.Since(start); k > 0 {
				waits = append(waits, w)
			}
			time.Sleep(time.Until(start.Add(period)))
		}
		r.Close()
	}
	reportPercentiles(b, waits)
}

// BenchmarkSeek goes to random frames, beside decoding from their key frame
// to them without any reader.
func BenchmarkSeek(b *testing.B) {
	path := benchClip(b)
	var waits, bare []time.Duration
	rng := rand.New(rand.NewPCG(1, 1))
	for b.Loop() {
		s, _ := streamOf(b, path)
		d, err := newDecoder(s)
		require.NoError(b, err)
		s.dec = d
		r := openReader(b, path, ReaderOptions{CacheBytes: 1})
		for range 40 {
			n := rng.IntN(s.Frames())
			start := time.Now()
			f, err := r.Read(context.Background(), n)
			require.NoError(b, err)
			f.Release()
			waits = append(waits, time.Since(start))

			start = time.Now()
			require.NoError(b, d.seek(s.planSeek(position{}, n, 0, s.falseKeys)))
			for got := -1; got != n; {
				got, err = d.next()
				require.NoError(b, err)
			}
			bare = append(bare, time.Since(start))
		}
		r.Close()
		s.close()
	}
	reportPercentiles(b, waits)
	slices.Sort(bare)
	b.ReportMetric(float64(percentile(waits, 95))/float64(percentile(bare, 95)), "p95/bare-decode")
}

func reportPercentiles(b *testing.B, d []time.Duration) {
	slices.Sort(d)
	for _, p := range []int{50, 95, 100} {
		b.ReportMetric(float64(percentile(d, p).Microseconds())/1000, fmt.Sprintf("p%d-ms", p))
	}
}

// percentile of sorted durations.
func percentile(d []time.Duration, p int) time.Duration { return d[(len(d)-1)*p/100] }

func BenchmarkRender(b *testing.B) {
	r := openReader(b, benchClip(b), ReaderOptions{})
	f, err := r.Read(context.Background(), 5)
	require.NoError(b, err)
	r.Request(5, 0)
	for _, c := range []struct {
		name string
		w, h int
		crop image.Rectangle
	}{
		{"1920x1080", 1920, 1080, f.Bounds()},
		{"800x450", 800, 450, f.Bounds()},
		{"1000x562", 1000, 562, f.Bounds()},
		{"magnifier", 240, 240, image.Rect(901, 501, 961, 561)},
	} {
		b.Run(c.name, func(b *testing.B) {
			img := image.NewRGBA(image.Rect(0, 0, c.w, c.h))
			b.ReportAllocs()
			for b.Loop() {
				require.NoError(b, f.Render(img, c.crop))
			}
		})
	}
}
