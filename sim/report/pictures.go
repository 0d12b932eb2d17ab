package report

import (
	"context"
	"math"
	"strings"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/chart"
	"quietpump/sim/diagnose"
)

// pictures are the pressure as the leading hypothesis would have it, and how the
// rest goes with the size of its leak. One that cannot be drawn is left out.
func pictures(ctx context.Context, model *sim.Model, c diagnose.Case, b *diagnose.Belief, lead diagnose.Hypothesis, o Options) []Picture {
	var list []Picture
	pump, ok := cycling(c.Rig, asUsed(c))
	if !ok || len(lead.Faults) == 0 || lead.Rest <= 0 {
		return list
	}
	// As long as four rests, and a little.
	opts := o.Sim
	opts.Until, opts.Samples = 4*lead.Rest+4*lead.Run+time.Second, nil
	if rec, err := model.Simulate(ctx, asUsed(c), lead.Faults, opts); err == nil {
		if t, err := chart.Watched(rec, pump, 0, 0); err == nil && len(t.Runs) > 0 {
			title := t.Title(unit.US) // times alone, the same in every system
			t.Heading = "If it is " + the(lead) + ", " + strings.ToLower(title[:1]) + title[1:]
			list = append(list, chart.Figure{Picture: t, Bare: true})
		}
	}
	if r, ok := restCurve(ctx, model, c, b, lead, o); ok {
		list = append(list, chart.Figure{Picture: r, Bare: true})
	}
	return list
}

// suspects are the hypotheses that a picture has room for.
func suspects(b *diagnose.Belief) chart.Suspects {
	const most = 5
	var s chart.Suspects
	group := map[string]int{}
	for i, g := range b.Groups {
		for _, name := range g.Names {
			if len(g.Names) > 1 {
				group[name] = i + 1
			}
		}
	}
	for _, h := range b.Hypotheses {
		if len(s.List) == most || h.Belief < leastBelief {
			break
		}
		x := chart.Suspect{Name: h.Name, Belief: math.Min(math.Max(h.Belief, 0), 1), Said: diagnose.Chance(h.Belief), Group: group[h.Name]}
		switch h.Kind {
		case diagnose.OneSuspect, diagnose.Pair:
			if len(h.Suspects) > 0 {
				x.Shape = string(h.Suspects[0].Role)
			}
		case diagnose.None, diagnose.Healthy:
			x.Shape = "none"
		case diagnose.Benign:
			x.Shape = causeShapes[h.Cause]
		}
		s.List = append(s.List, x)
	}
	return s
}

// causeShapes are what benign causes look like in the hand.
var causeShapes = map[diagnose.Cause]string{
	diagnose.Cooling: "heat", diagnose.Warming: "heat", diagnose.LostAir: "accumulator", diagnose.LostCushion: "heater",
	diagnose.AirInLines: "air", diagnose.AirDissolves: "air", diagnose.TubeCreeps: string(network.WeepConnections),
	diagnose.NarrowSwitch: "switch", diagnose.PumpSlow: "pump", diagnose.NotQuiteShut: string(network.Tap),
	diagnose.HandlesOn: string(network.Tap), diagnose.Draws: string(network.ApplianceValve), diagnose.BypassOpens: "pump",
	diagnose.ParkPressure: "regulator",
}

// cycling is the powered pump that starts first as the pressure falls.
func cycling(rig *network.Rig, l network.Lineup) (found network.Pump, ok bool) {
	starts := func(p network.Pump) unit.Pressure {
		if p.Hold != nil {
			return p.Hold.Start
		}
		return p.CutIn
	}
	for _, part := range rig.Parts() {
		if p, is := part.(network.Pump); is && l.Of(p) == network.On() && (!ok || starts(p) > starts(found)) {
			found, ok = p, true
		}
	}
	return found, ok
}

// restCurve simulates the leading leak at sizes around the one that was fitted.
func restCurve(ctx context.Context, model *sim.Model, c diagnose.Case, b *diagnose.Belief, lead diagnose.Hypothesis, o Options) (chart.RestCurve, bool) {
	var curve chart.RestCurve
	seep, ok := lead.Faults[0].(network.Seep)
	if !ok || len(lead.Faults) != 1 || !(seep.Ref > 0) || len(c.Readings) == 0 {
		return curve, false
	}
	for _, factor := range []float64{0.1, 0.2, 0.5, 1, 2, 5, 10} {
		one := seep
		one.Ref *= unit.Flow(factor)
		opts := o.Sim
		opts.Until, opts.Samples = time.Duration(3/factor*float64(lead.Rest))+time.Minute, nil
		rec, err := model.Simulate(ctx, asUsed(c), network.Faults{one}, opts)
		if err != nil {
			return curve, false
		}
		starts, stops := rec.Starts(""), rec.Stops("")
		if len(starts) < 2 || len(stops) < 1 || starts[1] <= stops[0] {
			continue // so large that it never stops, or so small that it starts but once
		}
		curve.Sizes = append(curve.Sizes, one.Ref)
		curve.Rests = append(curve.Rests, time.Duration((starts[1]-stops[0])*float64(time.Second)))
	}
	seen, n := time.Duration(0), time.Duration(0)
	for _, r := range c.Readings {
		if r.Lineup.String() != asUsed(c).String() {
			continue
		}
		for _, t := range r.Rest {
			seen, n = seen+t.Value, n+1
		}
	}
	if n == 0 || len(curve.Sizes) < 3 {
		return curve, false
	}
	curve.Seen.Mid = seen / n
	curve.Size.Low, curve.Size.Mid, curve.Size.High = b.Size.Low, b.Size.Mid, b.Size.High
	return curve, true
}
