package kit

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What is left out is what the file systems of the usual desktops refuse
// (Microsoft, "Naming Files, Paths, and Namespaces"; POSIX: the slash).
func TestNamesOfFiles(t *testing.T) {
	for in, want := range map[string]string{
		"Mara Lindqvist 2026-05-02 top": "Mara Lindqvist 2026-05-02 top",
		`a/b\c:d*e?f"g<h>i|j`:           "a-b-c-d-e-f-g-h-i-j",
		" ..  ":                         "Turngauge",
		"tab\tand  spaces ":             "tab-and spaces",
		"Åse Ødegård":                   "Åse Ødegård",
	} {
		assert.Equal(t, want, FileName(in))
	}
	assert.Equal(t, "Mara top", FileName("Mara", "", "top"))
}
