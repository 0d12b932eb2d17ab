package sim

import (
	"math"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// A tube loses f·L/D and its fittings' K, or what Hazen and Williams say.
func (b *builder) tube(p network.Tube) {
	d, l := float64(p.Bore), float64(p.Length)
	law := &kernel.Law{Kap: hydraulics.LossK(p.K).Quadratic(p.Bore, b.water.Density), Lam: 1e-9}
	if p.HazenWilliams > 0 {
		// Linear below 1 cm/s, where the law is outside its range.
		const n = 1.852
		slow := 0.01 * math.Pi / 4 * d * d
		slope, _ := hydraulics.HazenWilliams(unit.Flow(2*slow), p.HazenWilliams, p.Bore)
		law.Pow = b.rho * gravity * l * slope / math.Pow(2*slow, n)
		law.Inv, law.QLin = n, slow
	} else {
		rough := math.Max(0, float64(p.Roughness)) / d
		law.Friction = []kernel.Friction{{
			R:     4 / (math.Pi * d * b.nu * hydraulics.ReLaminar),
			F:     l * b.rho * b.nu * b.nu / (2 * d * d * d),
			Table: b.model.table(rough),
		}}
	}
	path := b.path(b.joint(p.From), b.joint(p.To), -1, law)
	b.between(p.From, p.To, path)
	b.weeps(p.Name, b.joint(p.To))
}

// A shutoff is a loss while open, a seep or nothing while shut.
func (b *builder) shutoff(p network.Shutoff) {
	law := opened(b.kappa(p.Bore, p.K, p.Cv), b.lineup.Of(p).Opening())
	if law == nil {
		law = b.seepOf(p.Name)
	}
	b.between(p.From, p.To, b.path(b.joint(p.From), b.joint(p.To), -1, law))
}

// A selector joins the port pairs of its position; the others may seep.
func (b *builder) selector(p network.Selector) {
	pos := b.lineup.Of(p).Word()
	kappa := b.kappa(p.Bore, p.K, p.Cv)
	flows := make([][]signed, len(p.Ports))
	for i, from := range p.Ports {
		for j := i + 1; j < len(p.Ports); j++ {
			to := p.Ports[j]
			var law *kernel.Law
			for _, s := range b.seeps[p.Name] {
				if s.Pair == [2]string{from, to} || s.Pair == [2]string{to, from} {
					law = seepLaw(s.Seep)
				}
			}
			for _, q := range p.Positions {
				for _, pair := range q.Joins {
					if q.Name == pos && (pair == [2]string{from, to} || pair == [2]string{to, from}) {
						law = quadratic(kappa)
					}
				}
			}
			path := b.path(b.joint(from), b.joint(to), -1, law)
			flows[i] = append(flows[i], signed{path, 1})
			flows[j] = append(flows[j], signed{path, -1})
		}
	}
	for i, port := range p.Ports {
		b.port(port, flows[i]...)
	}
}

// A check opens at its cracking pressure and seeps backward if it must.
func (b *builder) check(p network.Check) {
	law := quadratic(b.kappa(p.Bore, p.K, p.Cv))
	law.Off = float64(p.Cracking)
	path := b.oneWay(p.Name, b.joint(p.From), b.joint(p.To), 0, -1, law.Off, law, b.seepOf(p.Name), 0, 0)
	b.between(p.From, p.To, path)
}

// A mixer joins hot and cold, each through its handle, to the spout.
func (b *builder) mixer(p network.Mixer) {
	s := b.lineup.Of(p)
	kappa := b.kappa(p.Bore, p.K, p.Cv)
	side := func(joint, word string) int32 {
		var law *kernel.Law
		switch s.Word() {
		case "open":
			law = opened(kappa, s.Opening())
		case word:
			law = quadratic(kappa)
		}
		if law == nil {
			for _, f := range b.seeps[p.Name] {
				if f.Pair[0] == joint || f.Pair[1] == joint {
					law = seepLaw(f.Seep)
				}
			}
		}
		return b.path(b.joint(joint), b.joint(p.Spout), -1, law)
	}
	hot, cold := side(p.Hot, "hot"), side(p.Cold, "cold")
	b.port(p.Hot, signed{hot, 1})
	b.port(p.Cold, signed{cold, 1})
	b.port(p.Spout, signed{hot, -1}, signed{cold, -1})
}

// noDroop stands for a regulator without droop, Pa·s/m³: a tenth of a pascal at
// 1e-4 m³/s.
const noDroop = 1e3

// A regulator is shut, regulating, open or passing backward.
func (b *builder) regulator(p network.Regulator) {
	const (
		shut = iota
		regulating
		open
		backward
	)
	from, to := b.joint(p.From), b.joint(p.To)
	held := float64(p.Set) + b.gz(to)
	droop := noDroop
	if p.Droop > 0 {
		droop = float64(p.Droop / unit.Pressure(p.DroopAt))
	}
	wide := quadratic(b.kappa(p.Bore, p.K, p.Cv))
	hold := &kernel.Law{Form: kernel.Held, Off: -held, Lam: droop}
	d := int32(len(b.sys.Devices))
	path := b.path(from, to, d, nil, hold, wide, wide)
	stop := kernel.Watch{Value: kernel.Flow, P: path, Sign: -1, To: shut}
	backs := stop // at work it is shut by more than the rounding of the pressure it holds
	backs.Ref = -1e-11
	below := func(next uint8) kernel.Watch {
		return kernel.Watch{Value: kernel.Head, I: to, Ref: held, Sign: -1, To: next}
	}
	lifted := kernel.Watch{Value: kernel.Lifted, J: to, P: path, Lam: droop, Ref: held, Sign: 1, To: regulating}
	states := []kernel.State{
		regulating: {Watches: []kernel.Watch{backs,
			{Value: kernel.Slack, I: from, J: to, P: path, Law: wide, Sign: 1, To: open}}},
		backward: {Watches: []kernel.Watch{{Value: kernel.Flow, P: path, Sign: 1, To: shut}}},
	}
	// It opens wide first and regulates once that is too much: at work from the
	// outset it would ask even of a side that nothing feeds.
	if p.Check {
		states[shut].Watches = []kernel.Watch{{Value: kernel.Wants, I: from, J: to, Ref: held, Sign: 1, To: open}}
		states[open].Watches = []kernel.Watch{stop, lifted}
	} else {
		// Below its setting its spring holds it open, whichever way water goes.
		states[shut].Watches = []kernel.Watch{below(open), {Value: kernel.Drop, I: from, J: to, Sign: -1, To: backward}}
		states[open].Watches = []kernel.Watch{lifted}
		states[backward].Watches = append(states[backward].Watches, below(open))
	}
	b.device(p.Name, shut, states...)
	b.between(p.From, p.To, path)
}

// screen is a strainer or a filter's cartridge: a loss known at one flow.
func (b *builder) screen(name, from, to string, drop unit.Pressure, at unit.Flow) {
	kappa := float64(drop) / float64(at*at)
	b.between(from, to, b.path(b.joint(from), b.joint(to), -1, quadratic(kappa)))
	b.weeps(name, b.joint(to))
}

// A filter is a screen that may hold air.
func (b *builder) filter(p network.Filter) {
	b.screen(p.Name, p.From, p.To, p.Drop, p.At)
	if p.Air > 0 {
		b.gas(b.joint(p.To), float64(p.Air), 0, 1, -1, b.part)
	}
}
