package shots

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

func TestShotFileWithUnitsInTheNames(t *testing.T) {
	f, err := ReadFile([]byte("\xef\xbb\xbfSession,2026-05-02\n\nShot,Club,Club Speed (mph),Club Path (deg),Face to Path (deg),Carry (yd),Remark\n" +
		"1,7-iron,80,-3.1,2.0,150,\n2,7-iron,81.5,\"-2.4\",1.1,148,thin\nAverage,,,,,,\n"))
	require.NoError(t, err)
	columns := f.Guess(false)
	shots, told := f.Shots(columns, geometry.RightHanded, "before")
	require.Len(t, shots, 2)
	assert.Empty(t, told)
	assert.Equal(t, "7-iron", shots[0].Club)
	assert.Equal(t, "before", shots[0].Block)
	v := shots[0].Values
	assert.InDelta(t, 80*0.44704, v[ClubSpeed], 1e-9, "metres a second")
	assert.InDelta(t, -3.1, v[ClubPath], 1e-9)
	assert.InDelta(t, 2.0, v[FaceToPath], 1e-9)
	assert.InDelta(t, 150*0.9144, v[Carry], 1e-9, "metres")
	assert.Len(t, v, 4)
}

func TestShotFileWithSemicolonsCommasAndAUnitRow(t *testing.T) {
	f, err := ReadFile([]byte("Nr;Path;Impact lateral\n[];[°];[cm]\n1;-3,1;0,8\n2;1,5 L;-1,2\n3;R 2,0;\n"))
	require.NoError(t, err)
	columns := f.Guess(false)
	shots, told := f.Shots(columns, geometry.RightHanded, "")
	require.Len(t, shots, 3)
	assert.Empty(t, told)
	assert.InDelta(t, -3.1, shots[0].Values[ClubPath], 1e-9)
	assert.InDelta(t, 8, shots[0].Values[StrikeAcross], 1e-9, "millimetres")
	assert.InDelta(t, -1.5, shots[1].Values[ClubPath], 1e-9, "left is the near side of a right-hander")
	assert.InDelta(t, 2, shots[2].Values[ClubPath], 1e-9)
	left, _ := f.Shots(columns, geometry.LeftHanded, "")
	assert.InDelta(t, 1.5, left[1].Values[ClubPath], 1e-9, "and the far side of a left-hander")
	assert.InDelta(t, -3.1, left[0].Values[ClubPath], 1e-9, "what has no side keeps its sign")
	columns[1].Sign = RightIsPos
	left, _ = f.Shots(columns, geometry.LeftHanded, "")
	assert.InDelta(t, 3.1, left[0].Values[ClubPath], 1e-9)
}

func TestShotFileTellsWhatItLeavesOut(t *testing.T) {
	f, err := ReadFile([]byte("path,carry\n-3,150\n900,-\n,\n"))
	require.NoError(t, err)
	shots, told := f.Shots(f.Guess(false), geometry.RightHanded, "")
	require.Len(t, shots, 1)
	require.Len(t, told, 2)
	assert.Contains(t, told[0], "2 values were")
	assert.Contains(t, told[1], "1 row was")
}

func TestShotFileThatIsNone(t *testing.T) {
	for text, want := range map[string]string{
		"":                   "can't be read",
		"just a letter":      "can't be read",
		"1,2\n3,4\n":         "names the columns",
		"path,carry\nx,y\n":  "no row with a number",
		"path\xff,carry\n1,": "not UTF-8",
	} {
		_, err := ReadFile([]byte(text))
		require.ErrorContains(t, err, want, "%q", text)
	}
}
