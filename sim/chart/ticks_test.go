package chart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// The range from 8.1 to 14.1 with four labels is the worked example of the R
// package labeling (Talbot, reference manual, function extended; from memory).
func TestTicksOfThePublishedExample(t *testing.T) {
	assert.Equal(t, []float64{8, 10, 12, 14}, ticks(8.1, 14.1, 4))
}

func TestTicks(t *testing.T) {
	for _, tt := range []struct {
		lo, hi float64
		want   int
		out    []float64
	}{
		{0, 100, 5, []float64{0, 25, 50, 75, 100}},
		{0, 1, 6, []float64{0, 0.2, 0.4, 0.6, 0.8, 1}},
		{-10, 10, 5, []float64{-10, -5, 0, 5, 10}},
		{5, 5, 4, nil},
		{math.NaN(), 1, 4, nil},
		{0, math.Inf(1), 4, nil},
		{0, 1, 1, nil},
	} {
		assert.Equal(t, tt.out, ticks(tt.lo, tt.hi, tt.want), "%g to %g", tt.lo, tt.hi)
	}
}

// Whatever the range, ticks rise by equal steps, are not many more than wanted
// and cover most of it.
func TestTicksOfAnyRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-1e6, 1e6).Draw(t, "lo")
		span := math.Pow(10, rapid.Float64Range(-3, 7).Draw(t, "log10 of the span"))
		want := rapid.IntRange(3, 8).Draw(t, "want")
		list := ticks(lo, lo+span, want)
		if len(list) < 2 || len(list) > 2*want {
			t.Fatalf("%v for %d", list, want)
		}
		step := list[1] - list[0]
		for i := 1; i < len(list); i++ {
			if d := list[i] - list[i-1]; !(d > 0) || math.Abs(d-step) > 1e-6*step+1e-9 {
				t.Fatalf("steps %g and %g in %v", d, step, list)
			}
		}
		if list[len(list)-1]-list[0] < span/3 || list[0] > lo+span || list[len(list)-1] < lo {
			t.Fatalf("%v for %g to %g", list, lo, lo+span)
		}
	})
}

func TestOtherTicks(t *testing.T) {
	assert.Equal(t, []float64{1, 2, 5, 10, 20, 50, 100}, logTicks(1, 100, 9))
	assert.Equal(t, []float64{1, 3, 10, 30, 100}, logTicks(1, 100, 6))
	assert.Equal(t, []float64{1, 10, 100}, logTicks(1, 100, 3))
	assert.LessOrEqual(t, len(logTicks(1e-12, 1e12, 5)), 5)
	assert.Equal(t, []float64{0, 300, 600, 900}, clockTicks(0, 900, 5), "a quarter of an hour")
	assert.Equal(t, []float64{0, 15, 30, 45}, clockTicks(0, 59, 5))
	assert.Equal(t, []float64{10, 60, 600, 3600}, logClockTicks(5, 4000, 5))
	for _, tt := range []struct {
		at, step, hi float64
		label        string
	}{
		{0, 30, 90, "0 s"}, {90, 30, 120, "90 s"}, {90, 30, 300, "1.5 min"}, {600, 300, 900, "10 min"}, {7200, 3600, 10800, "2 h"}, {2 * 86400, 86400, 5 * 86400, "2 d"},
	} {
		assert.Equal(t, tt.label, clockTick(tt.at, tt.step, tt.hi))
	}
	for _, tt := range []struct {
		s    float64
		said string
	}{{0, "0 s"}, {1.234, "1.2 s"}, {95.4, "95 s"}, {119.7, "2 min"}, {216, "3.6 min"}, {3000, "50 min"}, {9000, "2.5 h"}, {3 * 86400, "3 days"}, {-95, "-95 s"}} {
		assert.Equal(t, tt.said, said(tt.s))
	}
}
