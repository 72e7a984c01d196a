package findings

import (
	"path/filepath"

	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// sounds are the files that a voice may come from.
var sounds = choose.Kind{Name: "Sounds", Extensions: []string{"wav", "mp4", "mov", "m4v", "mkv", "webm"}}

// askVoice asks for the file of sound that goes along with the clip.
func (p *Room) askVoice() {
	s := p.host.Session()
	p.host.Ask(kit.Files{Title: "What you say to the clip", Kinds: []choose.Kind{sounds}}, func(paths []string) {
		if p.host.Session() == s && len(paths) == 1 {
			p.handout.voice = paths[0]
		}
	})
}

// addVoice offers a voice for the clip.
func (p *Room) addVoice(add func(unit.Dp, layout.Widget)) {
	th, h := p.host.Theme(), &p.handout
	add(6, func(gtx layout.Context) layout.Dimensions {
		label := "Add a voice …"
		if h.voice != "" {
			label = "Voice: " + filepath.Base(h.voice)
		}
		parts := []layout.Widget{func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &h.speak, draw.ButtonStyle{Label: label, Icon: draw.IconOpen, Compact: true, Tip: "A WAV file, or a clip, whose sound goes along with the clip", TipSide: draw.TipAboveStart})
		}}
		if h.voice != "" {
			parts = append(parts, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, &h.silent, draw.ButtonStyle{Icon: draw.IconClose, Name: "Take the voice out", Tip: "Take the voice out", Kind: draw.Quiet, Compact: true})
			})
		}
		return draw.Row(gtx, draw.Gap, parts...)
	})
}
