package intake

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
	"turngauge/ui/golfer"
)

// TestViewsAreTakenFromThePictures: what is seen goes before the order of the files,
// what the coach said before what is seen; of two that look alike the less clear one is
// the other view.
func TestViewsAreTakenFromThePictures(t *testing.T) {
	const front, side, unclear = 0.9, 0.05, 0.5
	clip := func(view geometry.View, broad float64) *newClip {
		return &newClip{view: view, seen: seen{Seen: golfer.Seen{Found: broad >= 0, Broad: broad}, done: true}}
	}
	views := func(clips ...*newClip) [2]geometry.View {
		r := &Room{cardState: cardState{clips: clips}}
		r.settleViews()
		return [2]geometry.View{clips[0].view, clips[1].view}
	}
	fo, dl := geometry.FaceOn, geometry.DownTheLine
	assert.Equal(t, [2]geometry.View{dl, fo}, views(clip(fo, side), clip(dl, front)), "whatever their order")
	assert.Equal(t, [2]geometry.View{fo, dl}, views(clip(fo, front), clip(dl, unclear)))
	assert.Equal(t, [2]geometry.View{dl, fo}, views(clip(fo, unclear), clip(dl, front)))
	assert.Equal(t, [2]geometry.View{fo, fo}, views(clip(fo, front), clip(fo, front)), "two of one view are for the coach")
	assert.Equal(t, [2]geometry.View{fo, dl}, views(clip(fo, -1), clip(dl, side)), "nobody is seen")
	told := clip(dl, front)
	told.told = true
	assert.Equal(t, [2]geometry.View{dl, fo}, views(told, clip(fo, front)))

	assert.Contains(t, clip(fo, front).says(), "Seen in its picture: face-on")
	assert.Contains(t, clip(fo, unclear).says(), "Probably face-on")
	assert.Contains(t, clip(fo, -1).says(), "say which view it is")
}
