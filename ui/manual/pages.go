package manual

import (
	"image"
	"sync"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/draw"
)

// Titles names the pages, in order.
var Titles = [...]string{"Film it", "Mark it", "Read it", "Measures"}

const (
	pictureSide unit.Sp = 300 // a page's picture
	sketchSide  unit.Sp = 132
	textMost    unit.Sp = 560 // wider lines are hard to read
)

// Width returns how wide a page should be where there is room.
func Width(page int) unit.Sp {
	if page == len(Titles)-1 {
		return 3*(sketchSide+260) + 48
	}
	return pictureSide + 24 + textMost
}

// Layout draws a page as wide as the constraints allow.
func Layout(gtx layout.Context, th *draw.Theme, page int) layout.Dimensions {
	switch page {
	case 0:
		return beside(gtx, th, filming, film)
	case 1:
		return beside(gtx, th, points, mark)
	case 2:
		return beside(gtx, th, verdicts, readIt)
	default:
		return measures(gtx, th)
	}
}

// passage is a heading and what stands under it.
type passage struct{ title, text string }

var film = []passage{
	{"Two views", "Put two phones on stands at hip height, about four metres away: one face-on, looking at the golfer's front, one down the line, behind the hands, looking at the target. One phone and one view works too; the intervals say what that costs."},
	{"Fast and still", "120 frames a second or more, a short shutter time, the whole golfer and the club in the picture from address to finish. Lock focus and zoom, and leave the phone alone between the lessons. Of a clip that plays in slow motion, say at what rate it was filmed when you add it, so that tempo and speeds are those of life."},
	{"Upright and large", "Turn the phone upright and let the golfer fill the picture. On its side, four metres away, a pixel is 2.9 mm on the golfer; twice as large it is 1.5 mm, and the pelvis turn at the top comes out to ± 10.1 degrees in place of ± 11.9, the torso turn to ± 8.1 in place of ± 9.2. 4K at 120 frames a second is as good, with nothing left out."},
	{"Square and alone", "Stand on the line of the hands, and at a right angle to it in front. A phone far off its line is found, and Shift+P shows from above where it stood. Marks are proposed on the one who swings; where others stand beside him, Shift+G and a click say who is the golfer."},
	{"A stick on the ground", "Lay a stick of known length along the target line, where both phones see it. It is worth more than a better camera: it tells the program where the ground is, how far away the phone stands and where the target lies."},
	{"Clothes that can be told apart", "A belt with a buckle, a shirt with a seam in front, shoes that differ from the ground. Loose cloth moves on the body, and each centimetre of it is about three degrees of pelvis turn."},
	{"Sound on", "The strike is heard in both clips; by it they are locked together."},
	{"Several swings", "Three to ten swings tell more of the student than one. Leave both phones running, and drop the two takes, or the folder that holds them: every swing is found by its strike, other golfers' strikes are left out, and a card shows which pictures belong together: drag one to its place, or take it along with Ctrl and an arrow. A phone that was bumped between two swings is noticed. Marks are then proposed in all swings in the background; Ctrl+Shift+A does so for the swings of any lesson. Ctrl+Shift+W watches the folder into which the phones' clips come, and takes each swing in by itself."},
}

