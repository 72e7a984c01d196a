package video

import (
	"context"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestPlayListsReachNothing opens text files that make FFmpeg fetch other
// files or addresses if it is let, and clips by names that mean more than a
// file to it: each is refused, and nobody knocks at the address they name.
func TestPlayListsReachNothing(t *testing.T) {
	door, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer door.Close()
	var knocks atomic.Int32
	go func() {
		for {
			c, err := door.Accept()
			if err != nil {
				return
			}
			knocks.Add(1)
			c.Close()
		}
	}()
	address := door.Addr().String()
	other := clip(t, "H.264 group of 30")
	dir := t.TempDir()
	for name, text := range map[string]string{
		"hls.m3u8":      "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nhttp://" + address + "/a.ts\n#EXT-X-ENDLIST\n",
		"hls.mp4":       "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nhttp://" + address + "/a.ts\n#EXT-X-ENDLIST\n",
		"local.m3u8":    "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\n" + other + "\n#EXT-X-ENDLIST\n",
		"key.m3u8":      "#EXTM3U\n#EXT-X-KEY:METHOD=AES-128,URI=\"http://" + address + "/k\"\n#EXTINF:1,\ncrypto:" + other + "\n#EXT-X-ENDLIST\n",
		"list.ffconcat": "ffconcat version 1.0\nfile '" + other + "'\n",
		"list.mp4":      "ffconcat version 1.0\nfile 'http://" + address + "/a.mp4'\n",
		"session.sdp":   "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\nm=video 5004 RTP/AVP 96\na=rtpmap:96 H264/90000\n",
		"manifest.mpd":  "<?xml version=\"1.0\"?>\n<MPD xmlns=\"urn:mpeg:dash:schema:mpd:2011\" type=\"static\"><BaseURL>http://" + address + "/</BaseURL><Period><AdaptationSet mimeType=\"video/mp4\"><Representation id=\"1\" bandwidth=\"1\"><BaseURL>a.mp4</BaseURL></Representation></AdaptationSet></Period></MPD>\n",
		"stream.asx":    "<asx version=\"3.0\"><entry><ref href=\"http://" + address + "/a.asf\"/></entry></asx>\n",
	} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		_, err := Open(path)
		require.ErrorIs(t, err, ErrNotVideo, name)
		_, err = ReadAudio(context.Background(), path)
		require.ErrorIs(t, err, ErrNotVideo, name)
	}
	for _, path := range []string{
		"http://" + address + "/a.mp4", "tcp://" + address, "concat:" + other + "|" + other, "subfile,,start,0,end,0,,:" + other,
		"crypto:" + other, "data:video/mp4;base64,AAAA", "pipe:0",
	} {
		_, err := Open(path)
		require.ErrorIs(t, err, ErrMissing, path)
	}
	require.Zero(t, knocks.Load(), "somebody asked for %s", address)
}

// TestFileNamesAreTakenLiterally opens clips whose names look like patterns
// and addresses.
func TestFileNamesAreTakenLiterally(t *testing.T) {
	data, err := os.ReadFile(clip(t, "H.264 one frame"))
	require.NoError(t, err)
	dir := t.TempDir()
	for _, name := range []string{"swing %03d.mp4", "http:swing.mp4", "a|b.mp4", "swing?t=1#x.mp4", "[1]*.mp4", "-i.mp4", "Schwünge 7 °.mp4", strings.Repeat("long ", 40) + ".mp4"} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, data, 0o644))
		s, err := Open(path)
		require.NoError(t, err, name)
		require.NoError(t, s.Close())
	}
}
