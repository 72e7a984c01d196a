package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/faultfs"
	"turngauge/annotations/library"
	"turngauge/geometry"
)

// coach gives the program run by the test places of its own.
func coach(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, v := range []string{"DATA", "CONFIG", "STATE"} {
		faultfs.SetBase(t, "XDG_"+v+"_HOME", filepath.Join(dir, strings.ToLower(v)))
	}
	return dir
}

func TestLessonsGoThroughTheLibraryAndOut(t *testing.T) {
	dir := coach(t)
	_, stderr, code := program(t, "list")
	assert.Equal(t, exitNothing, code)
	assert.Contains(t, stderr, "no lesson in the library yet")

	stdout, stderr, code := program(t, "import", lessons)
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, "Mara Lindqvist")
	stdout, stderr, code = program(t, "list", "MARA", "--json")
	require.Equal(t, exitOK, code, stderr)
	var list []listed
	require.NoError(t, json.Unmarshal([]byte(stdout), &list))
	require.NotEmpty(t, list)
	assert.Equal(t, "Mara Lindqvist", list[0].Student)
	abs, err := filepath.Abs(marked)
	require.NoError(t, err)
	assert.Contains(t, stdout, abs, "the document stays where it is")
	stdout, _, code = program(t, "list")
	assert.Equal(t, exitOK, code)
	assert.Contains(t, stdout, "Mara Lindqvist")
	_, stderr, code = program(t, "list", "nobody")
	assert.Equal(t, exitNothing, code)
	assert.Contains(t, stderr, "no lesson was found")
	_, stderr, code = program(t, "list", "--student", "Nobody")
	assert.Equal(t, exitNothing, code)
	assert.Contains(t, stderr, `no student "Nobody"`)

	stdout, _, code = program(t, "list", "--missing")
	assert.Equal(t, exitOK, code, "the test's lessons have no clips")
	assert.Contains(t, stdout, ".mp4")

	zip := filepath.Join(dir, "mara.zip")
	stdout, stderr, code = program(t, "export", "--student", "mara lindqvist", "--out", zip)
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, zip+": lessons ")
	stdout, stderr, code = program(t, "import", zip)
	require.Equal(t, exitOK, code, stderr)
	assert.NotContains(t, stdout, ": taken", "all of it is there")

	other := filepath.Join(dir, "other")
	stdout, stderr, code = program(t, "import", zip, "--library", other, "--to", filepath.Join(dir, "there"), "--json")
	require.Equal(t, exitOK, code, stderr)
	var took []taken
	require.NoError(t, json.Unmarshal([]byte(stdout), &took))
	for _, x := range took {
		_, _, err := annotations.Load(x.Document)
		require.NoError(t, err)
		assert.True(t, strings.HasPrefix(x.Document, filepath.Join(dir, "there")), x.Document)
	}
	_, stderr, code = program(t, "import", marked+".none", filepath.Join(dir, "none.zip"))
	assert.Equal(t, exitInput, code)
	assert.Contains(t, stderr, "none.zip can't be imported")
	assert.Contains(t, stderr, "marked.json.none")
	_, stderr, code = program(t, "export", "--student", "nobody")
	assert.Equal(t, exitInput, code)
	assert.Contains(t, stderr, "no student")
}

func TestExportReplacesNothingUnasked(t *testing.T) {
	coach(t)
	at, err := os.Getwd()
	require.NoError(t, err)
	document := filepath.Join(at, marked)
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("marked.zip", []byte("mine"), 0o600))
	_, stderr, code := program(t, "export", document)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, stderr, "marked.zip already")
	_, stderr, code = program(t, "export", document, "--out", "marked.zip")
	assert.Equal(t, exitOK, code, stderr)
}

