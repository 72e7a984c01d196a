package manual

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/shots"
	"turngauge/geometry"
)

// What coaches type, and what they mean: common practice, no source. The label meant
// is among the first three.
func TestACoachFindsWhatHeMeans(t *testing.T) {
	for question, meant := range map[string]string{
		"how far did the hips turn":          "pelvis turn",
		"hip rotation":                       "pelvis turn",
		"shoulder turn":                      "torso turn",
		"knees":                              "lead knee flex",
		"right knee bend":                    "trail knee flex",
		"tempo":                              "tempo",
		"rhythm":                             "tempo",
		"is his head still?":                 "head travel to target",
		"head drops":                         "head travel up",
		"sliding hips":                       "sway",
		"hips come up":                       "pelvis height change",
		"standing up through impact":         "pelvis height change",
		"weight on the toes":                 "balance",
		"posture":                            "forward bend",
		"how wide does she stand":            "stance width",
		"feet turned out":                    "lead foot flare",
		"over the top":                       "club above plane",
		"steep shaft":                        "shaft plane",
		"past parallel at the top":           "shaft angle at the top",
		"path":                               "club path",
		"why does it slice":                  "face to path",
		"toe strike":                         "strike across",
		"where do I mark the hip":            "lead hip",
		"takeaway":                           "club level back",
		"what does can't tell mean":          "can't tell",
		"plus minus":                         "interval",
		"what is open":                       "open and closed",
		"stretch between hips and shoulders": "separation",
	} {
		found := Find(question)
		var names []string
		for _, l := range found[:min(len(found), 3)] {
			names = append(names, l.Name)
		}
		assert.Contains(t, names, meant, question)
	}
}

func TestAWordThatIsBegunIsFound(t *testing.T) {
	for _, part := range []string{"pel", "pelv", "pelvis t"} {
		require.NotEmpty(t, Find(part), part)
		assert.Contains(t, Find(part)[0].Name, "pelvis", part)
	}
	assert.Empty(t, Find("submarine"))
	assert.Empty(t, Find("how is the"), "words without meaning find nothing")
}

// Every label can be found by its own name, has a meaning and a picture; and all that
// is measured, marked and read is among them.
func TestEveryLabelCanBeLookedUp(t *testing.T) {
	names := make(map[string]bool)
	for i := range Labels() {
		l := &Labels()[i]
		names[l.Name] = true
		assert.NotNil(t, l.picture, l.Name)
		require.NotEmpty(t, strings.Trim(l.Plain, "."), l.Name)
		assert.Contains(t, ".", l.Plain[len(l.Plain)-1:], l.Name)
		found := Find(l.Name)
		require.NotEmpty(t, found, l.Name)
		assert.Equal(t, l.Name, found[0].Name)
	}
	for _, d := range geometry.Definitions() {
		assert.True(t, names[d.Name], d.Name)
	}
	for _, r := range shots.Readings {
		assert.True(t, names[string(r.Name)], r.Name)
	}
	for p := range geometry.Point(geometry.NumPoints) {
		assert.True(t, names[p.String()], p)
	}
	for _, p := range geometry.KeyPositions {
		assert.True(t, names[string(p)], p)
	}
}
