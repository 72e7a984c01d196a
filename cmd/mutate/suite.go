package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// suite are the tests of a package.
type suite struct {
	pkg       *pkg
	dir, tags string // where what is built lies
	quick     string // a pattern of the tests that take little of the time together
	whole     time.Duration
	most      time.Duration
}

// quickShare is the part of the time that the quick tests take. They notice most mutants.
const quickShare = 0.15

// measure runs the tests as they are: they must pass, or nothing could be told of mutants.
func (s *suite) measure() error {
	if built, err := s.build(nil); err != nil || !built {
		return errors.Join(err, fmt.Errorf("%s does not build", s.pkg.ImportPath))
	}
	start := time.Now()
	out, err := s.test("-test.v", "-test.timeout=1h")
	if err != nil {
		return fmt.Errorf("the tests of %s fail as they are: %w\n%s", s.pkg.ImportPath, err, out[max(len(out)-2000, 0):])
	}
	s.whole = time.Since(start)
	s.quick = quickOf(out)
	return nil
}

// passed is how a test binary tells of a test of the package, as of "go help testflag".
var passed = regexp.MustCompile(`(?m)^--- PASS: (\w+) \(([0-9.]+)s\)`)

// quickOf returns a pattern of the tests that take quickShare of the time.
func quickOf(out string) string {
	type one struct {
		name    string
		seconds float64
	}
	var all []one
	var total float64
	for _, m := range passed.FindAllStringSubmatch(out, -1) {
		v, _ := strconv.ParseFloat(m[2], 64) // digits and a point
		all = append(all, one{m[1], v})
		total += v
	}
	slices.SortStableFunc(all, func(a, b one) int { return int(1000 * (a.seconds - b.seconds)) })
	var names []string
	for sum := 0.0; len(all) > 0 && sum+all[0].seconds <= quickShare*total; all = all[1:] {
		sum += all[0].seconds
		names = append(names, all[0].name)
	}
	return "^(" + strings.Join(names, "|") + ")$"
}

// build makes the test binary, of a mutant or of the package as it is. built is false where
// the compiler refuses it.
func (s *suite) build(c *candidate) (built bool, err error) {
	args := []string{"test", "-c", "-vet=off", "-tags", s.tags, "-o", filepath.Join(s.dir, "test")}
	if c != nil {
		file, overlay := filepath.Join(s.dir, "mutant.go"), filepath.Join(s.dir, "overlay.json")
		shown, err := json.Marshal(map[string]map[string]string{"Replace": {c.file: file}})
		if err == nil {
			err = errors.Join(os.WriteFile(file, c.text, 0o600), os.WriteFile(overlay, shown, 0o600))
		}
		if err != nil {
			return false, err
		}
		args = append(args, "-overlay", overlay)
	}
	return exec.Command("go", append(args, s.pkg.ImportPath)...).Run() == nil, nil
}

// test runs what was built, in the folder of the package as "go test" does.
func (s *suite) test(args ...string) (out string, err error) {
	cmd := exec.Command(filepath.Join(s.dir, "test"), args...)
	cmd.Dir = s.pkg.Dir
	data, err := cmd.CombinedOutput()
	return string(data), err
}

// run runs the tests with the mutant in the place of its file.
func (s *suite) run(c candidate) (outcome, error) {
	built, err := s.build(&c)
	switch {
	case err != nil:
		return "", err
	case !built:
		return unbuilt, nil
	}
	for _, which := range []string{"-test.run=" + s.quick, "-test.skip=" + s.quick} {
		if _, err := s.test(which, "-test.failfast", "-test.timeout="+s.most.String()); err != nil {
			return killed, nil
		}
	}
	return survived, nil
}
