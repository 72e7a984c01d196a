package curves

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// WriteCSV writes curves as a table: a row for each instant, seconds from impact,
// the key position if it is one, and of each measure the value, its 95 % interval,
// its standard deviation, and its change per second with the interval of that.
// The heading of the value says what a positive one means. Where nothing is known the
// fields are empty.
func WriteCSV(w io.Writer, c *motion.Curves, names []geometry.PositionName) error {
	out := csv.NewWriter(w)
	head := []string{"seconds from impact", "key position"}
	for i := range c.Curves {
		n, u := c.Curves[i].Name, string(c.Curves[i].Unit)
		sign := ""
		if d := geometry.DefinitionOf(n); d != nil && d.Positive != "" {
			sign = " (positive: " + d.Positive + ")"
		}
		for _, what := range []string{sign + ", " + u, " low 95 %, " + u, " high 95 %, " + u, " standard deviation, " + u,
			" per second, " + u + "/s", " per second low 95 %, " + u + "/s", " per second high 95 %, " + u + "/s"} {
			head = append(head, n+what)
		}
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for i, t := range c.Seconds {
		row := []string{strconv.FormatFloat(t, 'f', 4, 64), ""}
		for k, at := range c.Positions {
			if k < len(names) && math.Abs(at-t) < 1e-4 {
				row[1] = string(names[k])
			}
		}
		for k := range c.Curves {
			v := &c.Curves[k].Values[i]
			for _, x := range []float64{v.Value, v.Low95, v.High95, v.Sigma, v.Rate, v.RateLow95, v.RateHigh95} {
				text := ""
				if v.Known {
					text = strconv.FormatFloat(math.Round(1000*x)/1000+0, 'f', 3, 64) // no minus before a zero
				}
				row = append(row, text)
			}
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
