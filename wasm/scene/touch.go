package scene

import (
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/wasm/frame"
	"quietpump/wasm/live"
)

// An Act is what a hand did with the things in the picture. The zero Act is nothing.
type Act struct {
	Part   string          // that was touched; empty: none
	Set    network.Setting // how it would then stand
	Turned bool            // it is something a hand turns, and Set says how
	Rate   float64         // that the crown was set to, simulated seconds a second; 0: it was not
	Filled bool            // the water in Part, a tank, was moved
	Fill   float64         // to this share of what it can hold, 0 to 1
	Pulled bool            // Part is being pulled open or shut as Set says, and the hand still holds it
	Needle bool            // the gauge's needle was moved
	Press  unit.Pressure   // to this pressure
}

// A hand is what a finger holds.
type hand struct {
	holds held
	part  string
	x, y  float64 // where it was put down
	from  float64 // the rate, or the time at the pen, then
	moved bool
	step  int // of a part that is pulled, in pulls
}

type held int

const (
	nothing held = iota
	aPart
	theNeedle
	theCrown
	thePaper
)

// slip is how far a finger may slip that presses, px.
const slip = 10

// rates are those the crown clicks through, simulated seconds a second.
var rates = []float64{1, 10, 60, 200, 600}

// Touch takes what a finger or a mouse did and says what that asks for; it changes
// nothing but the paper, which it pulls. Before the first Draw it finds nothing.
func (s *Scene) Touch(p frame.Pointer) Act {
	pl, h := &s.places, &s.hand
	if s.plan == nil { // nothing has been shown that could be touched
		return Act{}
	}
	if p.Wheel != 0 {
		switch {
		case pl.crown.Holds(p.X, p.Y):
			return Act{Rate: bounded(s.live.Rate() * math.Pow(2, p.Wheel))}
		case pl.paper.Holds(p.X, p.Y):
			s.pull(s.at(), p.Wheel*60*s.roll.perPx)
		}
		return Act{}
	}
	if p.Down {
		*h = hand{x: p.X, y: p.Y, step: -1}
		switch {
		case pl.crown.Holds(p.X, p.Y):
			h.holds, h.from = theCrown, s.live.Rate()
		case pl.paper.Holds(p.X, p.Y):
			h.holds, h.from = thePaper, s.at()
		case s.overDial(p.X, p.Y) && !pl.pump.Holds(p.X, p.Y):
			h.holds = theNeedle
		default:
			if part, ok := s.plan.Find(across(pl.drawing, p.X), p.Y, pl.drawing); ok && pl.drawing.Inset(-8).Holds(p.X, p.Y) {
				h.holds, h.part = aPart, part
			}
		}
		return Act{}
	}
	if h.holds == nothing {
		return Act{}
	}
	if p.Up && p.X < 0 && p.Y < 0 { // taken away by the browser
		*h = hand{}
		return Act{}
	}
	if math.Hypot(p.X-h.x, p.Y-h.y) > slip {
		h.moved = true
	}
	var act Act
	switch {
	case h.holds == theCrown && h.moved:
		// Up or to the right is faster, the whole range within a hand's breadth.
		act.Rate = bounded(h.from * math.Pow(live.Fastest, ((h.y-p.Y)+(p.X-h.x))/140))
	case h.holds == theCrown && p.Up:
		act.Rate = rates[0]
		for _, r := range rates {
			if r > s.live.Rate()*1.01 {
				act.Rate = r
				break
			}
		}
	case h.holds == thePaper && h.moved:
		s.pull(h.from, (p.X-h.x)*s.roll.perPx)
	case h.holds == thePaper && p.Up:
		s.roll.end = math.NaN() // a touch lets it go
	case h.holds == theNeedle && h.moved:
		at, _, _ := s.plan.Dial(pl.drawing)
		act = Act{Needle: true, Press: s.plan.Needle(p.X-across(pl.drawing, at.X), p.Y-at.Y)}
	case h.holds == aPart && h.moved:
		act = s.pulled(p)
	case h.holds == aPart && p.Up:
		act.Part = h.part
		act.Set, act.Turned = Turn(s.rig, s.live.Lineup(), h.part)
	}
	if p.Up {
		*h = hand{}
	}
	return act
}