var mark = []passage{
	{"Key positions", "Address, the top and impact are proposed as hollow ticks from motion and sound: Page Down goes from one to the next, Enter takes the one shown. The others follow from the level arm and shaft in the face-on pictures; set what is missing with its digit, 1 to 7; the digit on a proposed one says that you have looked, and makes tempo and the turns at impact surer. Address and top are enough for the turn."},
	{"Joints, not cloth", "Mark where the joint is: the hip where the thigh turns in its socket, the knee in the middle of the joint, the ankle at its widest. What you take for the joint at address, take for it at the top: an offset that stays with the body cancels in a turn."},
	{"Front and rear", "Mark the buckle, the tailbone, the breastbone and the upper back where they are seen. Near zero turn the width of the hips hardly changes, but the buckle moves sideways at once: it is what makes small turns measurable."},
	{"Hidden is an answer", "H says that a point can't be seen, U that you are unsure of it. A guess that looks like knowledge is worse than none."},
	{"What to mark next", "N goes to the point that would sharpen the numbers most, and the sheet says by how much. A proposes marks, by following those that you placed and by looking for joints; they stay hollow until you take them. Ctrl+A does so at every key position at once, and Ctrl+N goes to the one mark, wherever it is, that by hand would sharpen the numbers most: from proposed marks, four to nine such do for a swing."},
	{"Correct one, teach the others", "What the program takes a joint for is off in nearly the same way in every swing of one student before one phone. So put the marks of one swing right, and Ctrl+F2 moves the proposed marks of the others as you have moved these, and narrows their intervals by what that tells. Where you marked buckle, tailbone, breastbone or upper back, the cloth about them is looked for in the pictures of the others and proposed where it is clearly seen. Marks that you placed or took are never moved; Ctrl+Z takes all of it back. Swings that are proposed later learn of it by themselves. A phone that was bumped, another club or something that was tried learns less, or nothing."},
	{"How well you repeat it", "M hides the marks of a position and asks for them again. From then on the program knows your own click error and uses it in place of its usual 2.5 pixels."},
}

var readIt = []passage{
	{"A number with its interval", "40.1 ± 8.0 degrees: with these marks the true value lies between 32.2 and 48.1 with a probability of 95 %. The line in the picture is that interval, the dot the number, the band the target range."},
	{"Six verdicts", "Within, below and above say where the number lies; not below and not above, that one end of the range is settled. Each is said only from the probability on that you choose, 80 % unless you do, and with how sure it is: likely from 66 %, very likely from 90, virtually certain from 99. Else it is can't tell. Point at a row: its card says what would decide it, a mark, three swings, a nearer clip, and how likely that would."},
	{"One number", "I follows the marks through both clips. From then on the sheet, the findings and what the student takes home tell the followed numbers where they are the surer ones; the row's card says what the marks alone tell. Where both clips show the weave, seams or stitches of belt and trousers, those are followed too and the pelvis turn is surer for it, to about 5 degrees either way; the curves, the card of a pelvis turn and the sheet say in how many frames, or why not. A belt with a pattern helps, a shirt that hangs over it does not. After a mark has moved the marks count alone until the swing is followed again."},
	{"One view", "A turn toward and away from one camera look alike, and near zero the width of the hips is blind to it. From one view the depth of a point is known only as far as the body is known. Where the picture leaves a number open it is not given at all, and what to mark is said in its place."},
	{"Several swings", "A lesson with several swings is a visit, and the sheet shows the means over those that were swung alike, each with the student's own spread counted in; Shift+F2 shows the swing on the bench alone. F2 looks at all of them: how each measure spreads, which swing is typical or odd and why, the most and the least, two laid over each other, and what was tried in some of them, held against the usual ones."},
	{"A change", "More or less is said with how sure it is, by the same words: of the means of two visits, with how far the student's swings differ and your own click error counted in. One swing each seldom tells; the row's card says how many would. Where it says can't tell, the swing may have changed as well. V puts the other swing beside this one, and Shift+O lays it over, half transparent, turned and scaled so that feet and ball of address lie on each other; it says how far apart they stay. Where the stances differ in width, the golfer with the wider one shows smaller."},
	{"Target ranges", "They are starting points with a source each, some of them only common practice without one. They are yours to change, for all, for a club or for one student; the sheet names the source of each beside the number."},
	{"Talk it through", "F3, or the microphone in the bar, records what you show and what you say, until F3 ends it: swings, frames, lines as they are drawn, the row you point at, the pointer while Shift is held. What there is to say stands as cards over the sheet, to be ticked off: what the student asked, the findings, what you prescribe. The microphone beside a finding (K) begins with that one. Without a microphone, or when it is pulled out, what is shown goes on being recorded."},
	{"Mend it", "Shift+F3 plays a review. Space plays, the arrows go on by a second, Page Down to what happens next. [ and ] mark a passage, or drag over the wave with Shift held: cut it (Delete), silence a cough in it (S), or say it anew (N); what you tell then stands in its place, and the old one is kept. Drag the bar of a drawing to another time. Pauses are shortened by one button, captions written for a moment. Ctrl+Z undoes each, Bring back all of it. Then M makes the film: wide or upright, as large as it comes or small enough for a message, with less noise behind your voice. What lay over the picture, the golfer from above, the curves of the turns and the findings are in it as they were open. The sheet the student takes home names it."},
	{"Care", "Pain or an injury: stop, and see a licensed professional. A coach's judgement comes first. This is no medical device."},
}

