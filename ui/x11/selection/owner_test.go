package selection

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/x11/xtest"
)

// paste asks another program, xclip, for what is on the clipboard.
func paste(t *testing.T, display, target string) ([]byte, error) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, xtest.Need(t, "xclip"), "-selection", "clipboard", "-t", target, "-o")
	cmd.Env = append(os.Environ(), "DISPLAY="+display)
	return cmd.Output()
}

func random(n int) []byte {
	r := rand.NewChaCha8([32]byte{byte(n)})
	b := make([]byte, n)
	_, _ = r.Read(b)
	return b
}

func TestAnotherProgramPastesWhatIsOffered(t *testing.T) {
	display := xtest.Start(t, 640, 480)
	o, err := Open(display)
	require.NoError(t, err)
	defer o.Close()
	for _, n := range []int{1, 1000, o.chunk, o.chunk + 1, 3<<20 + 17} {
		data := random(n)
		require.NoError(t, o.Offer("image/png", data))
		got, err := paste(t, display, "image/png")
		require.NoError(t, err, "%d bytes", n)
		assert.True(t, bytes.Equal(data, got), "%d bytes: got %d, unlike", n, len(got))
	}
	list, err := paste(t, display, "TARGETS")
	require.NoError(t, err)
	assert.ElementsMatch(t, []string{"TARGETS", "TIMESTAMP", "MULTIPLE", "image/png"}, strings.Fields(string(list)))
	_, err = paste(t, display, "text/html")
	assert.Error(t, err, "only what is offered is to be had")
}

func TestTheClipboardGoesToWhoTakesItLast(t *testing.T) {
	display := xtest.Start(t, 640, 480)
	o, err := Open(display)
	require.NoError(t, err)
	defer o.Close()
	require.NoError(t, o.Offer("image/png", random(100)))
	other := exec.Command(xtest.Need(t, "xclip"), "-selection", "clipboard", "-i")
	other.Env = append(os.Environ(), "DISPLAY="+display)
	other.Stdin = strings.NewReader("words")
	require.NoError(t, other.Run())
	got, err := paste(t, display, "UTF8_STRING")
	require.NoError(t, err)
	assert.Equal(t, "words", string(got))
	assert.Eventually(t, func() bool {
		o.mu.Lock()
		defer o.mu.Unlock()
		return o.now == nil
	}, time.Minute, 5*time.Millisecond, "the picture is not kept in memory when nobody can ask for it")
	require.NoError(t, o.Offer("image/png", random(200)), "and it can be taken back")
	got, err = paste(t, display, "image/png")
	require.NoError(t, err)
	assert.Equal(t, random(200), got)
}

func TestWithoutAnXServerThereIsNoOwner(t *testing.T) {
	_, err := Open(":98765")
	assert.ErrorContains(t, err, "no X server")
}
