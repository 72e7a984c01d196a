package drop

import (
	"fmt"
	"net/url"
	"path"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The rows marked RFC are the worked examples of RFC 2483 section 5 and RFC 8089 appendix B, or follow
// from the sentence of the standard named.
func TestParseURIList(t *testing.T) {
	const web = " is not a file on this computer. Save it to a folder first, then drop the saved file."
	const far = " is on another computer. Copy it to this one first, then drop the copy."
	const odd = " is not a file name that can be read. Use the Open button instead."
	for _, c := range []struct {
		name  string
		list  string
		paths []string
		err   string
	}{
		{"one file, no host (RFC 8089 B, traditional)", "file:///path/to/file\r\n", []string{"/path/to/file"}, ""},
		{"minimal (RFC 8089 B)", "file:/path/to/file\r\n", []string{"/path/to/file"}, ""},
		{"localhost (RFC 8089 2)", "file://localhost/path/to/file\r\n", []string{"/path/to/file"}, ""},
		{"not local (RFC 8089 B)", "file://host.example.com/path/to/file\r\n", nil, "“file://host.example.com/path/to/file”" + far},
		{"this computer by its name (XDND file dragging)", "file://tee.fjordholm.example/a.mp4\r\n", []string{"/a.mp4"}, ""},
		{"this computer by its short name", "file://TEE/a.mp4\r\n", []string{"/a.mp4"}, ""},
		{"scheme and host in capitals (RFC 3986 6.2.2.1)", "FILE://LocalHost/a.mp4\r\n", []string{"/a.mp4"}, ""},
		{"comments (RFC 2483 5)", "# urn:isbn:0-201-08372-8\r\nfile:///one.mov\r\n#file:///two.mov\r\n", []string{"/one.mov"}, ""},
		{"order kept", "file:///b.mov\r\nfile:///a.mov\r\n", []string{"/b.mov", "/a.mov"}, ""},
		{"spaces and umlauts", "file:///clips/Ruderm%C3%B6we%20%C3%BCbt.mp4\r\n", []string{"/clips/Rudermöwe übt.mp4"}, ""},
		{"lower-case digits (RFC 3986 2.1)", "file:///%c3%a5.mp4\r\n", []string{"/å.mp4"}, ""},
		{"bytes that are no text", "file:///caf%E9.mp4\r\n", []string{"/caf\xe9.mp4"}, ""},
		{"plus is plus", "file:///7+8.mp4\r\n", []string{"/7+8.mp4"}, ""},
		{"encoded delimiters", "file:///a%23b%3Fc%25d.mp4\r\n", []string{"/a#b?c%d.mp4"}, ""},
		{"encoded percent before 2F", "file:///a%252Fb.mp4\r\n", []string{"/a%2Fb.mp4"}, ""},
		{"bare line feeds, no last one", "file:///a.mp4\nfile:///b.mp4", []string{"/a.mp4", "/b.mp4"}, ""},
		{"closing NUL", "file:///a.mp4\r\n\x00", []string{"/a.mp4"}, ""},
		{"raw space", "file:///my clip.mp4\r\n", []string{"/my clip.mp4"}, ""},
		{"raw umlaut", "file:///möwe.mp4\r\n", []string{"/möwe.mp4"}, ""},
		{"folder", "file:///home/coach/clips/\r\n", []string{"/home/coach/clips"}, ""},
		{"dots", "file:///home/./a/../clip.mp4\r\n", []string{"/home/clip.mp4"}, ""},

		{"web address (RFC 2483 5)", "http://www.huh.org/books/foo.html\r\n", nil, "“http://www.huh.org/books/foo.html”" + web},
		{"some of each", "file:///a.mp4\r\nftp://ftp.foo.org/fnord.txt\r\nfile:///b.mp4\r\n", []string{"/a.mp4", "/b.mp4"}, "“ftp://ftp.foo.org/fnord.txt”" + web},
		{"two others", "urn:a\r\nurn:b\r\n", nil, "“urn:a”" + web + " One other could not be taken either."},
		{"three others", "urn:a\r\nurn:b\r\nurn:c\r\n", nil, "“urn:a”" + web + " 2 others could not be taken either."},
		{"plain path", "/home/coach/a.mp4\r\n", nil, "“/home/coach/a.mp4”" + web},
		{"relative", "file:a.mp4\r\n", nil, "“file:a.mp4”" + odd},
		{"host only", "file://localhost\r\n", nil, "“file://localhost”" + odd},
		{"root", "file:///\r\n", nil, "“file:///”" + odd},
		{"broken encoding", "file:///a%2.mp4\r\n", nil, "“file:///a%2.mp4”" + odd},
		{"encoded NUL", "file:///a%00.mp4\r\n", nil, "“file:///a%00.mp4”" + odd},
		{"encoded slash", "file:///a%2fb.mp4\r\n", nil, "“file:///a%2fb.mp4”" + odd},
		{"fragment", "file:///a.html#top\r\n", nil, "“file:///a.html#top”" + odd},
		{"query", "file:///a.mp4?x\r\n", nil, "“file:///a.mp4?x”" + odd},
		{"empty", "", nil, "No file was among what was dropped. Drop clips or a lesson from a file manager."},
		{"only comments", "# nothing\r\n\r\n", nil, "No file was among what was dropped. Drop clips or a lesson from a file manager."},
		{
			"long address", "https://example.org/" + strings.Repeat("a", 200), nil,
			"“https://example.org/" + strings.Repeat("a", 39) + "…”" + web,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			paths, err := parseURIList([]byte(c.list), "tee.fjordholm.example")
			assert.Equal(t, c.paths, paths)
			if c.err == "" {
				assert.NoError(t, err)
			} else {
				assert.EqualError(t, err, c.err)
			}
		})
	}
}

