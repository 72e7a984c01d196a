package choose

import (
	"bytes"
	"cmp"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/text/collate"
	"golang.org/x/text/language"
)

// Order is what a list is sorted by. Folders come first in every order.
type Order uint8

// The orders.
const (
	ByName   Order = iota // natural: clip 9 before clip 10, capitals do not matter
	ByNewest              // last changed first
	ByLargest
)

// sort brings the entries into an order.
func (l *Listing) sort(by Order) {
	type keyed struct {
		Entry
		key []byte
	}
	// The library's own numeric order puts 0 behind all other numbers; spread does the numbers instead.
	c := collate.New(language.Und, collate.IgnoreCase)
	var buf collate.Buffer
	list := make([]keyed, len(l.Entries))
	for i, e := range l.Entries {
		list[i] = keyed{e, bytes.Clone(c.KeyFromString(&buf, spread(e.Name)))}
		buf.Reset()
	}
	slices.SortFunc(list, func(a, b keyed) int {
		if a.Folder != b.Folder {
			if a.Folder {
				return -1
			}
			return 1
		}
		first := 0
		switch by {
		case ByNewest:
			first = b.Changed.Compare(a.Changed)
		case ByLargest:
			first = cmp.Compare(b.Size, a.Size)
		}
		return cmp.Or(first, bytes.Compare(a.key, b.key), strings.Compare(a.Name, b.Name))
	})
	for i, k := range list {
		l.Entries[i] = k.Entry
	}
}

// spread writes each number in a name, without leading zeros, behind the count of its digits, so that
// comparing character by character compares the numbers.
func spread(name string) string {
	const digits = "0123456789"
	if !strings.ContainsAny(name, digits) {
		return name
	}
	var b strings.Builder
	for name != "" {
		n := len(name) - len(strings.TrimLeft(name, digits))
		if n == 0 {
			if n = strings.IndexAny(name, digits); n < 0 {
				n = len(name)
			}
			b.WriteString(name[:n])
		} else {
			number := strings.TrimLeft(name[:n], "0")
			count := strconv.Itoa(len(number)) // at most 255, the longest a name may be
			b.WriteString("000"[len(count):])
			b.WriteString(count)
			b.WriteString(number)
		}
		name = name[n:]
	}
	return b.String()
}
