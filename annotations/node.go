package annotations

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

var tooLarge = Faults{{"", "larger than 32 MB, which no lesson is"}}

// maxDepth bounds the nesting of a document; version 1 needs 7 levels.
const maxDepth = 100

type nodeKind byte

const (
	objectNode nodeKind = iota
	arrayNode
	stringNode
	numberNode
	boolNode
	nullNode
)

var kindNames = [...]string{"an object", "a list", "a text", "a number", "true or false", "null"}

// node is a JSON value that remembers the order of its fields and the spelling
// of its numbers, so that what this version does not know survives a rewrite. One
// that was read from a document holds the text of its fields or items as bytes, and
// not as a tree: what nobody asks for takes no more memory than the document.
type node struct {
	kind    nodeKind
	text    string // of a string, the string; of a number or bool, its literal
	raw     []byte // of one that was read, its JSON; members and items are nil then
	members []member
	items   []*node
}

type member struct {
	name  string
	value *node
}

// unknownFields are the fields of an object that this version does not know,
// in document order. They are never changed.
type unknownFields []member

// parseJSON reads one JSON value. The error is a *SyntaxError, or Faults for
// what JSON allows and this program does not.
func parseJSON(data []byte) (*node, error) {
	if len(data) > MaxBytes {
		return nil, tooLarge
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
		return nil, Faults{{"", fmt.Sprintf("values are nested more than %d deep, which no lesson is", maxDepth)}}
	}
	return readNode(raw), nil
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

// appendIndented writes n after indent spaces' worth of nesting: on one line
// where it fits, else one field or item a line.
func (n *node) appendIndented(b []byte, indent int) []byte {
	if n.raw != nil {
		return append(b, n.raw...)
	}
	start := len(b)
	b = n.appendCompact(b)
	if len(b)-start <= lineWidth || n.kind != objectNode && n.kind != arrayNode {
		return b
	}
	b = b[:start]
	newline := func(in int) {
		b = append(b, '\n')
		for range in {
			b = append(b, ' ')
		}
	}
	if n.kind == arrayNode {
		b = append(b, '[')
		for i, it := range n.items {
			if i > 0 {
				b = append(b, ',')
			}
			newline(indent + 2)
			b = it.appendIndented(b, indent+2)
		}
		newline(indent)
		return append(b, ']')
	}
	b = append(b, '{')
	for i, m := range n.members {
		if i > 0 {
			b = append(b, ',')
		}
		newline(indent + 2)
		b = appendString(b, m.name)
		b = append(b, ": "...)
		b = m.value.appendIndented(b, indent+2)
	}
	newline(indent)
	return append(b, '}')
}

func (n *node) appendCompact(b []byte) []byte {
	if n.raw != nil {
		return append(b, n.raw...)
	}
	switch n.kind {
	case objectNode:
		b = append(b, '{')
		for i, m := range n.members {
			if i > 0 {
				b = append(b, ", "...)
			}
			b = appendString(b, m.name)
			b = append(b, ": "...)
			b = m.value.appendCompact(b)
		}
		return append(b, '}')
	case arrayNode:
		b = append(b, '[')
		for i, it := range n.items {
			if i > 0 {
				b = append(b, ", "...)
			}
			b = it.appendCompact(b)
		}
		return append(b, ']')
	case stringNode:
		return appendString(b, n.text)
	case nullNode:
		return append(b, "null"...)
	default:
		return append(b, n.text...)
	}
}

func appendString(b []byte, s string) []byte {
	var buf bytes.Buffer
	e := json.NewEncoder(&buf)
	e.SetEscapeHTML(false)
	_ = e.Encode(s) // a string always encodes
	return append(b, bytes.TrimSuffix(buf.Bytes(), []byte{'\n'})...)
}
