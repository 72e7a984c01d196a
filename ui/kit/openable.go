package kit

import (
	"gioui.org/layout"

	"turngauge/ui/draw"
)

// Openable is whether a card lies over the window. Embedded, it makes a room a Card as
// nearly all are: open it keeps the keys to itself, and Esc closes it. A card that has more
// to let go of, or to keep, before it closes has an Escape of its own.
type Openable struct {
	// Shown is whether the card is open.
	Shown bool
}

// Opened is that of a card that opens.
func Opened() Openable { return Openable{Shown: true} }

// IsOpen reports whether the card is open.
func (o *Openable) IsOpen() bool { return o.Shown }

// HoldsKeys reports whether the card is open: what is pressed is meant for it.
func (o *Openable) HoldsKeys() bool { return o.Shown }

// Escape closes the card, and reports whether it was open.
func (o *Openable) Escape() bool {
	was := o.Shown
	o.Shown = false
	return was
}

// Finish is the last row of a card on which what is done counts at once: a button Done.
type Finish struct{ done draw.Button }

// Update reports whether the coach is done: by the button or by Enter. The keyboard is then
// the window's again.
func (f *Finish) Update(gtx layout.Context, h Host) bool {
	if !f.done.Clicked(gtx) && !EnterPressed(gtx) {
		return false
	}
	ReleaseKeys(gtx, h)
	return true
}

// Layout draws the row.
func (f *Finish) Layout(gtx layout.Context, th *draw.Theme) layout.Dimensions {
	return EndRow(gtx, func(gtx layout.Context) layout.Dimensions {
		return th.Button(gtx, &f.done, draw.ButtonStyle{Label: "Done", Kind: draw.Primary})
	})
}
