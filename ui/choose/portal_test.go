package choose

import (
	"bufio"
	"net/url"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gioui.org/x/explorer"
	"github.com/godbus/dbus/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/x11/xtest"
)

// portal is a desktop's file chooser on a private session bus, after the description of
// org.freedesktop.portal.FileChooser and org.freedesktop.portal.Request (flatpak.github.io/xdg-desktop-portal).
type portal struct {
	conn    *dbus.Conn
	choose  []string // what the coach picks; none: closes the dialog
	options chan map[string]dbus.Variant
}

// OpenFile answers with the handle of a request, and on it with what was picked.
func (p *portal) OpenFile(sender dbus.Sender, _, _ string, options map[string]dbus.Variant) (dbus.ObjectPath, *dbus.Error) {
	p.options <- options
	token, _ := options["handle_token"].Value().(string)
	name := strings.ReplaceAll(strings.TrimPrefix(string(sender), ":"), ".", "_")
	handle := dbus.ObjectPath("/org/freedesktop/portal/desktop/request/" + name + "/" + token)
	go func() {
		response, results := uint32(1), map[string]dbus.Variant{}
		if len(p.choose) > 0 {
			var uris []string
			for _, c := range p.choose {
				uris = append(uris, (&url.URL{Scheme: "file", Path: c}).String())
			}
			response, results["uris"] = 0, dbus.MakeVariant(uris)
		} else {
			time.Sleep(tooQuick + 50*time.Millisecond) // a hand is slower
		}
		_ = p.conn.Emit(handle, "org.freedesktop.portal.Request.Response", response, results)
	}()
	return handle, nil
}

// startPortal runs a session bus with the portal on it.
func startPortal(t *testing.T, choose ...string) *portal {
	t.Helper()
	bin := xtest.Need(t, "dbus-daemon")
	cmd := exec.Command(bin, "--session", "--nofork", "--print-address=1", "--address=unix:dir="+t.TempDir())
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	address, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	t.Setenv("DBUS_SESSION_BUS_ADDRESS", strings.TrimSpace(address))

	conn, err := dbus.ConnectSessionBus()
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close() })
	p := &portal{conn: conn, choose: choose, options: make(chan map[string]dbus.Variant, 9)}
	require.NoError(t, conn.Export(p, "/org/freedesktop/portal/desktop", "org.freedesktop.portal.FileChooser"))
	reply, err := conn.RequestName("org.freedesktop.portal.Desktop", dbus.NameFlagDoNotQueue)
	require.NoError(t, err)
	require.Equal(t, dbus.RequestNameReplyPrimaryOwner, reply)
	return p
}

func TestPortalChooses(t *testing.T) {
	dir := folder(t)
	write(t, dir, "Rudermöwe übt 100%.mp4")
	want := []string{filepath.Join(dir, "Mara 9.mp4"), filepath.Join(dir, "Rudermöwe übt 100%.mp4")}
	p := startPortal(t, want...)
	r := newRig(t, Clips)
	r.c.Desktop = explorer.NewExplorer(nil)
	r.c.Open("Add clips", true, dir)
	r.settle()
	assert.Equal(t, 1, r.done)
	assert.Equal(t, want, r.paths)
	assert.False(t, r.c.Visible())
	options := <-p.options
	assert.Equal(t, true, options["multiple"].Value())
	assert.Contains(t, options, "filters")
}

func TestPortalDeclined(t *testing.T) {
	startPortal(t)
	r := newRig(t, Clips)
	r.c.Desktop = explorer.NewExplorer(nil)
	r.c.Open("Add a clip", false, folder(t))
	r.settle()
	assert.Equal(t, 1, r.done)
	assert.Empty(t, r.paths)
	assert.False(t, r.c.Visible())
}
