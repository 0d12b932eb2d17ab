package hydraulics

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quietpump/testdata/checks"
)

// A row is one line of a published table, by column name, and where it stands.
type row struct {
	cell  map[string]string
	place string
}

// published reads a table of testdata/published, and begins the account of what
// the test does with its rows.
func published(t *testing.T, name string) ([]row, *tally) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "published", name))
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	rows := make([]row, 0, len(lines)-1)
	for i, line := range lines[1:] {
		r := row{map[string]string{}, "row " + strconv.Itoa(i+2)}
		for j, cell := range line {
			r.cell[lines[0][j]] = cell
		}
		rows = append(rows, r)
	}
	return rows, &tally{t: t, account: checks.Against(t, "testdata/published/"+name)}
}

// num reads a cell that must be a number.
func (r row) num(t *testing.T, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r.cell[column], 64)
	require.NoError(t, err, "%s, column %s", r.place, column)
	return x
}

// halfDigit returns half a unit of the last digit of a printed number, with a
// hair more for what a decimal tie costs.
func halfDigit(printed string) float64 {
	mantissa, exponent, _ := strings.Cut(strings.ToLower(printed), "e")
	digits := 0
	if _, after, ok := strings.Cut(mantissa, "."); ok {
		digits = len(after)
	}
	e, _ := strconv.Atoi(exponent)
	return 0.5 * math.Pow(10, float64(e-digits)) * (1 + 1e-9)
}

// A tally counts what a test did with the rows of a table. A row that is
// neither checked nor skipped for a reason fails the test.
type tally struct {
	t       *testing.T
	account *checks.Account
	checked int
}

// near compares a figure of a row with what was got, to a difference borne.
func (c *tally) near(r row, quantity string, want, got, borne float64) {
	c.t.Helper()
	c.account.Within(c.t, r.source(), r.place+": "+quantity, want, got, borne)
}

// close compares them to a share borne.
func (c *tally) close(r row, quantity string, want, got, share float64) {
	c.t.Helper()
	c.near(r, quantity, want, got, share*math.Abs(want))
}

// source is where the row's figure is from, and how sure that is.
func (r row) source() string {
	if r.cell["status"] == "published" {
		return r.cell["source"]
	}
	return r.cell["source"] + " [" + r.cell["status"] + "]"
}

// skip leaves a row out for a reason.
func (c *tally) skip(reason string) { c.account.Skip(reason) }

// done requires that all rows are accounted for and that enough were checked.
func (c *tally) done(rows []row, atLeast int) {
	t := c.t
	t.Helper()
	skipped := 0
	for reason, n := range c.account.Skipped {
		t.Logf("%d rows skipped: %s", n, reason)
		skipped += n
	}
	t.Logf("%d of %d rows checked", c.checked, len(rows))
	require.Equal(t, len(rows), c.checked+skipped, "every row is checked or skipped for a reason")
	require.GreaterOrEqual(t, c.checked, atLeast)
}
