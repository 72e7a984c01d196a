package choose

import (
	"testing"
	"time"

	"gioui.org/gesture"
	"gioui.org/layout"

	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

// staged is a panel with a folder that is not on any disk, so that its picture is the same everywhere.
func staged(t *testing.T) *rig {
	t.Helper()
	r := newRig(t, Clips)
	r.now = drawtest.Now
	r.c.Open("Add clips", true, t.TempDir())
	r.settle()
	may := func(day, hour, minute int) time.Time { return time.Date(2026, 5, day, hour, minute, 0, 0, time.UTC) }
	l := Listing{Dir: "/home/odalys/Videos", Hidden: 3, Entries: []Entry{
		{Name: "Fjordholm bay 2", Folder: true, Changed: may(1, 18, 12)},
		{Name: "Übungsplatz", Folder: true, Changed: time.Date(2025, 11, 3, 8, 0, 0, 0, time.UTC)},
		{Name: "Mara Lindqvist driver, third swing of the morning, down-the-line, with the stick.mp4", Size: 48_200_000, Changed: may(2, 9, 41)},
		{Name: "Mara 9 face-on.mp4", Size: 51_900_000, Changed: may(2, 9, 40)},
		{Name: "Mara 10 face-on.mp4", Size: 9_400_000, Changed: may(2, 9, 38)},
	}}
	for i := range 20 {
		l.Entries = append(l.Entries, Entry{Name: "Wedge " + string(rune('a'+i)) + ".MOV", Size: int64(i) * 1_310_000, Changed: may(1, 10, i)})
	}
	r.c.places = []Place{{"Home", "/home/odalys"}, {"Desktop", "/home/odalys/Desktop"}, {"Videos", "/home/odalys/Videos"}, {"EOS_DIGITAL", "/media/odalys/EOS_DIGITAL"}}
	r.c.Recent = []string{"/home/odalys/Videos/lessons 2026", "/media/odalys/EOS_DIGITAL/DCIM"}
	r.c.setPath(l.Dir)
	r.c.list, r.c.rows = l, make([]gesture.Click, len(l.Entries))
	r.c.sel.only(2)
	r.c.sel.extend(3, l.Entries)
	return r
}

func TestPanelPictures(t *testing.T) {
	for _, c := range []struct {
		name     string
		dark     bool
		w, h     int
		text     float32
		prepared func(c *Chooser)
	}{
		{"dark", true, 1000, 680, 1, func(*Chooser) {}},
		{"light", false, 1000, 680, 1, func(*Chooser) {}},
		{"trouble", true, 760, 520, 1, func(c *Chooser) {
			c.note = "The folder “/media/odalys/EOS_DIGITAL” may not be looked into with your account. Choose another folder."
			c.sel.only(-1)
		}},
		{"small-large-text", true, 620, 480, 1.5, func(*Chooser) {}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := staged(t)
			c.prepared(r.c)
			th := draw.NewFixedTheme(c.dark, c.text)
			img := drawtest.Picture(t, c.w, c.h, 1, th.Surround, func(gtx layout.Context) {
				gtx.Source = r.router.Source()
				r.c.Layout(gtx, th)
			})
			drawtest.Golden(t, "testdata/panel-"+c.name+".png", img)
		})
	}
}
