package find

import (
	"fmt"
	"math"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/wasm/scene"
)

// notes are what the reader has written down, as a job card would have it.
type notes struct {
	Readings []reading `json:"readings,omitempty"`
	Taps     []float64 `json:"taps,omitempty"` // of the watch that is going on, simulated s
	From     float64   `json:"from"`           // when it began
	Rate     float64   `json:"rate"`           // the fastest the clock went meanwhile
}

// A reading is a watch that has ended, of one kind. Times are in simulated seconds.
type reading struct {
	Lineup string    `json:"lineup,omitempty"` // as the rig reads it
	Every  []float64 `json:"every,omitempty"`  // from start to start
	Rate   float64   `json:"rate,omitempty"`   // of the clock
	Quiet  float64   `json:"quiet,omitempty"`  // no start in so long
	Cup    float64   `json:"cup,omitempty"`    // m³
	Look   string    `json:"look,omitempty"`   // where a drip was looked for
	Wet    bool      `json:"wet,omitempty"`    // and seen
}

// begin begins another watch.
func (n *notes) begin(t, rate float64) { n.Taps, n.From, n.Rate = nil, t, rate }

// tap notes a start of the pump at time t.
func (n *notes) tap(t float64) { n.Taps = append(n.Taps, t) }

// watched is what the taps of this watch come to.
func (n *notes) watched() []float64 {
	var every []float64
	for i := 1; i < len(n.Taps); i++ {
		every = append(every, n.Taps[i]-n.Taps[i-1])
	}
	return every
}

// end ends the watch and keeps what it came to.
func (n *notes) end(lineup network.Lineup, t, rate float64) {
	if every := n.watched(); len(every) > 0 {
		n.Readings = append(n.Readings, reading{Lineup: lineup.String(), Every: every, Rate: n.Rate})
	}
	n.begin(t, rate)
}

// press is how far a press is off, one standard deviation in real seconds.
const press = diagnose.Press

// on are the readings as a case has them.
func (n *notes) on(rig *network.Rig, lineup network.Lineup) ([]diagnose.Reading, error) {
	list := n.Readings
	if every := n.watched(); len(every) > 0 { // of the watch that goes on
		list = append(list[:len(list):len(list)], reading{Lineup: lineup.String(), Every: every, Rate: n.Rate})
	}
	var all []diagnose.Reading
	for _, r := range list {
		var d diagnose.Reading
		if r.Lineup != "" {
			var err error
			if d.Lineup, err = rig.Lineup(r.Lineup); err != nil {
				return nil, err
			}
		}
		for _, x := range r.Every {
			d.Every = append(d.Every, diagnose.Time{Value: seconds(x), SD: seconds(press * math.Sqrt2 * math.Max(r.Rate, 1))})
		}
		if r.Quiet > 0 {
			d.NoStart, d.Began = seconds(r.Quiet), diagnose.Anytime
		}
		if r.Cup > 0 {
			d.Cup = []unit.Uncertain[unit.Volume]{{Value: unit.Volume(r.Cup)}}
		}
		if r.Look != "" {
			d.Look = []diagnose.Look{{At: r.Look, For: diagnose.Drip, Saw: saw(r.Wet)}}
		}
		all = append(all, d)
	}
	return all, nil
}

func saw(it bool) diagnose.Told {
	if it {
		return diagnose.Yes
	}
	return diagnose.No
}

func seconds(x float64) time.Duration { return time.Duration(x * float64(time.Second)) }

// words say what a reading is.
func (r reading) words(sys unit.System) string {
	where := "As it was found"
	if r.Lineup != "" {
		where = "With " + r.Lineup
	}
	switch {
	case r.Look != "" && r.Wet:
		return "There is a drip at the " + r.Look + "."
	case r.Look != "":
		return "No drip at the " + r.Look + "."
	case r.Quiet > 0:
		return fmt.Sprintf("%s: no start in %s.", where, scene.Span(r.Quiet))
	case r.Cup > 0:
		return fmt.Sprintf("%s: %s drawn until the pump started.", where, sys.Format(unit.Volume(r.Cup), 2))
	}
	text := ""
	for i, x := range r.Every {
		if i > 0 {
			text += ", "
		}
		text += scene.Span(x)
	}
	return fmt.Sprintf("%s: from start to start %s.", where, text)
}
