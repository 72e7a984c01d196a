package takehome

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"turngauge/ui/draw"
	"turngauge/ui/x11/xtest"
)

// each calls do for every element of a page, in order.
func each(n *html.Node, do func(*html.Node)) {
	if n.Type == html.ElementNode {
		do(n)
	}
	for c := range n.ChildNodes() {
		each(c, do)
	}
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

// shownText is the text of a page, its style left out.
func shownText(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	if n.Data == "style" || n.Data == "title" {
		return ""
	}
	var b strings.Builder
	for c := range n.ChildNodes() {
		b.WriteString(shownText(c) + " ")
	}
	return b.String()
}

func fullHTML(t *testing.T) (*Sheet, []byte) {
	t.Helper()
	l, path := fixture(t)
	before := earlier(l)
	found(l)
	l.Student.Name = "山田 花子 <script>alert(1)</script>"
	s := build(t, Request{Lesson: l, Path: path, Earlier: before})
	data, err := s.HTML(A4)
	require.NoError(t, err)
	keep(t, "full.html", data)
	return s, data
}

// The page is read with golang.org/x/net/html. What is asked of it: W3C, HTML
// and Web Content Accessibility Guidelines 2.2 (1.1.1 text for pictures, 1.3.1
// structure, 2.4.2 a title, 3.1.1 the language).
func TestThePageIsWellMade(t *testing.T) {
	s, data := fullHTML(t)
	again, err := s.HTML(A4)
	require.NoError(t, err)
	assert.Equal(t, data, again, "the same sheet gives the same bytes")
	page, err := html.Parse(bytes.NewReader(data))
	require.NoError(t, err)
	// W3C, Content Security Policy Level 3: nothing is fetched and no script runs, whatever
	// got into the page; the policy counts for what stands behind it.
	policy := bytes.Index(data, []byte(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'">`))
	require.Positive(t, policy)
	assert.Less(t, policy, bytes.Index(data, []byte("<title>")))
	assert.Less(t, policy, bytes.Index(data, []byte("<style>")))
	count := make(map[string]int)
	level := 0
	ids := make(map[string]bool)
	var labelled []string
	each(page, func(n *html.Node) {
		count[n.Data]++
		if id := attribute(n, "id"); id != "" {
			assert.False(t, ids[id], "%s is there twice", id)
			ids[id] = true
		}
		if by := attribute(n, "aria-labelledby"); by != "" {
			labelled = append(labelled, by)
		}
		for _, a := range n.Attr {
			if a.Key == "src" || a.Key == "href" || a.Key == "srcset" || a.Key == "action" {
				assert.True(t, strings.HasPrefix(a.Val, "data:image/jpeg;base64,"), "%s asks for %.60s", n.Data, a.Val)
			}
			assert.False(t, strings.HasPrefix(a.Key, "on"), "%s is a script", a.Key)
		}
		switch n.Data {
		case "html":
			assert.Equal(t, "en", attribute(n, "lang"))
		case "title":
			assert.Equal(t, s.Title(), n.FirstChild.Data)
		case "img":
			assert.NotEmpty(t, attribute(n, "alt"))
		case "svg":
			assert.True(t, attribute(n, "aria-hidden") == "true" || attribute(n, "role") == "img" && attribute(n, "aria-label") != "", "a diagram says what it shows")
		case "th":
			assert.NotEmpty(t, attribute(n, "scope"))
		case "h1", "h2", "h3":
			to := int(n.Data[1] - '0')
			assert.LessOrEqual(t, to, level+1, "no level of headings is left out")
			level = to
		}
	})
	for name, want := range map[string]int{"main": 1, "h1": 1, "header": 1, "footer": 1, "script": 0, "link": 0, "iframe": 0, "img": 2 + len(s.Strip), "h3": 3} {
		assert.Equal(t, want, count[name], name)
	}
	for _, id := range labelled {
		assert.True(t, ids[id], "%s names a part", id)
	}
	text := flat(shownText(page))
	for _, w := range s.words() {
		assert.Contains(t, text, flat(w))
	}
	assert.NotRegexp(t, regexp.MustCompile(`url\(|@import`), string(data))
}

// Every colour of text can be read on white and on the panel: WCAG 2.2, 1.4.3,
// asks for 4.5 to 1.
func TestInksCanBeRead(t *testing.T) {
	for _, c := range []struct {
		name     string
		contrast float64
	}{
		{"text", draw.Contrast(paper.Text, white)}, {"dim", draw.Contrast(paper.Dim, white)},
		{"accent", draw.Contrast(paper.Accent, white)}, {"within", draw.Contrast(paper.Within, white)},
		{"outside", draw.Contrast(paper.Outside, white)}, {"unknown", draw.Contrast(paper.Unknown, white)},
		{"text on a panel", draw.Contrast(paper.Text, paper.Panel)}, {"dim on a panel", draw.Contrast(paper.Dim, paper.Panel)},
		{"accent on a panel", draw.Contrast(paper.Accent, paper.Panel)},
	} {
		assert.GreaterOrEqual(t, c.contrast, 4.5, c.name)
	}
}

// Chromium opens the page, prints it and has nothing to complain of.
func TestChromiumOpensThePage(t *testing.T) {
	t.Parallel()
	browser := xtest.Need(t, "chromium")
	_, data := fullHTML(t)
	dir := t.TempDir()
	file := filepath.Join(dir, "sheet.html")
	require.NoError(t, os.WriteFile(file, data, 0o644))
	pdf := filepath.Join(dir, "printed.pdf")
	cmd := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+filepath.Join(dir, "profile"),
		"--enable-logging=stderr", "--v=0", "--host-resolver-rules=MAP * ~NOTFOUND", "--no-pdf-header-footer", "--print-to-pdf="+pdf, "file://"+file)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.NotContains(t, string(out), "CONSOLE", "a message of the page")
	info := tool(t, "pdfinfo", pdf)
	assert.Contains(t, field(info, "Page size"), "(A4)", "@page is heeded")
	pages, err := strconv.Atoi(field(info, "Pages"))
	require.NoError(t, err)
	assert.LessOrEqual(t, pages, 4)
	text := flat(tool(t, "pdftotext", "-layout", pdf, "-"))
	assert.Contains(t, text, "The one thing to work on")
	assert.Contains(t, text, "25 to 37°", "in the coach's table")
	printed, err := os.ReadFile(pdf)
	require.NoError(t, err)
	keep(t, "printed.pdf", printed)
}
