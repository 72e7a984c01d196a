package sheet

import "strings"

// Text returns the row as one line of plain text, tabs between its columns:
// name, position, value, interval, target, verdict, change.
func (r *Row) Text() string {
	cols := []string{r.Name, string(r.Position)}
	if r.Missing != "" {
		return strings.Join(append(cols, "not measured: "+r.Missing), "\t")
	}
	cols = append(cols, r.Number+" "+r.PlusMinus, "95 % interval "+r.Interval)
	if r.HasTarget {
		cols = append(cols, "target "+r.Target, r.Says)
	}
	if r.HasPrevious {
		cols = append(cols, "change "+r.Change+" ("+r.ChangeSays+")")
	}
	return strings.Join(cols, "\t")
}

// Text returns the whole sheet as plain text, a line for each row.
func (m *Model) Text() string {
	if m == nil {
		return ""
	}
	var b strings.Builder
	if n := m.Notice; n != nil {
		b.WriteString(n.Says + " " + n.Ask + "\n\n")
	}
	for g := range m.Groups {
		if g > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(m.Groups[g].Title)
		if at := m.Groups[g].At; at != "" {
			b.WriteString(", " + at)
		}
		b.WriteByte('\n')
		for i := range m.Groups[g].Rows {
			b.WriteString(m.Groups[g].Rows[i].Text())
			b.WriteByte('\n')
		}
	}
	if m.marked.says != "" {
		b.WriteString("\n" + m.marked.says + ".\n")
	}
	return b.String()
}
