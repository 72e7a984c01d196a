package ui

import (
	"io"
	"strings"

	"gioui.org/io/clipboard"
	"gioui.org/layout"
)

// copyText puts text on the clipboard.
func (a *App) copyText(gtx layout.Context, text string) {
	gtx.Execute(clipboard.WriteCmd{Type: "application/text", Data: io.NopCloser(strings.NewReader(text))})
	a.notices.Tell("Copied.")
}

func (a *App) copySheet() {
	if m := a.desk.Result.Sheet; m != nil {
		a.clip = m.Text()
	}
}
