package sim

import (
	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// A pump's device says what its control does and how its head valves stand: its
// state is control·3 + side.
const (
	pumpOff     = iota // no power
	pumpRests          // waiting for cut-in
	pumpWaits          // below cut-in, the switch's delay running
	pumpRuns           // on its curve
	pumpLingers        // above cut-out, the switch's delay running
	pumpHolds          // a variable-speed pump holding its pressure
	pumpLeast          // the same on least speed, its run-on running
	pumpControls
)

// runs reports whether a pump's device state is one in which the motor turns.
func runs(state uint8) bool { return state/3 >= pumpRuns }

// pump lowers a pump: one path whose law follows the control, and the bypass
// where it stands outside the head valves.
func (b *builder) pump(p network.Pump) {
	from, to := b.joint(p.From), b.joint(p.To)
	curve := b.curve(p)
	full := curveLaw(curve)
	zero, _ := full.Drop(0)

	var rest *kernel.Law
	crack := 0.0
	if !p.Sealed {
		// Open valves lose about their cracking pressure again at 1 gpm: common
		// practice, no source.
		crack = float64(p.Cracking)
		rest = quadratic(crack / float64(unit.GPM*unit.GPM))
		rest.Off = crack
	}
	seep := b.seepOf(p.Name)
	back := seep != nil
	d := int32(len(b.sys.Devices))
	laws := make([]*kernel.Law, 3*pumpControls)
	path := b.path(from, to, d, laws...)
	laws = b.sys.Paths[path].Laws
	states := make([]kernel.State, 3*pumpControls)
	control := func(c int, forward *kernel.Law, crack float64, more func(side uint8) []kernel.Watch) {
		for s, st := range sides(from, to, 0, crack, path, forward != nil, back, 0, 0) {
			for i := range st.Watches {
				st.Watches[i].To += uint8(3 * c)
			}
			st.Watches = append(st.Watches, more(uint8(s))...)
			states[3*c+s] = st
		}
		laws[3*c+sideOpen] = forward
		laws[3*c+sideBack] = seep
	}
	state := func(c int, side uint8) uint8 { return uint8(3*c) + side }
	powered := b.lineup.Of(p).Word() == "on"
	// unpowered moves every state of a running or resting pump to off.
	unpowered := func(is kernel.Emit) func(uint8) []kernel.Watch {
		return func(s uint8) []kernel.Watch {
			w := always(state(pumpOff, s))
			w.Is = is
			return []kernel.Watch{w}
		}
	}
	none := func(uint8) []kernel.Watch { return nil }
	if !powered {
		control(pumpOff, rest, crack, none)
		control(pumpRests, rest, crack, unpowered(0))
		control(pumpWaits, rest, crack, unpowered(0))
		for _, c := range []int{pumpRuns, pumpLingers, pumpHolds, pumpLeast} {
			control(c, rest, crack, unpowered(emitPumpStops))
		}
	} else {
		control(pumpOff, rest, crack, func(s uint8) []kernel.Watch { return []kernel.Watch{always(state(pumpRests, s))} })
		if p.Hold != nil {
			b.holdControl(p, full, rest, zero, crack, control, state, states)
		} else {
			b.switchControl(p, full, rest, zero, crack, control, state, states)
		}
	}
	start := state(pumpRests, sideShut)
	if b.opts.Start.Pumps[p.Name] {
		start = state(pumpRuns, sideOpen)
	}
	b.device(p.Name, start, states...)
	b.between(p.From, p.To, path)
	b.pumps = append(b.pumps, pumpOf{part: b.part, device: d, path: path, outlet: -1, curve: curve})
	b.draw(p)

	if by := p.Bypass; by.Outside && by.Full > by.Opens {
		law := &kernel.Law{Off: float64(by.Opens), Lam: float64(by.Full-by.Opens) / float64(curve[0].Flow)}
		back := b.oneWay(p.Name, to, from, 0, -1, law.Off, law, nil, 0, 0)
		n := len(b.ports[b.part])
		b.ports[b.part][n-2].paths = append(b.ports[b.part][n-2].paths, signed{back, -1})
		b.ports[b.part][n-1].paths = append(b.ports[b.part][n-1].paths, signed{back, 1})
	}
}

// curve is the pump's curve as it runs: at its voltage, as slow as it is, less
// what its inner bypass lets back.
func (b *builder) curve(p network.Pump) hydraulics.PumpCurve {
	c := p.Curve.AtVoltage(p.Voltage)
	if s, slow := b.speed[p.Name]; slow {
		c = append(hydraulics.PumpCurve(nil), c...)
		for i := range c {
			c[i].Flow *= unit.Flow(s)
		}
	}
	if by := p.Bypass; !by.Outside && by.Full > by.Opens {
		if net := c.WithBypass(by.Opens, by.Full); net.Check() == nil { // else it opens where there is next to nothing to let by
			c = net
		}
	}
	return c
}

// curveLaw is the law of a running pump: the rise against the flow, negative.
func curveLaw(c hydraulics.PumpCurve) *kernel.Law {
	q, rise, slope := c.Knots()
	if len(q) == 2 {
		m := (rise[1] - rise[0]) / (q[1] - q[0])
		return &kernel.Law{Off: -(rise[0] - m*q[0]), Lam: -m}
	}
	return &kernel.Law{Curve: &kernel.Curve{Q: q, Rise: rise, Slope: slope}}
}

// switchControl is a pressure switch with its delay.
func (b *builder) switchControl(p network.Pump, full, rest *kernel.Law, zero, crack float64,
	control func(int, *kernel.Law, float64, func(uint8) []kernel.Watch), state func(int, uint8) uint8, states []kernel.State) {
	cutIn, cutOut := p.CutIn, p.CutOut
	if d, drifted := b.drift[p.Name]; drifted {
		if d.CutIn != 0 {
			cutIn = d.CutIn
		}
		if d.CutOut != 0 {
			cutOut = d.CutOut
		}
	}
	sense := b.joint(p.Sense)
	low, high := float64(cutIn)+b.gz(sense), float64(cutOut)+b.gz(sense)
	watch := func(sign, ref float64, to uint8, is kernel.Emit) []kernel.Watch {
		return []kernel.Watch{{Value: kernel.Head, I: sense, Ref: ref, Sign: sign, To: to, Is: is, Switch: true}}
	}
	delay := p.Delay.Seconds()
	control(pumpRests, rest, crack, func(s uint8) []kernel.Watch {
		if delay > 0 {
			return watch(-1, low, state(pumpWaits, s), 0)
		}
		return watch(-1, low, state(pumpRuns, sideOpen), emitPumpStarts)
	})
	control(pumpWaits, rest, crack, func(s uint8) []kernel.Watch { return watch(1, low, state(pumpRests, s), 0) })
	control(pumpRuns, full, zero, func(s uint8) []kernel.Watch {
		if delay > 0 {
			return watch(1, high, state(pumpLingers, s), 0)
		}
		return watch(1, high, state(pumpRests, sideShut), emitPumpStops)
	})
	control(pumpLingers, full, zero, func(s uint8) []kernel.Watch { return watch(-1, high, state(pumpRuns, s), 0) })
	for s := range uint8(3) {
		w, l := &states[state(pumpWaits, s)], &states[state(pumpLingers, s)]
		w.Timer, w.Then, w.ThenIs, w.Carry = delay, state(pumpRuns, sideOpen), emitPumpStarts, true
		l.Timer, l.Then, l.ThenIs, l.Carry = delay, state(pumpRests, sideShut), emitPumpStops, true
		states[state(pumpHolds, s)].Watches = []kernel.Watch{always(state(pumpRests, s))}
		states[state(pumpLeast, s)].Watches = []kernel.Watch{always(state(pumpRests, s))}
	}
}

// overHold is how far above its set pressure a variable-speed pump on least speed
// stops at once: common practice, no source.
const overHold = 5 * unit.PSI

// holdDroop is by how much a pump that holds a pressure lets it fall with the
// flow, Pa·s/m³: 100 Pa at 1.6 gpm. It keeps holding and least speed apart.
const holdDroop = 1e6

// holdControl is a variable-speed pump: it holds its pressure by its speed, runs
// flat out where that is not enough, and on least speed, for its run-on, where
// even that is too much. Of the three flows it passes the middle one, whatever
// stands before it; from least speed it comes back a little late.
func (b *builder) holdControl(p network.Pump, full, rest *kernel.Law, zero, crack float64,
	control func(int, *kernel.Law, float64, func(uint8) []kernel.Watch), state func(int, uint8) uint8, states []kernel.State) {
	h := p.Hold
	from, to, sense := b.joint(p.From), b.joint(p.To), b.joint(p.Sense)
	set := float64(h.Set) + b.gz(to)
	path := int32(len(b.sys.Paths) - 1)
	curve := b.curve(p)
	slow := append(hydraulics.PumpCurve(nil), curve...)
	for i := range slow {
		slow[i].Flow *= unit.Flow(h.LeastSpeed)
	}
	low := curveLaw(slow)
	lowZero, _ := low.Drop(0)

	control(pumpRests, rest, crack, func(uint8) []kernel.Watch {
		return []kernel.Watch{{Value: kernel.Head, I: sense, Ref: float64(h.Start) + b.gz(sense), Sign: -1,
			To: state(pumpRuns, sideOpen), Is: emitPumpStarts, Switch: true}}
	})
	control(pumpRuns, full, zero, func(s uint8) []kernel.Watch {
		if s != sideOpen { // more stands behind it than it can lift
			return []kernel.Watch{{Value: kernel.Head, I: to, Ref: set, Sign: 1, To: state(pumpLeast, s)}}
		}
		return []kernel.Watch{{Value: kernel.Lifted, J: to, P: path, Lam: holdDroop, Ref: set, Sign: 1, To: state(pumpHolds, sideOpen)}}
	})
	hold := &kernel.Law{Form: kernel.Held, Off: -set, Lam: holdDroop}
	b.sys.Paths[path].Laws[state(pumpHolds, sideOpen)] = hold
	holding := kernel.State{Watches: []kernel.Watch{
		{Value: kernel.Slack, I: from, J: to, P: path, Law: full, Sign: 1, To: state(pumpRuns, sideOpen)},
		{Value: kernel.Slack, I: from, J: to, P: path, Law: low, Sign: -1, To: state(pumpLeast, sideOpen)},
		{Value: kernel.Flow, P: path, Sign: -1, To: state(pumpLeast, sideOpen)},
	}}
	for s := range uint8(3) {
		states[state(pumpHolds, s)] = holding
		states[state(pumpWaits, s)].Watches = []kernel.Watch{always(state(pumpRests, s))}
		states[state(pumpLingers, s)].Watches = []kernel.Watch{always(state(pumpRuns, s))}
	}
	states[state(pumpHolds, sideShut)].Watches = []kernel.Watch{always(state(pumpHolds, sideOpen))}
	states[state(pumpHolds, sideBack)].Watches = []kernel.Watch{always(state(pumpHolds, sideOpen))}
	control(pumpLeast, low, lowZero, func(s uint8) []kernel.Watch {
		back := kernel.Watch{Value: kernel.Lifted, J: to, P: path, Lam: 2 * holdDroop, Ref: set, Sign: -1, To: state(pumpHolds, sideOpen)}
		if s != sideOpen {
			back = kernel.Watch{Value: kernel.Head, I: to, Ref: set, Sign: -1, To: state(pumpRuns, s)}
		}
		return []kernel.Watch{back,
			{Value: kernel.Head, I: to, Ref: set + float64(overHold), Sign: 1, To: state(pumpRests, sideShut), Is: emitPumpStops, Switch: true},
		}
	})
	for s := range uint8(3) {
		l := &states[state(pumpLeast, s)]
		l.Timer, l.Then, l.ThenIs, l.Carry = h.RunOn.Seconds(), state(pumpRests, sideShut), emitPumpStops, true
	}
}

// draw finds the tank the pump draws from. While its outlet stands dry, what runs
// into the tank goes straight on to the outlet: the pump draws as much of it as it
// can lift, and what it leaves falls back into the tank.
func (b *builder) draw(p network.Pump) {
	tank, ok := b.model.drawsFrom[p.Name]
	if !ok {
		return
	}
	s, port := b.tanks[tank], b.model.outletDevice(b, tank)
	t := b.parts[b.model.partAt[tank]].(network.Tank)
	b.sys.Stores[s].Pour = kernel.Pour{Port: port, Dry: 1<<portShut | 1<<portOpen, Node: b.joint(t.Ports[0])}
	b.pumps[len(b.pumps)-1].outlet = port
}

// strokeTime is how long a stroke of a hand pump takes, s.
const strokeTime = 1.0

// strokePressure stands for an arm that stalls at nothing, Pa: with it a stroke
// against 45 psi delivers its volume to 0.3 %.
const strokePressure = 1e8

// handPump lowers two checks in a row; under a stroke they pass its volume in a
// second.
func (b *builder) handPump(p network.HandPump) {
	crack := 2 * float64(p.Cracking)
	law := &kernel.Law{Off: crack, Lam: 1e6}
	if b.stroking[p.Name] {
		law = &kernel.Law{Off: -strokePressure, Lam: strokePressure * strokeTime / float64(p.Stroke)}
	}
	path := b.oneWay(p.Name, b.joint(p.From), b.joint(p.To), 0, -1, law.Off, law, b.seepOf(p.Name), 0, 0)
	b.sys.Devices[len(b.sys.Devices)-1].Start = sideShut
	b.between(p.From, p.To, path)
}
