package repair

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// A Worksheet is the swap of one part on one rig.
type Worksheet struct {
	Part string // that is taken out; of a weeping connection a tube at it
	// Close is how to set the valves nearest to it, Closing in which order. Parted
	// says whether that keeps all water away; where not, tanks run out too.
	Close   network.Lineup
	Closing []string
	Parted  bool
	Relieve []Relief // where to let the pressure out, in order
	// Openings say how much water runs out where, the lowest first, with a tap open
	// above so that air gets in: an upper bound.
	Openings    []network.RunOut
	Connections []Connection
	Rings       int         // in all
	Spare       int         // rings to have beside those: a crimp that is too tight is cut out
	Tube        []NewTube   // to cut
	Doses       []Dose      // for the tank, by strength of bleach
	Dosed       unit.Volume // water that is dosed: the fresh tanks, full
	// Hold proves that less than a tenth of the seep is left; nil where no seep
	// makes the pump rest and run as the rig is used.
	Hold  *HoldTest
	Steps []Step // all of it, in order
	Notes []Note
}

// A Relief is a tap or drain to open, and the water that comes out as the
// pressure goes.
type Relief struct {
	Open  string
	Hot   bool
	Water unit.Volume
}

// A Connection is one end of the part.
type Connection struct {
	Joint    string
	To       string // tube or part that it joins
	Size     string // of the tube, such as "1/2 in"; empty where it is screwed to a part
	Material string
	Rings    int
	Bench    int  // rings of those to be squeezed on the bench
	Stub     bool // a new piece of tube and a coupling go between
	Last     bool // it is made last
	Tools    string
}

// A NewTube is a piece to cut.
type NewTube struct {
	For      string // the old tube
	Size     string
	Material string
	Length   unit.Length
	Whole    bool // it replaces the old tube; else it is a stub behind a coupling
}

// Lengths of the work: common practice, no source.
const (
	cutBack  = 1 * unit.Inch     // ring and crimped end that are cut off and never used again
	stub     = 6 * unit.Inch     // new piece behind a coupling, so that the tool reaches
	coupling = 0.125 * unit.Inch // its shoulder, between the two tube ends
	shortest = 18 * unit.Inch    // a tube below this is replaced whole
	relieved = 0.5 * unit.PSI    // pressure above the water's own that counts as none
	gravity  = 9.80665           // m/s²
)

// slackPerFoot is the slack that tube is laid with: noteSlack.
const slackPerFoot = 0.125 * unit.Inch

// Worksheet plans the swap of the part at fault, from the rig: what to close and
// relieve, by simulation; what runs out where, by elevation; what to cut and squeeze, by the tubes
// at its ends. The error says what the rig does not have.
func (j Job) Worksheet(ctx context.Context) (*Worksheet, error) {
	rig, err := j.rig()
	if err != nil {
		return nil, err
	}
	name, err := j.takenOut(rig)
	if err != nil {
		return nil, err
	}
	w := &Worksheet{Part: name, Notes: []Note{noteCut, noteRingOff, noteReuse, noteRingAt, noteGauge, noteSlack, noteRework}}
	w.Close, w.Parted = rig.Isolators(name)
	w.Closing = closing(rig, w.Close)
	part, _ := rig.Part(name)
	if w.Relieve, err = j.relieve(ctx, rig, part); err != nil {
		return nil, err
	}
	w.Openings = rig.RunsOut(w.standing(j.Lineup), name, j.Sim.Start.Tanks)
	j.connect(rig, part, w)
	for _, p := range rig.Parts() {
		if t, ok := p.(network.Tank); ok {
			w.Dosed += t.Capacity
		}
	}
	if w.Dosed > 0 {
		for _, strength := range []float64{0.0525, 0.06, 0.0825} {
			d, err := Sanitise(w.Dosed, 50, strength)
			if err != nil {
				return nil, err
			}
			w.Doses = append(w.Doses, d)
		}
		w.Notes = append(w.Notes, noteBleach, noteDose, noteDoseCode, notePlain, noteOldBleach, noteCartridge, noteHeaterDose, noteFlushOut)
	}
	switch part.Kind() {
	case "vacuum breaker":
		w.Notes = append(w.Notes, noteBreaker)
	case "relief valve":
		w.Notes = append(w.Notes, noteReliefDrip, noteNoPlug)
	}
	if j.has("heater") {
		w.Notes = append(w.Notes, noteBurn)
	}
	switch w.Hold, err = j.Hold(j.Seep.Ref / 10); {
	case errors.Is(err, ErrNoCycle):
	case err != nil:
		return nil, err
	default:
		w.Notes = append(w.Notes, w.Hold.Notes...)
	}
	w.Steps = j.steps(rig, w)
	return w, nil
}

