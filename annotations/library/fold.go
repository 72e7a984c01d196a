package library

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// plain spells letters that Unicode does not take apart into a letter and a
// mark, as those who leave out diacritics write them.
var plain = strings.NewReplacer("ø", "o", "ł", "l", "đ", "d", "ð", "d", "þ", "th", "ß", "ss", "æ", "ae", "œ", "oe", "ı", "i", "ħ", "h")

// fold returns a text as it is searched: lower case, no diacritics.
func fold(s string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(s) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(unicode.ToLower(r))
		}
	}
	return plain.Replace(b.String())
}

// nameKey returns a name as it is compared: one spelling of each letter, lower
// case, single spaces. Diacritics count: Muller is not Müller.
func nameKey(s string) string {
	return strings.ToLower(strings.Join(strings.Fields(norm.NFC.String(s)), " "))
}

// wordsOf returns the words of what was typed, folded, of letters and digits alone.
func wordsOf(text string) []string {
	return strings.FieldsFunc(fold(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}