// picture draws a square of the given side.
type picture func(gtx layout.Context, th *draw.Theme, side int)

// beside sets a picture beside the text, or above it where there is no room.
func beside(gtx layout.Context, th *draw.Theme, p picture, text []passage) layout.Dimensions {
	width, pic, gap := gtx.Constraints.Max.X, gtx.Sp(pictureSide), gtx.Dp(24)
	x, y := pic+gap, 0
	if width < x+gtx.Sp(textMost)/2 {
		x, y = 0, pic+gap
	}
	p(gtx, th, pic)
	d := put(gtx, x, y, min(width-x, gtx.Sp(textMost)), func(gtx layout.Context) layout.Dimensions {
		return passages(gtx, th, text)
	})
	return layout.Dimensions{Size: image.Pt(width, max(pic, y+d.Size.Y))}
}

func put(gtx layout.Context, x, y, width int, w layout.Widget) layout.Dimensions {
	defer op.Offset(image.Pt(x, y)).Push(gtx.Ops).Pop()
	gtx.Constraints = layout.Constraints{Max: image.Pt(width, gtx.Constraints.Max.Y)}
	return w(gtx)
}

func passages(gtx layout.Context, th *draw.Theme, list []passage) layout.Dimensions {
	width, y := gtx.Constraints.Max.X, 0
	for i, p := range list {
		if i > 0 {
			y += gtx.Sp(12)
		}
		y += put(gtx, 0, y, width, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.SemiBold, th.Text, p.title)
		}).Size.Y + gtx.Sp(2)
		y += put(gtx, 0, y, width, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, p.text)
		}).Size.Y
	}
	return layout.Dimensions{Size: image.Pt(width, y)}
}

// filming draws how a swing is filmed on a square.
func filming(gtx layout.Context, th *draw.Theme, side int) {
	draw.RoundRect(gtx.Ops, image.Rect(0, 0, side, side), gtx.Dp(draw.Radius), th.Well)
	Filming(gtx, th, image.Pt(side, side))
}

// points draws the front and the rear of the body with what is marked there.
func points(gtx layout.Context, th *draw.Theme, side int) {
	draw.RoundRect(gtx.Ops, image.Rect(0, 0, side, side), gtx.Dp(draw.Radius), th.Well)
	pad := gtx.Dp(14)
	for i, p := range []geometry.Point{geometry.Buckle, geometry.Tailbone} {
		put(gtx, i*side/2+pad/2, pad, side/2-pad, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Max.Y = side - 3*pad
			return th.BodyDiagram(gtx, p, false)
		})
		name := [...]string{"buckle, in front", "tailbone, behind"}[i]
		th.TextAt(gtx, f32.Pt(float32(i*side/2+side/4), float32(side-pad/2)), 0.5, 1, draw.Small, font.Normal, th.Text, name)
	}
}

