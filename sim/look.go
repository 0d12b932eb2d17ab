package sim

import (
	"fmt"

	"quietpump/network"
)

// look notes, in a mode just entered, what a person should know.
func (r *Run) look() {
	w := r.work
	for _, e := range r.low.ends {
		p := &r.low.sys.Paths[e.path]
		if p.Source || p.Device < 0 || len(p.Laws) < 2 || p.Laws[sideOpen] == nil || w.States()[p.Device] != sideShut {
			continue
		}
		if x, ok := w.Head(p.A); ok && x < p.XB-10 {
			name := ""
			if e.part >= 0 {
				name = r.model.parts[e.part].ID()
			}
			r.warn(name, "air would enter here: it is open and the pressure behind it is below atmospheric")
		}
	}
	for _, p := range r.low.pumps {
		if p.outlet >= 0 && runs(w.States()[p.device]) && w.States()[p.outlet] != portCovered {
			name := r.model.parts[p.part].ID()
			if !r.warned["dry\x00"+name] {
				r.warned["dry\x00"+name] = true
				r.rec.Events = append(r.rec.Events, Event{w.T(), name, PumpRunsDry})
				r.warn(name, "it runs dry: the tank's outlet is above the water, and a dry pump wears and overheats")
			}
		} else {
			delete(r.warned, "dry\x00"+r.model.parts[p.part].ID())
		}
	}
}

// warn adds a warning once.
func (r *Run) warn(part, what string) {
	key := part + "\x00" + what
	if r.warned[key] {
		return
	}
	r.warned[key] = true
	r.rec.Warnings = append(r.rec.Warnings, Warning{r.work.T(), part, what})
}

// fastStarts watches for a pump that starts so often that to go on would only
// repeat it.
type fastStarts struct {
	model *Model
	seen  int // events looked at
	count int
	since float64
}

// A pump that starts more than three times a second, a hundred times on end, is
// chattering: what follows is more of the same. A stretch of C that is filled at Q and
// drawn on at q cycles in C·Δp/(Q−q) + C·Δp/q and twice the switch's delay: a short delay
// slows chatter and does not end it.
const (
	chatterStarts = 100
	chatterPeriod = 1.0 / 3 // s
	chatterFinds  = 0.5     // starts a second from which the pump is to blame, and not a valve that flutters
	chatterWindow = 20
)

func (f *fastStarts) over(events []Event) bool {
	for ; f.seen < len(events); f.seen++ {
		e := &events[f.seen]
		if e.What != PumpStarts {
			continue
		}
		if f.count == 0 || e.At-f.since > chatterPeriod*float64(f.count) {
			f.count, f.since = 0, e.At
		}
		f.count++
	}
	return f.count > chatterStarts
}

// chatters ends the simulation with its finding.
func (r *Run) chatters() {
	r.findChatter()
	if r.rec.Chatter == nil {
		name := ""
		if len(r.low.pumps) > 0 {
			name = r.model.parts[r.low.pumps[0].part].ID()
		}
		r.rec.Chatter = &Chatter{Part: name, Rate: 1e3, Cause: "nothing between the pump and its switch takes up water, so each start reaches cut-out at once"}
	}
	r.rec.Chatter.Stopped = true
}

// findChatter looks for the twenty starts that came fastest.
func (r *Run) findChatter() {
	for _, p := range r.low.pumps {
		name := r.model.parts[p.part].ID()
		at := r.rec.Starts(name)
		for i := chatterWindow; i < len(at); i++ {
			span := at[i] - at[i-chatterWindow]
			if span <= 0 {
				span = 1e-9
			}
			rate := chatterWindow / span
			if rate >= chatterFinds && (r.rec.Chatter == nil || rate > r.rec.Chatter.Rate) {
				r.rec.Chatter = &Chatter{Part: name, Rate: rate, Cause: r.cause(p)}
			}
		}
	}
}

// cause says why a pump chatters, as far as the plumbing tells.
func (r *Run) cause(p pumpOf) string {
	pump, _ := r.model.parts[p.part].(network.Pump)
	return fmt.Sprintf("water is drawn more slowly than the pump delivers, and little is stored between %v and %v; an accumulator, or a tap opened wider, slows it down",
		pump.CutIn, pump.CutOut)
}
