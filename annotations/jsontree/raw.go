package jsontree

import (
	"bytes"
	"encoding/json"
	"strings"
)

// The functions of this file take JSON that is known to be valid.

// Read reads the value at the head of raw, which holds nothing else.
func Read(raw []byte) *Node {
	raw = bytes.TrimSpace(raw)
	n := &Node{Raw: raw}
	switch raw[0] {
	case '{':
		n.Kind = Object
	case '[':
		n.Kind = Array
	case '"':
		n.Kind, n.Text = String, unquoted(raw)
	case 't', 'f':
		n.Kind, n.Text = Bool, string(raw)
	case 'n':
		n.Kind = Null
	default:
		n.Kind, n.Text = Number, string(raw)
	}
	return n
}

func unquoted(raw []byte) (s string) {
	_ = json.Unmarshal(raw, &s) // a valid string always decodes
	return s
}

// EachField calls f with the fields of an object that was read, until it returns false.
func (n *Node) EachField(f func(name string, value []byte) bool) {
	for i := next(n.Raw, 1); n.Raw[i] != '}'; i = next(n.Raw, i) {
		end := skip(n.Raw, i)
		name := unquoted(n.Raw[i:end])
		i = next(n.Raw, end)
		end = skip(n.Raw, i)
		if !f(name, n.Raw[i:end]) {
			return
		}
		i = end
	}
}

// List returns the items of a list that was read, at most so many, and how many there
// are.
func (n *Node) List(most int) (items []*Node, count int) {
	for i := next(n.Raw, 1); n.Raw[i] != ']'; i = next(n.Raw, i) {
		end := skip(n.Raw, i)
		if count++; count <= most {
			items = append(items, Read(n.Raw[i:end]))
		}
		i = end
	}
	return items, count
}

// Count returns how many items a list has that was read.
func (n *Node) Count() int {
	_, count := n.List(0)
	return count
}

// next returns where, from i on, something else stands than blanks and separators.
func next(raw []byte, i int) int {
	for {
		switch raw[i] {
		case ' ', '\t', '\n', '\r', ',', ':':
			i++
		default:
			return i
		}
	}
}

// skip returns where the value ends that begins at i.
func skip(raw []byte, i int) int {
	depth := 0
	for {
		switch raw[i] {
		case '"':
			i = endOfString(raw, i)
		case '{', '[':
			depth++
			i++
		case '}', ']':
			depth--
			i++
		case ',', ':', ' ', '\t', '\n', '\r':
			i++
		default:
			for i < len(raw) && strings.IndexByte(",:]} \t\n\r", raw[i]) < 0 {
				i++
			}
		}
		if depth == 0 {
			return i
		}
	}
}

// endOfString returns where the string ends that begins at i.
func endOfString(raw []byte, i int) int {
	for i++; raw[i] != '"'; i++ {
		if raw[i] == '\\' {
			i++
		}
	}
	return i + 1
}

// tooDeep reports whether values are nested more than maxDepth deep.
func tooDeep(raw []byte) bool {
	depth := 0
	for i := 0; i < len(raw); i++ {
		switch raw[i] {
		case '"':
			i = endOfString(raw, i) - 1
		case '{', '[':
			if depth++; depth > maxDepth {
				return true
			}
		case '}', ']':
			depth--
		}
	}
	return false
}

// Kept returns a value as a rewrite has it: on one line where it fits, as this program
// writes it, else byte for byte. The document it stands in is let go.
func Kept(value []byte) *Node {
	if len(value) <= 8*lineWidth {
		if short := onOneLine(value); len(short) <= lineWidth {
			value = short
		}
	}
	return &Node{Raw: bytes.Clone(value)}
}

// onOneLine returns a value with one space behind each comma and colon, and no others.
func onOneLine(raw []byte) []byte {
	var b []byte
	for i := 0; i < len(raw); i++ {
		switch c := raw[i]; c {
		case ' ', '\t', '\n', '\r':
		case '"':
			end := endOfString(raw, i)
			b = append(b, raw[i:end]...)
			i = end - 1
		case ',', ':':
			b = append(b, c, ' ')
		default:
			b = append(b, c)
		}
	}
	return b
}
