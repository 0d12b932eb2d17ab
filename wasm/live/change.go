package live

import (
	"fmt"
	"maps"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// Turn sets the parts that a lineup names anew, from now on; the others stay. An error
// leaves all as it was, here as in Break, Fill, Press and Refit: a part that there is
// not or that does not stand so, or a state from which nothing can go on.
func (l *Live) Turn(set network.Lineup) error {
	if err := l.rig.CheckLineup(set); err != nil {
		return err
	}
	lineup := clone(l.lineup)
	maps.Copy(lineup, set)
	if l.stands(lineup) {
		l.lineup = lineup
		l.changed()
		return nil
	}
	return l.resume(l.model, lineup, l.faults, sim.Start{}, true)
}

// stands reports whether every part stands as in a lineup already, which is then no
// reason to begin anew.
func (l *Live) stands(lineup network.Lineup) bool {
	for _, p := range l.rig.Parts() {
		if l.lineup.Of(p) != lineup.Of(p) {
			return false
		}
	}
	return l.halted == ""
}

// Break puts other faults in place of those there are, from now on; with none the rig
// is mended.
func (l *Live) Break(faults network.Faults) error {
	if err := l.rig.CheckFaults(faults); err != nil {
		return err
	}
	return l.resume(l.model, l.lineup, append(network.Faults(nil), faults...), sim.Start{}, true)
}

// Fill makes a tank hold so much, from now on.
func (l *Live) Fill(tank string, v unit.Volume) error {
	return l.resume(l.model, l.lineup, l.faults, sim.Start{Tanks: map[string]unit.Volume{tank: v}}, true)
}

// Press makes the gauge read p from now on, as if so much water had been let out of
// its lines or pushed in. What the tanks hold and which pumps run stays.
func (l *Live) Press(p unit.Pressure) error {
	start := sim.Start{Tanks: map[string]unit.Volume{}, Pumps: map[string]bool{}, Pressures: map[string]unit.Pressure{l.gauge: p}}
	for _, part := range l.rig.Parts() {
		switch part.Kind() {
		case "tank":
			start.Tanks[part.ID()], _ = l.Sample().Water(part.ID())
		case "pump":
			start.Pumps[part.ID()] = l.Running(part.ID())
		}
	}
	return l.goOn(l.model, l.lineup, l.faults, start, true, func(o sim.Options) (*sim.Run, error) { return l.model.Begin(l.lineup, l.faults, o) })
}

// Refit goes on with another rig, such as the same with another accumulator. Its
// parts stand as those of the same names do.
func (l *Live) Refit(rig *network.Rig) error {
	m, err := sim.Compile(rig)
	if err != nil {
		return err
	}
	return l.resume(m, l.lineup, l.faults, sim.Start{}, true)
}

// resume goes on from the present in another way; where it cannot, all stays as it
// was. A change that a person made begins the account of cycles anew.
func (l *Live) resume(m *sim.Model, lineup network.Lineup, faults network.Faults, start sim.Start, person bool) error {
	return l.goOn(m, lineup, faults, start, person, func(o sim.Options) (*sim.Run, error) { return m.Resume(l.run, lineup, faults, o) })
}

// goOn puts the run that begins now in place of the one there is.
func (l *Live) goOn(m *sim.Model, lineup network.Lineup, faults network.Faults, start sim.Start, person bool, begin func(sim.Options) (*sim.Run, error)) error {
	o := l.opts
	o.Start, o.Schedule = start, nil
	now := l.run.Time()
	for _, c := range l.opts.Schedule {
		if at := c.At.Seconds() - l.base; at > now+1e-9 {
			c.At = time.Duration((at - now) * 1e9)
			o.Schedule = append(o.Schedule, c)
		}
	}
	next, err := begin(o)
	if err != nil {
		return err
	}
	if _, err := next.Now(); err != nil {
		next.Close()
		return err
	}
	old := l.run
	l.book()
	l.meter.rebase(l.moved())
	old.Close()
	if m != l.model {
		l.model, l.rig = m, m.Rig()
		l.watch()
	}
	l.gross.begin()
	l.base += now
	l.run, l.lineup, l.faults = next, lineup, faults
	l.steps, l.seen = 0, 0
	l.roll.settle() // what follows may jump
	l.take()
	if person {
		l.halted = ""
		l.changed()
	}
	if err := l.look(); err != nil {
		l.halt(err)
	}
	return nil
}

// changed begins the account of cycles anew.
func (l *Live) changed() { l.meter.begin(l.Time(), l.pump.Name != "" && l.run.Running(l.pump.Name)) }

// Steps and time after which the record is begun anew: a step is kept as some tens
// of numbers, and times near zero are told apart more finely.
const (
	stepsKept = 6000
	spanKept  = 6 * 3600
)

// restart begins the record anew where it has grown long.
func (l *Live) restart() {
	if l.halted != "" || l.steps < stepsKept && l.run.Time() < spanKept {
		return
	}
	if err := l.resume(l.model, l.lineup, l.faults, sim.Start{}, false); err != nil {
		l.halt(err)
	}
}

// halt stops the clock with the reason.
func (l *Live) halt(err error) {
	if l.halted == "" {
		l.halted = "The numbers cannot be followed from here: " + err.Error()
	}
}

// chatters says what a pump does that starts and stops without end.
func chatters(c *sim.Chatter) string {
	return fmt.Sprintf("The %s starts and stops %.0f times a second, which would wear it out: %s. Time stands still until you change something.", c.Part, c.Rate, c.Cause)
}
