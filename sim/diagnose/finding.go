package diagnose

import (
	"fmt"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A Finding is something a person should hear beside the size.
type Finding string

// The findings.
const (
	StorageUnknown Finding = "storage unknown"      // no gas store, and no cup
	LessStored     Finding = "less stored"          // storage gives up less than it should
	MoreStored     Finding = "more stored"          // … or more
	SlowPump       Finding = "slow pump"            // the pump delivers less than it should
	FastPump       Finding = "fast pump"            // … or more
	ShortRun       Finding = "run short for rest"   // the ways by rest and run disagree, and no cup decides
	LongRun        Finding = "run long for rest"    // …
	WideSize       Finding = "wide, a cup narrows"  // more than twofold
	EdgeOfDraws    Finding = "readings far-fetched" // few of the rigs that could be explain them
)

// Words says what was found, what it means and what to do.
func (f Finding) Words(sys unit.System) string {
	switch f {
	case StorageUnknown:
		return fmt.Sprintf("Nothing in your water system is drawn as holding air, so how much the lines give up between starts is anybody's guess: from %s to %s, 26-fold. Draw a cup: with a tap open a trickle, catch the water from just after the pump stops until it starts, and say how much.",
			sys.Format(leastDrawdown, 2), sys.Format(mostDrawdown, 2))
	case LessStored:
		return "Your cup holds less than storage should give up between starts. An accumulator (the pressure tank) that lost its air charge does that, and so does a pump switch whose start and stop lie close together. Check the charge with a tyre gauge: pump off, pressure let out."
	case MoreStored:
		return "Your cup holds more than storage should give up between starts. Air trapped in the lines does that. It does no harm, but it hides how small a leak is."
	case SlowPump:
		return "The pump runs longer than it needs for what your cup holds. It is slow: low voltage, a clogged strainer, or worn."
	case FastPump:
		return "The pump runs shorter than it should need for what your cup holds. Time the run again, or the pump is stronger than assumed."
	case ShortRun:
		return "The pump refills faster than storage should take. Either less is stored than drawn, as with an accumulator (the pressure tank) that lost its air charge or a switch whose start and stop lie close together, or the pump is stronger than assumed. Draw a cup to tell which."
	case LongRun:
		return "The pump runs longer than storage explains. Either more is stored than drawn, as with air trapped in the lines, or the pump is slow: low voltage, a clogged strainer, worn. Draw a cup to tell which."
	case WideSize:
		return "Draw a cup to narrow that: with a tap open a trickle, catch the water from just after the pump stops until it starts."
	case EdgeOfDraws:
		return "Hardly any version of your water system within what you told fits these times. Check the pressures at which the pump starts and stops, and time it once more."
	}
	return string(f)
}

// disagreements compares the ways to the size. Where they disagree it widens the
// size around them all, or lets the cup decide.
func (b *Belief) disagreements(kept []draw) []Finding {
	size := &b.Size
	if len(kept) == 0 {
		return nil
	}
	var list []Finding
	add := func(by int, less, more Finding) {
		switch by {
		case -1:
			list = append(list, less)
		case 1:
			list = append(list, more)
		}
	}
	if _, cup := kept[0].ways[ByCup]; cup { // a cup measures the drawdown itself, and decides
		add(compare(kept, ByCup, ByRest), LessStored, MoreStored)
		stored := len(list) > 0
		add(compare(kept, ByCup, ByRun), SlowPump, FastPump)
		if stored {
			b.byCup(kept)
		}
		return list
	}
	add(compare(kept, ByRest, ByRun), LongRun, ShortRun)
	if len(list) > 0 {
		for _, w := range size.Ways {
			size.Low, size.High = min(size.Low, w.Low), max(size.High, w.High)
		}
	}
	return list
}

// byCup makes the size, that of each suspect and the drawdown those of the cup:
// what every hypothesis makes of the rest goes by what storage was told to hold.
func (b *Belief) byCup(kept []draw) {
	s := &b.Size
	s.Low, s.Mid, s.High = interval(column(kept, func(d draw) float64 { return d.ways[ByCup] }), nil)
	low, _, high := quantiles(column(kept, func(d draw) float64 { return d.drawn }), nil)
	s.LowDrawdown, s.HighDrawdown = unit.Volume(low), unit.Volume(high)
	for i := range b.Hypotheses {
		h := &b.Hypotheses[i]
		if h.Kind != OneSuspect {
			continue
		}
		for k, f := range h.Faults {
			if seep, ok := f.(network.Seep); ok && h.Mid > 0 {
				seep.Ref *= s.Mid / h.Mid
				h.Faults[k] = seep
			}
		}
		h.Low, h.Mid, h.High = s.Low, s.Mid, s.High
	}
}

// compare is 1 where the way a gives a larger size than b in 97.5 % of the draws
// or more, −1 where a smaller one, and 0 where they agree or one is not told.
func compare(kept []draw, a, b string) int {
	more := 0
	for _, d := range kept {
		x, toldX := d.ways[a]
		y, toldY := d.ways[b]
		if !toldX || !toldY {
			return 0
		}
		if x > y {
			more++
		}
	}
	switch share := float64(more) / float64(len(kept)); {
	case share >= 0.975:
		return 1
	case share <= 0.025:
		return -1
	}
	return 0
}
