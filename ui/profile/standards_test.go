package profile

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
)

func TestBrokenRulesOfTheCoachAreNamedAndLeftOut(t *testing.T) {
	d := Dirs{Config: t.TempDir()}
	require.NoError(t, os.WriteFile(d.OwnRules(), []byte(`[{"measure": "nonsense"}]`), 0o644))
	s, problems := d.Standards()
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0], "nonsense")
	assert.Equal(t, annotations.DefaultRules(), s.Rules)
	assert.Equal(t, annotations.DefaultTargets(), s.Base)
}

func TestRangesOfTheCoachStandAfterTheProgrammes(t *testing.T) {
	d := Dirs{Config: t.TempDir()}
	require.NoError(t, os.WriteFile(d.OwnTargets(),
		[]byte(`[{"measure": "stance width over shoulder breadth", "position": "address", "clubs": "mid-iron", "high": 0.5, "source": "mine"}]`), 0o644))
	s, problems := d.Standards()
	assert.Empty(t, problems)
	require.Len(t, s.Base, len(annotations.DefaultTargets())+1)
	assert.Equal(t, "mine", s.Base[len(s.Base)-1].Source)
	assert.Equal(t, s.Base, s.Targets)
}

// TestForgetEmptiesTheSmallPictures: one of them may show who is erased.
func TestForgetEmptiesTheSmallPictures(t *testing.T) {
	d := Dirs{State: t.TempDir(), Cache: t.TempDir()}
	for _, f := range []string{d.Pictures(), d.Swings()} {
		require.NoError(t, os.MkdirAll(f, 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(f, "a"), []byte("x"), 0o600))
	}
	d.Forget("Mara Lindqvist")
	assert.NoDirExists(t, d.Pictures())
	assert.NoDirExists(t, d.Swings())
	assert.DirExists(t, d.Cache)
	assert.Empty(t, Dirs{}.Pictures(), "no folder of the working directory's")
}
