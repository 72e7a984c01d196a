// Package pdffile adds to a finished PDF by an incremental update (ISO 32000-1,
// 7.5.6): what is there stays as it is, and behind it come new objects and new
// versions of old ones. It reads files with a cross-reference table, as the library
// that makes ours writes them.
package pdffile

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
)

// ErrOther says that a file is written in another way than this package knows.
var ErrOther = errors.New("the PDF library writes its files in another way than this program knows: the sheet can't be tagged")

// File is a PDF as far as it is needed to add to it.
type File struct {
	data             []byte
	offsets          []int // of the objects, by number
	Size, Root, info int   // how many objects there are, and which is the catalog
	table            int   // where the cross-reference table begins
}

var (
	endOfFile   = regexp.MustCompile(`startxref\s+(\d+)\s+%%EOF\s*$`)
	tableHead   = regexp.MustCompile(`^xref\s+0 (\d+)\s*\n`)
	sizeEntry   = regexp.MustCompile(`/Size (\d+)`)
	rootEntry   = regexp.MustCompile(`/Root (\d+) 0 R`)
	infoEntry   = regexp.MustCompile(`/Info (\d+) 0 R`)
	pagesEntry  = regexp.MustCompile(`/Pages (\d+) 0 R`)
	kidsEntry   = regexp.MustCompile(`/Kids \[([^\]]*)\]`)
	aReference  = regexp.MustCompile(`(\d+) 0 R`)
	objectFrame = regexp.MustCompile(`(?s)^\d+ 0 obj\s*(<<.*)>>\s*$`)
)

func Parse(data []byte) (*File, error) {
	f := &File{data: data}
	var err error
	number := func(in []byte, e *regexp.Regexp) int {
		m := e.FindSubmatch(in)
		if m == nil {
			err = ErrOther
			return 0
		}
		n, bad := strconv.Atoi(string(m[1]))
		if bad != nil {
			err = ErrOther
		}
		return n
	}
	if f.table = number(data[max(len(data)-64, 0):], endOfFile); err != nil || f.table >= len(data) {
		return nil, ErrOther
	}
	table := data[f.table:]
	head := tableHead.FindSubmatchIndex(table)
	at := bytes.LastIndex(table, []byte("trailer"))
	if head == nil || at < 0 {
		return nil, ErrOther
	}
	trailer := table[at:]
	f.Size, f.Root, f.info = number(trailer, sizeEntry), number(trailer, rootEntry), number(trailer, infoEntry)
	if err != nil {
		return nil, err
	}
	const entry = 20 // bytes of a line of the table
	lines := table[head[1]:]
	for i := range f.Size {
		if len(lines) < (i+1)*entry {
			return nil, ErrOther
		}
		offset, err := strconv.Atoi(string(lines[i*entry : i*entry+10]))
		if err != nil || offset >= len(data) {
			return nil, ErrOther
		}
		f.offsets = append(f.offsets, offset)
	}
	return f, nil
}

// object returns an object that is a dictionary, without its closing brackets.
func (f *File) object(n int) ([]byte, error) {
	if n <= 0 || n >= len(f.offsets) {
		return nil, ErrOther
	}
	rest := f.data[f.offsets[n]:]
	end := bytes.Index(rest, []byte("endobj"))
	if end < 0 {
		return nil, ErrOther
	}
	m := objectFrame.FindSubmatch(rest[:end])
	if m == nil {
		return nil, ErrOther
	}
	return m[1], nil
}

// Pages returns the numbers of the page objects, in order.
func (f *File) Pages() ([]int, error) {
	catalog, err := f.object(f.Root)
	if err != nil {
		return nil, err
	}
	m := pagesEntry.FindSubmatch(catalog)
	if m == nil {
		return nil, ErrOther
	}
	n, _ := strconv.Atoi(string(m[1])) // digits only
	tree, err := f.object(n)
	if err != nil {
		return nil, err
	}
	kids := kidsEntry.FindSubmatch(tree)
	if kids == nil {
		return nil, ErrOther
	}
	var out []int
	for _, m := range aReference.FindAllSubmatch(kids[1], -1) {
		n, _ := strconv.Atoi(string(m[1]))
		out = append(out, n)
	}
	return out, nil
}

// Extended returns an object with more entries.
func (f *File) Extended(n int, entries string) (string, error) {
	o, err := f.object(n)
	if err != nil {
		return "", err
	}
	return string(o) + " " + entries + ">>", nil
}

// Updated returns the file with objects added or changed.
func (f *File) Updated(objects map[int]string, size int) []byte {
	var numbers []int
	for n := range objects {
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	out := bytes.NewBuffer(slices.Clone(f.data))
	offsets := make(map[int]int)
	for _, n := range numbers {
		offsets[n] = out.Len()
		fmt.Fprintf(out, "%d 0 obj\n%s\nendobj\n", n, objects[n])
	}
	table := out.Len()
	out.WriteString("xref\n")
	for i := 0; i < len(numbers); {
		k := i
		for k < len(numbers) && numbers[k] == numbers[i]+k-i {
			k++
		}
		fmt.Fprintf(out, "%d %d\n", numbers[i], k-i)
		for ; i < k; i++ {
			fmt.Fprintf(out, "%010d 00000 n \n", offsets[numbers[i]])
		}
	}
	fmt.Fprintf(out, "trailer\n<</Size %d /Root %d 0 R /Info %d 0 R /Prev %d>>\nstartxref\n%d\n%%%%EOF\n", size, f.Root, f.info, f.table, table)
	return out.Bytes()
}

// Text is a text as a PDF string object: UTF-16 with its mark, in hexadecimal
// digits (ISO 32000-1, 7.3.4.3 and 7.9.2.2).
func Text(s string) string {
	var b strings.Builder
	b.WriteString("<FEFF")
	for _, u := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	b.WriteString(">")
	return b.String()
}
