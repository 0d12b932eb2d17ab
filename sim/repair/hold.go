package repair

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/cycle"
)

// A HoldTest is a quiet time that proves a repair: a pump that does not start for
// Quiet after a stop has a seep of less than Below.
type HoldTest struct {
	Below unit.Flow     // at 95 %
	At    unit.Pressure // across the seep, as the job's seep has it
	Quiet time.Duration // whole minutes
	// Storage is the water between cut-out and cut-in that the length goes by: the
	// upper end of its 95 % interval, for what stores more stays quiet longer.
	Storage unit.Volume
	Share   float64 // Below as a part of the seep that was
	// TooLong says that nobody stands by for so long: prove a larger size, or look.
	TooLong bool
	// Warming has for each heater the warming, K, whose growth of water alone would
	// feed a seep of Below for as long: the test is void where it warms at all.
	Warming map[string]float64
	Steps   []Step
	Notes   []Note
}

// A Proof is what a quiet time proves.
type Proof struct {
	Below unit.Flow // at 95 %, at the pressure of the job's seep
	At    unit.Pressure
	// Share is what is left of the seep at most, as a part of what it was. It goes
	// by the earlier rest over the quiet time, on the same rig, so what storage
	// holds is not in it; 1 and more proves nothing.
	Share float64
	Words string
	Notes []Note
}

// mostWatch is how long a person stands by: common practice, no source.
const mostWatch = 2 * time.Hour

// exponents are those that a seep could have left: hole, film, crack (see
// hydraulics.Seep).
var exponents = []float64{0.5, 1, 1.5}

// held has what quiet times go by. A store that empties through a seep of a fixed
// law does so in a time inverse to the seep's size, so size times rest is one
// number for a rig.
type held struct {
	product float64 // size × rest, m³: the largest over the exponents, at the upper end of storage
	own     float64 // size × rest of the job's own exponent and the model's storage, m³
	storage unit.Volume
}

// held simulates the rig with the seep and each exponent, at a size at which the
// pump starts within a day.
func (j Job) held() (held, error) {
	if _, err := j.rig(); err != nil {
		return held{}, err
	}
	var h held
	own := j.Seep.Exp
	if own == 0 {
		own = 0.5
	}
	for _, n := range append(slices.Clone(exponents), own) {
		q, c, err := j.starting(n)
		if err != nil {
			return h, err
		}
		product := float64(q) * c.Rest
		h.own = product // the last is its own
		storage := c.Stored
		if s := float64(j.HighDrawdown); s > 0 {
			product *= s / storage
			storage = s
		}
		h.product, h.storage = max(h.product, product), max(h.storage, unit.Volume(storage))
	}
	return h, nil
}

// starting finds a size of the seep at which the pump rests and runs.
func (j Job) starting(exponent float64) (unit.Flow, cycle.Cycle, error) {
	q, small, large := float64(j.Seep.Ref), 0.0, math.Inf(1) // too small to start it, too large to let it stop
	for range 12 {
		c, err := j.cycle(unit.Flow(q), exponent)
		switch {
		case err == nil:
			return unit.Flow(q), c, nil
		case errors.Is(err, cycle.ErrNoStart):
			small = q
			q *= 10
		case errors.Is(err, cycle.ErrNoStop):
			large = q
			q /= 10
		default:
			return 0, c, err
		}
		if small > 0 && large < math.Inf(1) {
			q = math.Sqrt(small * large)
		}
	}
	return 0, cycle.Cycle{}, ErrNoCycle
}

// at is the pressure at which the seep's size is stated.
func (j Job) at() unit.Pressure {
	if j.Seep.At == 0 {
		return 45 * unit.PSI
	}
	return j.Seep.At
}