// takenOut is the part that is taken out: the seep's own, or a tube at the
// connection that weeps.
func (j Job) takenOut(rig *network.Rig) (string, error) {
	if p, ok := rig.Part(j.Seep.Part); ok {
		if k := p.Kind(); k == "tank" || k == "waste tank" {
			return "", fmt.Errorf("repair: %q is a tank; a worksheet swaps a part at the lines", p.ID())
		}
		return p.ID(), nil
	}
	for _, p := range rig.Parts() {
		if slices.Contains(p.Joints(), j.Seep.Part) && p.Kind() == "tube" {
			return p.ID(), nil
		}
	}
	for _, p := range rig.Parts() {
		if k := p.Kind(); slices.Contains(p.Joints(), j.Seep.Part) && k != "tank" {
			return p.ID(), nil
		}
	}
	return "", fmt.Errorf("repair: no part to take out at %q", j.Seep.Part)
}

func (j Job) has(kind string) bool {
	return slices.ContainsFunc(j.Model.Rig().Parts(), func(p network.Part) bool { return p.Kind() == kind })
}

// closing is the order in which valves are set: the sources first, so that
// nothing is shut in under pressure.
func closing(rig *network.Rig, set network.Lineup) []string {
	var names []string
	for name := range set {
		names = append(names, name)
	}
	rank := func(name string) int {
		p, _ := rig.Part(name)
		return slices.Index([]string{"hookup", "selector", "mixer", "shutoff"}, p.Kind())
	}
	slices.SortFunc(names, func(a, b string) int { return cmp.Or(cmp.Compare(rank(a), rank(b)), strings.Compare(a, b)) })
	return names
}

// standing is how the rig stands for the work: pumps off, hookups off, the valves
// at the part closed.
func (w *Worksheet) standing(l network.Lineup) network.Lineup {
	out := network.Lineup{}
	for name, s := range l {
		out[name] = s
	}
	for name, s := range w.Close {
		out[name] = s
	}
	for _, r := range w.Relieve {
		out[r.Open] = network.Open(1)
	}
	return out
}

// relieve finds the taps, drains last, that let the pressure out at every joint
// of the part: a hot tap first where there is a heater, then whatever lowers what
// is left, by simulating each.
func (j Job) relieve(ctx context.Context, rig *network.Rig, part network.Part) ([]Relief, error) {
	lineup := network.Lineup{}
	for name, s := range j.Lineup {
		lineup[name] = s
	}
	top := unit.Length(math.Inf(-1))
	for _, joint := range rig.Joints() {
		top = max(top, joint.Z)
	}
	for _, p := range rig.Parts() {
		switch p.Kind() {
		case "pump", "hookup":
			lineup[p.ID()] = network.Off()
		}
	}
	var list []Relief
	taps := taps(rig, lineup)
	open := func(i int) {
		lineup[taps[i].name] = network.Open(1)
		list = append(list, Relief{Open: taps[i].name, Hot: taps[i].hot})
		taps = slices.Delete(taps, i, i+1)
	}
	taps = slices.DeleteFunc(taps, func(t tap) bool { return t.name == part.ID() })
	if i := slices.IndexFunc(taps, func(t tap) bool { return t.hot }); i >= 0 {
		open(i)
	}
	for {
		left, rec, err := j.left(ctx, rig, part, lineup, top)
		if err != nil {
			return nil, err
		}
		for i := range list {
			list[i].Water = unit.Volume(max(0, rec.Ledger.Parts[list[i].Open]))
		}
		if left <= relieved || len(taps) == 0 {
			return list, nil
		}
		best, least := -1, left-relieved/2
		for i, t := range taps {
			lineup[t.name] = network.Open(1)
			with, _, err := j.left(ctx, rig, part, lineup, top)
			delete(lineup, t.name)
			if err != nil {
				return nil, err
			}
			if with < least {
				best, least = i, with
			}
		}
		if best < 0 {
			return list, nil
		}
		open(best)
	}
}

// left is the highest pressure at the part's joints, above what water standing to
// the top of the rig makes, a minute after.
func (j Job) left(ctx context.Context, rig *network.Rig, part network.Part, lineup network.Lineup, top unit.Length) (unit.Pressure, *sim.Record, error) {
	opts := j.Sim
	opts.Until, opts.Samples, opts.Schedule = time.Minute, []time.Duration{time.Minute}, nil
	rec, err := j.Model.Simulate(ctx, lineup, nil, opts)
	if err != nil {
		return 0, nil, err
	}
	worst := unit.Pressure(math.Inf(-1))
	for _, s := range rec.Samples {
		for _, name := range part.Joints() {
			joint, _ := rig.Joint(name)
			if p, ok := s.Pressure(name); ok {
				worst = max(worst, p-unit.Pressure(float64(waterOf(j.Sim))*gravity*float64(top-joint.Z)))
			}
		}
	}
	return worst, rec, nil
}

