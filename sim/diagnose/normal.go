package diagnose

import "math"

// normalCDF is the chance that a standard normal score is at most z (Abramowitz &
// Stegun, Handbook of Mathematical Functions, 1964, 26.2.29).
func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// normalQuantile is the score below which a share p, between 0 and 1, of all lie.
func normalQuantile(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

// weightOf is a value's weight; without weights all are 1.
func weightOf(weights []float64, i int) float64 {
	if weights == nil {
		return 1
	}
	return weights[i]
}

func weightedMean(x, weights []float64) float64 {
	sum, total := 0.0, 0.0
	for i, x := range x {
		sum += weights[i] * x
		total += weights[i]
	}
	return sum / total
}
