package drop

import (
	"bytes"
	"fmt"
	"net/url"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"

	"turngauge/ui/desktop"
)

// maxPaths is how many files one drop may bring: far over what a lesson holds, and few enough to look at.
const maxPaths = 256

// parseURIList reads a list of type text/uri-list (RFC 2483, section 5): one URI a line, lines end with
// CRLF, those that begin with # are comments. Bare line feeds and a closing NUL, which some programs
// send, are taken too. host is the name of this computer in lower case, or empty if not known.
//
// The paths come in the order of the list. err is a sentence about the entries that are not local files,
// naming the first, or nil; it does not void the paths.
func parseURIList(list []byte, host string) (paths []string, err error) {
	var problem string
	others := 0
	list = bytes.TrimRight(list, "\x00")
	for line := range bytes.Lines(list) {
		entry := strings.TrimSpace(string(line))
		if entry == "" || entry[0] == '#' {
			continue
		}
		if len(paths) == maxPaths {
			return paths, &desktop.Failure{Text: fmt.Sprintf("Only the first %d files were taken. Drop the others afterwards.", maxPaths)}
		}
		p, wrong := filePath(entry, host)
		switch {
		case wrong == "":
			paths = append(paths, p)
		case problem == "":
			problem = wrong
		default:
			others++
		}
	}
	switch {
	case problem == "" && len(paths) == 0:
		problem = "No file was among what was dropped. Drop clips or a lesson from a file manager."
	case problem == "":
		return paths, nil
	case others == 1:
		problem += " One other could not be taken either."
	case others > 1:
		problem += fmt.Sprintf(" %d others could not be taken either.", others)
	}
	return paths, &desktop.Failure{Text: problem}
}

// filePath returns the local path a file URI (RFC 8089) stands for, or a sentence on why there is none.
func filePath(uri, host string) (p, wrong string) {
	scheme, rest, ok := strings.Cut(uri, ":")
	if !ok || !strings.EqualFold(scheme, "file") {
		return "", quote(uri) + " is not a file on this computer. Save it to a folder first, then drop the saved file."
	}
	if after, has := strings.CutPrefix(rest, "//"); has {
		i := strings.IndexByte(after, '/')
		if i < 0 {
			i = len(after)
		}
		if !isLocal(after[:i], host) {
			return "", quote(uri) + " is on another computer. Copy it to this one first, then drop the copy."
		}
		rest = after[i:]
	}
	unreadable := quote(uri) + " is not a file name that can be read. Use the Open button instead."
	// A file URI has neither query nor fragment, and an encoded slash would name another file than the one
	// meant (RFC 8089, section 2; RFC 3986, section 2.2).
	if !strings.HasPrefix(rest, "/") || strings.ContainsAny(rest, "?#") || strings.Contains(strings.ToLower(rest), "%2f") {
		return "", unreadable
	}
	decoded, err := url.PathUnescape(rest)
	if err != nil || strings.ContainsRune(decoded, 0) {
		return "", unreadable
	}
	if decoded = path.Clean(decoded); decoded == "/" {
		return "", unreadable
	}
	return decoded, ""
}

// isLocal reports whether the host of a file URI is this computer.
func isLocal(name, host string) bool {
	name = strings.ToLower(name)
	if name == "" || name == "localhost" {
		return true
	}
	short, _, _ := strings.Cut(host, ".")
	return host != "" && (name == host || name == short)
}

// maxQuoted is how many characters of an address fit a sentence.
const maxQuoted = 60

// quote shows an address in a sentence: at most maxQuoted characters, nothing unprintable.
func quote(s string) string {
	if !utf8.ValidString(s) {
		s = strings.ToValidUTF8(s, "\uFFFD")
	}
	r := []rune(s)
	if len(r) > maxQuoted {
		r = append(r[:maxQuoted-1], '…')
	}
	for i, c := range r {
		if !unicode.IsPrint(c) {
			r[i] = '\uFFFD'
		}
	}
	return "“" + string(r) + "”"
}
