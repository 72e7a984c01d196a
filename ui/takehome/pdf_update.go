package takehome

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
)

var errNotTheLibrarys = errors.New("the PDF library writes its files in another way than this program knows: the sheet can't be tagged")

// withTags adds a structure tree to a finished PDF as an incremental update (ISO
// 32000-1, 7.5.6): what is there stays as it is, and behind it come the new
// objects and new versions of the catalog and of the pages, which name them. The
// PDF has a cross-reference table, as its library writes it.
func withTags(data []byte, t *tagger) ([]byte, error) {
	old, err := parsePDF(data)
	if err != nil {
		return nil, err
	}
	pages, err := old.pages()
	if err != nil {
		return nil, err
	}
	bodies, root := t.objects(old.size, pages)
	changed := map[int]string{}
	for i, b := range bodies {
		changed[old.size+i] = b
	}
	for i, n := range pages {
		if changed[n], err = old.extended(n, fmt.Sprintf("/StructParents %d /Tabs /S", i)); err != nil {
			return nil, err
		}
	}
	changed[old.root], err = old.extended(old.root, fmt.Sprintf(
		"/Version /1.7 /MarkInfo <</Marked true>> /StructTreeRoot %d 0 R /ViewerPreferences <</DisplayDocTitle true>>", root))
	if err != nil {
		return nil, err
	}
	return old.updated(changed, old.size+len(bodies)), nil
}

// pdfFile is a PDF as far as it is needed to add to it.
type pdfFile struct {
	data             []byte
	offsets          []int // of the objects, by number
	size, root, info int
	table            int // where the cross-reference table begins
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

func parsePDF(data []byte) (*pdfFile, error) {
	f := &pdfFile{data: data}
	var err error
	number := func(in []byte, e *regexp.Regexp) int {
		m := e.FindSubmatch(in)
		if m == nil {
			err = errNotTheLibrarys
			return 0
		}
		n, bad := strconv.Atoi(string(m[1]))
		if bad != nil {
			err = errNotTheLibrarys
		}
		return n
	}
	if f.table = number(data[max(len(data)-64, 0):], endOfFile); err != nil || f.table >= len(data) {
		return nil, errNotTheLibrarys
	}
	table := data[f.table:]
	head := tableHead.FindSubmatchIndex(table)
	at := bytes.LastIndex(table, []byte("trailer"))
	if head == nil || at < 0 {
		return nil, errNotTheLibrarys
	}
	trailer := table[at:]
	f.size, f.root, f.info = number(trailer, sizeEntry), number(trailer, rootEntry), number(trailer, infoEntry)
	if err != nil {
		return nil, err
	}
	const entry = 20 // bytes of a line of the table
	lines := table[head[1]:]
	for i := range f.size {
		if len(lines) < (i+1)*entry {
			return nil, errNotTheLibrarys
		}
		offset, err := strconv.Atoi(string(lines[i*entry : i*entry+10]))
		if err != nil || offset >= len(data) {
			return nil, errNotTheLibrarys
		}
		f.offsets = append(f.offsets, offset)
	}
	return f, nil
}

// object returns an object that is a dictionary, without its closing brackets.
func (f *pdfFile) object(n int) ([]byte, error) {
	if n <= 0 || n >= len(f.offsets) {
		return nil, errNotTheLibrarys
	}
	rest := f.data[f.offsets[n]:]
	end := bytes.Index(rest, []byte("endobj"))
	if end < 0 {
		return nil, errNotTheLibrarys
	}
	m := objectFrame.FindSubmatch(rest[:end])
	if m == nil {
		return nil, errNotTheLibrarys
	}
	return m[1], nil
}

// pages returns the numbers of the page objects, in order.
func (f *pdfFile) pages() ([]int, error) {
	catalog, err := f.object(f.root)
	if err != nil {
		return nil, err
	}
	m := pagesEntry.FindSubmatch(catalog)
	if m == nil {
		return nil, errNotTheLibrarys
	}
	n, _ := strconv.Atoi(string(m[1])) // digits only
	tree, err := f.object(n)
	if err != nil {
		return nil, err
	}
	kids := kidsEntry.FindSubmatch(tree)
	if kids == nil {
		return nil, errNotTheLibrarys
	}
	var out []int
	for _, m := range aReference.FindAllSubmatch(kids[1], -1) {
		n, _ := strconv.Atoi(string(m[1]))
		out = append(out, n)
	}
	return out, nil
}

// extended returns an object with more entries.
func (f *pdfFile) extended(n int, entries string) (string, error) {
	o, err := f.object(n)
	if err != nil {
		return "", err
	}
	return string(o) + " " + entries + ">>", nil
}

// updated returns the file with objects added or changed.
func (f *pdfFile) updated(objects map[int]string, size int) []byte {
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
	fmt.Fprintf(out, "trailer\n<</Size %d /Root %d 0 R /Info %d 0 R /Prev %d>>\nstartxref\n%d\n%%%%EOF\n", size, f.root, f.info, f.table, table)
	return out.Bytes()
}
