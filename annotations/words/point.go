package words

import (
	"strings"

	"turngauge/geometry"
)

// PointHint says which point was probably meant by a name that is not one.
func PointHint(name string) string {
	parts := strings.Fields(strings.ToLower(strings.NewReplacer("_", " ", "-", " ").Replace(name)))
	if len(parts) == 0 {
		return "see the list of points in README.md"
	}
	var near []string
	last := parts[len(parts)-1]
	for p := geometry.Point(0); p < geometry.NumPoints; p++ {
		n := p.String()
		if n == strings.Join(parts, " ") {
			return "use " + Quote(n)
		}
		if n == last || strings.HasSuffix(n, " "+last) {
			near = append(near, Quote(n))
		}
	}
	if len(near) > 0 {
		return "use " + Or(near)
	}
	all := make([]string, geometry.NumPoints)
	for p := range all {
		all[p] = Quote(geometry.Point(p).String())
	}
	return "use one of " + Or(all)
}
