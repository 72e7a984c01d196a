package bundle

import (
	"encoding/json"
	"flag"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

var writeFit = flag.String("write-fit", "", "write testdata/scipy_fit.json anew from this swing; package fit writes it with -write-swing")

// fitFile is the swing of BenchmarkSolveCold for testdata/scipy_fit.py.
type fitFile struct {
	Cameras        []fitCamera                    `json:"cameras"`
	Points         [][geometry.NumBody][3]float64 `json:"points"`
	Marks          [][6]float64                   `json:"marks"`
	Segments       [][4]float64                   `json:"segments"`
	Lengths        [][2]float64                   `json:"lengths"`
	Stature        float64                        `json:"stature"`
	StatureSigma   float64                        `json:"stature_sigma"`
	Nu             float64                        `json:"nu"`
	Ankles         [2]int                         `json:"ankles"`
	Wide           [geometry.NumBody]float64      `json:"wide"`
	CameraPosition [][3]float64                   `json:"camera_position"`
	CameraSigma    [][3]float64                   `json:"camera_sigma"`
}

type fitCamera struct {
	Position [3]float64    `json:"position"`
	Rotation [3][3]float64 `json:"rotation"`
	Focal    float64       `json:"focal"`
	Width    int           `json:"width"`
	Height   int           `json:"height"`
	FaceOn   bool          `json:"face_on"`
}

func TestWriteFit(t *testing.T) {
	if *writeFit == "" {
		t.Skip("writes testdata/scipy_fit.json when asked to by -write-fit")
	}
	from, err := os.ReadFile(*writeFit)
	require.NoError(t, err)
	var sw geometry.Swing
	require.NoError(t, json.Unmarshal(from, &sw))
	p := NewProblem(&sw)
	st := p.firstState(make([]float64, len(p.Clips)))
	p.SetSigmas(&sw, st)
	out := fitFile{Stature: math.Log(p.statureM), StatureSigma: p.statureLog, Nu: levmar.Nu, Ankles: [2]int{int(geometry.LeadAnkle), int(geometry.TrailAnkle)}}
	round := func(v float64) float64 { return math.Round(v*1e6) / 1e6 }
	for c, cam := range st.Cameras {
		f := fitCamera{[3]float64{cam.Position.X, cam.Position.Y, cam.Position.Z}, cam.Rotation, cam.FocalPx, cam.Width, cam.Height, p.Views[c] == geometry.FaceOn}
		out.Cameras = append(out.Cameras, f)
		n := p.nominal[c].Position
		out.CameraPosition = append(out.CameraPosition, [3]float64{n.X, n.Y, n.Z})
		sigma := [3]float64{cameraSideSigmaM, cameraHeightSigmaM, cameraAwaySigmaM}
		if p.Views[c] == geometry.DownTheLine {
			sigma[0], sigma[2] = sigma[2], sigma[0]
		}
		out.CameraSigma = append(out.CameraSigma, sigma)
	}
	for i := range p.Names {
		var pts [geometry.NumBody][3]float64
		for pt := range pts {
			v := p.figure[i][pt]
			pts[pt] = [3]float64{round(v.X), round(v.Y), round(v.Z)}
			out.Wide[pt] = wideSigma(geometry.Point(pt))
		}
		out.Points = append(out.Points, pts)
		for _, m := range p.Marks[i] {
			out.Marks = append(out.Marks, [6]float64{float64(m.Clip), float64(m.Pos), float64(m.Point), round(m.X), round(m.Y), round(m.Sigma)})
		}
	}
	for _, l := range geometry.BodySegments {
		out.Segments = append(out.Segments, [4]float64{float64(l.A), float64(l.B), float64(l.Segment), geometry.SegmentPriors[l.Segment].SigmaM})
	}
	for l, prior := range geometry.SegmentPriors {
		fraction, sigma := prior.Fraction, prior.LogSigma
		if l == geometry.SegmentClub {
			fraction, sigma = p.clubM/p.statureM, p.clubLog
		}
		out.Lengths = append(out.Lengths, [2]float64{round(math.Log(fraction)), sigma})
	}
	b, err := json.Marshal(out)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile("testdata/scipy_fit.json", append(b, 10), 0o644))
}