func TestParseURIListLimit(t *testing.T) {
	var list strings.Builder
	for i := range maxPaths + 1 {
		fmt.Fprintf(&list, "file:///clips/%d.mp4\r\n", i)
	}
	paths, err := parseURIList([]byte(list.String()), "")
	require.Len(t, paths, maxPaths)
	assert.Equal(t, "/clips/255.mp4", paths[maxPaths-1])
	assert.EqualError(t, err, "Only the first 256 files were taken. Drop the others afterwards.")
}

func TestUnknownHostNameMatchesNothing(t *testing.T) {
	paths, err := parseURIList([]byte("file://tee/a.mp4\r\n"), "")
	assert.Empty(t, paths)
	assert.ErrorContains(t, err, "is on another computer")
}

// FuzzParseURIList holds the parser to what its callers rely on, whatever a drag source sends, and to
// net/url for what is a file URI at all.
func FuzzParseURIList(f *testing.F) {
	for _, s := range []string{
		"file:///a.mp4\r\n", "file://localhost/%C3%B6.mov", "#c\r\nhttp://x/\r\n", "file:///%\x00", "file:////../..\n", "\x00",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, list []byte) {
		paths, err := parseURIList(list, "tee")
		if len(paths) == 0 && err == nil {
			t.Fatal("neither a path nor a sentence")
		}
		if err != nil && (!utf8.ValidString(err.Error()) || !strings.HasSuffix(err.Error(), ".")) {
			t.Fatalf("not a sentence: %q", err)
		}
		for _, p := range paths {
			if !path.IsAbs(p) || p == "/" || path.Clean(p) != p || strings.ContainsRune(p, 0) {
				t.Fatalf("not a path of a file: %q", p)
			}
			// A path must survive being written as a URI by another library.
			again, err := parseURIList([]byte((&url.URL{Scheme: "file", Path: p}).String()), "tee")
			if err != nil || len(again) != 1 || again[0] != p {
				t.Fatalf("%q came back as %q, %v", p, again, err)
			}
		}
	})
}
