package draw

import (
	"image"
	"image/color"
	"math"

	"gioui.org/f32"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"
)

// Icon names one of the program's own small drawings.
type Icon uint8

// The icons. NoIcon draws nothing.
const (
	NoIcon Icon = iota
	IconPlay
	IconPause
	IconStepBack
	IconStepForward
	IconUndo
	IconRedo
	IconFit
	IconShown
	IconHidden
	IconUnsure
	IconCopy
	IconTrash
	IconPlus
	IconMinus
	IconOpen
	IconHelp
	IconClose
	IconCheck
	IconUp
	IconDown
	IconLeft
	IconRight
	IconMore
	IconSettings
	IconLink
	IconUnlink
	IconWarning
	IconPicture
	IconStudent
	IconBothStages
	IconOneStage
	IconDark
	IconLight
	IconForward // copy the marks forward
	IconBall
	IconRepeat   // a part of the clip, over and over
	IconFindings // what the student is told
	IconCompare  // two swings beside each other
	IconExplain  // lines on a picture
	IconLine     // a line of the coach's own
	IconAngle
	IconNote
	IconArrow // shapes of the coach's own
	IconCircle
	IconFrame
	IconFreehand
	IconSolid // strokes
	IconDashed
	IconDotted
	IconLibrary  // lessons on a shelf
	IconProgress // a measure over time
	IconCurves   // the turns over a swing
	IconInfo     // what has just happened
	IconSwap     // two things change places
	IconBox      // may be ticked
	IconTicked
	IconVoice // a microphone
	numIcons
)

// stroke is the width of an icon's lines on the 24-unit grid.
const stroke = 1.9

// iconPen draws on the 24-unit grid.
type iconPen struct {
	Pen
	k float32 // pixels per unit
}

func (p *iconPen) pt(x, y float32) f32.Point { return f32.Pt(x*p.k, y*p.k) }

// lines joins points given as x, y pairs with round ends; a line that comes
// back to its start is closed.
func (p *iconPen) lines(xy ...float32) {
	var pts [8]f32.Point
	n := 0
	for i := 0; i+1 < len(xy) && n < len(pts); i += 2 {
		pts[n] = p.pt(xy[i], xy[i+1])
		n++
	}
	if n > 2 && pts[0] == pts[n-1] {
		p.Pen.Polyline(pts[:n-1], stroke*p.k, true)
		return
	}
	p.Pen.RoundPolyline(pts[:n], stroke*p.k)
}

func (p *iconPen) fill(xy ...float32) {
	var pts [12]f32.Point
	n := 0
	for i := 0; i+1 < len(xy) && n < len(pts); i += 2 {
		pts[n] = p.pt(xy[i], xy[i+1])
		n++
	}
	p.Pen.Polygon(pts[:n]...)
}

func (p *iconPen) ring(x, y, r float32) { p.Pen.Ring(p.pt(x, y), r*p.k, stroke*p.k) }
func (p *iconPen) dot(x, y, r float32)  { p.Pen.Circle(p.pt(x, y), r*p.k) }
func (p *iconPen) arc(x, y, r, from, to float32) {
	const deg = math.Pi / 180
	p.Pen.Arc(p.pt(x, y), r*p.k, from*deg, to*deg, stroke*p.k)
	c, w := p.pt(x, y), stroke*p.k
	p.Pen.cap(polar(c, r*p.k, from*deg), polar(f32.Point{}, 1, (from-90)*deg), w)
	p.Pen.cap(polar(c, r*p.k, to*deg), polar(f32.Point{}, 1, (to+90)*deg), w)
}
func (p *iconPen) frame(x0, y0, x1, y1, r float32) {
	p.Pen.RoundFrame(x0*p.k, y0*p.k, x1*p.k, y1*p.k, r*p.k, stroke*p.k)
}

