package demo

import (
	"math"
	"math/rand/v2"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

const (
	visitSwings = 5
	// practiceAfter is after how many swings one without a ball comes.
	practiceAfter = 2
	// takeRate is that of a take with several swings, frames per second: half that of
	// the single swings, since it is so much longer.
	takeRate = 120
	// Where nothing but standing and walking up is to be seen, one picture in so many
	// is drawn, and stands for those after it.
	standingStep, recoveryStep = 12, 4
	// teedAfter is when in a pause the next ball is there, seconds.
	teedAfter = 2.2
	// A swing begins so long before the club does, and ends so long after the finish,
	// seconds.
	partBefore, partAfter = 0.5, 0.25
)

// visitSeed is one of whose five swings mean and spread are about those of what they are
// drawn from: a demo of five that happen to agree would show nothing.
const visitSeed = 581

// visitStarts are when the two phones of a visit begin to film, seconds before the first
// swing.
var visitStarts = [2]float64{-2.1, -3.4}

// What differs from swing to swing, standard deviations: degrees, and metres of sway.
// Of golfers who play often the pelvis' turn at the top varies by some 2 degrees (from
// memory); the rest is ours.
const spreadPelvis, spreadTorso, spreadSway, spreadBend = 2.5, 3.0, 0.010, 1.0

// drawSwing returns the golfer's next swing.
func drawSwing(rnd *rand.Rand) golfer.Params {
	p := golfer.MaraFirstVisit()
	p.PelvisTurnTopDegrees += spreadPelvis * rnd.NormFloat64()
	p.TorsoTurnTopDegrees += spreadTorso * rnd.NormFloat64()
	p.SwayTop = spreadSway * rnd.NormFloat64()
	p.Bend = spreadBend * rnd.NormFloat64()
	return p
}

// A scene is one swing of a take, or the pause after one.
type scene struct {
	model  *golfer.Model
	begins float64 // seconds of the take
	pause  bool
	// practice says that there is no ball; of a pause, that there will be none.
	practice bool
}

// take is what is filmed in a visit: swings with pauses between them.
type take struct {
	scenes     []scene // in order of time
	ends       float64
	neighbours []float64 // when other golfers' strikes are heard
}

func newTake(seed uint64, swings int) *take {
	rnd := rand.New(rand.NewPCG(seed, 0x7669736974))
	models := make([]*golfer.Model, swings+1)
	for i := range models {
		models[i] = golfer.New(drawSwing(rnd))
	}
	t := &take{}
	now := 0.0
	for i, m := range models {
		practice := i == practiceAfter
		t.scenes = append(t.scenes, scene{model: m, begins: now, practice: practice})
		now += golfer.FinishTime + 0.2 + 0.2*rnd.Float64()
		if i == swings {
			break
		}
		length := 3.4 + 1.8*rnd.Float64()
		t.scenes = append(t.scenes, scene{
			model: m.Pause(models[i+1], length, seed+uint64(i)), begins: now, pause: true, practice: i+1 == practiceAfter,
		})
		if i%2 == 0 {
			t.neighbours = append(t.neighbours, now+length*(0.3+0.5*rnd.Float64()))
		}
		now += length
	}
	t.ends = now + 0.4
	return t
}

// swings are the scenes with a strike.
func (t *take) swings() []scene {
	var out []scene
	for _, s := range t.scenes {
		if !s.pause && !s.practice {
			out = append(out, s)
		}
	}
	return out
}

// on returns the scene that is on at a time.
func (t *take) on(now float64) scene {
	i := 0
	for i+1 < len(t.scenes) && t.scenes[i+1].begins <= now {
		i++
	}
	return t.scenes[i]
}

// at returns the golfer at a time.
func (t *take) at(now float64) golfer.Pose {
	s := t.on(now)
	p := s.model.At(now - s.begins)
	if s.pause {
		p.Points[geometry.Ball] = s.model.Params.Ball
	}
	return p
}

// teed reports whether a ball is there.
func (t *take) teed(now float64) bool {
	s := t.on(now)
	return !s.practice && (!s.pause || now >= s.begins+teedAfter)
}

// startOf is when a phone begins to film a take.
func startOf(p phone) float64 { return visitStarts[p.view-geometry.FaceOn] }

// frames returns how many pictures a phone takes.
func (t *take) frames(p phone) int { return int(math.Round((t.ends - startOf(p)) * takeRate)) }

// film sets the stage for the take of one phone.
func (t *take) film(p phone, o Options) *film {
	p.start = startOf(p)
	f := newFilm(t.scenes[0].model, p, o)
	f.at, f.teed, f.rate = t.at, t.teed, takeRate
	f.frames = t.frames(p)
	f.held = func(n int) bool { return n%t.step(f.time(n)) != 0 }
	f.strikes = nil
	for _, s := range t.swings() {
		f.strikes = append(f.strikes, strike{s.begins + golfer.ImpactTime - p.start, 1})
	}
	for _, at := range t.neighbours {
		f.strikes = append(f.strikes, strike{at - p.start, 0.35})
	}
	return f
}

// step says of how many pictures one is drawn at a time.
func (t *take) step(now float64) int {
	s := t.on(now)
	since := now - s.begins
	switch last := s.begins + golfer.FinishTime + partAfter; {
	case !s.pause && since >= -partBefore && now <= last:
		return 1
	case s.pause && since < teedAfter:
		return recoveryStep
	case now > t.nextStart(now)-partBefore:
		return 1
	}
	return standingStep
}

// nextStart is when the next swing begins.
func (t *take) nextStart(now float64) float64 {
	for _, s := range t.scenes {
		if !s.pause && s.begins > now {
			return s.begins
		}
	}
	return math.Inf(1)
}

// part returns which frames of a film show a swing.
func (f *film) part(begins float64) (first, last int) {
	at := func(t float64) int {
		return min(max(int(math.Round((t-f.phone.start)*float64(f.rate))), 0), f.frames-1)
	}
	return at(begins - partBefore), at(begins + golfer.FinishTime + partAfter)
}

// VisitTruth is what is known of a demo visit: the file visit-truth.json.
type VisitTruth struct {
	Version int `json:"version"`
	// Swings are those with a ball, in order of time. Their clips are the two takes, each
	// with Part and with the times of that swing.
	Swings []Truth `json:"swings"`
	// PracticeSeconds are the strikes of swings without a ball, NeighbourSeconds those of
	// other golfers' balls, on the clock of the first swing.
	PracticeSeconds  []float64 `json:"practice_seconds"`
	NeighbourSeconds []float64 `json:"neighbour_seconds"`
	// Student is what the swings are drawn from.
	Student []StudentMeasure `json:"student"`
}

// StudentMeasure is the mean of a measure over all the swings that the student would
// make, and the standard deviation from one to another, in the units of
// geometry.Definitions.
type StudentMeasure struct {
	Name     string                `json:"name"`
	Position geometry.PositionName `json:"position"`
	Mean     float64               `json:"mean"`
	Spread   float64               `json:"spread"`
}

// truths starts the truths of the swings, without clips.
func (t *take) truths() []*Truth {
	var out []*Truth
	for _, s := range t.swings() {
		truth := newTruth(s.model)
		truth.begins, truth.inTake = s.begins, true
		out = append(out, truth)
	}
	return out
}

// truth gathers what is known of the visit.
func (t *take) truth(truths []*Truth) *VisitTruth {
	v := &VisitTruth{Version: Version, NeighbourSeconds: t.neighbours, Student: studentMeasures()}
	for _, x := range truths {
		v.Swings = append(v.Swings, *x)
	}
	for _, s := range t.scenes {
		if s.practice && !s.pause {
			v.PracticeSeconds = append(v.PracticeSeconds, s.begins+golfer.ImpactTime)
		}
	}
	return v
}

// studentMeasures draws many swings.
func studentMeasures() []StudentMeasure {
	const draws = 400
	rnd := rand.New(rand.NewPCG(5, 0x6d616e79))
	var out []StudentMeasure
	index := map[string]int{}
	var sums, squares []float64
	for range draws {
		m := golfer.New(drawSwing(rnd))
		for _, name := range geometry.KeyPositions {
			values := m.Measures(name)
			for _, d := range geometry.Definitions() {
				v, ok := values[d.Name]
				if !ok {
					continue
				}
				key := d.Name + " " + string(name)
				i, known := index[key]
				if !known {
					i = len(out)
					index[key] = i
					out = append(out, StudentMeasure{Name: d.Name, Position: name})
					sums, squares = append(sums, 0), append(squares, 0)
				}
				sums[i] += v
				squares[i] += v * v
			}
		}
	}
	for i := range out {
		mean := sums[i] / draws
		out[i].Mean = mean
		out[i].Spread = math.Sqrt(math.Max(squares[i]/draws-mean*mean, 0) * draws / (draws - 1))
	}
	return out
}

// LoadVisitTruth reads the file visit-truth.json of a demo visit. The error is a
// sentence for the coach.
func LoadVisitTruth(path string) (*VisitTruth, error) {
	t := &VisitTruth{}
	if err := readTruth(path, t, &t.Version); err != nil {
		return nil, err
	}
	for i := range t.Swings {
		t.Swings[i].setCameras()
	}
	return t, nil
}
