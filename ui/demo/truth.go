package demo

import (
	"encoding/json"
	"fmt"
	"image"
	"math"
	"os"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/video"
)

// Truth is what is known of a demo swing because it was made: the file
// truth.json beside its clips.
type Truth struct {
	Version int `json:"version"`
	// Golfer and club.
	StatureM    float64 `json:"stature_m"`
	ClubLengthM float64 `json:"club_length_m"`
	// StrikeSeconds is the strike on the swing's clock, which starts when the
	// club starts back.
	StrikeSeconds float64         `json:"strike_seconds"`
	Clips         []TruthClip     `json:"clips"`
	Positions     []TruthPosition `json:"positions"`

	begins float64 // on the clock of what is filmed, seconds
	inTake bool    // it is one of several swings
}

// TruthClip is one clip and the camera that filmed it.
type TruthClip struct {
	ID            string          `json:"id"`
	View          string          `json:"view"`
	File          string          `json:"file"`
	SHA256        string          `json:"sha256"`
	Width         int             `json:"width"`
	Height        int             `json:"height"`
	FramesPerS    float64         `json:"frames_per_second"`
	Frames        int             `json:"frames"`
	Part          [2]int          `json:"part,omitzero"` // first and last frame of the swing in a take
	TimeBase      [2]int64        `json:"time_base"`
	StartSeconds  float64         `json:"start_seconds"`  // of the first picture, on the swing's clock
	StrikeSeconds float64         `json:"strike_seconds"` // on the clip's clock, 0 at the first picture
	PositionM     [3]float64      `json:"position_m"`
	Rotation      [3][3]float64   `json:"rotation"` // rows: right, down, forward
	FocalPx       float64         `json:"focal_px"`
	K1            float64         `json:"k1"`
	StickEndsM    [2][3]float64   `json:"stick_ends_m"`
	StickEndsPx   [2][2]float64   `json:"stick_ends_px"`
	camera        geometry.Camera // rebuilt by LoadTruth
}

// Camera returns the camera that filmed the clip.
func (c *TruthClip) Camera() geometry.Camera { return c.camera }

// TruthPosition is a key position.
type TruthPosition struct {
	Name    geometry.PositionName `json:"name"`
	Seconds float64               `json:"seconds"` // on the swing's clock
	// Points are the places of all points at that time, metres in the world.
	Points map[string][3]float64 `json:"points_m"`
	// Measures are the true values by name, in the units of
	// geometry.Definitions.
	Measures map[string]float64 `json:"measures"`
	Frames   []TruthFrame       `json:"frames"`
}

// TruthFrame is the picture of a clip that is nearest to a key position, and
// what it shows. Points move between the key position's time and the picture's,
// the clubhead by centimetres, so the picture's own are given.
type TruthFrame struct {
	Clip         string                `json:"clip"`
	Index        int                   `json:"index"`
	PTS          int64                 `json:"pts"`
	Seconds      float64               `json:"seconds"`       // on the clip's clock
	SwingSeconds float64               `json:"swing_seconds"` // on the swing's clock
	Points       map[string][3]float64 `json:"points_m"`
	Pixels       map[string][2]float64 `json:"points_px"` // upright pixels
	// Visible says of each point whether a coach can place it: it is in the
	// picture and nothing hides it and its surroundings. For a joint, the limb
	// it lies in does not count.
	Visible map[string]bool `json:"visible"`
}

// Position returns the key position of that name, or nil.
func (t *Truth) Position(name geometry.PositionName) *TruthPosition {
	for i := range t.Positions {
		if t.Positions[i].Name == name {
			return &t.Positions[i]
		}
	}
	return nil
}

// Frame returns the picture of a clip for the position, or nil.
func (p *TruthPosition) Frame(clip string) *TruthFrame {
	for i := range p.Frames {
		if p.Frames[i].Clip == clip {
			return &p.Frames[i]
		}
	}
	return nil
}

