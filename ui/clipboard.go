package ui

import (
	"io"
	"strings"

	gio "gioui.org/io/clipboard"
	"gioui.org/io/transfer"
	"gioui.org/layout"

	"turngauge/ui/kit"
)

// clipboard is what goes to the desktop's clipboard.
type clipboard struct {
	text    string                  // that goes with this frame; "" for none
	wanted  bool                    // what is there was asked for
	picture func(data []byte) error // puts a PNG there; it may be called on any goroutine
}

// copy has text put there with the frame.
func (c *clipboard) copy(text string) { c.text = text }

// mostPasted is how much of a text on the clipboard is read, bytes.
const mostPasted = 1 << 16

// pasted asks for what is on the clipboard where it is wanted, and returns it once it
// has come.
func (c *clipboard) pasted(gtx layout.Context) (text string, ok bool) {
	if c.wanted {
		c.wanted = false
		gtx.Execute(gio.ReadCmd{Tag: c})
	}
	for {
		ev, more := gtx.Event(transfer.TargetFilter{Target: c, Type: "application/text"})
		if !more {
			return text, ok
		}
		if e, is := ev.(transfer.DataEvent); is {
			data := e.Open()
			b, err := io.ReadAll(io.LimitReader(data, mostPasted))
			_ = data.Close() // it was read
			text, ok = string(b), err == nil
		}
	}
}

// update puts the text there.
func (c *clipboard) update(gtx layout.Context, host kit.Host) {
	if c.text == "" {
		return
	}
	gtx.Execute(gio.WriteCmd{Type: "application/text", Data: io.NopCloser(strings.NewReader(c.text))})
	host.Tell("Copied.")
	c.text = ""
}
