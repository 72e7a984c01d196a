package track

import (
	"os"
	"strconv"
)

var debug = os.Getenv("TRK") != ""

func env(n string, d float64) float64 {
	if v, err := strconv.ParseFloat(os.Getenv(n), 64); err == nil {
		return v
	}
	return d
}