// A tap is an opening that lets pressure out.
type tap struct {
	name string
	hot  bool
	rank int
}

// taps lists taps, then drains, then toilets; hot ones are those in the section of
// a heater.
func taps(rig *network.Rig, lineup network.Lineup) []tap {
	hot := map[string]bool{}
	for _, s := range rig.Sections(lineup) {
		heated := slices.ContainsFunc(s.Parts, func(name string) bool {
			p, _ := rig.Part(name)
			return p.Kind() == "heater"
		})
		cold := len(s.Pumps) > 0 || len(s.Hookups) > 0 // all one section, heater and pump: every tap will do
		for _, name := range s.Parts {
			hot[name] = heated && (!cold || strings.Contains(strings.ToLower(name), "hot"))
		}
	}
	var list []tap
	for _, p := range rig.Parts() {
		switch q := p.(type) {
		case network.Fixture:
			t := tap{name: q.Name, hot: hot[q.Name]}
			if q.Toilet {
				t.rank = 2
			}
			list = append(list, t)
		case network.Drain:
			list = append(list, tap{name: q.Name, rank: 1})
		}
	}
	slices.SortStableFunc(list, func(a, b tap) int { return cmp.Compare(a.rank, b.rank) })
	return list
}

// connect plans the ends of the part.
func (j Job) connect(rig *network.Rig, part network.Part, w *Worksheet) {
	most := unit.Length(0)
	last, soonest := -1, time.Duration(math.MaxInt64)
	for _, joint := range part.Joints() {
		var at []network.Part // what the part is joined to there, tubes first
		for _, p := range rig.Parts() {
			if p.ID() != part.ID() && slices.Contains(p.Joints(), joint) {
				at = append(at, p)
			}
		}
		slices.SortStableFunc(at, func(a, b network.Part) int {
			tube := func(p network.Part) int {
				if p.Kind() == "tube" {
					return 0
				}
				return 1
			}
			return cmp.Compare(tube(a), tube(b))
		})
		if len(at) == 0 {
			continue
		}
		if t, ok := part.(network.Tube); ok { // a tube is taken out whole: both its ends
			c := Connection{Joint: joint, To: at[0].ID(), Size: t.Size, Material: t.Material}
			c.crimp(false)
			w.Connections = append(w.Connections, c)
		} else if t, ok := at[0].(network.Tube); ok {
			c := Connection{Joint: joint, To: t.Name, Size: t.Size, Material: t.Material}
			slack := slackPerFoot * unit.Length(t.Length.Feet())
			c.Stub = t.Material == "pex" && slack < cutBack
			c.crimp(t.Length < shortest)
			if c.Stub {
				n := NewTube{For: t.Name, Size: t.Size, Material: t.Material, Length: stub - coupling}
				if t.Length < shortest {
					n.Length, n.Whole = t.Length, true
				}
				w.Tube = append(w.Tube, n)
			}
			w.Connections = append(w.Connections, c)
			most = max(most, t.Length)
		} else {
			w.Connections = append(w.Connections, Connection{Joint: joint, To: at[0].ID(), Tools: "screwed: hold the part against the wrench, new washer or tape"})
		}
	}
	if t, ok := part.(network.Tube); ok && t.Material == "pex" {
		w.Tube = append(w.Tube, NewTube{For: t.Name, Size: t.Size, Material: t.Material, Length: t.Length, Whole: true})
	}
	for i, c := range w.Connections {
		w.Rings += c.Rings
		reach, told := j.Reach[c.Joint]
		if !told {
			reach = j.Reach[c.To]
		}
		if c.Rings > c.Bench && (last < 0 || reach < soonest) {
			last, soonest = i, reach
		}
	}
	if last >= 0 {
		w.Connections[last].Last = true
	}
	if w.Rings > 0 {
		w.Spare = 1 + w.Rings/4
	}
}

// crimp counts the rings of a connection, and those that the bench takes.
func (c *Connection) crimp(whole bool) {
	switch c.Material {
	case "pex":
		c.Rings, c.Tools = 1, "cutter, crimp tool, GO/NO-GO gauge"
		if c.Stub {
			// The part's end of the new piece is made on the bench, and the coupling's; what
			// joins the old line, or of a whole new tube the far end, is made in place.
			c.Rings, c.Bench = 3, 2
			if whole {
				c.Rings, c.Bench = 2, 1
			}
		}
	case "hose":
		c.Tools = "screwdriver, new hose clamp"
	default:
		c.Tools = "copper: for a licensed or certified technician"
	}
}
