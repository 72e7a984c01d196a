package strip

import (
	"fmt"

	"gioui.org/layout"

	"turngauge/ui/bench"
	"turngauge/ui/kit"
)

// layoutFollowing stands in the guide's place while marks are proposed.
func (room *Room) layoutFollowing(gtx layout.Context) layout.Dimensions {
	s, _ := room.host.Session().Following()
	done, total := 0, 0
	for i := range s.Done {
		done, total = done+s.Done[i], total+s.Total[i]
	}
	part := float32(done) / float32(max(total, 1))
	p := kit.BeginGuide(gtx, room.host.Theme())
	p.Add(func(gtx layout.Context) layout.Dimensions {
		text := "Looking for the golfer in the picture …"
		switch {
		case done < total:
			text = fmt.Sprintf("Following the marks: %.0f %%", 100*part)
		case s.Pictures > bench.NumStages:
			text = fmt.Sprintf("Looking for the golfer: picture %d of %d", min(s.Looked+1, s.Pictures), s.Pictures)
			part = float32(s.Looked) / float32(s.Pictures)
		}
		return kit.Progress(gtx, room.host.Theme(), text, part, &room.stop)
	})
	return p.End(room.doors.Buttons)
}

// layoutProposing stands there while marks are proposed in all swings.
func (room *Room) layoutProposing(gtx layout.Context) layout.Dimensions {
	s, _ := room.host.Session().Proposing()
	p := kit.BeginGuide(gtx, room.host.Theme())
	p.Add(func(gtx layout.Context) layout.Dimensions {
		text := fmt.Sprintf("Proposing marks: swing %d of %d", min(s.Done+1, s.Total), s.Total)
		return kit.Progress(gtx, room.host.Theme(), text, float32(s.Done)/float32(max(s.Total, 1)), &room.stop)
	})
	return p.End(room.doors.Buttons)
}
