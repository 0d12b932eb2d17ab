package waves

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// energy is that of all water and gas beyond what they have at rest at a head, J.
func (r *Run) energy(rest float64) float64 {
	sum := 0.0
	f := &r.field
	for k := range f.reaches {
		w := &f.reaches[k]
		sum += f.energy(w, rest)
		for i := w.first; i <= w.last; i++ {
			sum += (rest - f.vapour - w.gz - w.rise*float64(i-w.first)) * f.spots[i].cavity
		}
	}
	for i := range r.vessels {
		v := &r.vessels[i]
		sum += v.energy(r.nodes[v.node].x, rest)
	}
	for i := range r.nodes {
		if n := &r.nodes[i]; n.cavity > 0 {
			sum += (rest - f.vapour - n.gz) * n.cavity
		}
	}
	return sum
}

// energy is that of the water on its way along a tube, its heads counted from a head
// of rest: Σ (fore² + aft²)·Δt/4B before friction, J.
func (f *field) energy(r *reach, rest float64) float64 {
	sum := 0.0
	for i := r.first; i <= r.last; i++ {
		p := &f.spots[i]
		if i < r.last {
			c := p.x - rest + r.b*p.out
			sum += c * c
		}
		if i > r.first {
			c := p.x - rest - r.b*p.in
			sum += c * c
		}
	}
	return sum * f.dt / (4 * r.b)
}

// energy is what the vessel has taken up, J, above what the water carried at the head
// of rest: ∫(P − P_rest)·dV.
func (v *vessel) energy(x, rest float64) float64 {
	if !v.gas {
		return 0.5 * v.c * (x - rest) * (x - rest)
	}
	n := 1 / v.invN
	law := func(gas float64) float64 { return v.p0 * math.Pow(v.v0/gas, n) }
	volume := func(x float64) float64 {
		gas := v.v0 * math.Pow(v.p0/(x-v.gz), v.invN)
		if v.bladder {
			gas = math.Min(gas, v.most)
		}
		return gas
	}
	gas, at := volume(x), volume(rest)
	return (law(gas)*gas-law(at)*at)/(n-1) + (rest-v.gz)*(gas-at)
}

// unpaired is the most that friction may add in a step. What leaves a spot either way
// loses d at its foot: of (h + B·q − d)² + (h − B·q + d)² the terms with h·d cancel, and
// what is left falls. They do not where a tube ends, which sends one of the two, nor
// where a cavity lets more in than out, so that the two losses differ.
func (f *field) unpaired(rest float64) float64 {
	sum := 0.0
	for k := range f.reaches {
		r := &f.reaches[k]
		for i := r.first; i <= r.last; i++ {
			p, d := &f.spots[i], 0.0
			if i < r.last {
				d += r.share * r.law.Loss(p.out)
			}
			if i > r.first {
				d -= r.share * r.law.Loss(p.in)
			}
			sum += math.Abs((p.x-rest)*d) / r.b
		}
	}
	return sum * f.dt / 2
}

// In a closed system without a pump energy never grows, whatever the tubes, the gas
// and the check in it, however the water in it was stirred at first, torn apart or not.
func TestEnergyNeverGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "joints")
		name := func(i int) string { return string(rune('a' + i)) }
		items := []network.Item{
			network.Hookup{Name: "hookup", At: "inlet", Static: 3e5}, network.Shutoff{Name: "valve", From: "inlet", To: "a", Shut: true},
		}
		for i := range n {
			items = append(items, network.Joint{Name: name(i)})
		}
		tube := func(i, j, k int) network.Tube {
			return network.Tube{Name: "tube " + name(k), From: name(i), To: name(j), Length: unit.Length(rapid.Float64Range(0.3, 4).Draw(t, "length")),
				Size: rapid.SampledFrom([]string{"3/8 in", "1/2 in", "3/4 in"}).Draw(t, "size"), Material: rapid.SampledFrom([]string{"pex", "copper", "hose"}).Draw(t, "material")}
		}
		for i := 1; i < n; i++ {
			items = append(items, tube(rapid.IntRange(0, i-1).Draw(t, "to"), i, i))
		}
		if rapid.Bool().Draw(t, "loop") {
			items = append(items, tube(0, n-1, n))
		}
		if rapid.Bool().Draw(t, "gas") {
			items = append(items, network.AirPocket{Name: "air", At: name(n - 1), Volume: unit.Volume(rapid.Float64Range(1e-6, 1e-3).Draw(t, "air"))})
		}
		if rapid.Bool().Draw(t, "accumulator") {
			items = append(items, network.Accumulator{Name: "bottle", At: name(n / 2), Volume: 0.75 * unit.Litre, Precharge: unit.Pressure(rapid.Float64Range(1e5, 3.5e5).Draw(t, "charge"))})
		}
		if rapid.Bool().Draw(t, "check") {
			items = append(items, network.Check{Name: "check", From: name(0), To: name(n - 1)})
		}
		rig, err := network.New("closed", items...)
		if err != nil {
			t.Fatal(err)
		}
		m, err := sim.Compile(rig)
		if err != nil {
			t.Fatal(err)
		}
		o := Options{Until: time.Second, QuasiSteady: rapid.Bool().Draw(t, "quasi-steady"), Rig: sim.Options{Start: sim.Start{Pressures: map[string]unit.Pressure{"a": 3e5}}}}
		o.Step = rapid.SampledFrom([]time.Duration{0, 100 * time.Microsecond, 500 * time.Microsecond}).Draw(t, "step")
		r, err := Begin(m, nil, nil, o)
		if err != nil {
			t.Fatal(err)
		}
		rest := r.nodes[r.at[r.form.Joints["a"]]].x
		if math.Abs(rest-3e5) > 1 {
			t.Fatalf("it rests at %g", rest)
		}
		// Stirred: a flow through some stretches of some tubes, up to 1 m/s.
		for k := range r.field.reaches {
			w := &r.field.reaches[k]
			v := rapid.Float64Range(-1, 1).Draw(t, "speed")
			for i := w.first + 1; i < w.last; i++ {
				s := &r.field.spots[i]
				s.in = v * w.area
				s.out, s.was = s.in, s.in
			}
		}
		was := r.energy(rest)
		most := was
		const floor = 1e-9 // J, of rounding; a tap that is shut sends a twentieth of a joule
		for range 250 {
			friction := r.field.unpaired(rest)
			r.Advance(1)
			now := r.energy(rest)
			// What a change of flow adds to friction is part inertia, which gives back what it
			// takes, a few hundredths; without it, never.
			bound := was + friction
			if !o.QuasiSteady {
				bound = 1.04*most + friction
			}
			if now > bound+1e-9*most+floor {
				t.Fatalf("at %g s it grows from %.12g J to %.12g J (%.3g of %g)", r.t, was, now, (now-was)/most, most)
			}
			was = now
		}
		if was < -1e-9*most-floor || r.missed > 0 {
			t.Fatalf("%g J are left, %d solutions missed", was, r.missed)
		}
	})
}
