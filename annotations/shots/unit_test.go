package shots

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The international yard and pound agreement of 1959 (Federal Register, 1 July
// 1959, F.R. Doc. 59-5442): a yard is 0.9144 m, so an inch is 25.4 mm and a mile
// of 1760 yards 1609.344 m; an hour has 3600 s.
func TestShotsInYards(t *testing.T) {
	info := func(r Reading) Info {
		i, ok := InfoOf(r)
		assert.True(t, ok)
		return i
	}
	const yard = 0.9144
	assert.Equal(t, Unit{"yd", yard, 1}, info(Carry).In(true))
	assert.Equal(t, Unit{"yd", yard, 1}, info(Offline).In(true))
	assert.InDelta(t, yard*1000/36, info(StrikeAcross).In(true).Per, 1e-12)
	assert.Equal(t, "in", info(StrikeUp).In(true).Name)
	assert.InDelta(t, 1760*yard/3600, info(BallSpeed).In(true).Per, 1e-12)
	assert.Equal(t, "mph", info(ClubSpeed).In(true).Name)
	for _, r := range []Reading{ClubPath, FaceToPath, StartLine, LaunchAngle, DynamicLoft, AttackAngle, SpinAxis} {
		assert.Equal(t, Unit{"°", 1, 1}, info(r).In(true), r)
	}
	assert.Equal(t, Unit{"rpm", 1, 1}, info(BackSpin).In(true))
	for _, i := range Readings {
		assert.Equal(t, 1.0, i.In(false).Per, "%s is kept in metric units", i.Name)
		// Every unit shown can be read from a table as well, by the same factor.
		for _, imperial := range []bool{false, true} {
			u := i.In(imperial)
			if u.Name != "°" {
				assert.Contains(t, UnitsFor(i.Name), u.Name)
			}
			assert.InDelta(t, 3.7, u.Kept(3.7)/u.Per, 1e-12)
		}
	}
}

func TestHowShotsAreWritten(t *testing.T) {
	yd, _ := InfoOf(Carry)
	across, _ := InfoOf(StrikeAcross)
	path, _ := InfoOf(ClubPath)
	speed, _ := InfoOf(ClubSpeed)
	// 150 yd, 1 in and 100 mph by the definitions above.
	assert.Equal(t, "150.0 yd", yd.In(true).WithName(137.16))
	assert.Equal(t, "137.2 m", yd.In(false).WithName(137.16))
	assert.Equal(t, "−1.00", across.In(true).Number(-25.4))
	assert.Equal(t, "100.0", speed.In(true).Number(44.704))
	assert.Equal(t, "−2.5°", path.In(true).WithName(-2.5))
	assert.Equal(t, "+1.6", path.In(false).Signed(1.58))
	assert.Equal(t, "0.0", path.In(false).Signed(0.04))
	assert.Equal(t, "0.0", path.In(false).Signed(-0.04))
	assert.Equal(t, "0.00", across.In(true).Signed(0.1))
	assert.Equal(t, "+0.01", across.In(true).Signed(0.2))
}

// A column that names no unit is taken in the coach's own.
func TestColumnsOfNoUnit(t *testing.T) {
	f, err := ReadFile([]byte("Carry,Ball speed (m/s),Club path\n150,60,2\n"))
	assert.NoError(t, err)
	c := f.Guess(true)
	assert.Equal(t, []string{"yd", "m/s", "deg"}, []string{c[0].Unit, c[1].Unit, c[2].Unit})
	c = f.Guess(false)
	assert.Equal(t, "m", c[0].Unit)
}
