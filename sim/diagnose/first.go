package diagnose

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// Options of an answer. The zero Options are the ordinary case.
type Options struct {
	Sim  sim.Options // water, altitude, levels; its span and samples are the answer's own
	Seed uint64      // of the draws of the tolerances; the same seed gives the same answer
}

// An Answer is what one reading says.
type Answer struct {
	Reading  Reading
	Size     Size
	Paths    []network.EscapePath // where the water could be going as the valves stood
	Suspects []Suspect            // in the order of Paths
	Findings []Finding            // what a person should hear beside the size
	Assumed  []Assumed            // not told: what matters most to the size comes first
}

// Assumed is a value that nobody told, and how much of the size's doubt it makes.
type Assumed struct {
	network.Assumption         // of no part where no rig file tells such a thing
	Share              float64 // 0 to 1; squared correlation with the logarithm of the size
	Told               bool    // the value was told, without ±: only how far it could be off is assumed
}

// firstDraws is the number of rigs that are drawn at first.
const firstDraws = 256

// First answers from one reading on one's own rig: how much water gets away,
// where it could be going, and the rest and run that each suspect predicts. It
// refuses what cannot be: readings that are no times, and a pump that cannot
// start or stop as the valves stood; the error says why in plain words.
func First(ctx context.Context, model *sim.Model, reading Reading, opts Options) (*Answer, error) {
	rig := model.Rig()
	if err := errors.Join(reading.check(), rig.CheckLineup(reading.Lineup)); err != nil {
		return nil, err
	}
	pump, err := cyclingPump(rig, reading.Lineup)
	if err != nil {
		return nil, err
	}
	in, out := band(pump)
	seen := reading.cycle()
	s := sizing{
		rig: rig, lineup: reading.Lineup, opts: opts.Sim, seen: seen, knobs: knobs(rig, reading.Lineup),
		seep: weepAt(rig, reading.Lineup, pump.To),
	}
	s.seep.Seep = hydraulics.Seep{At: (in + out) / 2, Exp: filmExponent}
	f := fitter{model: model, lineup: reading.Lineup, opts: opts.Sim, target: seen.rest.value}
	what := "every " + short(seen.rest.value)
	if seen.every.told {
		f.target, f.every = seen.every.value, true
		what = "every " + short(seen.every.value)
	}
	s.likely = time.Duration(f.target * float64(time.Second))

	var c cycle
	if s.size, c, err = f.fit(s.seep, 50*unit.MillilitrePerMinute); err != nil {
		return nil, unfit(rig, reading.Lineup, what, err)
	}
	unknownStore := !storesGas(rig, reading.Lineup)
	if unknownStore {
		s.knobs = append(s.knobs, airKnob(pump.To, unit.Volume(c.stored), in, out))
		if f, err = f.on(s, make([]float64, len(s.knobs))); err != nil {
			return nil, err
		}
		if s.size, _, err = f.fit(s.seep, s.size); err != nil {
			return nil, unfit(rig, reading.Lineup, what, err)
		}
	}

	a := &Answer{Reading: reading, Paths: rig.EscapePaths(reading.Lineup)}
	var kept []draw
	for n := firstDraws; ; n *= 4 {
		list, err := s.draws(ctx, n, opts.Seed)
		if err != nil {
			return nil, err
		}
		if a.Size, kept, err = summarise(list, s.seep.At); err != nil {
			return nil, err
		}
		if a.Size.Effective >= enough || n >= 4*firstDraws {
			break
		}
	}
	a.Findings = findings(&a.Size, kept, reading, unknownStore)
	a.Assumed = s.assumed(kept)
	if a.Suspects, err = s.suspects(ctx, f, kept); err != nil {
		return nil, err
	}
	return a, nil
}

