// Package scene composes a live water system into a frame: the drawing, and below
// it the instrument that stands at its pump. A thin line goes from the pump to a
// housing, in which a pen slides up and down with the pressure and writes it on a
// paper roll that runs away from it: what is newest is at the pump. A pocket watch
// keeps the simulated time, and its crown sets how fast that goes. Figures say
// where the water went.
//
//	s := scene.New(l) // l is a *live.Live
//	s.Draw(f, scene.Shown{Faults: l.Faults()})
//	act := s.Touch(pointer)      // a lever turned, the crown, …
//
// It draws and finds what was touched; what a touch does is for the chapter to
// decide.
package scene

import (
	"math"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/drawing"
	"quietpump/wasm/frame"
	"quietpump/wasm/live"
)

// A Scene is what is seen of one live water system. It is for one goroutine.
type Scene struct {
	live    *live.Live
	plan    *drawing.Plan
	rig     *network.Rig // that the plan is of
	places  places
	drawn   drawn
	view    drawing.View
	roll    roll
	hand    hand
	figures account
	points  arena
}

// Shown is what a chapter wants seen beyond what the system itself tells. The zero
// Shown is nothing more.
type Shown struct {
	Faults network.Faults // marked in the drawing; none: nothing is given away
	Picked string         // a part with a ring of ink
	Names  []string       // parts that are named first where there is room for few
	Secret bool           // how much gets away is not told
	Off    bool           // time stands still, and something else is to stand where pen and paper do
}

// drawn is what the part of the picture that stands still was drawn from.
type drawn struct {
	paper, free frame.Box
	look        frame.Look
	rig         *network.Rig
	picked      string
	names       string
	stands      string
	faults      string
	off         bool
}

// New is the scene of a live system. It is laid out when it is first drawn.
func New(l *live.Live) *Scene { return &Scene{live: l, roll: roll{end: math.NaN()}} }

// Show puts another live system in place of the one there is.
func (s *Scene) Show(l *live.Live) {
	if s.live != l {
		s.live, s.roll, s.hand, s.figures = l, roll{end: math.NaN()}, hand{}, account{}
	}
}

// laid reports whether there is a plan of the rig as it is now; it makes one where
// there is none. A rig that was let be simulated has parts to be drawn.
func (s *Scene) laid() bool {
	rig := s.live.Rig()
	if s.plan != nil && (rig == s.rig || s.plan.Again(rig)) {
		s.rig = rig
		return true
	}
	plan, err := drawing.Lay(rig)
	if err != nil {
		return false
	}
	s.plan, s.rig = plan, rig
	return true
}

// Draw puts the scene into the part of the frame that is free: what stands still where
// it has changed, what moves always. A part less than a pixel wide or high shows nothing.
func (s *Scene) Draw(f *frame.Frame, o Shown) {
	if f.Free.Wide() < 1 || f.Free.High() < 1 || !s.laid() {
		return
	}
	s.points.reset()
	s.see(o)
	now := drawn{f.Paper, f.Free, f.Look, s.rig, o.Picked, join(o.Names), s.live.Lineup().String(), texts(o.Faults), o.Off}
	if now != s.drawn {
		s.places = s.arrange(f.Free)
		s.drawn, f.Changed = now, true
		f.Still.Marks = f.Still.Marks[:0]
		f.Still.Title, f.Still.Words = "A water system from the side", s.words(f.Look.Units)
		s.still(&f.Still, f.Look, o.Off)
	}
	s.moving(&f.Moving, f.Look, f.Now, o)
}

// see takes the state that the drawing is to show.
func (s *Scene) see(o Shown) {
	l := s.live
	s.view.Sample, s.view.Lineup, s.view.Faults = l.Sample(), l.Lineup(), o.Faults
	s.view.Picked, s.view.Show, s.view.Secret = o.Picked, o.Names, o.Secret
	if s.view.Running == nil {
		s.view.Running = map[string]bool{}
	}
	for _, p := range s.rig.Parts() {
		if p.Kind() == "pump" {
			s.view.Running[p.ID()] = l.Running(p.ID())
		}
	}
}

func (s *Scene) still(d *chart.Drawing, look frame.Look, off bool) {
	if !off && !s.places.bare {
		s.housing(d)
	}
	n := len(d.Marks)
	s.plan.Still(d, s.places.drawing, look, s.view)
	turn(s.plan, s.places.drawing, d.Marks[n:], func(n int) []chart.Point { return make([]chart.Point, 0, n) })
	if s.places.bare {
		return
	}
	if !off {
		s.paper(d)
	}
	s.block(d)
	s.watchFace(d)
}

func (s *Scene) moving(d *chart.Drawing, look frame.Look, now time.Time, o Shown) {
	n := len(d.Marks)
	s.plan.Moving(d, s.places.drawing, look, now, s.view)
	turn(s.plan, s.places.drawing, d.Marks[n:], s.points.lend)
	if s.places.bare {
		return
	}
	if !o.Off {
		s.trace(d, look, now)
	}
	s.hands(d, look.Calm)
	s.written(d, look, now, o)
}

// Strip is the place of the paper and the pen, as it was drawn last.
func (s *Scene) Strip() frame.Box {
	return frame.Box{X0: s.places.paper.X0 - 13, Y0: s.places.pen.Y0, X1: s.places.pen.X1, Y1: s.places.pen.Y1}
}

// words tell the picture to those who do not see it.
func (s *Scene) words(sys unit.System) string {
	l := s.live
	pump, has := l.Pump()
	words := "The " + s.rig.Name() + "."
	if p, ok := l.Sample().Pressure(l.Gauge()); ok {
		words += " The pressure is " + sys.Format(round(p), 2) + "."
	}
	if has {
		starts, stops := l.Switch()
		state := "rests"
		if l.Running(pump.Name) {
			state = "runs"
		}
		words += " The " + pump.Name + " " + state + "; it starts at " + sys.Format(starts, 2) + " and stops at " + sys.Format(stops, 2) + "."
	}
	return words
}

// round takes away what a needle could not show.
func round(p unit.Pressure) unit.Pressure {
	return unit.Pressure(math.Round(float64(p)/500) * 500)
}

func texts(list network.Faults) string {
	all := ""
	for _, f := range list {
		all += f.String() + "\n"
	}
	return all
}

func join(list []string) string {
	all := ""
	for _, n := range list {
		all += n + "\n"
	}
	return all
}
