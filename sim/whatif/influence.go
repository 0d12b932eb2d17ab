package whatif

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// An Influence is how much one column of a table moves a quantity.
type Influence struct {
	Column
	// Share is the part of the variance of the quantity's logarithm that this
	// column makes by itself, 0 to 1: its first-order Sobol index.
	Share float64
	// Trend is the rank correlation of the column with the quantity, −1 to 1:
	// negative where more of the column makes the quantity less (Spearman, Am. J.
	// Psychol. 15 (1904) 72).
	Trend float64
}

// errFewRows marks a table too small to tell influences from chance.
var errFewRows = errors.New("whatif: fewer than 64 rows have a cycle; draw more rigs")

// leastRows is the fewest rows from which a share means anything: chance alone
// then makes shares of some 2·harmonics/rows.
const leastRows = 64

// Influences says for each column how much it moves a quantity, the strongest
// first. Rows without a cycle are left out. The shares are estimated from the rows of an
// ensemble, without more simulations (Plischke, Reliab. Eng. Syst. Saf. 95 (2010) 354, EASI), to
// about ±1/√rows.
func (t *Table) Influences(of Quantity) ([]Influence, error) {
	var y []float64
	x := make([][]float64, len(t.Columns))
	for _, r := range t.Rows {
		v, ok := r.Of(of)
		if !ok {
			continue
		}
		y = append(y, math.Log(v))
		for k := range x {
			x[k] = append(x[k], r.Values[k])
		}
	}
	if len(y) < leastRows {
		return nil, errFewRows
	}
	list := make([]Influence, len(x))
	rank := ranks(y)
	for k := range x {
		list[k] = Influence{t.Columns[k], firstOrder(x[k], y), stat.Correlation(ranks(x[k]), rank, nil)}
		if math.IsNaN(list[k].Trend) { // a column or quantity that does not move
			list[k].Trend = 0
		}
	}
	slices.SortStableFunc(list, func(a, b Influence) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(math.Abs(b.Trend), math.Abs(a.Trend)))
	})
	return list, nil
}

// Quantiles returns, for each share 0 to 1, the value of a quantity below which
// that share of the rows with a cycle lies; NaN where no row has one.
func (t *Table) Quantiles(of Quantity, shares ...float64) []float64 {
	var x []float64
	for _, r := range t.Rows {
		if v, ok := r.Of(of); ok {
			x = append(x, v)
		}
	}
	slices.Sort(x)
	out := make([]float64, len(shares))
	for i, p := range shares {
		out[i] = math.NaN()
		if len(x) > 0 {
			out[i] = stat.Quantile(p, stat.Empirical, x, nil)
		}
	}
	return out
}

// harmonics is M of EASI; 6 is its author's choice, enough for a bend or two.
const harmonics = 6

// firstOrder estimates the first-order Sobol index of x for y: y in an order in
// which x rises and falls once, the power in its first harmonics over all power,
// less what chance would put there.
func firstOrder(x, y []float64) float64 {
	n := len(x)
	order := make([]int, n)
	floats.Argsort(slices.Clone(x), order)
	wave := make([]float64, 0, n)
	for i := 0; i < n; i += 2 {
		wave = append(wave, y[order[i]])
	}
	for i := n - 1 - n%2; i > 0; i -= 2 {
		wave = append(wave, y[order[i]])
	}
	floats.AddConst(-stat.Mean(wave, nil), wave)
	power := func(c complex128) float64 { return real(c)*real(c) + imag(c)*imag(c) }
	all := floats.Dot(wave, wave) * float64(n) / 2 // Parseval, one side of the spectrum
	if !(all > 0) {
		return 0
	}
	low := 0.0
	for _, c := range fourier.NewFFT(n).Coefficients(nil, wave)[1 : harmonics+1] {
		low += power(c)
	}
	share := low / all
	chance := 2.0 * harmonics / float64(n)
	return min(max(share-chance/(1-chance)*(1-share), 0), 1)
}

// ranks returns the rank of each value, the mean rank where several are equal.
func ranks(x []float64) []float64 {
	order := make([]int, len(x))
	sorted := slices.Clone(x)
	floats.Argsort(sorted, order)
	out := make([]float64, len(x))
	for i := 0; i < len(x); {
		j := i
		for j < len(x) && sorted[j] == sorted[i] {
			j++
		}
		for k := i; k < j; k++ {
			out[order[k]] = float64(i+j-1) / 2
		}
		i = j
	}
	return out
}
