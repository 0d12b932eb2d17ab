package hydraulics

import (
	"math"
	"time"
)

// A Creep is how a plastic wall goes on giving way after its pressure is raised,
// as Kelvin–Voigt terms in series with the elastic wall. Under a pressure step
// held for a time t the stretch is
//
//	S(t) = S₀·(1 + Σ Ratio·(1 − e^(−t/Time)))
//
// S₀ the elastic [Wall.Stretch]. Each term has a stretch x of its own that
// follows dx/dt = (S₀·Ratio·p − x)/Time. Linear: stress and temperature change
// nothing but scale, good to a factor of about two.
type Creep []CreepTerm

// A CreepTerm is one Kelvin–Voigt term.
type CreepTerm struct {
	Ratio float64       // stretch it adds in the end, as a fraction of the elastic
	Time  time.Duration // in which it gives 1 − 1/e of it
}

// Growth returns Σ Ratio·(1 − e^(−t/Time)), what creep adds to the elastic
// stretch of 1 in a time t under constant pressure.
func (c Creep) Growth(t time.Duration) float64 {
	g := 0.0
	for _, k := range c {
		g -= k.Ratio * math.Expm1(-t.Seconds()/k.Time.Seconds())
	}
	return g
}