// Hold works out the test that proves a seep of less than below. Its length uses
// the upper 95 % of storage and the exponent that stays quiet longest.
func (j Job) Hold(below unit.Flow) (*HoldTest, error) {
	if !(below > 0) || math.IsInf(float64(below), 1) {
		return nil, fmt.Errorf("repair: no quiet time proves a seep of less than %v; name a size above zero, such as a tenth of what it was", below)
	}
	h, err := j.held()
	if err != nil {
		return nil, err
	}
	t := &HoldTest{Below: below, At: j.at(), Storage: h.storage, Share: float64(below / j.Seep.Ref), Warming: map[string]float64{},
		Notes: []Note{noteTopUps, noteCreep, noteQuarter}}
	t.Quiet = lasting(60 * math.Ceil(h.product/float64(below)/60-1e-9))
	t.TooLong = t.Quiet > mostWatch
	for _, p := range j.Model.Rig().Parts() {
		if p, ok := p.(network.Heater); ok && p.Expansion >= 0 {
			growth := p.Expansion
			if growth == 0 {
				growth = hydraulics.WaterAt(j.cold()).Expansion - aluminium
			}
			t.Warming[p.Name] = float64(below) * t.Quiet.Seconds() / (float64(p.Volume) * growth)
		}
	}
	if j.has("heater") {
		t.Notes = append(t.Notes, noteCooling)
	}
	t.Steps = j.holdSteps(t)
	return t, nil
}

// aluminium is the volumetric expansion of a heater's shell, 1/K: three times
// 23e-6, from memory; testdata/published/service.csv has 0.69e-4 for it.
const aluminium = 3 * 23e-6

// cold is the temperature at which the test is made.
func (j Job) cold() unit.Temperature { return unit.Celsius(20) }

// Proves says what a quiet time that was already seen proves, for a pump that did
// not start for so long after a stop.
func (j Job) Proves(quiet time.Duration) (*Proof, error) {
	if quiet <= 0 {
		return nil, fmt.Errorf("repair: a quiet time of %v proves nothing; say how long the pump was quiet after a stop", quiet)
	}
	h, err := j.held()
	if err != nil {
		return nil, err
	}
	p := &Proof{Below: unit.Flow(h.product / quiet.Seconds()), At: j.at(), Share: h.own / float64(j.Seep.Ref) / quiet.Seconds(), Notes: []Note{noteQuarter, noteCreep}}
	earlier := short(lasting(h.own / float64(j.Seep.Ref)))
	switch {
	case p.Share >= 1:
		p.Words = fmt.Sprintf("%s of quiet proves nothing yet: with the seep it had, the pump rested %s.", short(quiet), earlier)
	default:
		p.Words = fmt.Sprintf("%s of quiet after a cycle that rested %s: what is left is less than %.2g %% of the seep it had.", short(quiet), earlier, 100*p.Share)
	}
	if j.opensIndoors() {
		p.Words += " " + string(Overnight)
	}
	return p, nil
}

// opensIndoors says whether the seep's water could be showing indoors.
func (j Job) opensIndoors() bool {
	for _, e := range j.ends() {
		if e == network.ToBellyPan || e == network.ToAppliance {
			return true
		}
	}
	return false
}

// holdSteps tells the test.
func (j Job) holdSteps(t *HoldTest) []Step {
	var steps []Step
	add := func(words string, cautions ...Caution) { steps = append(steps, Step{Words: words, Cautions: cautions}) }
	rig := j.Model.Rig()
	heater, hookup, appliance := false, false, false
	for _, p := range rig.Parts() {
		switch p.Kind() {
		case "heater":
			heater = true
		case "hookup":
			hookup = true
		case "appliance":
			appliance = true
		}
	}
	if heater {
		add("Heater off, and as cool as it gets: water that warms in it feeds a seep and hides it, so warming voids the test. Cooling can only make it fail.")
	}
	if hookup {
		add("Hookup off: the hose holds the pressure up.")
	}
	if appliance {
		add("Appliances off: one that draws starts the pump.")
	}
	add("Shut every tap. Let the pump fill the lines; open a tap until it starts again two or three times over 10 to 30 minutes, for new tube gives way at first. That too can only make the test fail.")
	add("Open a tap until the pump starts, shut it, and see the pump stop. Start the clock at that stop and no other.")
	add(fmt.Sprintf("Stay within hearing for %s without a tap used. No start proves it; one start fails it, and its time says how large the seep is.", short(t.Quiet)), Overnight)
	if t.TooLong {
		add("That is longer than anybody stands by. Prove a larger size now, look for water with dry paper, and switch the pump off when you leave.")
	}
	return steps
}

// A Step is one thing to do, with the cautions that belong to it.
type Step struct {
	Words    string
	Cautions []Caution
}
