package chart

import (
	"fmt"
	"math"
	"slices"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// looks is how many times the pressure is looked at across a timeline, beside
// the instants at which a pump starts or stops: there on both sides, s from it,
// for the pressure jumps.
const (
	looks  = 240
	beside = 1e-5
)

// Watched is the pressure at a pump's switch over a stretch of a record, and
// when that pump ran. A zero end means the record's.
func Watched(rec *sim.Record, pump network.Pump, from, to time.Duration) (Timeline, error) {
	t := Timeline{Switch: Switch{pump.CutIn, pump.CutOut}}
	if pump.Hold != nil {
		t.Switch = Switch{pump.Hold.Start, pump.Hold.Set}
	}
	if to == 0 || to.Seconds() > rec.Until {
		to = time.Duration(rec.Until * float64(time.Second))
	}
	if !(from >= 0 && from < to) {
		return t, fmt.Errorf("chart: from %v to %v is no stretch of the simulated %.4g s", from, to, rec.Until)
	}
	begin, end := from.Seconds(), to.Seconds()
	starts, stops := rec.Starts(pump.Name), rec.Stops(pump.Name)
	for i := range looks + 1 {
		t.At = append(t.At, begin+(end-begin)*float64(i)/looks)
	}
	for _, at := range slices.Concat(starts, stops) {
		for _, side := range []float64{at - beside, at + beside} {
			if side > begin && side < end {
				t.At = append(t.At, side)
			}
		}
	}
	slices.Sort(t.At)
	t.At = slices.CompactFunc(t.At, func(a, b float64) bool { return math.Abs(a-b) < beside })
	for _, at := range t.At {
		s, err := rec.At(min(time.Duration(math.Round(at*1e9)), to))
		if err != nil {
			return t, err
		}
		p, ok := s.Pressure(pump.Sense)
		if !ok {
			p = unit.Pressure(math.NaN())
		}
		t.Pressure = append(t.Pressure, p)
	}
	t.Runs = runs(starts, stops, begin, end)
	return t, nil
}

// runs pairs starts with stops within a stretch. A run without a start began
// before it, one without a stop goes on beyond it.
func runs(starts, stops []float64, begin, end float64) []Span {
	var list []Span
	if len(stops) > 0 && (len(starts) == 0 || stops[0] < starts[0]) {
		list = append(list, Span{math.Inf(-1), stops[0]})
		stops = stops[1:]
	}
	for i, from := range starts {
		to := math.Inf(1)
		if i < len(stops) {
			to = stops[i]
		}
		list = append(list, Span{from, to})
	}
	var seen []Span
	for _, s := range list {
		if s.To >= begin && s.From <= end {
			seen = append(seen, Span{math.Max(s.From, begin), math.Min(s.To, end)})
		}
	}
	return seen
}