// TestExportAndImportAskFirst: what is left out is said, with the option that takes it in.
func TestExportAndImportAskFirst(t *testing.T) {
	dir := coach(t)
	secret := filepath.Join(dir, "id_rsa")
	require.NoError(t, os.WriteFile(secret, []byte("PRIVATE KEY"), 0o600))
	l, _, err := annotations.Load(marked)
	require.NoError(t, err)
	l = l.Clone()
	l.Swings[0].Clips[0].File = secret
	document := filepath.Join(dir, "lessons", "one.json")
	require.NoError(t, os.MkdirAll(filepath.Dir(document), 0o700))
	require.NoError(t, annotations.Save(document, l))
	zip := filepath.Join(dir, "out.zip")
	has := func() bool {
		data, err := os.ReadFile(zip)
		require.NoError(t, err)
		return strings.Contains(string(data), "PRIVATE KEY")
	}
	_, stderr, code := program(t, "export", document, "--clips", "--out", zip)
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stderr, secret+" is not in it: it lies outside the lesson's folder and is no video that opens. If it is to go out, add --also and its name")
	assert.False(t, has())
	_, stderr, code = program(t, "export", document, "--clips", "--out", zip, "--also", secret)
	require.Equal(t, exitOK, code, stderr)
	assert.True(t, has())
	_, stderr, code = program(t, "export", document, "--clips", "--out", zip, "--also", secret+".none")
	assert.Equal(t, exitInput, code)
	assert.Contains(t, stderr, "no such file to take along")

	lib, err := library.Open(t.Context(), filepath.Join(dir, "data", "turngauge", "library"))
	require.NoError(t, err)
	key, err := lib.StudentNamed(t.Context(), l.Student.Name)
	require.NoError(t, err)
	require.NotZero(t, key)
	require.NoError(t, lib.SetTargets(t.Context(), key, annotations.Targets{{Measure: "tempo", Range: geometry.Range{Low: 2, High: 3}, Source: "theirs"}}))
	require.NoError(t, lib.Close())
	_, stderr, code = program(t, "export", document, "--out", zip)
	require.Equal(t, exitOK, code, stderr)
	other := []string{"--library", filepath.Join(dir, "other"), "--to", filepath.Join(dir, "there")}
	_, stderr, code = program(t, append([]string{"import", zip}, other...)...)
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stderr, `add --ranges-of "`+l.Student.Name+`"`)
	assert.Contains(t, stderr, "tempo: 2 to 3 (theirs)")
	_, stderr, code = program(t, append([]string{"import", zip, "--ranges-of", l.Student.Name}, other...)...)
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stderr, "are those for the student from now on")
}

// TestMeasureManyAgreesWithOne holds the rows of several documents, measured at
// once, to the JSON output of one, in the order in which they were named.
func TestMeasureManyAgreesWithOne(t *testing.T) {
	data, err := os.ReadFile(marked)
	require.NoError(t, err)
	dir := t.TempDir()
	var files []string
	for i := range 7 {
		f := filepath.Join(dir, strconv.Itoa(i)+".json")
		require.NoError(t, os.WriteFile(f, data, 0o600))
		files = append(files, f)
	}
	stdout, stderr, code := program(t, "measure", "--json", marked)
	require.Equal(t, exitOK, code, stderr)
	var one annotations.Report
	require.NoError(t, json.Unmarshal([]byte(stdout), &one))
	measures := one.Swings[0].Measures

	stdout, stderr, code = program(t, "measure", "--csv", "--jobs", "3", files[0], dir)
	require.Equal(t, exitOK, code, stderr)
	rows, err := csv.NewReader(strings.NewReader(stdout)).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+len(files)*len(measures))
	column := make(map[string]int)
	for i, name := range rows[0] {
		column[name] = i
	}
	for i, r := range rows[1:] {
		m := measures[i%len(measures)]
		require.Equal(t, files[i/len(measures)], r[column["file"]])
		require.Equal(t, m.Name, r[column["measure"]])
		require.Equal(t, string(m.Position), r[column["position"]])
		require.Equal(t, string(m.Verdict), r[column["verdict"]])
		for name, want := range map[string]float64{"value": m.Value, "low95": m.Low95, "high95": m.High95, "sd": m.SD} {
			got, err := strconv.ParseFloat(r[column[name]], 64)
			require.NoError(t, err)
			require.InDelta(t, want, got, 1e-9, name)
		}
	}
	stdout, stderr, code = program(t, "measure", "--rows", files[0], filepath.Join(dir, "none.json"), files[1])
	assert.Equal(t, exitInput, code)
	assert.Contains(t, stderr, "none.json")
	lines := strings.Split(strings.TrimSpace(stdout), "\n")
	require.Len(t, lines, 2*len(measures), "the others are measured")
	var x row
	require.NoError(t, json.Unmarshal([]byte(lines[0]), &x))
	assert.Equal(t, measures[0].Name, x.Measure)
}

func TestReportTakesProgressFromTheLibrary(t *testing.T) {
	dir := coach(t)
	html := filepath.Join(dir, "sheet.html")
	_, stderr, code := program(t, "report", marked, "--html", html, "--progress")
	require.Equal(t, exitOK, code, stderr)
	page, err := os.ReadFile(html)
	require.NoError(t, err)
	assert.NotContains(t, string(page), "Over your lessons", "the library knows of none")
}
