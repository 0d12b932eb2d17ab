// Package stage is what the demo's chapters stand on: a rig of the house, simulated
// live and seen, whose parts can be turned by hand, and which can be kept and taken back.
//
//	s, err := stage.New("nosuction")
//	s.Live.SetRate(20)
//	s.Advance(now, budget)
//	s.Draw(frame)
package stage

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/testdata/rigs"
	"quietpump/wasm/frame"
	"quietpump/wasm/live"
	"quietpump/wasm/scene"
)

// A Stage is a live system and its scene. New makes one; it is for one goroutine.
type Stage struct {
	Name  string       // of the rig, as links have it
	Live  *live.Live   // another one after Begin and Restore
	Scene *scene.Scene // of Live
	Shown scene.Shown  // what Draw has the scene show; the chapter's to set

	clock  time.Time
	events int // that have been told of
	told   string
}

// Rig is the rig of the house that has this name, such as "bypass"; the error is of a name
// that no rig has.
func Rig(name string) (*network.Rig, error) {
	data, err := rigs.Files.ReadFile(name + ".rig.toml")
	if err != nil {
		return nil, fmt.Errorf("stage: there is no rig %q in the house", name)
	}
	return rigfile.Parse(name, data)
}

// Linked is the rig of the house that a link names, or where it names none the one on the
// stage as the house has it, and its name.
func (s *Stage) Linked(name string) (string, *network.Rig, error) {
	if name == "" {
		name = s.Name
	}
	rig, err := Rig(name)
	return name, rig, err
}

// New begins with the rig of the house that has this name, its valves as its file has
// them and nothing wrong with it.
func New(name string) (*Stage, error) {
	s := &Stage{}
	rig, err := Rig(name)
	if err != nil {
		return nil, err
	}
	return s, s.begin(name, rig, nil, nil, sim.Start{})
}

// Begin puts a rig of the house in place of the present one, with what is wrong with
// it; where that cannot be, all stays as it was.
func (s *Stage) Begin(name string, faults network.Faults) error {
	rig, err := Rig(name)
	if err != nil {
		return err
	}
	return s.begin(name, rig, nil, faults, sim.Start{})
}

func (s *Stage) begin(name string, rig *network.Rig, lineup network.Lineup, faults network.Faults, start sim.Start) error {
	if err := errors.Join(rig.CheckLineup(lineup), rig.CheckFaults(faults)); err != nil {
		return err
	}
	l, err := live.New(rig, lineup, faults, sim.Options{Start: start})
	if err != nil {
		return err
	}
	if s.Scene == nil {
		s.Scene = scene.New(l)
	}
	s.Scene.Show(l)
	if s.Live != nil {
		l.SetRate(s.Live.Rate())
		s.Live.Close()
	}
	s.Name, s.Live, s.events, s.told = name, l, 0, ""
	return nil
}

// Touch takes what was done on the canvas. The crown and the paper it sees to
// itself; what was asked of a part or of the gauge it gives back and does not do.
func (s *Stage) Touch(p frame.Pointer) scene.Act {
	act := s.Scene.Touch(p)
	if act.Rate > 0 {
		s.Live.SetRate(act.Rate)
	}
	return act
}

// Advance goes on to the clock time now, and reports whether time goes on. Where frames
// come seldom there is more time for each, up to four times the budget: a machine that
// takes long to put a picture up can still keep the clock.
func (s *Stage) Advance(now time.Time, budget time.Duration) bool {
	const usual = time.Second / 60
	if since := now.Sub(s.clock); since > usual && budget > 0 {
		budget *= min(since/usual, 4)
	}
	s.clock = now
	return s.Live.Advance(now, budget)
}

// Draw puts the scene into the frame.
func (s *Stage) Draw(f *frame.Frame) { s.Scene.Draw(f, s.Shown) }

// Happened says in words which pump started or stopped last, for those who do not see
// it. Where the clock goes faster than a minute a second, so that it would say something
// all the time, it holds its tongue.
func (s *Stage) Happened(sys unit.System) string {
	list, next := s.Live.Events(s.events)
	s.events = next
	if s.Live.Rate() > 60 {
		s.told = ""
		return ""
	}
	starts, stops := s.Live.Switch()
	for _, e := range list {
		switch e.What {
		case sim.PumpStarts:
			s.told = fmt.Sprintf("The %s starts, at %s.", e.Part, sys.Format(starts, 2))
		case sim.PumpStops:
			s.told = fmt.Sprintf("The %s stops, at %s.", e.Part, sys.Format(stops, 2))
		}
	}
	return s.told
}

