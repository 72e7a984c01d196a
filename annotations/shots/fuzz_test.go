package shots_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/shots"
	"turngauge/geometry"
)

func FuzzReadFile(f *testing.F) {
	f.Add([]byte("Shot,Club,Club Speed (mph),Club Path (deg)\n1,7-iron,80,-3.1\n"))
	f.Add([]byte("Nr;Path;Impact lateral\n[];[°];[cm]\n1;-3,1;0,8\n2;1,5 L;-1,2\n"))
	f.Add([]byte("a\tpath\n\"1\t2\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := shots.ReadFile(data)
		if err != nil {
			require.NotEmpty(t, strings.TrimSpace(err.Error()))
			return
		}
		hit, _ := file.Shots(file.Guess(false), geometry.LeftHanded, "b")
		l := annotations.NewLesson()
		l.Shots = hit
		require.NoError(t, l.Validate(), "what was read is fit for the document")
	})
}
