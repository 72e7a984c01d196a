package ui

import (
	"io"
	"strings"

	gio "gioui.org/io/clipboard"
	"gioui.org/layout"

	"turngauge/ui/kit"
)

// clipboard is what goes to the desktop's clipboard.
type clipboard struct {
	text    string                  // that goes with this frame; "" for none
	picture func(data []byte) error // puts a PNG there; it may be called on any goroutine
}

// copy has text put there with the frame.
func (c *clipboard) copy(text string) { c.text = text }

// update puts the text there.
func (c *clipboard) update(gtx layout.Context, host kit.Host) {
	if c.text == "" {
		return
	}
	gtx.Execute(gio.WriteCmd{Type: "application/text", Data: io.NopCloser(strings.NewReader(c.text))})
	host.Tell("Copied.")
	c.text = ""
}
