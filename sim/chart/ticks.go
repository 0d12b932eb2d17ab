package chart

import (
	"math"
	"strconv"
)

// ticks returns round values that label the range from lo to hi well, about want
// of them, by the extended algorithm of Talbot, Lin and Hanrahan, IEEE Trans.
// Visualization and Computer Graphics 16 (2010) 1036: the best sum of how round
// the values are, how well they cover the range and how near their number is to
// what was wanted. All labels are as legible as each other here, so that term
// is left out. Values may lie outside the range.
func ticks(lo, hi float64, want int) []float64 {
	if !(hi > lo) || math.IsInf(hi-lo, 0) || want < 2 {
		return nil
	}
	round := [...]float64{1, 5, 2, 2.5, 4, 3} // their Q, the roundest first
	const simple, covers, dense, legible = 0.25, 0.2, 0.5, 0.05
	const most = 20 // skips and labels beyond these never win

	var best struct {
		score, from, step float64
		n                 int
	}
	best.score = -2
	span, m := hi-lo, float64(want)
	for j := 1.0; j <= most; j++ {
		done := false
		for i, q := range round {
			roundness := 1 - float64(i)/float64(len(round)-1) - j
			if simple*(roundness+1)+covers+dense+legible < best.score {
				done = true
				break
			}
			for k := 2.0; k <= most; k++ {
				if simple*(roundness+1)+covers+dense*densityMost(k, m)+legible < best.score {
					break
				}
				delta := span / (k + 1) / j / q
				for z := math.Ceil(math.Log10(delta)); ; z++ {
					step := j * q * math.Pow(10, z)
					if simple*(roundness+1)+covers*coverageMost(span, step*(k-1))+dense*densityMost(k, m)+legible < best.score {
						break
					}
					first, last := math.Floor(hi/step)*j-(k-1)*j, math.Ceil(lo/step)*j
					for start := first; start <= last; start++ {
						from := start * step / j
						to := from + step*(k-1)
						s := roundness
						if zero := math.Abs(math.Remainder(from, step)); zero < 1e-10*step && from <= 0 && to >= 0 {
							s++
						}
						c := 1 - 0.5*((hi-to)*(hi-to)+(lo-from)*(lo-from))/(0.01*span*span)
						have, wanted := (k-1)/(to-from), (m-1)/(math.Max(to, hi)-math.Min(lo, from))
						d := 2 - math.Max(have/wanted, wanted/have)
						if score := simple*s + covers*c + dense*d + legible; score > best.score {
							best.score, best.from, best.step, best.n = score, from, step, int(k)
						}
					}
				}
			}
		}
		if done {
			break
		}
	}
	out := make([]float64, best.n)
	for i := range out {
		// Of multiples of the step, the nearest decimal.
		x := best.from + float64(i)*best.step
		out[i], _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
		if math.Abs(x) < 1e-9*best.step {
			out[i] = 0
		}
	}
	return out
}

func densityMost(k, m float64) float64 {
	if k >= m {
		return 2 - (k-1)/(m-1)
	}
	return 1
}

func coverageMost(span, labels float64) float64 {
	if labels <= span {
		return 1
	}
	half := (labels - span) / 2
	return 1 - half*half/(0.01*span*span)
}

// logTicks returns 1, 2 and 5 times the powers of ten within a range above
// zero; the powers alone, or every other, where there would be too many.
func logTicks(lo, hi float64, most int) []float64 {
	for _, of := range [][]float64{{1, 2, 5}, {1, 3}, {1}} {
		var out []float64
		for z := math.Floor(math.Log10(lo)); z <= math.Ceil(math.Log10(hi)); z++ {
			for _, m := range of {
				x, _ := strconv.ParseFloat(strconv.FormatFloat(m, 'f', -1, 64)+"e"+strconv.Itoa(int(z)), 64)
				if x >= lo*(1-1e-9) && x <= hi*(1+1e-9) {
					out = append(out, x)
				}
			}
		}
		if len(out) <= most {
			return out
		}
		if len(of) == 1 {
			var fewer []float64
			for i := 0; i < len(out); i += len(out)/most + 1 {
				fewer = append(fewer, out[i])
			}
			return fewer
		}
	}
	return nil
}

// Steps of a clock that people count in, s.
var clockSteps = []float64{
	1e-3, 2e-3, 5e-3, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 20, 30,
	60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 2 * 86400, 5 * 86400, 7 * 86400,
	14 * 86400, 28 * 86400,
}

// clockTicks returns the multiples of a clock step from lo to hi, at most so
// many, s.
func clockTicks(lo, hi float64, most int) []float64 {
	for _, step := range clockSteps {
		if (hi-lo)/step >= float64(most) {
			continue
		}
		var out []float64
		for i := math.Ceil(lo/step - 1e-9); i*step <= hi*(1+1e-12); i++ {
			out = append(out, i*step)
		}
		if len(out) <= most {
			return out
		}
	}
	return []float64{lo, hi}
}

// logClockTicks are the times a person would name between lo and hi, s.
func logClockTicks(lo, hi float64, most int) []float64 {
	const minute, hour, day = 60, 3600, 86400
	for _, of := range [][]float64{
		{0.1, 0.2, 0.5, 1, 2, 5, 10, 30, minute, 2 * minute, 5 * minute, 10 * minute, 30 * minute, hour, 2 * hour, 6 * hour, 12 * hour, day, 2 * day, 7 * day, 28 * day},
		{0.1, 1, 10, minute, 10 * minute, hour, 6 * hour, day, 7 * day, 28 * day},
		{0.1, 10, 10 * minute, 6 * hour, 7 * day},
	} {
		var out []float64
		for _, t := range of {
			if t >= lo*(1-1e-9) && t <= hi*(1+1e-9) {
				out = append(out, t)
			}
		}
		if len(out) <= most {
			return out
		}
	}
	return []float64{lo, hi}
}
