package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"image"
	"math"
	"os"
	"slices"
	"time"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/video/track"
)

type raw struct{ f *os.File }

func (r raw) Frames() int       { return 420 }
func (r raw) Size() image.Point { return image.Pt(1920, 1080) }
func (r raw) Gray(_ context.Context, n int, dst *image.Gray) error {
	_, err := r.f.ReadAt(dst.Pix, int64(n)*1920*1080)
	return err
}

type truth struct {
	Clips []struct {
		ID           string        `json:"id"`
		StartSeconds float64       `json:"start_seconds"`
		PositionM    [3]float64    `json:"position_m"`
		Rotation     [3][3]float64 `json:"rotation"`
		FocalPx      float64       `json:"focal_px"`
	}
	Positions []struct {
		Name   string
		Frames []struct {
			Clip    string
			Index   int
			Pixels  map[string][2]float64 `json:"points_px"`
			Visible map[string]bool
		}
	}
}

func main() {
	detail := flag.String("p", "", "point")
	win := flag.Int("w", 0, "")
	quiet := flag.Bool("q", false, "")
	flag.Parse()
	devnull := os.Stdout
	if *quiet {
		os.Stdout, _ = os.OpenFile("/dev/null", os.O_WRONLY, 0)
	}
	b, _ := os.ReadFile("/tmp/try/demo/truth.json")
	var t truth
	if err := json.Unmarshal(b, &t); err != nil {
		panic(err)
	}
	m := golfer.Mara()
	vb, _ := os.ReadFile("/tmp/trk/vis.json")
	var seen map[string]map[int][]bool
	if err := json.Unmarshal(vb, &seen); err != nil {
		panic(err)
	}
	lostAll := 0
	var hide []float64
	var cat [5][]float64
	var all, lin, sig []float64
	for ci, file := range []string{"face-on", "down-the-line"} {
		f, err := os.Open("/tmp/trk/" + file + ".gray")
		if err != nil {
			panic(err)
		}
		c := t.Clips[ci]
		cam := geometry.Camera{Position: geometry.WorldPt{X: c.PositionM[0], Y: c.PositionM[1], Z: c.PositionM[2]}, Rotation: c.Rotation, FocalPx: c.FocalPx, Width: 1920, Height: 1080}
		at := func(p, n int) (x, y float64) {
			pose := m.At(c.StartSeconds + float64(n)/240)
			q, _ := cam.Project(pose.Points[p])
			return q.X, q.Y
		}
		vis := map[[2]int]bool{}
		var keys []int
		var marks []track.Placed
		for k, pos := range t.Positions[:6] {
			for _, fr := range pos.Frames {
				if fr.Clip != c.ID {
					continue
				}
				keys = append(keys, fr.Index)
				for p := range geometry.NumPoints {
					name := geometry.Point(p).String()
					if fr.Visible[name] && (*detail == "" || *detail == name) {
						vis[[2]int{p, k}] = true
						x, y := at(p, fr.Index)
						marks = append(marks, track.Placed{Point: p, Frame: fr.Index, X: x, Y: y})
					}
				}
			}
		}
		start := time.Now()
		tracks, err := track.Follow(context.Background(), raw{f}, marks, track.Options{Window: *win})
		if err != nil {
			panic(err)
		}
		fmt.Printf("%s: %v keys %v\n", file, time.Since(start), keys)
		for _, tr := range tracks {
			p := tr.Point
			if geometry.Point(p) == geometry.Ball {
				continue
			}
			fmt.Printf("%-15s", geometry.Point(p))
			var own []float64
			for k := 0; k+1 < len(keys); k++ {
				if !vis[[2]int{p, k}] || !vis[[2]int{p, k + 1}] {
					fmt.Printf("%22s", "-")
					continue
				}
				var e []float64
				lost, one, hid, ap := 0, 0, 0, 0.0
				x0, y0 := at(p, keys[k])
				x1, y1 := at(p, keys[k+1])
				for n := keys[k] + 1; n < keys[k+1]; n++ {
					s := tr.At(n)
					if !seen[c.ID][n&^1][p] || !seen[c.ID][(n&^1)+2][p] {
						hid++
						if s.State != track.Lost {
							x, y := at(p, n)
							hide = append(hide, math.Hypot(s.X-x, s.Y-y))
						}
						continue
					}
					if s.State == track.Lost {
						lost++
						lostAll++
						continue
					}
					if s.State == track.OneWay {
						one++
					}
					ap = max(ap, s.Apart)
					x, y := at(p, n)
					d := math.Hypot(s.X-x, s.Y-y)
					e = append(e, d)
					ct := int(s.State)
					
					
					cat[ct] = append(cat[ct], d)
					sig = append(sig, d/s.Sigma)
					w := float64(n-keys[k]) / float64(keys[k+1]-keys[k])
					lin = append(lin, math.Hypot(x0+w*(x1-x0)-x, y0+w*(y1-y0)-y))
					if *detail != "" {
						fmt.Printf("\n%d err %.2f (%.2f,%.2f) apart %.2f back %.2f alike %.3f sigma %.2f st %d", n, d, s.X-x, s.Y-y, s.Apart, s.Back, s.Alike, s.Sigma, s.State)
					}
				}
				own = append(own, e...)
				slices.Sort(e)
				if len(e) == 0 {
					fmt.Printf("  lost%12d h%-2d", lost, hid)
					continue
				}
				fmt.Printf(" %4.1f %5.1f a%-2.0fL%-2do%-2dh%-2d", q(e, .5), q(e, 1), ap, lost, one, hid)
			}
			all = append(all, own...)
			slices.Sort(own)
			if len(own) > 0 {
				fmt.Printf("  | %.2f %.2f", q(own, .5), q(own, .95))
			}
			fmt.Println()
		}
	}
	os.Stdout = devnull
	slices.Sort(all)
	slices.Sort(lin)
	slices.Sort(sig)
	for i, c := range cat {
		slices.Sort(c)
		if len(c) > 0 {
			fmt.Printf("%s %d: %.2f %.2f; ", []string{"", "alone", "both", "one", "meet"}[i], len(c), q(c, .5), q(c, .95))
		}
	}
	slices.Sort(hide)
	fmt.Printf("hidden %d: %.1f %.1f; ", len(hide), q(hide, .5), q(hide, .95))
	fmt.Printf("lost %d of %d; ", lostAll, lostAll+len(all))
	fmt.Printf("all %d: median %.2f 90%% %.2f 95%% %.2f 99%% %.1f max %.1f; straight line between marks: median %.1f 95%% %.1f; err/sigma median %.2f 90%% %.2f 95%% %.2f\n", len(all), q(all, .5), q(all, .9), q(all, .95), q(all, .99), q(all, 1), q(lin, .5), q(lin, .95), q(sig, .5), q(sig, .9), q(sig, .95))
}

func q(s []float64, p float64) float64 { return s[int(p*float64(len(s)-1))] }
