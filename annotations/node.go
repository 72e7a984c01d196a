package annotations

import (
	"bytes"
	"encoding/json"
	"errors"
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
// of its numbers, so that what this version does not know survives a rewrite.
type node struct {
	kind    nodeKind
	text    string // of a string, the string; of a number or bool, its literal
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
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	p := parser{d: d}
	n := p.value(0)
	if len(p.faults) > 0 {
		return nil, p.faults
	}
	return n, nil
}

type parser struct {
	d      *json.Decoder
	faults Faults
}

// value reads the next value; the text is known to be valid JSON.
func (p *parser) value(depth int) *node {
	t, err := p.d.Token()
	if err != nil {
		p.faults.add("", "%v", err)
		return &node{kind: nullNode}
	}
	switch t := t.(type) {
	case string:
		return &node{kind: stringNode, text: t}
	case json.Number:
		return &node{kind: numberNode, text: t.String()}
	case bool:
		n := &node{kind: boolNode, text: "false"}
		if t {
			n.text = "true"
		}
		return n
	case json.Delim:
		n := &node{kind: arrayNode}
		if t == '{' {
			n.kind = objectNode
		}
		for len(p.faults) == 0 && p.d.More() {
			if depth >= maxDepth {
				p.faults.add("", "values are nested more than %d deep, which no lesson is", maxDepth)
				return n
			}
			if n.kind == arrayNode {
				n.items = append(n.items, p.value(depth+1))
				continue
			}
			name := p.value(depth + 1).text
			n.members = append(n.members, member{name, p.value(depth + 1)})
		}
		if len(p.faults) == 0 {
			_, _ = p.d.Token() // the closing bracket, known to be there
		}
		return n
	default:
		return &node{kind: nullNode}
	}
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
