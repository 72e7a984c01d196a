// Mutate says how much the tests notice. It gets single places of a package wrong, one at
// a time: operators swapped, signs and statements lost, numbers one off, errors
// swallowed. For each it runs the package's tests, which should fail, the quick ones
// first. The sources stay as they are: the compiler is shown the changed file in their
// place.
//
//	go run ./cmd/mutate -n 25 ./geometry ./annotations/...
//
// A mutant that means the same as the original can't be noticed. Those that were looked
// at and found to be so are listed in equivalent.txt, as they are printed.
package main

import (
	_ "embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

//go:embed equivalent.txt
var equivalents string

// outcome is what became of a mutant.
type outcome string

const (
	killed     outcome = "killed"
	survived   outcome = "SURVIVED"
	equivalent outcome = "equivalent"
	unbuilt    outcome = "does not build"
)

func main() {
	n := flag.Int("n", 25, "mutants of a package")
	seed := flag.Uint64("seed", 1, "the same seed gives the same mutants")
	tags := flag.String("tags", "nowayland", "build tags")
	only := flag.String("only", "", "mutants of files whose name contains this")
	most := flag.Duration("timeout", 4*time.Minute, "how long the tests of a package may take, or five times what they take as they are")
	flag.Parse()
	packages, err := list(*tags, flag.Args())
	if err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
	total := make(map[outcome]int)
	for _, p := range packages {
		count, err := p.try(*n, *seed, *tags, *only, *most)
		if err != nil {
			fmt.Fprintln(os.Stderr, "mutate:", err)
			os.Exit(1)
		}
		fmt.Printf("%s: %s\n", p.ImportPath, score(count))
		for k, v := range count {
			total[k] += v
		}
	}
	fmt.Printf("all: %s\n", score(total))
}

// score writes how many mutants were noticed, of those that can be.
func score(count map[outcome]int) string {
	seen := count[killed] + count[survived]
	return fmt.Sprintf("%d of %d noticed (%.0f %%), %d equivalent", count[killed], seen, 100*float64(count[killed])/float64(max(seen, 1)), count[equivalent])
}

// pkg is a package as "go list" tells of it.
type pkg struct {
	Dir, ImportPath string
	GoFiles         []string
	TestGoFiles     []string
	XTestGoFiles    []string
}

func list(tags string, patterns []string) (out []pkg, err error) {
	if len(patterns) == 0 {
		return nil, errors.New("name the packages whose tests are to be tried, such as ./geometry")
	}
	cmd := exec.Command("go", append([]string{"list", "-tags", tags, "-json=Dir,ImportPath,GoFiles,TestGoFiles,XTestGoFiles"}, patterns...)...)
	cmd.Stderr = os.Stderr
	data, err := cmd.Output()
	if err != nil {
		return nil, err
	}
	for d := json.NewDecoder(strings.NewReader(string(data))); d.More(); {
		var p pkg
		if err := d.Decode(&p); err != nil {
			return nil, err
		}
		if len(p.TestGoFiles)+len(p.XTestGoFiles) > 0 {
			out = append(out, p)
		}
	}
	return out, nil
}

// candidate is a mutant that may be tried.
type candidate struct {
	file, name string
	text       []byte
}

// candidates are all mutants of a package.
func (p *pkg) candidates(only string) (out []candidate, err error) {
	for _, name := range p.GoFiles {
		if !strings.Contains(name, only) {
			continue
		}
		file := filepath.Join(p.Dir, name)
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, file, nil, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		for _, s := range sites(f) {
			text, err := mutant(set, f, s)
			if err != nil {
				return nil, err
			}
			at := set.Position(s.pos)
			line := strings.TrimSpace(lineOf(file, at.Line))
			out = append(out, candidate{file, fmt.Sprintf("%s/%s: %s: %s", p.ImportPath, name, s.what, line), text})
		}
	}
	return out, nil
}

func lineOf(file string, n int) string {
	data, err := os.ReadFile(file)
	if err != nil {
		return ""
	}
	lines := strings.Split(string(data), "\n")
	return lines[min(n, len(lines))-1]
}

// try runs the tests against n mutants of a package, drawn at random.
func (p *pkg) try(n int, seed uint64, tags, only string, most time.Duration) (map[outcome]int, error) {
	all, err := p.candidates(only)
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	s := suite{pkg: p, dir: dir, tags: tags}
	if err := s.measure(); err != nil {
		return nil, err
	}
	s.most = max(most, 5*s.whole)
	r := rand.New(rand.NewPCG(seed, uint64(len(p.ImportPath))))
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	count := make(map[outcome]int)
	for _, c := range all {
		if count[killed]+count[survived]+count[equivalent] == n {
			break
		}
		o := equivalent
		if !strings.Contains("\n"+equivalents, "\n"+c.name+"\n") {
			if o, err = s.run(c); err != nil {
				return nil, err
			}
		}
		count[o]++
		if o == survived {
			fmt.Printf("%s: %s\n", o, c.name)
		}
	}
	return count, nil
}
