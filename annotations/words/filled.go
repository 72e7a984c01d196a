package words

import (
	"strings"

	"turngauge/geometry"
)

// Filled puts the numbers of a measure into the text of a rule: {value}, {interval} and
// {target}, with words for the way they go. Where the text has the direction itself ("nearer
// the target") it asks for {amount}, {amount interval} and {amount target}, or with the sign
// turned round for {opposite}, {opposite interval} and {opposite target}. It reports false
// where the value goes the other way, of which such a text would not be true, and where
// there is no text.
func Filled(text string, m *geometry.Measure, r geometry.Range, imperial bool) (string, bool) {
	n := Told(m.Unit, imperial)
	own := n.Of(m.Name, m.Position)
	opposite := strings.Contains(text, "{opposite")
	wrong := m.Value
	if opposite {
		wrong = -m.Value
	}
	if text == "" || (opposite || strings.Contains(text, "{amount")) && strings.HasPrefix(n.Bare(wrong), minus) {
		return "", false
	}
	return strings.NewReplacer(
		"{value}", own.Value(m.Value), "{interval}", own.Bounds(m.Low95, m.High95), "{target}", own.Range(r),
		"{amount}", n.Value(m.Value), "{amount interval}", n.Bounds(m.Low95, m.High95), "{amount target}", n.Range(r),
		"{opposite}", n.Value(-m.Value), "{opposite interval}", n.Bounds(-m.High95, -m.Low95),
		"{opposite target}", n.Range(geometry.Range{Low: -r.High, High: -r.Low}),
	).Replace(text), true
}
