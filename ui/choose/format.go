package choose

import (
	"strconv"
	"time"
)

// sizeText shows a size in bytes in SI units (IEC 80000-13 keeps kB, MB, GB for powers of 1000), with the
// digits one looks at.
func sizeText(bytes int64) string {
	units := []string{"B", "kB", "MB", "GB", "TB"}
	v, u := float64(bytes), 0
	for v >= 999.5 && u < len(units)-1 {
		v /= 1000
		u++
	}
	digits := 0
	if u > 0 && v < 9.95 {
		digits = 1
	}
	return strconv.FormatFloat(v, 'f', digits, 64) + " " + units[u]
}

// whenText shows when a file was changed, in the coach's own time.
func whenText(t, now time.Time) string {
	t = t.In(now.Location())
	day := func(x time.Time) time.Time {
		return time.Date(x.Year(), x.Month(), x.Day(), 12, 0, 0, 0, time.UTC)
	}
	switch day(now).Sub(day(t)) {
	case 0:
		return "Today " + t.Format("15:04")
	case 24 * time.Hour:
		return "Yesterday " + t.Format("15:04")
	}
	return t.Format("2 Jan 2006 15:04")
}
