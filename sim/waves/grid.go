package waves

import (
	"errors"
	"fmt"
	"math"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A Grid says how tubes were cut into reaches. A wave passes one reach in one step,
// so tubes are taken as a whole number of reaches long: that is off by Rounding,
// for the tube named, and nothing else is. A tube's impedance ρ·a/A, by which it
// answers a change of flow, and what it loses are kept as they are.
type Grid struct {
	Step     float64 // s
	Reaches  int     // of all tubes
	Steps    int     // taken
	Rounding float64 // the most by which a tube's travel time is off, as a share
	Tube     string  // that tube
	coarse   bool    // some tube is off by more than the usual step would allow
}

// A pulse is a tube as waves see it.
type pulse struct {
	tube   network.Tube
	speed  float64 // m/s
	least  float64 // with the softest wall that is met
	most   float64 // with the stiffest
	travel float64 // from end to end, s
}

// pulses are the tubes of a rig with their wave speeds at the walls' temperature.
func pulses(rig *network.Rig, walls unit.Temperature, water hydraulics.Water) []pulse {
	var list []pulse
	for _, p := range rig.Parts() {
		t, ok := p.(network.Tube)
		if !ok {
			continue
		}
		u := pulse{tube: t}
		u.speed, u.least, u.most = speeds(t, walls, water)
		u.travel = float64(t.Length) / u.speed
		list = append(list, u)
	}
	return list
}

// speeds are the speed of a wave in a tube and the least and most of it. A compliance
// that is the material's is carried to the walls' temperature; another stands for
// itself; a rigid tube leaves the water alone.
func speeds(t network.Tube, walls unit.Temperature, water hydraulics.Water) (a, least, most float64) {
	rho := water.Density
	alone := hydraulics.WaterAt(walls)
	squeeze := 1 / (float64(alone.Density) * float64(alone.SoundSpeed) * float64(alone.SoundSpeed))
	speed := func(stretch float64) float64 { return float64(hydraulics.WaveSpeed(rho, squeeze, stretch)) }
	if t.Rigid || t.Compliance <= 0 {
		a = speed(0)
		return a, a, a
	}
	m, err := hydraulics.LookupMaterial(t.Material)
	size, err2 := hydraulics.LookupTube(t.Material, t.Size)
	w := hydraulics.Wall{Bore: size.Bore, Thickness: size.Wall, Modulus: m.Modulus, Poisson: m.Poisson}
	volume := math.Pi / 4 * float64(t.Bore) * float64(t.Bore) * float64(t.Length)
	own := (w.Stretch() + hydraulics.WaterAt(unit.Celsius(20)).Compressibility) * volume
	if err != nil || err2 != nil || math.Abs(float64(t.Compliance)-own) > 1e-6*own {
		a = float64(hydraulics.WaveSpeed(rho, float64(t.Compliance)/volume, 0))
		return a, a, a
	}
	e, within := m.ModulusAt(walls)
	of := func(e float64) float64 { w.Modulus = e; return speed(w.Stretch()) }
	return of(e), of(within[0]), of(within[1])
}

// How far a tube may be off: two hundredths of it and twenty microseconds, six
// millimetres of PEX, which is less than a fitting adds.
const (
	offShare = 0.02
	offTime  = 20e-6
)

const (
	longestStep  = 200e-6 // s; a tap that shuts in milliseconds is still followed
	shortestStep = 2e-6
	mostReaches  = 500_000
)

// fastest is how fast a wave may run, m/s: hundreds of times as fast as in water, as who
// compares with a rigid column asks for, and no more, or nothing is left to compute with.
const fastest = 1e6

// shortest is the least time for which a wave is under way in a tube, s.
const shortest = 1e-12

// grid chooses the longest step that suits all tubes, or takes the one that was
// asked for, and counts each tube's reaches.
func grid(tubes []pulse, asked float64) (g Grid, reaches []int, err error) {
	if len(tubes) == 0 {
		return g, nil, errors.New("waves: the rig has no tube for a wave to run in; give it one")
	}
	reaches = make([]int, len(tubes))
	within := func(dt float64) (worst float64) { // above 1: some tube is off by more than it may be
		for _, t := range tubes {
			n := math.Max(1, math.Round(t.travel/dt))
			worst = math.Max(worst, math.Abs(n*dt-t.travel)/(offShare*t.travel+offTime))
		}
		return worst
	}
	g.Step = asked
	for _, t := range tubes {
		if !(t.speed <= fastest) {
			return g, nil, fmt.Errorf("waves: tube %q takes up %.3g m³/Pa, less than the water in it does, and a wave would run in it at %.3g m/s; give its compliance with its water's, or mark it rigid", t.tube.Name, float64(t.tube.Compliance), t.speed)
		}
		if !(t.travel > shortest) {
			return g, nil, fmt.Errorf("waves: tube %q is %.3g m long, too short for a wave to be followed; give it a millimetre, or join what it joins", t.tube.Name, float64(t.tube.Length))
		}
	}
	if asked == 0 {
		best := math.Inf(1)
		const finer = 0.99
		for dt := longestStep; dt > shortestStep && best > 1; dt *= finer {
			if w := within(dt); w < best {
				best, g.Step = w, dt
			}
		}
	}
	for i, t := range tubes {
		n := math.Max(1, math.Round(t.travel/g.Step))
		if g.Reaches += int(math.Min(n, 2*mostReaches)); g.Reaches > mostReaches {
			return g, nil, fmt.Errorf("waves: a step of %.3g s cuts the tubes into more than %d reaches; take a longer one", g.Step, mostReaches)
		}
		reaches[i] = int(n)
		if off := math.Abs(n*g.Step/t.travel - 1); off > g.Rounding {
			g.Rounding, g.Tube = off, t.tube.Name
		}
	}
	g.coarse = within(g.Step) > 1
	return g, reaches, nil
}