// overDial reports whether a finger is on the gauge.
func (s *Scene) overDial(x, y float64) bool {
	at, r, ok := s.plan.Dial(s.places.drawing)
	return ok && math.Hypot(x-across(s.places.drawing, at.X), y-at.Y) <= math.Max(r, 22)
}

// A pull is how far a hand goes from shut to open, px, and in how many steps.
const (
	pull  = 64
	pulls = 8
)

// pulled moves the float of a tank with the finger, and opens what opens by hand as
// far as the finger goes up from where it was put down.
func (s *Scene) pulled(p frame.Pointer) Act {
	h := &s.hand
	at, ok := s.plan.Where(h.part, s.places.drawing)
	if !ok {
		return Act{}
	}
	switch part := s.part(h.part).(type) {
	case network.Tank:
		return Act{Part: part.Name, Filled: true, Fill: math.Min(math.Max((at.Y1-p.Y)/(at.Y1-at.Y0), 0), 1)}
	case network.Fixture, network.Shutoff, network.Drain:
		stands := s.live.Lineup().Of(part).Opening()
		if h.step < 0 { // the first step: from how it stood
			h.from = stands
		}
		step := int(math.Round(pulls * math.Min(math.Max(h.from+(h.y-p.Y)/pull, 0), 1)))
		if step == h.step || h.step < 0 && step == int(math.Round(pulls*h.from)) {
			return Act{}
		}
		h.step = step
		to := network.Shut()
		if step > 0 {
			to = network.Open(float64(step) / pulls)
		}
		return Act{Part: h.part, Set: to, Turned: true, Pulled: true}
	}
	return Act{}
}

func (s *Scene) part(name string) network.Part {
	p, _ := s.rig.Part(name)
	return p
}

func bounded(rate float64) float64 { return math.Min(math.Max(rate, live.Slowest), live.Fastest) }

// at is the time at the pen.
func (s *Scene) at() float64 { _, to := s.span(); return to }

// pull moves the paper so that it shows what was earlier; pulled all the way back it
// runs again.
func (s *Scene) pull(from, earlier float64) {
	r := s.live.Roll()
	s.roll.end = math.Max(from-earlier, r.Begins())
	if s.roll.end >= r.Ends()-2*s.roll.perPx {
		s.roll.end = math.NaN()
	}
}

// Back pulls the paper by so many of its lengths, for those who use no pointer;
// negative brings it forward.
func (s *Scene) Back(lengths float64) { s.pull(s.at(), lengths*s.places.paper.Wide()*s.roll.perPx) }

// Pulled reports whether the reader looks at what was earlier.
func (s *Scene) Pulled() bool { return !math.IsNaN(s.roll.end) }

// Turn is how a part would stand once a hand had turned it: what is open is shut,
// what is on is off, a selector goes to its next position; ok is false of what no hand
// turns, and of a part there is not.
func Turn(rig *network.Rig, lineup network.Lineup, part string) (to network.Setting, ok bool) {
	p, known := rig.Part(part)
	if !known {
		return to, false
	}
	stands := lineup.Of(p)
	switch p := p.(type) {
	case network.Shutoff, network.Fixture, network.Drain, network.Appliance, network.Mixer:
		if stands.Opening() > 0 {
			return network.Shut(), true
		}
		return network.Open(1), true
	case network.Pump, network.Hookup:
		if stands == network.On() {
			return network.Off(), true
		}
		return network.On(), true
	case network.Selector:
		for i, q := range p.Positions {
			if q.Name == stands.Word() {
				return network.At(p.Positions[(i+1)%len(p.Positions)].Name), true
			}
		}
	}
	return to, false
}
