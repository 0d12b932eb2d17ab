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
)

// A row is one line of a published table, by column name, and where it stands.
type row struct {
	cell  map[string]string
	place string
}

// published reads a table of testdata/published.
func published(t *testing.T, name string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "published", name))
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	rows := make([]row, 0, len(lines)-1)
	for i, line := range lines[1:] {
		r := row{map[string]string{}, name + " row " + strconv.Itoa(i+2)}
		for j, cell := range line {
			r.cell[lines[0][j]] = cell
		}
		rows = append(rows, r)
	}
	return rows
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
	checked int
	skipped map[string]int
}

// skip leaves a row out for a reason.
func (c *tally) skip(reason string) {
	if c.skipped == nil {
		c.skipped = map[string]int{}
	}
	c.skipped[reason]++
}

// done requires that all rows are accounted for and that enough were checked.
func (c *tally) done(t *testing.T, rows []row, atLeast int) {
	t.Helper()
	skipped := 0
	for reason, n := range c.skipped {
		t.Logf("%d rows skipped: %s", n, reason)
		skipped += n
	}
	t.Logf("%d of %d rows checked", c.checked, len(rows))
	require.Equal(t, len(rows), c.checked+skipped, "every row is checked or skipped for a reason")
	require.GreaterOrEqual(t, c.checked, atLeast)
}