// verdicts draws one dot and interval for each verdict.
func verdicts(gtx layout.Context, th *draw.Theme, side int) {
	draw.RoundRect(gtx.Ops, image.Rect(0, 0, side, side), gtx.Dp(draw.Radius), th.Well)
	f := float32(side)
	band := image.Rect(int(0.38*f), int(0.05*f), int(0.68*f), int(0.95*f))
	draw.Fill(gtx.Ops, band, th.Band)
	thin := float32(gtx.Dp(1))
	for i, c := range []struct {
		v         draw.Verdict
		at, reach float32
		text      string
	}{
		{draw.Within, 0.53, 0.09, "within"},
		{draw.Below, 0.22, 0.09, "below"},
		{draw.Above, 0.84, 0.09, "above"},
		{draw.NotBelow, 0.6, 0.16, "not below"},
		{draw.NotAbove, 0.46, 0.16, "not above"},
		{draw.CantTell, 0.5, 0.3, "can't tell"},
	} {
		y := f * (0.13 + 0.15*float32(i))
		colour := th.VerdictColour(c.v)
		draw.Line(gtx.Ops, f32.Pt((c.at-c.reach)*f, y), f32.Pt((c.at+c.reach)*f, y), 3*thin, colour)
		th.Verdict(gtx.Ops, f32.Pt(c.at*f, y), 6*thin, c.v)
		th.TextAt(gtx, f32.Pt(0.04*f, y-12*thin), 0, 1, draw.Small, font.Medium, th.Text, c.text)
	}
	th.TextAt(gtx, f32.Pt(0.53*f, 0.94*f), 0.5, 1, draw.Small, font.Normal, th.Dim, "target range")
}

// model is the golfer in the sketches.
var model = sync.OnceValue(golfer.Mara)

// measures lists every measure with its picture, in columns.
func measures(gtx layout.Context, th *draw.Theme) layout.Dimensions {
	labels := Labels()
	return columns(gtx, len(geometry.Definitions()), func(gtx layout.Context, i int) layout.Dimensions { return entry(gtx, th, &labels[i]) })
}

// columns lays n entries out in rows of as many as there is room for.
func columns(gtx layout.Context, n int, entry func(gtx layout.Context, i int) layout.Dimensions) layout.Dimensions {
	width, gap := gtx.Constraints.Max.X, gtx.Dp(24)
	beside := min(max((width+gap)/(gtx.Sp(sketchSide+260)+gap), 1), 3)
	w := (width - (beside-1)*gap) / beside
	y, high := 0, 0
	for i := range n {
		c := i % beside
		if c == 0 && i > 0 {
			y, high = y+high+gtx.Sp(18), 0
		}
		off := op.Offset(image.Pt(c*(w+gap), y)).Push(gtx.Ops)
		high = max(high, entry(narrowed(gtx, w), i).Size.Y)
		off.Pop()
	}
	return layout.Dimensions{Size: image.Pt(width, y+high)}
}

func narrowed(gtx layout.Context, w int) layout.Context {
	gtx.Constraints = layout.Constraints{Max: image.Pt(w, gtx.Constraints.Max.Y)}
	return gtx
}

// timeline is the picture of a measure in time: address, top and impact.
func timeline(gtx layout.Context, th *draw.Theme, side int) {
	draw.RoundRect(gtx.Ops, image.Rect(0, 0, side, side), gtx.Dp(draw.Radius), th.Well)
	f, thin := float32(side), float32(gtx.Dp(1))
	y := 0.55 * f
	draw.Line(gtx.Ops, f32.Pt(0.1*f, y), f32.Pt(0.9*f, y), thin, th.Edge)
	draw.Line(gtx.Ops, f32.Pt(0.16*f, y), f32.Pt(0.62*f, y), 3*thin, th.Accent)
	draw.Line(gtx.Ops, f32.Pt(0.62*f, y), f32.Pt(0.8*f, y), 3*thin, th.Outside)
	for i, x := range []float32{0.16, 0.62, 0.8} {
		draw.Line(gtx.Ops, f32.Pt(x*f, y-8*thin), f32.Pt(x*f, y+8*thin), 2*thin, th.Text)
		th.TextAt(gtx, f32.Pt(x*f, y+(12+14*float32(i%2))*thin), 0.5, 0, draw.Small, font.Normal, th.Dim, [...]string{"address", "top", "impact"}[i])
	}
}
