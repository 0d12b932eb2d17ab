package report

import (
	"io"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/sim/diagnose"
	"quietpump/sim/repair"
)

// sample is a report of everything a page can hold, its names to be chosen and
// its numbers made up.
func sample(name string) *Report {
	rig, err := network.New(named("Meadow coach", name),
		network.Tank{Name: named("fresh tank", name), Ports: []string{"tank out", "tank fill"}, Capacity: 40 * unit.USGallon},
		network.Pump{Name: named("pump", name), From: "tank out", To: "manifold", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Accumulator{Name: named("accumulator", name), At: "manifold", Volume: 0.75 * unit.Litre, Precharge: 27 * unit.PSI},
		network.Shutoff{Name: named("fill valve", name), From: "manifold", To: "tank fill", Shut: true},
		network.Fixture{Name: named("galley tap", name), At: "manifold"},
	)
	if err != nil {
		panic(err)
	}
	valve, pump, tap := named("fill valve", name), named("pump head valves", name), named("galley tap", name)
	seep := network.Seep{Part: valve, Seep: hydraulics.Seep{Ref: 55 * unit.MillilitrePerMinute, At: 45 * unit.PSI, Exp: 1}}
	note := repair.Note{Words: named("flush with full flow, then clean the seat: a seep is mostly debris", name), Source: "common practice, no source", Status: repair.CommonPractice}
	memory := repair.Note{Words: "leak tests of buildings hold the working pressure for 15 min", Source: "Uniform Plumbing Code 609.4", Status: repair.FromMemory}
	hold := &repair.HoldTest{Below: 5.5 * unit.MillilitrePerMinute, At: 45 * unit.PSI, Quiet: 41 * time.Minute, Share: 0.1, Notes: []repair.Note{memory},
		Steps: []repair.Step{
			{Words: "Heater off, and as cool as it gets: water that warms in it feeds a seep and hides it."},
			{Words: named("Stay within hearing for 41 min.", name), Cautions: []repair.Caution{repair.Overnight}},
		}}
	seconds := func(s float64) diagnose.Time { return diagnose.Time{Value: time.Duration(s * float64(time.Second))} }
	return &Report{
		Case: diagnose.Case{Rig: rig,
			Readings: []diagnose.Reading{
				{Lineup: network.Lineup{valve: network.Shut()}, When: time.Date(2026, 4, 11, 19, 30, 0, 0, time.UTC), Heater: diagnose.HeaterSettled,
					Rest: []diagnose.Time{seconds(95), seconds(97)}, Run: []diagnose.Time{seconds(1.9)},
					Cup: []unit.Uncertain[unit.Volume]{{Value: 3 * unit.FluidOunce}}},
				{Count: []diagnose.Count{{Starts: 6, Within: 9 * time.Hour}}, NoStart: 20 * time.Minute, Blip: true, NeverStops: time.Minute,
					Every: []diagnose.Time{seconds(1200)}, Heater: diagnose.HeaterCooling,
					Jug:       []diagnose.Jug{{Tap: tap, Volume: unit.USGallon, Time: seconds(48)}, {Volume: unit.Litre, Time: seconds(13)}},
					CutIn:     []unit.Uncertain[unit.Pressure]{{Value: 30 * unit.PSI}},
					CutOut:    []unit.Uncertain[unit.Pressure]{{Value: 45 * unit.PSI}},
					Precharge: []unit.Uncertain[unit.Pressure]{{Value: 27 * unit.PSI}},
					Gauge:     []diagnose.Gauge{{Joint: "manifold", At: time.Minute, Pressure: unit.Uncertain[unit.Pressure]{Value: 40 * unit.PSI}}},
					Level: []diagnose.Level{
						{Tank: named("fresh tank", name), By: diagnose.ByLamp, Lamp: 1. / 3}, {Tank: named("fresh tank", name), At: 9 * time.Hour, By: diagnose.ByLamp, Lamp: 2. / 3},
						{Tank: named("fresh tank", name), By: diagnose.BySpill, Spilling: diagnose.Yes, Spilt: unit.Uncertain[unit.Volume]{Value: unit.Cup}},
						{Tank: named("fresh tank", name), Height: unit.Uncertain[unit.Length]{Value: 100 * unit.Millimetre}},
					},
					Look: []diagnose.Look{
						{At: tap, For: diagnose.Drip, Saw: diagnose.No}, {At: valve, For: diagnose.Hiss, Saw: diagnose.Yes}, {At: named("belly pan", name)},
					}},
				{},
			},
			Done: []diagnose.Done{{Do: diagnose.DoSwap, Part: tap, Before: 2, After: diagnose.Same, Words: named("a new cartridge", name)}},
		},
		Belief: &diagnose.Belief{
			Size: diagnose.Size{Low: 45 * unit.MillilitrePerMinute, Mid: 55 * unit.MillilitrePerMinute, High: 68 * unit.MillilitrePerMinute, At: 37.5 * unit.PSI},
			Hypotheses: []diagnose.Hypothesis{
				{Name: valve, Kind: diagnose.OneSuspect, Suspects: []network.Suspect{{Role: network.FillValve}}, Belief: 0.66, Mid: 55 * unit.MillilitrePerMinute,
					Ends: []network.Destination{network.ToFreshTank}, Rest: 96 * time.Second, Run: 1900 * time.Millisecond, Faults: network.Faults{seep}},
				{Name: pump, Kind: diagnose.OneSuspect, Suspects: []network.Suspect{{Role: network.PumpHeadValves}}, Belief: 0.2, Mid: 55 * unit.MillilitrePerMinute, Rest: 95 * time.Second},
				{Name: "heater cooling", Kind: diagnose.Benign, Cause: diagnose.Cooling, Belief: 0.1},
				{Name: "none of these", Kind: diagnose.None, Belief: 0.035, Worst: named("95 s of quiet", name)},
				{Name: "nothing is wrong", Kind: diagnose.Healthy, Belief: 0.005},
			},
			Groups: []diagnose.Group{{Names: []string{valve, pump}, Belief: 0.86}},
			Next: []diagnose.Choice{
				{Do: diagnose.DoTest, Words: named("Shut the suction shutoff and watch for 6 min", name), Watch: 6 * time.Minute, Minutes: 9, Total: 74,
					Outcomes: []diagnose.Outcome{{Words: "no start", Chance: 0.3, Then: pump}, {Words: "starts as before", Chance: 0.7, Then: valve}},
					Cautions: []string{named("Pull the pump's fuse: with its suction shut it would run dry.", name)}},
				{Do: diagnose.DoLook, Words: "Look where the fill hose meets the tank", Minutes: 3},
			},
			Refused:   []diagnose.Refusal{{Words: named("Never run the pump with its suction shut", name)}, {Words: named("Never run the pump with its suction shut", name)}},
			Findings:  []diagnose.Finding{diagnose.LessStored},
			Assumed:   []diagnose.Assumed{{Assumption: network.Assumption{Part: named("pump", name), Field: "cut_in", Value: "30 psi", Source: "trade page, year not stated"}, Share: 0.4}},
			Otherwise: []string{"Were the fill valve half as likely to begin with, the next step would be to open the strainer"},
		},
		Waiting: &repair.Waiting{
			Water:  repair.Range[unit.Volume]{Low: 17 * unit.USGallon, Mid: 21 * unit.USGallon, High: 26 * unit.USGallon},
			Starts: repair.Range[float64]{Low: 700, Mid: 880, High: 1100}, HasCurrent: true,
			Charge: repair.Range[unit.Charge]{Low: unit.AmpereHour, Mid: 1.4 * unit.AmpereHour, High: 2 * unit.AmpereHour},
			Tanks: []repair.TankWait{
				{Tank: named("fresh tank", name), Kind: "tank", Empty: true, In: repair.Range[time.Duration]{Low: 20 * time.Hour, Mid: 26 * time.Hour, High: 30 * time.Hour}},
				{Tank: named("gray tank", name), Kind: "waste tank", In: repair.Range[time.Duration]{Low: 60 * time.Hour, Mid: 70 * time.Hour, High: 90 * time.Hour}},
			},
			Weight: repair.Range[unit.Mass]{Low: 60 * unit.Kilogram, Mid: 80 * unit.Kilogram, High: 98 * unit.Kilogram}, Pools: true, SwitchDays: 57, Notes: []repair.Note{note},
		},
		Cures: []repair.Cure{
			{Do: "flush at full flow", How: named("Let it run at full flow for a minute, then shut it fast.", name), Minutes: 5, Chance: 0.2, Notes: []repair.Note{note}},
			{Do: "add a check", How: "Set a check behind it.", Minutes: 45, Chance: 0.99, Warning: "The seep goes on behind it.", Cautions: []repair.Caution{repair.PullFuse, repair.NotUnder}},
		},
		Worksheet: &repair.Worksheet{
			Part: valve, Rings: 2, Spare: 1, Tube: []repair.NewTube{{For: "fill line", Size: "1/2 in", Material: "pex", Length: 5.875 * unit.Inch}}, Hold: hold, Notes: []repair.Note{note, memory},
			Steps: append([]repair.Step{
				{Words: named("Pump off.", name), Cautions: []repair.Caution{repair.PullFuse}},
				{Words: "Cut the line square 6 in behind the part.", Cautions: []repair.Caution{repair.PotableOnly}},
			}, hold.Steps...),
		},
		Hold: hold, Proof: &repair.Proof{Words: "15 min of quiet: what is left is less than 27 % of the seep it had.", Notes: []repair.Note{memory}},
		Suspects: chart.Figure{Bare: true, Picture: chart.Suspects{List: []chart.Suspect{
			{Name: valve, Shape: "fill valve", Belief: 0.66, Said: "about 7 in 10"}, {Name: pump, Shape: "pump", Belief: 0.2, Said: "about 2 in 10"}}}},
		Pictures: []Picture{chart.Figure{Bare: true, Picture: chart.Timeline{
			At: []float64{0, 95, 97, 192}, Pressure: []unit.Pressure{45 * unit.PSI, 30 * unit.PSI, 45 * unit.PSI, 30 * unit.PSI},
			Runs: []chart.Span{{From: 95, To: 97}}, Switch: chart.Switch{Starts: 30 * unit.PSI, Stops: 45 * unit.PSI}}}, nil},
	}
}

// named puts what is to be tried behind a name.
func named(name, more string) string {
	if more == "" {
		return name
	}
	return name + " " + more
}

// A brokenPicture cannot be drawn.
type brokenPicture struct{}

func (brokenPicture) Title(unit.System) string                       { return "broken" }
func (brokenPicture) Words(unit.System) string                       { return "broken" }
func (brokenPicture) SVG(w io.Writer, _ unit.System, _ string) error { return io.ErrUnexpectedEOF }
