package sim

import (
	"math"
	"slices"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// water returns the water of the options: as given, or where neither density nor
// viscosity is, at the temperature of a cool tank.
func (o *Options) water() hydraulics.Water {
	if o.Water.Density == 0 && o.Water.Viscosity == 0 {
		return hydraulics.WaterAt(unit.Celsius(20))
	}
	return o.Water
}

// startHeads is the head of each joint at time zero.
type startHeads []float64

func (s startHeads) head(n int32) float64 { return s[n] }

// startHeads stands every section at rest: at the pressures that were told, at
// the head of the tank where one decides, else at the cut-out of the pump, or
// without a pump at the pressure of the hookup.
func (b *builder) startHeads() startHeads {
	m := b.model
	heads := make(startHeads, len(m.joints))
	usual := b.usualHead()
	for i := range heads {
		heads[i] = usual
	}
	// Sections at the start: regions that open shutoffs, selectors and mixers join.
	section := make([]int32, len(m.regions.all))
	for i := range section {
		section[i] = int32(i)
	}
	find := func(i int32) int32 {
		for section[i] != i {
			i = section[i]
		}
		return i
	}
	join := func(a, c string) {
		x, y := find(m.regions.of[m.jointAt[a]]), find(m.regions.of[m.jointAt[c]])
		section[max(x, y)] = min(x, y)
	}
	for _, p := range m.parts {
		s := b.lineup.Of(p)
		switch p := p.(type) {
		case network.Shutoff:
			if s.Opening() > 0 {
				join(p.From, p.To)
			}
		case network.Selector:
			for _, pos := range p.Positions {
				if pos.Name == s.Word() {
					for _, j := range pos.Joins {
						join(j[0], j[1])
					}
				}
			}
		case network.Mixer:
			if s.Opening() > 0 || s.Word() == "hot" {
				join(p.Hot, p.Spout)
			}
			if s.Opening() > 0 || s.Word() == "cold" {
				join(p.Cold, p.Spout)
			}
		}
	}
	set := map[int32]float64{}
	for _, p := range m.parts {
		switch p := p.(type) {
		case network.Tank:
			vol := float64(p.Capacity) / 2
			if v, told := b.opts.Start.Tanks[p.Name]; told {
				vol = math.Min(math.Max(float64(v), 0), float64(p.Capacity))
			}
			level := float64(p.Floor) + vol/float64(p.Capacity)*float64(p.Height)
			for i, j := range p.Ports {
				n := m.jointAt[j]
				if i == 0 || b.z[n] < level {
					set[find(m.regions.of[n])] = b.rho * gravity * math.Max(level, b.z[n])
				} else {
					set[find(m.regions.of[n])] = b.gz(n)
				}
			}
		case network.Hookup:
			r := find(m.regions.of[m.jointAt[p.At]])
			n := m.jointAt[p.At]
			if _, done := set[r]; done {
				continue
			}
			switch b.lineup.Of(p).Word() {
			case "on":
				set[r] = b.gz(n) + float64(p.Static)
			case "off":
				set[r] = b.gz(n)
			}
		}
	}
	for i := range heads {
		if h, ok := set[find(m.regions.of[i])]; ok {
			heads[i] = h
		}
	}
	names := make([]string, 0, len(b.opts.Start.Pressures))
	for name := range b.opts.Start.Pressures {
		names = append(names, name)
	}
	slices.Sort(names)
	told := map[int32]bool{}
	for _, name := range names { // the first told joint of a section speaks for it
		n := m.jointAt[name]
		s := find(m.regions.of[n])
		if told[s] {
			continue
		}
		told[s] = true
		h := float64(b.opts.Start.Pressures[name]) + b.gz(n)
		for i := range heads {
			if find(m.regions.of[i]) == s {
				heads[i] = h
			}
		}
	}
	for _, name := range names {
		n := m.jointAt[name]
		heads[n] = float64(b.opts.Start.Pressures[name]) + b.gz(n)
	}
	return heads
}

// usualHead is the head at which sections stand when nobody says otherwise.
func (b *builder) usualHead() float64 {
	best := math.Inf(-1)
	for _, p := range b.model.parts {
		if p, ok := p.(network.Pump); ok {
			out := p.CutOut
			if d, drifted := b.drift[p.Name]; drifted && d.CutOut != 0 {
				out = d.CutOut
			}
			if p.Hold != nil {
				out = p.Hold.Set
			}
			best = math.Max(best, float64(out)+b.gz(b.joint(p.Sense)))
		}
	}
	if !math.IsInf(best, -1) {
		return best
	}
	for _, p := range b.model.parts {
		if p, ok := p.(network.Hookup); ok && b.lineup.Of(p).Word() == "on" {
			best = math.Max(best, float64(p.Static)+b.gz(b.joint(p.At)))
		}
	}
	if !math.IsInf(best, -1) {
		return best
	}
	low := 0.0
	for i := range b.z {
		low = math.Max(low, b.gz(int32(i)))
	}
	return low
}