var icons = [numIcons]func(p *iconPen){
	NoIcon:   func(p *iconPen) {},
	IconPlay: func(p *iconPen) { p.fill(8, 5, 19.5, 12, 8, 19) },
	IconPause: func(p *iconPen) {
		p.fill(7, 5.5, 10.4, 5.5, 10.4, 18.5, 7, 18.5)
		p.fill(13.6, 5.5, 17, 5.5, 17, 18.5, 13.6, 18.5)
	},
	IconStepBack:    func(p *iconPen) { p.fill(14.5, 6, 14.5, 18, 6, 12); p.lines(17.6, 6.6, 17.6, 17.4) },
	IconStepForward: func(p *iconPen) { p.fill(9.5, 6, 18, 12, 9.5, 18); p.lines(6.4, 6.6, 6.4, 17.4) },
	IconUndo:        func(p *iconPen) { p.arc(12, 14, 6.5, -155, 40); p.lines(5.4, 5.6, 5.8, 11.2, 11.4, 10.8) },
	IconRedo:        func(p *iconPen) { p.arc(12, 14, 6.5, 140, 335); p.lines(18.6, 5.6, 18.2, 11.2, 12.6, 10.8) },
	IconFit: func(p *iconPen) {
		p.lines(4.5, 9, 4.5, 4.5, 9, 4.5)
		p.lines(15, 4.5, 19.5, 4.5, 19.5, 9)
		p.lines(19.5, 15, 19.5, 19.5, 15, 19.5)
		p.lines(9, 19.5, 4.5, 19.5, 4.5, 15)
		p.dot(12, 12, 2)
	},
	IconShown:  func(p *iconPen) { eye(p) },
	IconHidden: func(p *iconPen) { eye(p); p.lines(4.5, 19.5, 19.5, 4.5) },
	IconUnsure: func(p *iconPen) {
		p.arc(12, 8.6, 3.7, -170, 70)
		p.lines(13.2, 12.1, 12, 14.2)
		p.dot(12, 18.4, 1.35)
	},
	IconCopy: func(p *iconPen) {
		p.frame(8, 8, 19.5, 19.5, 2)
		p.lines(5, 14.6, 5, 5.6, 5.6, 5, 14.6, 5)
	},
	IconTrash: func(p *iconPen) {
		p.lines(5, 7, 19, 7)
		p.lines(9.5, 6.6, 9.5, 4.4, 14.5, 4.4, 14.5, 6.6)
		p.lines(6.8, 7, 7.6, 19.6, 16.4, 19.6, 17.2, 7)
		p.lines(10.4, 10.6, 10.6, 16)
		p.lines(13.6, 10.6, 13.4, 16)
	},
	IconPlus:  func(p *iconPen) { p.lines(12, 5.5, 12, 18.5); p.lines(5.5, 12, 18.5, 12) },
	IconMinus: func(p *iconPen) { p.lines(5.5, 12, 18.5, 12) },
	IconOpen: func(p *iconPen) {
		p.lines(4, 18.6, 4, 5.6, 9.4, 5.6, 11.4, 8, 18, 8, 18, 10.6)
		p.lines(4, 18.6, 6.8, 11, 21, 11, 18.2, 18.6, 4, 18.6)
	},
	IconLibrary: func(p *iconPen) {
		p.lines(5.6, 5, 5.6, 17)
		p.lines(9.6, 5, 9.6, 17)
		p.lines(13.6, 6, 17.4, 17)
		p.lines(3.6, 19.6, 20.4, 19.6)
	},
	IconProgress: func(p *iconPen) {
		p.lines(4.6, 4.6, 4.6, 19.4, 20, 19.4)
		p.lines(8, 15.4, 12, 11, 15, 12.6, 19, 7)
		p.dot(19, 7, 1.7)
	},
	IconHelp: func(p *iconPen) {
		p.ring(12, 12, 8.4)
		p.arc(12, 10, 2.4, -180, 70)
		p.lines(12.7, 12.3, 12, 13.6)
		p.dot(12, 16.6, 1.15)
	},
	IconSwap: func(p *iconPen) {
		p.lines(5, 8.4, 19, 8.4)
		p.lines(15.4, 4.8, 19, 8.4, 15.4, 12)
		p.lines(19, 15.8, 5, 15.8)
		p.lines(8.6, 12.2, 5, 15.8, 8.6, 19.4)
	},
	IconInfo: func(p *iconPen) {
		p.ring(12, 12, 8.4)
		p.lines(12, 11.4, 12, 16.4)
		p.dot(12, 8, 1.15)
	},
	IconClose: func(p *iconPen) { p.lines(6.5, 6.5, 17.5, 17.5); p.lines(17.5, 6.5, 6.5, 17.5) },
	IconCheck: func(p *iconPen) { p.lines(5.5, 12.6, 10, 17, 18.8, 7.4) },
	IconBox:   func(p *iconPen) { p.frame(4.5, 4.5, 19.5, 19.5, 2) },
	IconTicked: func(p *iconPen) {
		p.frame(4.5, 4.5, 19.5, 19.5, 2)
		p.lines(8, 12.3, 11, 15.4, 16.2, 8.8)
	},
	IconUp:    func(p *iconPen) { p.lines(6.5, 14.8, 12, 9.2, 17.5, 14.8) },
	IconDown:  func(p *iconPen) { p.lines(6.5, 9.2, 12, 14.8, 17.5, 9.2) },
	IconLeft:  func(p *iconPen) { p.lines(14.8, 6.5, 9.2, 12, 14.8, 17.5) },
	IconRight: func(p *iconPen) { p.lines(9.2, 6.5, 14.8, 12, 9.2, 17.5) },
	IconMore:  func(p *iconPen) { p.dot(5.6, 12, 1.6); p.dot(12, 12, 1.6); p.dot(18.4, 12, 1.6) },
	IconSettings: func(p *iconPen) {
		p.lines(4.5, 7.5, 10.4, 7.5)
		p.lines(15.6, 7.5, 19.5, 7.5)
		p.ring(13, 7.5, 2.4)
		p.lines(4.5, 16.5, 6.4, 16.5)
		p.lines(11.6, 16.5, 19.5, 16.5)
		p.ring(9, 16.5, 2.4)
	},
	IconLink: func(p *iconPen) {
		p.lines(9.6, 8, 8, 8)
		p.arc(8, 12, 4, 90, 270)
		p.lines(8, 16, 9.6, 16)
		p.lines(14.4, 8, 16, 8)
		p.arc(16, 12, 4, -90, 90)
		p.lines(16, 16, 14.4, 16)
		p.lines(8.6, 12, 15.4, 12)
	},
	IconUnlink: func(p *iconPen) {
		p.lines(9.6, 8, 8, 8)
		p.arc(8, 12, 4, 90, 270)
		p.lines(8, 16, 9.6, 16)
		p.lines(14.4, 8, 16, 8)
		p.arc(16, 12, 4, -90, 90)
		p.lines(16, 16, 14.4, 16)
		p.lines(12, 4, 12, 6.4)
		p.lines(12, 17.6, 12, 20)
	},
	IconWarning: func(p *iconPen) {
		p.lines(12, 4.6, 20.4, 19, 3.6, 19, 12, 4.6)
		p.lines(12, 10, 12, 13.4)
		p.dot(12, 16.2, 1.15)
	},
	IconPicture: func(p *iconPen) {
		p.frame(3.8, 5, 20.2, 19, 2)
		p.lines(5, 16.8, 9.4, 12, 12.4, 15, 15, 12.6, 19, 16.4)
		p.dot(15.6, 9, 1.4)
	},
	IconStudent: func(p *iconPen) { p.ring(12, 8.2, 3.5); p.arc(12, 20.6, 7, 197, 343) },
	IconBothStages: func(p *iconPen) {
		p.frame(3.8, 5.5, 20.2, 18.5, 2)
		p.lines(12, 6.4, 12, 17.6)
	},
	IconOneStage: func(p *iconPen) { p.frame(3.8, 5.5, 20.2, 18.5, 2) },
	IconDark: func(p *iconPen) {
		p.arc(11.4, 12.6, 7.4, 8, 262)
		p.arc(15.4, 8.6, 6.2, 55, 215)
	},
	IconLight: func(p *iconPen) {
		p.ring(12, 12, 3.8)
		for i := range 8 {
			a := float32(i) * math.Pi / 4
			c := p.pt(12, 12)
			p.Pen.RoundLine(polar(c, 7*p.k, a), polar(c, 9*p.k, a), stroke*p.k)
		}
	},
	IconForward: func(p *iconPen) {
		p.ring(6, 12, 2.6)
		p.lines(11, 12, 19.4, 12)
		p.lines(15.4, 7.8, 19.6, 12, 15.4, 16.2)
	},
	IconRepeat: func(p *iconPen) {
		p.lines(4.4, 6, 4.4, 18)
		p.lines(19.6, 6, 19.6, 18)
		p.lines(8, 10, 16, 10)
		p.lines(13.2, 7.2, 16, 10)
		p.lines(16, 14, 8, 14)
		p.lines(10.8, 16.8, 8, 14)
	},
	IconExplain: func(p *iconPen) {
		p.frame(3.8, 5, 20.2, 19, 2)
		p.lines(7.4, 15.6, 12.2, 10.4, 16.6, 8.4)
		p.dot(7.4, 15.6, 1.7)
		p.dot(16.6, 8.4, 1.7)
	},
	IconCurves: func(p *iconPen) {
		p.lines(4, 4, 4, 20, 20.5, 20)
		p.lines(7, 16, 10.5, 8.5, 13.5, 7.5, 16, 13, 20, 16.5)
	},
	IconLine: func(p *iconPen) {
		p.lines(5.6, 18.4, 18.4, 5.6)
		p.dot(5.6, 18.4, 2.1)
		p.dot(18.4, 5.6, 2.1)
	},
	IconAngle: func(p *iconPen) {
		p.lines(16.6, 5, 5, 18.4, 19.6, 18.4)
		p.arc(5, 18.4, 8, -49, 0)
	},
	IconArrow: func(p *iconPen) {
		p.lines(5, 19, 17, 7)
		p.fill(20, 4, 18.4, 11.4, 12.6, 5.6)
	},
	IconCircle: func(p *iconPen) { p.ring(12, 12, 7.6) },
	IconFrame:  func(p *iconPen) { p.lines(4.6, 6.6, 19.4, 6.6, 19.4, 17.4, 4.6, 17.4, 4.6, 6.6) },
	IconFreehand: func(p *iconPen) {
		p.arc(8.4, 12, 4.2, 180, 360)
		p.arc(16, 12, 3.4, 180, 20)
	},
	IconSolid: func(p *iconPen) { p.lines(4, 12, 20, 12) },
	IconDashed: func(p *iconPen) {
		p.lines(4, 12, 7, 12)
		p.lines(10.5, 12, 13.5, 12)
		p.lines(17, 12, 20, 12)
	},
	IconDotted: func(p *iconPen) {
		p.dot(4.5, 12, 1.7)
		p.dot(9.5, 12, 1.7)
		p.dot(14.5, 12, 1.7)
		p.dot(19.5, 12, 1.7)
	},
	IconNote: func(p *iconPen) {
		p.lines(4.6, 5, 19.4, 5, 19.4, 15.6, 10.4, 15.6, 6.6, 19.4, 6.6, 15.6, 4.6, 15.6, 4.6, 5)
		p.lines(8.2, 10.3, 15.8, 10.3)
	},
	IconFindings: func(p *iconPen) {
		p.frame(5, 4, 19, 20, 1.8)
		p.lines(8.4, 9, 15.6, 9)
		p.lines(8.4, 12.6, 15.6, 12.6)
		p.lines(8.4, 16.2, 12.6, 16.2)
	},
	IconVoice: func(p *iconPen) {
		p.frame(9, 3.4, 15, 14, 3)
		p.arc(12, 11.4, 6.6, 0, 180)
		p.lines(12, 18.4, 12, 20.8)
		p.lines(8.6, 20.8, 15.4, 20.8)
	},
	IconCompare: func(p *iconPen) {
		p.frame(3.6, 5.5, 10.6, 18.5, 1.6)
		p.frame(13.4, 5.5, 20.4, 18.5, 1.6)
		p.dot(7.1, 14.4, 1.3)
		p.dot(16.9, 9.6, 1.3)
	},
	IconBall: func(p *iconPen) {
		p.ring(12, 12, 7.8)
		p.dot(9.8, 9.6, 1.1)
		p.dot(13.6, 9.2, 1.1)
		p.dot(11.8, 12.6, 1.1)
	},
}

func eye(p *iconPen) {
	// Two arcs meeting at the corners (3.2, 12) and (20.8, 12).
	const r, half = 10.8, 54.6
	p.arc(12, 12+6.26, r, -90-half, -90+half)
	p.arc(12, 12-6.26, r, 90-half, 90+half)
	p.dot(12, 12, 2.7)
}

// shapeKey names a kept path: an icon at a size in pixels.
type shapeKey struct {
	icon Icon
	px   int
}

// Icon draws an icon px pixels wide and high with its top left corner at at.
func (th *Theme) Icon(ops *op.Ops, ic Icon, at image.Point, px int, c color.NRGBA) {
	if ic == NoIcon || ic >= numIcons || px <= 0 {
		return
	}
	k := shapeKey{ic, px}
	spec, ok := th.shapes[k]
	if !ok {
		p := iconPen{k: float32(px) / 24}
		p.Begin(new(op.Ops))
		icons[ic](&p)
		spec = p.End()
		th.shapes[k] = spec
	}
	t := op.Offset(at).Push(ops)
	paint.FillShape(ops, c, clip.Outline{Path: spec}.Op())
	t.Pop()
}