// Pixel returns the true place of a point in the picture and whether it can
// be seen there.
func (f *TruthFrame) Pixel(p geometry.Point) (at geometry.ImagePt, visible bool) {
	q := f.Pixels[p.String()]
	return geometry.ImagePt{X: q[0], Y: q[1]}, f.Visible[p.String()]
}

// LoadTruth reads the file truth.json of a demo. The error is a sentence for
// the coach.
func LoadTruth(path string) (*Truth, error) {
	t := &Truth{}
	if err := readTruth(path, t, &t.Version); err != nil {
		return nil, err
	}
	t.setCameras()
	return t, nil
}

// readTruth reads a file that this version has made; version is where it lands.
func readTruth(path string, into any, version *int) error {
	b, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("the demo's truth can't be read: %w", err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		return fmt.Errorf("%s is not the truth of a demo: %w", path, err)
	}
	if *version != Version {
		return fmt.Errorf("%s was made by another version of the program: make the demo again", path)
	}
	return nil
}

func (t *Truth) setCameras() {
	for i := range t.Clips {
		c := &t.Clips[i]
		c.camera = geometry.Camera{
			Position: geometry.WorldPt{X: c.PositionM[0], Y: c.PositionM[1], Z: c.PositionM[2]},
			Rotation: c.Rotation, FocalPx: c.FocalPx, K1: c.K1, Width: c.Width, Height: c.Height,
		}
	}
}

func triple(p geometry.WorldPt) [3]float64 { return [3]float64{p.X, p.Y, p.Z} }

func pointMap(p *golfer.Points) map[string][3]float64 {
	out := make(map[string][3]float64, len(p))
	for i, q := range p {
		out[geometry.Point(i).String()] = triple(q)
	}
	return out
}

// newTruth starts the truth of a swing, without clips.
func newTruth(m *golfer.Model) *Truth {
	t := &Truth{
		Version: Version, StatureM: m.Params.Stature, ClubLengthM: m.Params.Club.Length,
		StrikeSeconds: golfer.ImpactTime,
	}
	events := m.Events()
	for _, name := range geometry.KeyPositions {
		p := m.At(events[name])
		t.Positions = append(t.Positions, TruthPosition{
			Name: name, Seconds: events[name], Points: pointMap(&p.Points), Measures: m.Measures(name),
		})
	}
	return t
}

// addTo records a finished clip in the truths of the swings that it shows.
func addTo(truths []*Truth, f *film, path, file string) error {
	src, err := video.Open(path)
	if err != nil {
		return err
	}
	defer src.Close()
	if src.Frames() != f.frames {
		return fmt.Errorf("demo: %s has %d pictures, not %d", file, src.Frames(), f.frames)
	}
	sum, err := video.Fingerprint(path)
	if err != nil {
		return err
	}
	for _, t := range truths {
		if err := t.record(f, src, file, sum); err != nil {
			return err
		}
	}
	return nil
}

// record records a clip.
func (t *Truth) record(f *film, src *video.Source, file, sum string) error {
	c := f.camera
	tb := src.Info().TimeBase
	start := f.phone.start - t.begins
	clip := TruthClip{
		ID: f.phone.id, View: f.phone.view.String(), File: file, SHA256: sum,
		Width: c.Width, Height: c.Height, FramesPerS: float64(f.rate), Frames: f.frames,
		TimeBase:     [2]int64{int64(tb[0]), int64(tb[1])},
		StartSeconds: start, StrikeSeconds: golfer.ImpactTime - start,
		PositionM: triple(c.Position), Rotation: c.Rotation, FocalPx: c.FocalPx, K1: c.K1, camera: c,
	}
	for i, e := range stickEnds() {
		clip.StickEndsM[i] = triple(e)
		q, err := c.Project(e)
		if err != nil {
			return err
		}
		clip.StickEndsPx[i] = [2]float64{q.X, q.Y}
	}
	if f.cast != nil {
		f.cast.known(&clip)
	}
	if t.inTake {
		clip.Part[0], clip.Part[1] = f.part(t.begins)
	}
	t.Clips = append(t.Clips, clip)

	h := f.newHand()
	im := image.NewRGBA(image.Rect(0, 0, c.Width, c.Height))
	for i := range t.Positions {
		p := &t.Positions[i]
		n := int(math.Round((p.Seconds - start) * float64(f.rate)))
		if n < 0 || n >= f.frames {
			continue // a shortened clip
		}
		h.draw(im, n)
		shown := h.frame(n, src.PTS(n), src.Seconds(n))
		shown.SwingSeconds -= t.begins
		p.Frames = append(p.Frames, shown)
	}
	return nil
}