// Likeliest is the part by which water most likely slips back: a fill valve, in a rig
// without one a pump's head valves, and failing both whatever could seep; ok is false of a
// rig in which nothing could.
func Likeliest(rig *network.Rig) (s network.Suspect, ok bool) {
	for _, likely := range []func(s network.Suspect, kind string) bool{
		func(s network.Suspect, kind string) bool { return s.Role == network.FillValve && kind == "shutoff" },
		func(s network.Suspect, kind string) bool { return s.Role == network.PumpHeadValves && kind == "pump" },
		func(network.Suspect, string) bool { return true },
	} {
		for _, s := range rig.Suspects(nil) {
			p, ok := rig.Part(s.Seep.Part)
			if ok && likely(s, p.Kind()) {
				return s, true
			}
		}
	}
	return network.Suspect{}, false
}

// kept is a stage as it is kept.
type kept struct {
	Rig     string             `json:"rig"`
	Lineup  string             `json:"lineup,omitempty"`
	Faults  []string           `json:"faults,omitempty"`
	Rate    float64            `json:"rate"`            // simulated seconds a second
	Time    float64            `json:"time"`            // s since the beginning
	Tanks   map[string]float64 `json:"tanks,omitempty"` // m³
	Gauge   *float64           `json:"gauge,omitempty"` // Pa, where it stood
	Running []string           `json:"running,omitempty"`
	Account live.Account       `json:"account"`
	Charge  float64            `json:"charge"` // A·s
}

// Keep is the stage as JSON.
func (s *Stage) Keep() ([]byte, error) {
	l := s.Live
	// To whole seconds: a clock that goes on does not change what is kept each time.
	k := kept{Rig: s.Name, Lineup: l.Lineup().String(), Rate: l.Rate(), Time: math.Round(l.Time()), Tanks: map[string]float64{}, Account: l.Account()}
	for _, f := range l.Faults() {
		k.Faults = append(k.Faults, f.String())
	}
	for _, p := range l.Rig().Parts() {
		if v, ok := l.Sample().Water(p.ID()); ok && (p.Kind() == "tank" || p.Kind() == "waste tank") {
			k.Tanks[p.ID()] = float64(v)
		}
		if p.Kind() == "pump" && l.Running(p.ID()) {
			k.Running = append(k.Running, p.ID())
		}
	}
	if p, ok := l.Sample().Pressure(l.Gauge()); ok {
		k.Gauge = new(float64)
		*k.Gauge = math.Round(float64(p))
	}
	if q, ok := l.Charge(); ok {
		k.Charge = float64(q)
	}
	return json.Marshal(k)
}

// Restore takes back what Keep gave; where it cannot, all stays as it was. Refit makes
// the house's rig what the chapter had made of it, and may refuse; it is not nil.
func (s *Stage) Restore(data []byte, refit func(*network.Rig) (*network.Rig, error)) error {
	var k kept
	if err := json.Unmarshal(data, &k); err != nil {
		return err
	}
	rig, err := Rig(k.Rig)
	if err != nil {
		return err
	}
	if rig, err = refit(rig); err != nil {
		return err
	}
	var lineup network.Lineup
	if k.Lineup != "" {
		if lineup, err = rig.Lineup(k.Lineup); err != nil {
			return err
		}
	}
	var faults network.Faults
	for _, text := range k.Faults {
		f, err := rig.Fault(text)
		if err != nil {
			return err
		}
		faults = append(faults, f)
	}
	start := sim.Start{Tanks: map[string]unit.Volume{}, Pumps: map[string]bool{}}
	for name, v := range k.Tanks {
		start.Tanks[name] = unit.Volume(v)
	}
	for _, name := range k.Running {
		start.Pumps[name] = true
	}
	if k.Gauge != nil && s.Live != nil {
		if j := gaugeOf(rig); j != "" {
			start.Pressures = map[string]unit.Pressure{j: unit.Pressure(*k.Gauge)}
		}
	}
	if err := s.begin(k.Rig, rig, lineup, faults, start); err != nil {
		return err
	}
	s.Live.SetRate(k.Rate)
	s.Live.Carry(k.Time, k.Account, unit.Charge(k.Charge))
	return nil
}

// gaugeOf is the joint that the switch of the pump which starts first feels; empty
// where there is none.
func gaugeOf(rig *network.Rig) string {
	joint, starts := "", unit.Pressure(math.Inf(-1))
	for _, p := range rig.Parts() {
		if p, ok := p.(network.Pump); ok && p.CutIn > starts {
			joint, starts = p.Sense, p.CutIn
		}
	}
	return joint
}
