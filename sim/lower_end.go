package sim

import (
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// rated is the law of an opening that passes a rated flow at a rated pressure.
func rated(flow unit.Flow, at unit.Pressure, opening float64) *kernel.Law {
	if flow <= 0 {
		return nil
	}
	return opened(float64(at)/float64(flow*flow), opening)
}

// outlet adds the ways out of a part that ends in the air: its opening and its
// seeps.
func (b *builder) outlet(name, at, into string, law *kernel.Law) {
	n := b.joint(at)
	store := int32(-1)
	if s, ok := b.tanks[into]; ok {
		store = s
	}
	paths := []signed{{b.oneWay(name, n, kernel.Out, b.gz(n), store, 0, law, nil, 0, 0), 1}}
	for _, s := range b.seeps[name] {
		seep := seepLaw(s.Seep)
		if law != nil {
			seep = nil // what is open has no seat to seep by
		}
		paths = append(paths, signed{b.oneWay(name, n, kernel.Out, b.gz(n), store, 0, seep, nil, 0, 0), 1})
	}
	b.port(at, paths...)
}

func (b *builder) fixture(p network.Fixture) {
	b.outlet(p.Name, p.At, p.Into, rated(p.Rated, p.RatedAt, b.lineup.Of(p).Opening()))
}

func (b *builder) appliance(p network.Appliance) {
	b.outlet(p.Name, p.At, p.Into, rated(p.Rated, p.RatedAt, b.lineup.Of(p).Opening()))
}

func (b *builder) drain(p network.Drain) {
	b.outlet(p.Name, p.At, "", opened(b.kappa(p.Bore, p.K, p.Cv), b.lineup.Of(p).Opening()))
}

func (b *builder) vacuumBreaker(p network.VacuumBreaker) { b.outlet(p.Name, p.At, "", nil) }

// states of a relief valve.
const (
	reliefShut  = iota
	reliefWeeps // lets less than a drip, and is told of as shut
	reliefOpen
)

// drip is the flow below which a relief valve is told of as shut: a drop of a twentieth of
// a millilitre in ten seconds (common practice, no source). It passes what warmth or a
// hookup presses in, and as that dies away it is a question of the last digit when it lets
// nothing at all.
const drip = 0.05 * unit.Millilitre / 10 // a second

// A relief valve opens above its setting, by Rated·√((p − Set)/(0.1·Set)).
func (b *builder) relief(p network.ReliefValve) {
	n := b.joint(p.At)
	law := rated(p.Rated, 0.1*p.Set, 1)
	law.Off = float64(p.Set)
	d := int32(len(b.sys.Devices))
	way := b.end(n, b.gz(n), -1, d, nil, law, law)
	flow := func(sign, at float64, to uint8, is kernel.Emit) kernel.Watch {
		return kernel.Watch{Value: kernel.Flow, P: way, Ref: at, Sign: sign, To: to, Is: is}
	}
	b.device(p.Name, reliefShut,
		kernel.State{Watches: []kernel.Watch{{Value: kernel.Head, I: n, Ref: b.gz(n) + law.Off, Sign: 1, To: reliefWeeps}}},
		kernel.State{Watches: []kernel.Watch{flow(-1, 0, reliefShut, 0), flow(1, 2*float64(drip), reliefOpen, emitReliefOpens)}},
		kernel.State{Watches: []kernel.Watch{flow(-1, float64(drip), reliefWeeps, emitReliefShuts)}},
	)
	paths := []signed{{way, 1}}
	for _, w := range b.weeps(p.Name, n) {
		paths = append(paths, signed{w, 1})
	}
	b.port(p.At, paths...)
}

// A hookup is on, with the main's pressure behind the hose's resistance, shut at
// the spigot or capped, or off and open to the air.
func (b *builder) hookup(p network.Hookup) {
	n := b.joint(p.At)
	var main, air *kernel.Law
	switch b.lineup.Of(p).Word() {
	case "on":
		main = &kernel.Law{Lam: ideal}
		if !p.Ideal && p.Droop > 0 {
			main.Lam = float64(p.Droop / unit.Pressure(p.DroopAt))
		}
	case "off":
		air = &kernel.Law{Lam: ideal}
	}
	source := b.end(n, b.gz(n)+float64(p.Static), -1, -1, main)
	b.sys.Paths[source].Source = true
	out := b.oneWay(p.Name, n, kernel.Out, b.gz(n), -1, 0, air, nil, 0, 0)
	b.port(p.At, signed{source, 1}, signed{out, 1})
}