// frame describes the picture drawn last.
func (h *hand) frame(n int, pts int64, seconds float64) TruthFrame {
	f := h.f
	pose := f.at(f.time(n))
	out := TruthFrame{
		Clip: f.phone.id, Index: n, PTS: pts, Seconds: seconds, SwingSeconds: f.time(n),
		Points: pointMap(&pose.Points), Pixels: map[string][2]float64{}, Visible: map[string]bool{},
	}
	for i, p := range pose.Points {
		name := geometry.Point(i).String()
		q, err := f.camera.Project(p)
		if err != nil {
			continue
		}
		out.Pixels[name] = [2]float64{q.X, q.Y}
		out.Visible[name] = h.placeable(geometry.Point(i), p, q)
	}
	if f.cast != nil {
		f.cast.seen(&out, f.camera.Width)
	}
	return out
}

// placeable reports whether a coach can place a point on the picture drawn
// last: it is in the picture and at least a third of what lies about it is not
// hidden by something that stands in front.
func (h *hand) placeable(i geometry.Point, p geometry.WorldPt, at geometry.ImagePt) bool {
	c := &h.f.camera
	if at.X < 0 || at.Y < 0 || at.X >= float64(c.Width) || at.Y >= float64(c.Height) {
		return false
	}
	depth := c.ToCamera(p).Z
	radius := around[i].radius * c.FocalPx / depth
	open, all := 0, 0
	for _, ring := range [...]struct {
		part  float64
		count int
	}{{0, 3}, {0.5, 6}, {1, 8}} {
		for k := range ring.count {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(ring.count))
			all++
			d, ok := h.renderer.Depth(float32(at.X+ring.part*radius*cos), float32(at.Y+ring.part*radius*sin))
			if !ok || depth-float64(d) < around[i].cover {
				open++
			}
		}
	}
	return 3*open >= all
}

// around says, for each point, how deep it may lie under the surface on which
// it is marked, and how far around it a coach looks to place it, metres. A
// heel may lie behind its own shoe.
var around = [geometry.NumPoints]struct{ cover, radius float64 }{
	geometry.Head:         {0.14, 0.07},
	geometry.LeadShoulder: {0.10, 0.05}, geometry.TrailShoulder: {0.10, 0.05},
	geometry.LeadElbow: {0.065, 0.035}, geometry.TrailElbow: {0.065, 0.035},
	geometry.LeadWrist: {0.055, 0.03}, geometry.TrailWrist: {0.055, 0.03},
	geometry.LeadHip: {0.19, 0.12}, geometry.TrailHip: {0.19, 0.12},
	geometry.LeadKnee: {0.09, 0.05}, geometry.TrailKnee: {0.09, 0.05},
	geometry.LeadAnkle: {0.09, 0.04}, geometry.TrailAnkle: {0.09, 0.04},
	geometry.LeadHeel: {0.28, 0.03}, geometry.TrailHeel: {0.28, 0.03},
	geometry.LeadToe: {0.035, 0.02}, geometry.TrailToe: {0.035, 0.02},
	geometry.Buckle: {0.03, 0.02}, geometry.Tailbone: {0.03, 0.02},
	geometry.Breastbone: {0.035, 0.03}, geometry.UpperBack: {0.035, 0.03},
	geometry.Grip: {0.05, 0.02}, geometry.Clubhead: {0.06, 0.02}, geometry.Ball: {0.05, 0.01},
}
