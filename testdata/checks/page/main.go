// Page makes testdata/VERIFICATION.md of the accounts that tests wrote, or says
// whether it is up to date:
//
//	go run ./testdata/checks/page -update        # runs the tests that write accounts, and writes the page
//	go run ./testdata/checks/page                # fails where the page says something else
//	go run ./testdata/checks/page -from DIR      # the same of accounts that tests have written already
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"quietpump/testdata/checks"
)

const page = "testdata/VERIFICATION.md"

// Packages whose tests write accounts.
var packages = []string{"./hydraulics/...", "./sim", "./sim/internal/kernel", "./sim/waves", "./sim/repair"}

func main() {
	update := flag.Bool("update", false, "write the page")
	from := flag.String("from", "", "folder with the accounts that tests wrote; left out: run them")
	flag.Parse()
	if err := run(*update, *from); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(update bool, from string) error {
	if from == "" {
		dir, err := os.MkdirTemp("", "verification")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		test := exec.Command("go", append([]string{"test", "-count=1"}, packages...)...)
		test.Env = append(os.Environ(), checks.Folder+"="+dir)
		if out, err := test.CombinedOutput(); err != nil {
			return fmt.Errorf("%w\n%s", err, out)
		}
		from = dir
	}
	text, err := compose(from)
	if err != nil {
		return err
	}
	if update {
		return os.WriteFile(page, text, 0o666)
	}
	old, err := os.ReadFile(page)
	if err != nil {
		return err
	}
	if bytes.Equal(old, text) {
		return nil
	}
	return errors.New(page + " is out of date (" + firstDifference(string(old), string(text)) + "); run go run ./testdata/checks/page -update")
}

func firstDifference(old, text string) string {
	a, b := strings.Split(old, "\n"), strings.Split(text, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return fmt.Sprintf("line %d has %q, should have %q", i+1, a[i], b[i])
		}
	}
	return fmt.Sprintf("it has %d lines, should have %d", len(a), len(b))
}

// compose makes the page of the accounts in a folder.
func compose(dir string) ([]byte, error) {
	files, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil {
		return nil, err
	}
	slices.Sort(files)
	by := make(map[string][]checks.Account)
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		var a checks.Account
		if err := json.Unmarshal(text, &a); err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		by[a.Against] = append(by[a.Against], a)
	}
	if len(by) == 0 {
		return nil, fmt.Errorf("no accounts in %s", dir)
	}
	var out bytes.Buffer
	fmt.Fprint(&out, `# What was checked against what

Every comparison of the tests with something outside the project, as the tests made it. This page is written by
`+"`go run ./testdata/checks/page -update`"+` and by nobody's hand; .ci/run fails where it is out of date.

*Expected* is the source's figure, *got* the library's, *borne* the difference that still passes: half of the last printed digit unless
the test says why not. *Difference* is relative to what was expected, absolute where that is zero, rounded up to one digit; 0 is below 1e-12.
Figures are of linux/amd64. The rigs of the house solved a second time by SciPy have a report of their own: `+"`testdata/verify`"+`.

| against | comparisons | left out |
|---|---|---|
`)
	names := slices.Sorted(maps.Keys(by))
	total, left := 0, 0
	for _, name := range names {
		n, skipped := 0, 0
		for _, a := range by[name] {
			n += len(a.Rows)
			for _, k := range a.Skipped {
				skipped += k
			}
		}
		fmt.Fprintf(&out, "| [%s](#%s) | %d | %d |\n", name, anchor(name), n, skipped)
		total, left = total+n, left+skipped
	}
	fmt.Fprintf(&out, "| **all** | **%d** | **%d** |\n", total, left)
	for _, name := range names {
		fmt.Fprintf(&out, "\n## %s\n", name)
		for _, a := range by[name] {
			section(&out, a)
		}
	}
	return out.Bytes(), nil
}

// section writes one account: what was left out, then a table for each run of rows
// with one source.
func section(out *bytes.Buffer, a checks.Account) {
	if len(a.Skipped) > 0 {
		fmt.Fprintf(out, "\nLeft out by %s:\n\n", a.Test)
		for _, reason := range slices.Sorted(maps.Keys(a.Skipped)) {
			fmt.Fprintf(out, "- %d: %s\n", a.Skipped[reason], reason)
		}
	}
	for i, r := range a.Rows {
		if i == 0 || r.Source != a.Rows[i-1].Source {
			fmt.Fprintf(out, "\n%s (%s)\n\n| quantity | expected | got | difference | borne |\n|---|---|---|---|---|\n", r.Source, a.Test)
		}
		fmt.Fprintf(out, "| %s | %s | %s | %s | %.1g |\n", cell(r.Quantity), figure(r.Expected, r.Borne), figure(r.Got, r.Borne), difference(r), r.Borne)
	}
}

func cell(text string) string { return strings.ReplaceAll(text, "|", `\|`) }

// figure writes a number to one digit more than is compared, ten at most.
func figure(x, borne float64) string {
	digits := 10
	if x != 0 && borne > 0 {
		digits = min(10, max(2, int(math.Ceil(math.Log10(math.Abs(x)/borne)))+2))
	}
	return strconv.FormatFloat(x, 'g', digits, 64)
}

// difference is relative where there is something to be relative to.
func difference(r checks.Row) string {
	d := math.Abs(r.Got - r.Expected)
	if r.Expected != 0 {
		d /= math.Abs(r.Expected)
	}
	if d < 1e-12 {
		return "0"
	}
	e := math.Pow(10, math.Floor(math.Log10(d)))
	return strconv.FormatFloat(math.Ceil(d/e-1e-6)*e, 'g', 1, 64)
}

// anchor is the fragment that a heading gets on the page.
func anchor(heading string) string {
	var b strings.Builder
	for _, c := range strings.ToLower(heading) {
		switch {
		case c == ' ':
			b.WriteByte('-')
		case c == '-' || c == '_' || c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
			b.WriteRune(c)
		}
	}
	return b.String()
}