// suspects fits each suspect on the rig that the readings speak for: every knob
// at its mean over the draws.
func (s sizing) suspects(ctx context.Context, f fitter, kept []draw) ([]Suspect, error) {
	weights := column(kept, func(d draw) float64 { return d.weight })
	z := make([]float64, len(s.knobs))
	for k := range z {
		z[k] = stat.Mean(column(kept, func(d draw) float64 { return d.z[noise+k] }), weights)
	}
	f, err := f.on(s, z)
	if err != nil {
		return nil, err
	}
	ends := map[string][]network.Destination{}
	for _, p := range s.rig.EscapePaths(s.lineup) {
		if key := seepKey(p.Suspect.Seep); !slices.Contains(ends[key], p.To) {
			ends[key] = append(ends[key], p.To)
		}
	}
	var list []Suspect
	size := s.size
	for _, who := range s.rig.Suspects(s.lineup) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		one, err := f.fitted(who, s.seep.At, size)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", who.Name, err)
		}
		if one.Unfit == "" {
			size = one.Seep.Ref
		}
		one.Ends = ends[seepKey(who.Seep)]
		list = append(list, one)
	}
	return list, nil
}

func seepKey(s network.Seep) string { return s.Part + "\x00" + s.Pair[0] + "\x00" + s.Pair[1] }

// on is the fitter on the rig whose knobs are turned by the scores.
func (f fitter) on(s sizing, z []float64) (fitter, error) {
	rig, draft, err := turned(s.rig, s.knobs, z)
	if err != nil {
		return f, err
	}
	f.faults = draft.faults
	f.model, err = sim.Compile(rig)
	return f, err
}

// assumed lists what was not told, by its share in the doubt of the size.
func (s sizing) assumed(kept []draw) []Assumed {
	all := column(kept, func(d draw) float64 { return d.all })
	weights := column(kept, func(d draw) float64 { return d.weight })
	share := map[[2]string]float64{}
	var list []Assumed
	for k, knob := range s.knobs {
		r := stat.Correlation(all, column(kept, func(d draw) float64 { return d.z[noise+k] }), weights)
		if math.IsNaN(r) {
			r = 0
		}
		share[[2]string{knob.part, knob.field}] = r * r
		if knob.value != "" && (knob.field != cupSpeed || s.seen.cup.told) {
			list = append(list, Assumed{network.Assumption{
				Part: knob.part, Field: knob.field, Value: knob.value, Source: "common practice, no source",
			}, r * r, knob.part != ""})
		}
	}
	for _, a := range s.rig.Assumed() {
		if r := share[[2]string{a.Part, a.Field}]; !a.Derived || r > 0 {
			list = append(list, Assumed{Assumption: a, Share: r})
		}
	}
	slices.SortStableFunc(list, func(a, b Assumed) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(a.Part, b.Part), cmp.Compare(a.Field, b.Field))
	})
	return list
}

// cyclingPump is the pump that starts first as pressure falls: of those with
// power the one with the highest cut-in.
func cyclingPump(rig *network.Rig, lineup network.Lineup) (network.Pump, error) {
	var found, powered *network.Pump
	for _, p := range rig.Parts() {
		if p, ok := p.(network.Pump); ok {
			in, _ := band(p)
			if found == nil {
				found = &p
			}
			if lineup.Of(p) == network.On() {
				if powered == nil {
					powered = &p
				} else if other, _ := band(*powered); in > other {
					powered = &p
				}
			}
		}
	}
	switch {
	case found == nil:
		return network.Pump{}, fmt.Errorf("rig %q has no pump that starts by itself, so nothing can be told from its starts; add a [[pump]]", rig.Name())
	case powered == nil:
		return network.Pump{}, fmt.Errorf("pump %q has no power as the valves stand, so it could not start; say %s=on in the lineup", found.Name, found.Name)
	}
	return *powered, nil
}

// band is the pressures between which a pump keeps its line.
func band(p network.Pump) (in, out unit.Pressure) {
	if p.Hold != nil {
		return p.Hold.Start, p.Hold.Set
	}
	return p.CutIn, p.CutOut
}

// weepAt is a seep out of the pressurised section at a joint, to stand for any.
func weepAt(rig *network.Rig, lineup network.Lineup, joint string) network.Seep {
	list := rig.Suspects(lineup)
	best := network.Seep{Part: joint}
	for i, s := range list {
		if s.Role == network.WeepConnections && (i == 0 || slices.Contains(s.At, joint)) {
			best = s.Seep
		}
	}
	return best
}

func short(seconds float64) string {
	return time.Duration(math.Round(seconds*10) / 10 * float64(time.Second)).String()
}
