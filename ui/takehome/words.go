package takehome

import (
	"fmt"
	"strings"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

// words writes what the sheet comes to and how its numbers were got.
func (b *builder) words() {
	s := b.sheet
	s.Lead = b.lead()
	s.How = b.how()
}

func (b *builder) lead() string {
	s := b.sheet
	if n := len(s.Findings); n > 0 {
		text := sentence(words.Spelled(n, "thing", "things")) + " to know about your swing"
		if s.Work.Empty() {
			return text + "."
		}
		return text + ", and what to do about it until we meet again."
	}
	if len(b.now.numbers) == 0 {
		return "Nothing could be measured in this swing yet. Below stands what to film or mark so that it can be."
	}
	var count [4]int // within, outside, told of one end, can't tell
	for _, n := range s.Numbers {
		switch n.Verdict {
		case geometry.Within:
			count[0]++
		case geometry.Below, geometry.Above:
			count[1]++
		case geometry.NotBelow, geometry.NotAbove:
			count[2]++
		default:
			count[3]++
		}
	}
	all := len(s.Numbers)
	switch {
	case all == 0:
		return fmt.Sprintf("%s measured, none of which has a target range: there is nothing to judge.", sentence(wasWere(len(b.now.numbers))))
	case count[3] == all:
		return fmt.Sprintf("Nothing can be told yet: the 95 %% interval of %s reaches over an end of the range we look for. Below stands what would settle it.", allOf(all))
	}
	var parts []string
	add := func(n int, one, many string) {
		if n > 0 {
			parts = append(parts, words.Spelled(n, one, many))
		}
	}
	add(count[0], "lies within it", "lie within it")
	add(count[1], "lies outside", "lie outside")
	add(count[2], "is sure of one end only", "are sure of one end only")
	add(count[3], "can't be told yet", "can't be told yet")
	return fmt.Sprintf("Your coach has taken no finding from this swing. Of %s with a range we look for, %s.", words.Spelled(all, "number", "numbers"), listed(parts))
}

func wasWere(n int) string {
	if n == 1 {
		return "one number was"
	}
	return words.Spelled(n, "", "numbers were")
}

func allOf(n int) string {
	if n == 1 {
		return "the one number that has a range"
	}
	return "each of the " + words.Spelled(n, "", "numbers") + " that have a range"
}

// listed joins words: "a", "a and b", "a, b and c".
func listed(words []string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
}

// how says in two sentences how the numbers were got and how sure they are.
func (b *builder) how() string {
	sw := b.now.Swing()
	points, frames := marks(sw)
	if points == 0 {
		return "Nothing was marked in this swing, so there are no numbers. They come from points that your coach marks on the clips, and each stands with the interval that says how sure it is."
	}
	var views []string
	for i := range sw.Clips {
		for _, m := range sw.Marks {
			if m.Clip == sw.Clips[i].ID && m.State != geometry.Hidden {
				views = append(views, viewWords(sw.Clips[i].View))
				break
			}
		}
	}
	from := "clips"
	if len(views) == 1 {
		from = "a single clip"
	}
	text := fmt.Sprintf("The numbers come from %s that your coach marked in %s of %s filmed %s, to which one body in space was fitted.",
		words.Spelled(points, "point", "points"), words.Spelled(frames, "frame", "frames"), from, listed(views))
	if n := len(b.now.visit); n > 1 {
		text += " They are means over " + words.Swings(n) + ", with how far your swings differ counted in."
	}
	for i := range b.now.Measures {
		if seen := words.Seen(b.now.Measures[i].Cloth); seen != "" {
			text += " " + seen
			break
		}
	}
	return text + " The interval beside each number holds the true value about 19 times out of 20; where it reaches over an end of the range we look for, the sheet says can't tell."
}
