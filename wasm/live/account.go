package live

import (
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// An Account is where the water went since the beginning, as a reader asks for it.
type Account struct {
	Tanks   unit.Volume // that the fresh tanks hold now
	Room    unit.Volume // that they hold at most
	Pumped  unit.Volume // by pumps and hand pumps, forward
	Hose    unit.Volume // from the hose
	Drawn   unit.Volume // where a hand had opened: at taps, appliances and drains
	Away    unit.Volume // what left the pressurised lines otherwise
	Spilled unit.Volume // over the lips of tanks
}

// A gross counts what each pump has delivered, which for one that seeps itself is
// more than what it passed on the whole.
type gross struct {
	pumps     []string
	at        []float64 // what each had moved at the last step of the present run
	delivered float64   // m³
}

func (g *gross) of(rig *network.Rig) {
	g.pumps = g.pumps[:0]
	for _, p := range rig.Parts() {
		if p.Kind() == "pump" || p.Kind() == "hand pump" {
			g.pumps = append(g.pumps, p.ID())
		}
	}
	g.begin()
}

// begin: the account of a run begins at zero.
func (g *gross) begin() { g.at = make([]float64, len(g.pumps)) }

func (g *gross) step(run *sim.Run) {
	for i, name := range g.pumps {
		v, _ := run.Moved(name)
		if d := float64(v) - g.at[i]; d > 0 {
			g.delivered += d
		}
		g.at[i] = float64(v)
	}
}

// book puts what the run that ends here has moved to what went before.
func (l *Live) book() {
	ledger := l.run.Record().Ledger
	l.before, l.drawn = l.before.Add(ledger), l.drawn+l.drawnBy(ledger)
	l.kept += l.keptBy(ledger)
}

// drawnBy is what a ledger of the present run says went out where a hand has opened.
func (l *Live) drawnBy(ledger sim.Ledger) float64 {
	sum := 0.0
	for _, p := range l.rig.Parts() {
		switch p.Kind() {
		case "fixture", "appliance", "drain":
			if l.lineup.Of(p).Opening() > 0 {
				sum += ledger.Parts[p.ID()]
			}
		}
	}
	return sum
}

// keptBy is what the stores of the pressurised lines have taken up in the present run.
func (l *Live) keptBy(ledger sim.Ledger) float64 {
	sum := 0.0
	for name, v := range ledger.Stored {
		if p, ok := l.rig.Part(name); ok && (p.Kind() == "tank" || p.Kind() == "waste tank") {
			continue
		}
		sum += v
	}
	return sum
}

// Account is where the water went until now. It is drawn up when asked for.
func (l *Live) Account() Account {
	now := l.run.Record().Ledger
	a := Account{
		Pumped: unit.Volume(l.gross.delivered),
		Hose:   unit.Volume(l.before.In + now.In),
		Drawn:  unit.Volume(l.drawn + l.drawnBy(now)),
	}
	a.Away = max(0, a.Pumped+a.Hose-a.Drawn-unit.Volume(l.kept+l.keptBy(now)))
	a.Spilled = unit.Volume(l.spilled)
	for _, p := range l.rig.Parts() {
		if t, ok := p.(network.Tank); ok {
			v, _ := l.sample.Water(t.Name)
			a.Tanks += v
			a.Room += t.Capacity
			a.Spilled += unit.Volume(l.before.Spilled[t.Name] + now.Spilled[t.Name])
		}
	}
	return a
}

// Carry says what went before the beginning, as it was kept of an earlier [Live]: the
// time that had passed, s, the account and the charge. It is for a Live that is new.
func (l *Live) Carry(t float64, a Account, q unit.Charge) {
	l.base += t
	l.roll, l.meter = Roll{}, meter{}
	if err := l.look(); err != nil {
		l.halt(err)
	}
	l.changed()
	l.gross.delivered += float64(a.Pumped)
	l.drawn += float64(a.Drawn)
	l.kept += float64(a.Pumped + a.Hose - a.Drawn - a.Away)
	l.before = l.before.Add(sim.Ledger{In: float64(a.Hose)})
	l.battery.drawn, l.battery.last = l.battery.drawn+float64(q), l.battery.last+t
	l.spilled += float64(a.Spilled)
}
