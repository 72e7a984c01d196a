// Package jsontree holds JSON in which the order of fields and the spelling of numbers
// are kept, so that what a version of the program does not know survives a rewrite. It
// is read lazily: the fields of an object that nobody asks for stay bytes.
package jsontree

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// MaxBytes bounds the size of a document. A lesson of twenty swings with
// every point marked at every position is about 1.5 MB.
const MaxBytes = 32 << 20

// ErrLarge and ErrDeep are of documents that no lesson is.
var (
	ErrLarge = errors.New("larger than 32 MB, which no lesson is")
	ErrDeep  = fmt.Errorf("values are nested more than %d deep, which no lesson is", maxDepth)
)

// maxDepth bounds the nesting of a document; version 1 needs 7 levels.
const maxDepth = 100

type Kind byte

const (
	Object Kind = iota
	Array
	String
	Number
	Bool
	Null
)

var KindNames = [...]string{"an object", "a list", "a text", "a number", "true or false", "null"}

// Node is a JSON value that remembers the order of its fields and the spelling
// of its numbers, so that what this version does not know survives a rewrite. One
// that was read from a document holds the text of its fields or items as bytes, and
// not as a tree: what nobody asks for takes no more memory than the document.
type Node struct {
	Kind    Kind
	Text    string // of a string, the string; of a number or bool, its literal
	Raw     []byte // of one that was read, its JSON; Members and Items are nil then
	Members []Member
	Items   []*Node
}

type Member struct {
	Name  string
	Value *Node
}

// Fields are the fields of an object that this version does not know,
// in document order. They are never changed.
type Fields []Member

// Parse reads one JSON value. The error is a *SyntaxError,
// ErrLarge or ErrDeep.
func Parse(data []byte) (*Node, error) {
	if len(data) > MaxBytes {
		return nil, ErrLarge
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if at := firstInvalidUTF8(data); at >= 0 {
		return nil, syntaxError(data, at, "a byte that is not UTF-8 text")
	}
	var raw json.RawMessage
	if err := json.Unmarshal(data, &raw); err != nil {
		var se *json.SyntaxError
		if !errors.As(err, &se) {
			return nil, syntaxError(data, len(data), err.Error())
		}
		at := int(se.Offset)
		if strings.Contains(se.Error(), "unexpected end") {
			return nil, syntaxError(data, len(data), "the file ends too early")
		}
		return nil, syntaxError(data, at-1, se.Error()) // Offset counts the offending byte
	}
	if tooDeep(raw) {
		return nil, ErrDeep
	}
	return Read(raw), nil
}

func firstInvalidUTF8(data []byte) int {
	if utf8.Valid(data) {
		return -1
	}
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

func syntaxError(data []byte, at int, problem string) *SyntaxError {
	at = max(0, min(at, len(data)))
	before := data[:at]
	line := bytes.Count(before, []byte{'\n'}) + 1
	start := bytes.LastIndexByte(before, '\n') + 1
	return &SyntaxError{Line: line, Column: utf8.RuneCount(before[start:]) + 1, Problem: problem}
}

// lineWidth is the length up to which a value is written on one line: enough
// for a mark or a frame, so that a changed mark is one changed line.
const lineWidth = 150

// AppendIndented writes n after indent spaces' worth of nesting: on one line
// where it fits, else one field or item a line.
func (n *Node) AppendIndented(b []byte, indent int) []byte {
	if n.Raw != nil {
		return append(b, n.Raw...)
	}
	start := len(b)
	b = n.appendCompact(b)
	if len(b)-start <= lineWidth || n.Kind != Object && n.Kind != Array {
		return b
	}
	b = b[:start]
	newline := func(in int) {
		b = append(b, '\n')
		for range in {
			b = append(b, ' ')
		}
	}
	if n.Kind == Array {
		b = append(b, '[')
		for i, it := range n.Items {
			if i > 0 {
				b = append(b, ',')
			}
			newline(indent + 2)
			b = it.AppendIndented(b, indent+2)
		}
		newline(indent)
		return append(b, ']')
	}
	b = append(b, '{')
	for i, m := range n.Members {
		if i > 0 {
			b = append(b, ',')
		}
		newline(indent + 2)
		b = appendString(b, m.Name)
		b = append(b, ": "...)
		b = m.Value.AppendIndented(b, indent+2)
	}
	newline(indent)
	return append(b, '}')
}

func (n *Node) appendCompact(b []byte) []byte {
	if n.Raw != nil {
		return append(b, n.Raw...)
	}
	switch n.Kind {
	case Object:
		b = append(b, '{')
		for i, m := range n.Members {
			if i > 0 {
				b = append(b, ", "...)
			}
			b = appendString(b, m.Name)
			b = append(b, ": "...)
			b = m.Value.appendCompact(b)
		}
		return append(b, '}')
	case Array:
		b = append(b, '[')
		for i, it := range n.Items {
			if i > 0 {
				b = append(b, ", "...)
			}
			b = it.appendCompact(b)
		}
		return append(b, ']')
	case String:
		return appendString(b, n.Text)
	case Null:
		return append(b, "null"...)
	default:
		return append(b, n.Text...)
	}
}

func appendString(b []byte, s string) []byte {
	var buf bytes.Buffer
	e := json.NewEncoder(&buf)
	e.SetEscapeHTML(false)
	_ = e.Encode(s) // a string always encodes
	return append(b, bytes.TrimSuffix(buf.Bytes(), []byte{'\n'})...)
}
