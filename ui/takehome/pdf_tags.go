package takehome

import (
	"fmt"
	"strings"

	"turngauge/ui/takehome/pdffile"
)

// A tagged PDF says what each thing on its pages is, in reading order, for those
// who have it read to them: ISO 32000-1, 14.7 and 14.8. What stands on a page is
// wrapped as marked content of an element, or as an artifact, which is passed
// over; the tree of elements comes after (pdffile).

// element is one element of the structure tree.
type element struct {
	kind  string // a standard structure type, such as "P"
	alt   string // instead of a picture, "" for none
	more  string // further entries of its dictionary
	kids  []any  // *element, or mark
	outer *element
}

// mark is one piece of marked content.
type mark struct{ page, id int } // from 0

// tagger keeps the structure tree of a document that is being written.
type tagger struct {
	root   *element
	at     *element // what is being written belongs to it; nil for artifacts
	whole  bool     // what is being written has its mark already
	owners [][]*element
}

func newTagger() *tagger {
	root := &element{kind: "Document"}
	return &tagger{root: root, at: root}
}

// in writes an element of a kind within the one being written.
func (p *page) in(kind string, write func()) { p.within(p.tags.add(kind), write) }

// add adds an element to the one being written.
func (t *tagger) add(kind string) *element {
	e := &element{kind: kind, outer: t.at}
	if t.at != nil {
		t.at.kids = append(t.at.kids, e)
	}
	return e
}

// within writes an element that is there already.
func (p *page) within(e *element, write func()) {
	before := p.tags.at
	p.tags.at = e
	write()
	p.tags.at = before
}

// beside writes what is no part of the text: lines, grounds, the foot of a page.
func (p *page) beside(write func()) { p.within(nil, write) }

// marked writes a piece of marked content of the element being written.
func (p *page) marked(write func()) { p.markedAs("", write) }

// standing writes outlines that stand for a text.
func (p *page) standing(said string, write func()) {
	entry := " /ActualText " + pdffile.Text(said)
	if p.tags.whole || p.tags.at == nil {
		p.marked(func() {
			p.pdf.RawWriteStr("/Span <<" + entry + ">> BDC")
			write()
			p.pdf.RawWriteStr("EMC")
		})
		return
	}
	e := p.tags.add("Span")
	e.more = entry
	p.within(e, func() { p.markedAs(entry, write) })
}

// markedAs writes marked content with further entries in its properties.
func (p *page) markedAs(entries string, write func()) {
	t := p.tags
	if t.whole {
		write()
		return
	}
	if t.at == nil {
		p.pdf.RawWriteStr("/Artifact BMC")
	} else {
		n := p.number - 1
		for len(t.owners) <= n {
			t.owners = append(t.owners, nil)
		}
		id := len(t.owners[n])
		t.owners[n] = append(t.owners[n], t.at)
		t.at.kids = append(t.at.kids, mark{n, id})
		p.pdf.RawWriteStr(fmt.Sprintf("/%s <</MCID %d%s>> BDC", t.at.content(), id, entries))
	}
	t.whole = true
	write()
	t.whole = false
	p.pdf.RawWriteStr("EMC")
}

// content is the tag of an element's marked content.
func (e *element) content() string {
	if e.kind == "Document" || e.kind == "Div" {
		return "Span"
	}
	return e.kind
}

// figure writes something that words stand for; without words it is passed over.
func (p *page) figure(says string, write func()) {
	if p.tags.whole {
		write()
		return
	}
	if says == "" {
		p.beside(func() { p.marked(write) })
		return
	}
	p.in("Figure", func() {
		p.tags.at.alt = says
		p.marked(write)
	})
}

// objects writes the structure tree as PDF objects, numbered from first on, given
// the objects of the pages. It returns them, with the number of the root.
func (t *tagger) objects(first int, pages []int) (bodies []string, root int) {
	number := make(map[*element]int)
	var all []*element
	var count func(e *element)
	count = func(e *element) {
		number[e] = first + len(all)
		all = append(all, e)
		for _, k := range e.kids {
			if x, ok := k.(*element); ok {
				count(x)
			}
		}
	}
	count(t.root)
	root = first + len(all)
	parents := root + 1
	for _, e := range all {
		var b strings.Builder
		outer := root
		if e.outer != nil {
			outer = number[e.outer]
		}
		fmt.Fprintf(&b, "<</Type /StructElem /S /%s /P %d 0 R", e.kind, outer)
		if e.alt != "" {
			b.WriteString(" /Alt " + pdffile.Text(e.alt))
		}
		b.WriteString(e.more)
		b.WriteString(" /K [")
		for _, k := range e.kids {
			switch k := k.(type) {
			case *element:
				fmt.Fprintf(&b, " %d 0 R", number[k])
			case mark:
				fmt.Fprintf(&b, " <</Type /MCR /Pg %d 0 R /MCID %d>>", pages[k.page], k.id)
			}
		}
		b.WriteString(" ]>>")
		bodies = append(bodies, b.String())
	}
	bodies = append(bodies, fmt.Sprintf("<</Type /StructTreeRoot /K [%d 0 R] /ParentTree %d 0 R /ParentTreeNextKey %d>>", number[t.root], parents, len(pages)))
	var b strings.Builder
	b.WriteString("<</Nums [")
	for n := range pages {
		fmt.Fprintf(&b, " %d [", n)
		if n < len(t.owners) {
			for _, e := range t.owners[n] {
				fmt.Fprintf(&b, " %d 0 R", number[e])
			}
		}
		b.WriteString(" ]")
	}
	b.WriteString(" ]>>")
	return append(bodies, b.String()), root
}

// withTags adds a structure tree to a finished PDF as an incremental update (ISO
// 32000-1, 7.5.6): what is there stays as it is, and behind it come the new
// objects and new versions of the catalog and of the pages, which name them. The
// PDF has a cross-reference table, as its library writes it.
func withTags(data []byte, t *tagger) ([]byte, error) {
	old, err := pdffile.Parse(data)
	if err != nil {
		return nil, err
	}
	pages, err := old.Pages()
	if err != nil {
		return nil, err
	}
	bodies, root := t.objects(old.Size, pages)
	changed := map[int]string{}
	for i, b := range bodies {
		changed[old.Size+i] = b
	}
	for i, n := range pages {
		if changed[n], err = old.Extended(n, fmt.Sprintf("/StructParents %d /Tabs /S", i)); err != nil {
			return nil, err
		}
	}
	changed[old.Root], err = old.Extended(old.Root, fmt.Sprintf(
		"/Version /1.7 /MarkInfo <</Marked true>> /StructTreeRoot %d 0 R /ViewerPreferences <</DisplayDocTitle true>>", root))
	if err != nil {
		return nil, err
	}
	return old.Updated(changed, old.Size+len(bodies)), nil
}
