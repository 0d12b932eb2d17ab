// Package checks is how the tests compare with what stands outside the project,
// and how testdata/VERIFICATION.md comes to list every such comparison:
//
//	a := checks.Against(t, "testdata/published/accumulator.csv")
//	a.Within(t, "trade magazine, 2006", "drawdown", 25.1, float64(got), 0.05)
//	a.Skip("a rule of practice, no law")
//
// A comparison is an assertion like any other. Where the environment variable
// QUIETPUMP_VERIFICATION names a folder it is also written there, one file an
// account, for the program in checks/page to make the page of.
package checks

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Folder is the environment variable that names the folder for accounts.
const Folder = "QUIETPUMP_VERIFICATION"

// An Account is what one test compared with one thing outside the project.
type Account struct {
	Against string         `json:"against"`
	Test    string         `json:"test"`
	Rows    []Row          `json:"rows"`
	Skipped map[string]int `json:"skipped,omitempty"` // by reason
}

// A Row is one comparison of a quantity, its numbers all in the unit that the test
// compares in.
type Row struct {
	Source   string  `json:"source"`
	Quantity string  `json:"quantity"`
	Expected float64 `json:"expected"`
	Got      float64 `json:"got"`
	Borne    float64 `json:"borne"` // largest difference that passes, absolute
}

// Against begins an account of what a test compares with, such as a table of
// testdata/published, or goes on with it. It is written when the test ends, and is
// for one goroutine.
func Against(t testing.TB, what string) *Account {
	t.Helper()
	open.Lock()
	defer open.Unlock()
	key := [2]string{t.Name(), what}
	a, begun := open.accounts[key]
	if begun {
		return a
	}
	a = &Account{Against: what, Test: t.Name()}
	open.accounts[key] = a
	_, file, _, _ := runtime.Caller(1)
	t.Cleanup(func() {
		open.Lock()
		defer open.Unlock()
		delete(open.accounts, key)
		if dir := os.Getenv(Folder); dir != "" {
			a.write(t, dir, filepath.Base(filepath.Dir(file)))
		}
	})
	return a
}

// open are the accounts of tests under way.
var open = struct {
	sync.Mutex
	accounts map[[2]string]*Account
}{accounts: make(map[[2]string]*Account)}

func (a *Account) write(t testing.TB, dir, pkg string) {
	text, err := json.MarshalIndent(a, "", " ")
	if assert.NoError(t, err) && assert.NoError(t, os.MkdirAll(dir, 0o777)) {
		name := regexp.MustCompile(`[^A-Za-z0-9]+`).ReplaceAllString(pkg+"-"+a.Test+"-"+a.Against, "-")
		assert.NoError(t, os.WriteFile(filepath.Join(dir, name+".json"), text, 0o666))
	}
}

// Within asserts that got is within borne of what the source says, notes it, and reports
// whether it is.
func (a *Account) Within(t testing.TB, source, quantity string, expected, got, borne float64) bool {
	t.Helper()
	a.Rows = append(a.Rows, Row{source, quantity, expected, got, borne})
	return assert.InDelta(t, expected, got, borne, "%s (%s)", quantity, source)
}

// Relative asserts that got is within a share of what the source says, 0.01 being a
// hundredth, notes it, and reports whether it is.
func (a *Account) Relative(t testing.TB, source, quantity string, expected, got, share float64) bool {
	t.Helper()
	return a.Within(t, source, quantity, expected, got, share*math.Abs(expected))
}

// Skip notes that something of it was left out, and why.
func (a *Account) Skip(reason string) {
	if a.Skipped == nil {
		a.Skipped = make(map[string]int)
	}
	a.Skipped[reason]++
}
