// Mutate changes one sign, operator, comparison or constant at a time in the files
// it is given, runs the tests of their package, and lists the changes that no test
// minds:
//
//	go run ./testdata/mutate hydraulics/gas.go hydraulics/seep.go
//	go run ./testdata/mutate -tests ./sim -run 'ClosedForm|Reference' sim/internal/kernel/law.go
//	go run ./testdata/mutate -only 'gas.go:53' hydraulics/gas.go      # one line again
//	go run ./testdata/mutate -list hydraulics/*.go                    # what would be changed
//
// The tree is not touched: the compiler is given changed files in place of the
// others (-overlay). + and −, · and /, each comparison and its opposite direction
// change places; a minus before a value goes; a constant grows by -percent, a whole
// one by 1. What can be switched at run time is compiled once, with every change
// asleep, and woken one at a time by an environment variable; declared constants
// are compiled one at a time. What never ends counts as found. A survivor is a test
// that is missing, or a change that changes nothing. No part of .ci/run.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// settings are how the changes are tried.
type settings struct {
	tests, run, only string
	list             bool
	percent          float64
	every            int
	limit            time.Duration
}

func main() {
	var s settings
	flag.StringVar(&s.tests, "tests", "", "package whose tests are run; left out: that of the files")
	flag.StringVar(&s.run, "run", "", "tests to run, as of go test")
	flag.StringVar(&s.only, "only", "", "only changes whose place begins so, such as gas.go:53")
	flag.BoolVar(&s.list, "list", false, "list the changes and run nothing")
	flag.Float64Var(&s.percent, "percent", 1, "by how much constants grow")
	flag.IntVar(&s.every, "every", 1, "only each so-manieth change")
	flag.DurationVar(&s.limit, "limit", time.Minute, "time for the tests of one change")
	flag.Parse()
	survivors := 0
	for _, file := range flag.Args() {
		n, err := s.mutate(file)
		if err != nil {
			fmt.Fprintf(os.Stderr, "%s: %v\n", file, err)
			os.Exit(2)
		}
		survivors += n
	}
	if survivors > 0 {
		os.Exit(1)
	}
}

// mutate tries the changes of one file and returns how many survive.
func (s settings) mutate(file string) (survivors int, err error) {
	p, err := load(file)
	if err != nil {
		return 0, err
	}
	var chosen []*change
	for i, c := range p.changes(s.percent) {
		if i%s.every == 0 && strings.HasPrefix(c.place(), s.only) {
			chosen = append(chosen, c)
		}
	}
	if s.list {
		for _, c := range chosen {
			fmt.Println(c.place(), c.what)
		}
		return 0, nil
	}
	if s.tests == "" {
		s.tests = "./" + filepath.Dir(file)
	}
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(dir)

	binary := filepath.Join(dir, "asleep")
	broken, err := s.compileAsleep(p, chosen, dir, binary)
	if err != nil {
		return 0, err
	}
	if !s.passes(binary, 0) {
		return 0, errors.New("the tests fail though nothing is changed")
	}
	found := 0
	for _, c := range chosen {
		passed := false
		switch {
		case c.broken:
			continue
		case c.declared:
			one := filepath.Join(dir, "one")
			if s.compile(map[string][]byte{p.path: p.with(c)}, dir, one) != nil {
				broken++
				continue
			}
			passed = s.passes(one, 0)
		default:
			passed = s.passes(binary, c.number)
		}
		if !passed {
			found++
			continue
		}
		survivors++
		fmt.Printf("%s %s: no test minds\n\t%s\n", c.place(), c.what, strings.TrimSpace(p.line(c.at.Line)))
	}
	fmt.Printf("%s: %d changes found, %d survived, %d do not compile\n", file, found, survivors, broken)
	return survivors, nil
}

// compileAsleep makes the test binary in which all changes but declared ones
// sleep. What the compiler will not have is marked broken and left out.
func (s settings) compileAsleep(p *source, chosen []*change, dir, binary string) (broken int, err error) {
	for range 50 {
		text, lines := p.asleep(chosen)
		err = s.compile(map[string][]byte{p.path: text, filepath.Join(filepath.Dir(p.path), "mutate_asleep.go"): p.switches()}, dir, binary)
		if err == nil {
			return broken, nil
		}
		before := broken
		for line := range strings.Lines(err.Error()) {
			// Instrumented text has the lines of the file, so a complaint's line is the change's.
			at := strings.Split(strings.TrimSpace(line), ":")
			if len(at) < 3 || filepath.Base(at[0]) != filepath.Base(p.path) {
				continue
			}
			n, _ := strconv.Atoi(at[1])
			for _, c := range lines[n] {
				if !c.broken {
					c.broken = true
					broken++
				}
			}
		}
		if broken == before {
			return broken, err
		}
	}
	return broken, err
}

// compile builds the tests with files replaced, or added.
func (s settings) compile(files map[string][]byte, dir, binary string) error {
	replace := make(map[string]string)
	for path, text := range files {
		other := filepath.Join(dir, filepath.Base(path))
		if err := os.WriteFile(other, text, 0o666); err != nil {
			return err
		}
		replace[path] = other
	}
	overlay := filepath.Join(dir, "overlay.json")
	text, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return err
	}
	if err := os.WriteFile(overlay, text, 0o666); err != nil {
		return err
	}
	cmd := exec.Command("go", "test", "-c", "-vet=off", "-gcflags=-e", "-overlay", overlay, "-o", binary, s.tests)
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("%w\n%s", err, bytes.ReplaceAll(out, []byte(dir+"/"), nil))
	}
	return nil
}

// passes runs the tests with one change awake, none for zero.
func (s settings) passes(binary string, awake int) bool {
	ctx, cancel := context.WithTimeout(context.Background(), s.limit)
	defer cancel()
	args := []string{"-test.short", "-test.failfast"}
	if s.run != "" {
		args = append(args, "-test.run", s.run)
	}
	cmd := exec.CommandContext(ctx, binary, args...)
	cmd.Dir = s.tests
	cmd.Env = append(os.Environ(), "MUTATE="+strconv.Itoa(awake))
	return cmd.Run() == nil
}
