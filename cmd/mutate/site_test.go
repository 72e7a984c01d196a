package main

import (
	"go/parser"
	"go/token"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const source = `package p

import "errors"

func f(a, b int) (int, error) {
	if err := g(); err != nil {
		return 0, err
	}
	a -= -b
	g()
	if a < 7 && b == a {
		a = a * b
	}
	return a, errors.New("a" + "b")
}
`

// TestSites makes every mutant of a function and holds them to those that a hand would
// make; each differs from the original in one line, and leaves no trace.
func TestSites(t *testing.T) {
	set := token.NewFileSet()
	f, err := parser.ParseFile(set, "p.go", source, parser.ParseComments)
	require.NoError(t, err)
	got := make(map[string]string)
	for _, s := range sites(f) {
		text, err := mutant(set, f, s)
		require.NoError(t, err)
		before, after := strings.Split(source, "\n"), strings.Split(string(text), "\n")
		var lines []string
		for i := range min(len(before), len(after)) {
			if before[i] != after[i] {
				lines = append(lines, strings.TrimSpace(after[i]))
				break
			}
		}
		require.NotEmpty(t, lines, s.what)
		got[s.what+" in line "+set.Position(s.pos).String()] = lines[0]
	}
	assert.Equal(t, map[string]string{
		"the error is swallowed in line p.go:6:2":       "if err := g(); (err != nil) && false {",
		"!= becomes == in line p.go:6:21":               "if err := g(); err == nil {",
		"0 becomes 1 in line p.go:7:10":                 "return 1, err",
		"-= becomes += in line p.go:9:4":                "a += -b",
		"- is lost in line p.go:9:7":                    "a -= +b",
		"the statement is left out in line p.go:9:2":    got["the statement is left out in line p.go:9:2"],
		"the statement is left out in line p.go:10:2":   got["the statement is left out in line p.go:10:2"],
		"the condition is never true in line p.go:11:2": "if (a < 7 && b == a) && false {",
		"&& becomes || in line p.go:11:11":              "if a < 7 || b == a {",
		"< becomes <= in line p.go:11:7":                "if a <= 7 && b == a {",
		"7 becomes 8 in line p.go:11:9":                 "if a < 8 && b == a {",
		"== becomes != in line p.go:11:16":              "if a < 7 && b != a {",
		"* becomes / in line p.go:12:9":                 "a = a / b",
		"the statement is left out in line p.go:12:3":   got["the statement is left out in line p.go:12:3"],
	}, got)
	assert.NotContains(t, got["the statement is left out in line p.go:9:2"], "a -= -b")
}

func TestScore(t *testing.T) {
	assert.Equal(t, "3 of 4 noticed (75 %), 2 equivalent", score(map[outcome]int{killed: 3, survived: 1, equivalent: 2, unbuilt: 9}))
	assert.Equal(t, "0 of 0 noticed (0 %), 0 equivalent", score(nil))
}

// TestQuickTestsRunFirst: those that take 15 % of the time together.
func TestQuickTestsRunFirst(t *testing.T) {
	out := "=== RUN   TestA\n--- PASS: TestA (8.00s)\n    --- PASS: TestA/part (7.00s)\n--- PASS: TestB (1.00s)\n--- PASS: TestC (0.40s)\n--- PASS: TestD (0.60s)\n--- SKIP: TestE (0.00s)\nPASS\n"
	assert.Equal(t, "^(TestC|TestD)$", quickOf(out), "with TestB they would take a fifth")
	assert.Equal(t, "^()$", quickOf(""))
}
