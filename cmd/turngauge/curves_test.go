package main

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/demo"
)

// TestCurvesOfTheDemoSwing follows the demo swing from the command line and holds
// the curves against the truth of the golfer it was filmed of, at the key positions
// and between.
func TestCurvesOfTheDemoSwing(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	table := filepath.Join(dir, "curves.csv")
	stdout, stderr, code := program(t, "curves", filepath.Join(dir, demo.MarkedFile), "--csv", table)
	require.Equal(t, 0, code, stderr)
	assert.Contains(t, stdout, "marks alone")
	assert.Contains(t, stdout, "Peak separation")
	f, err := os.Open(table)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, n := range rows[0] {
		column[n] = i
	}
	number := func(row []string, name string) float64 {
		require.Contains(t, column, name)
		v, err := strconv.ParseFloat(row[column[name]], 64)
		require.NoError(t, err, "%s in %v", name, row)
		return v
	}
	for _, name := range []string{"pelvis turn", "torso turn"} {
		var square, n float64
		inside := 0.0
		for _, row := range rows[1:] {
			if row[1] == "" || row[1] == string(geometry.Address) {
				continue
			}
			want := truth.Position(geometry.PositionName(row[1])).Measures[name]
			got, sd := number(row, name+" (positive: away from the target), deg"), number(row, name+" standard deviation, deg")
			square += (got - want) * (got - want)
			n++
			if math.Abs(got-want) < 1.96*sd {
				inside++
			}
		}
		t.Logf("%s: %.2f degrees root mean square at %v key positions", name, math.Sqrt(square/n), n)
		// The demo's marks err by 2 px each; over twelve such hands this comes to 2.8
		// degrees for the pelvis, 2.0 for the torso, and the marks alone to 3.4 and 2.2.
		assert.Less(t, math.Sqrt(square/n), 3.5, name)
		assert.GreaterOrEqual(t, inside, n-1, "%s within its intervals", name)
	}
	// The turn at the top is passed smoothly: the curve is there all the way from
	// address to impact, and the speed is that of the downswing at delivery.
	known := 0
	for _, row := range rows[1:] {
		if s := number(row, "seconds from impact"); s <= 0 && row[column["pelvis turn (positive: away from the target), deg"]] != "" {
			known++
		}
		if row[1] == string(geometry.Delivery) {
			assert.Less(t, number(row, "pelvis turn per second, deg/s"), -250.0)
		}
	}
	assert.Greater(t, known, 60)
}

// TestMeasureFollowsTheDemoSwing holds the numbers of a swing that is followed first
// against its truth: one list in which the followed number stands where it is the
// surer one, with what the marks alone tell beside it, and no verdict is wrong.
func TestMeasureFollowsTheDemoSwing(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	stdout, stderr, code := program(t, "measure", "--follow", "--json", filepath.Join(dir, demo.MarkedFile))
	require.Equal(t, 0, code, stderr)
	var report annotations.Report
	require.NoError(t, json.Unmarshal([]byte(stdout), &report))
	var all, inside, followed, twoSided int
	for _, m := range report.Swings[0].Measures {
		want, ok := truth.Position(m.Position).Measures[m.Name]
		if !ok {
			continue
		}
		all++
		if m.Low95 <= want && want <= m.High95 {
			inside++
		}
		if m.Basis == annotations.OnFollowed {
			followed++
			assert.LessOrEqual(t, m.SD, 1.1*m.MarksAlone.SD, "%s at %s: of three turns together one may be a little less sure", m.Name, m.Position)
		} else {
			assert.Nil(t, m.MarksAlone)
		}
		if m.Target != nil {
			r := geometry.Range{Low: math.Inf(-1), High: math.Inf(1)}
			if m.Target.Low != nil {
				r.Low = *m.Target.Low
			}
			if m.Target.High != nil {
				r.High = *m.Target.High
			}
			assert.True(t, m.Verdict.True(want, r), "%s at %s is %s, truly %.1f", m.Name, m.Position, m.Verdict, want)
			if m.Verdict.TwoSided() {
				twoSided++
			}
		}
	}
	t.Logf("%d of %d within their intervals, %d followed, %d two-sided verdicts", inside, all, followed, twoSided)
	assert.GreaterOrEqual(t, float64(inside), 0.94*float64(all))
	assert.Greater(t, followed, 15)

	// Without its clips the same lesson is measured from its marks, and that is said.
	stdout, stderr, code = program(t, "measure", "--follow", "--json", marked)
	require.Equal(t, 0, code)
	assert.Contains(t, stderr, "is measured from its marks alone: the lesson does not say where")
	assert.NotContains(t, stdout, `"basis": "followed"`)
}

func TestCurvesSayWhatIsWrong(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		args []string
		code int
		says string
	}{
		{"no lesson", []string{"curves"}, 2, "name one lesson document"},
		{"no such swing", []string{"curves", marked, "--swing", "s9"}, 2, `no swing "s9"`},
		{"no such file", []string{"curves", "nowhere.json"}, 3, "nowhere.json"},
		{"no clips", []string{"curves", marked}, 3, "does not say where"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, stderr, code := program(t, c.args...)
			assert.Equal(t, c.code, code)
			assert.Contains(t, stderr, c.says)
		})
	}
}

// TestCoachReadsCurves opens the panel in the real window, waits until the marks
// are followed, and scrubs both clips in the plot.
func TestCoachReadsCurves(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	j := begin(t, t.TempDir(), filepath.Join(dir, demo.MarkedFile))
	j.until("the lesson", bothShown)
	separation := func(s seen) float64 { // half its interval at the top
		for _, m := range s.Measures {
			if m.Name == "separation" && m.Position == string(geometry.Top) {
				return (m.High - m.Low) / 2
			}
		}
		return 0
	}
	alone := separation(j.until("the numbers", func(s seen) bool { return s.Settled && separation(s) > 0 }))
	j.Key("i")
	for range 1800 { // following takes its time, with -filmed too, and so does the fit with clothes
		if j.see().Regions["curves"] != [4]int{} {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	s := j.until("the curves", func(s seen) bool { return s.Regions["curves"] != [4]int{} })
	plot := s.Regions["curves"]
	j.Click((2*plot[0]+plot[2])/3, (plot[1]+plot[3])/2)
	s = j.until("both clips there", func(s seen) bool {
		return bothShown(s) && s.Stages[0].Frame != truth.Position(geometry.Address).Frame("fo").Index
	})
	impact := func(clip string) int { return truth.Position(geometry.Impact).Frame(clip).Index }
	assert.InDelta(t, s.Stages[0].Frame-impact("fo"), s.Stages[1].Frame-impact("dl"), 1, "the same instant in both")
	j.picture("curves")

	// The sheet tells the followed numbers, and the document keeps them.
	j.until("the followed numbers", func(s seen) bool { return separation(s) > 0 && separation(s) < 0.99*alone })
	sheet := s.Regions["sheet"]
	j.Click((sheet[0]+sheet[2])/2, sheet[1]+(sheet[3]-sheet[1])/2)
	time.Sleep(time.Second)
	j.picture("followed")
	assert.Eventually(t, func() bool {
		l, _, err := annotations.Load(filepath.Join(dir, demo.MarkedFile))
		return err == nil && l.Swings[0].Followed != nil
	}, 20*time.Second, 100*time.Millisecond)
}
