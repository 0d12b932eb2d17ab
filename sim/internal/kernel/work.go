package kernel

import (
	"math"
	"slices"
)

// plansKept is how many plans a workspace keeps, least recently used out.
const plansKept = 64

// Effort counts what a simulation cost. It does not depend on what was cached.
type Effort struct {
	Steps          int // steps taken, refused ones and those that located an event included
	Refused        int // steps refused for their error or for want of convergence
	Glides         int // steps taken by a tangent
	Newton         int // Newton iterations
	Restarts       int // solves that did not end within the cap and were begun again from a common start
	Factorisations int
	Events         int // instants at which something changed
	Plans          int // modes entered
}

// Layers are ways of going faster that change no answer, each above the one before.
type Layers uint8

// The speed layers.
const (
	Following Layers = 1 << iota // steps follow how their mode went the time before (trail.go)
	Gliding                      // a step that repeats one is taken by its tangent (tangent.go)
	_                            // leaps, which are above the kernel
	Keeping                      // a step's first factor serves for what is left of it (kept.go)
)

// Tolerances of a simulation.
type Tolerances struct {
	Volume float64 // error of a step, as a share of what the stores give up over 100 kPa
	Head   float64 // error of a step in any store, Pa
	Felt   float64 // error of a step in what a pump's switch feels, Pa: that is soon a millisecond
	Slip   float64 // by which a branch's law may miss a head within a step, Pa
	Locate float64 // how closely an event meets its threshold, Pa
}

// Default and Fine tolerances. Default is what keeps every event of 98.6 random rigs in a
// hundred within a millisecond of Fine's (TestRandomRigsAgainstFine); Fine what keeps those
// of the reference records within 10 µs.
var (
	Default = Tolerances{Volume: 3e-8, Head: 20, Felt: 0.3, Slip: 1e-3, Locate: 1e-5}
	Fine    = Tolerances{Volume: 1e-10, Head: 0.1, Felt: 0.01, Slip: 1e-5, Locate: 1e-6}
)

// leastScale is the water that stores are taken to give up over 100 kPa at the
// least, m³, a teaspoon: a tolerance in proportion to a few drops of stretch would
// tie the steps to nanoseconds of flow.
const leastScale = 5e-6

// Work is one goroutine's workspace: it holds a state and moves it through time.
type Work struct {
	Effort  Effort
	Without Layers // speed layers that are switched off

	sys    *System
	tol    Tolerances
	tolV   float64
	tolP   float64
	t      float64
	h      float64   // length of the step being taken
	vol    []float64 // by store
	strain []float64 // by creep term, m³
	states []uint8   // by device
	due    []float64 // when a device's timer ends, by device
	x0     []float64 // head at the last change of mode, by node
	pathQ  []float64 // flow then, by path

	plan              *plan
	plans             []*plan // most recently used first
	spare             []*plan // let go
	reduction         reduction
	active            []int32 // stores that take part
	gases             []int32 // those of them that are gas
	slow              bool    // temperature or creep is at work
	nextH             float64 // what the controller asks for
	flips             []int   // silent changes of each device at the present instant
	flipT             float64
	flippedAt, heldTo []float64 // by device: its last change by a watch, and until when it is held
	backAt            []float64 // by device: when its flow, at its threshold, was about to turn back
	uneasy            []int     // changes of each device that followed within moments
	headSlip          float64   // a law may miss its head by, Pa
	still             bool      // no step will be taken
	holdAll           bool      // stores stand where they are, as at one instant
	meets             bool      // the step that is asked for shall end just beyond an event
	tight             bool      // flows are watched closely: no step's slip is allowed them
	cling             float64   // how closely nodes cling to the heads in near while devices find their states
	nears             bool      // nodes come nearer to where they belong by degrees
	unmet             bool      // the laws of a mode are not met: its heads are out of all bounds, and it has to be left
	near              []float64
	before            moment
	from              []uint8 // states that could no longer be borne: an instant that leads back to them is not at rest
	stood             int     // steps in a row that were nothing but a change of mode
	brief             int     // steps in a row as short as steps go, those of no length apart
	lastK             int     // the last trial of locating an event
	lastAt            float64
	lastV             float64
	trails            []trail
	trail             *trail    // of the present mode
	now, tried        *stride   // the step being taken; one that was tried from the same start
	follows           bool      // the step being taken has one of the time before to follow …
	repeats           *stride   // … whose stages are at the same times; nil: none
	told              bool      // the laws' drops and slopes at the flows Newton starts from are known
	strayX, strayQ    []float64 // … and starts so far off it
	contact           contact
	kept              keptFactor
	left              left // what a glide leaves behind

	x, q, d, s, g, r, dq, rhs, dx                  []float64
	branchMoved                                    []float64
	base, next, err, head, off, off0, extra, stiff []float64
	lin                                            []level
	gain                                           [stages][]float64
	seen                                           [][stages]float64
	isDue                                          []bool
	creepAt                                        []int
	strainBase                                     []float64
	strainRate                                     [stages][]float64

	PathMoved []float64 // water carried by each path since the start, m³
	Spilled   []float64 // water spilled from each store, m³
}

// NewWork makes a workspace.
func NewWork() *Work { return &Work{now: &stride{}, tried: &stride{}} }

// grown returns s with length n, its old content kept, without a new array where
// the old one serves.
func grown(s []float64, n int) []float64 {
	if cap(s) < n {
		return append(s[:cap(s)], make([]float64, n-cap(s))...)
	}
	return s[:n]
}

// Begin puts the workspace at time t with the given heads at every store's node.
func (w *Work) Begin(sys *System, tol Tolerances, t float64, heads []float64) {
	if w.sys != sys {
		w.let(0)
	}
	w.sys, w.tol, w.t = sys, tol, t
	w.Effort = Effort{}
	w.plan, w.still = nil, false
	w.nextH = 0
	n, ns := len(sys.Nodes), len(sys.Stores)
	w.x0 = grown(w.x0, n)
	for i := range sys.Nodes {
		w.x0[i] = sys.Nodes[i].Start
	}
	w.pathQ = grown(w.pathQ, len(sys.Paths))
	w.PathMoved = grown(w.PathMoved, len(sys.Paths))
	clear(w.pathQ)
	clear(w.PathMoved)
	w.Spilled = grown(w.Spilled, ns)
	clear(w.Spilled)
	w.vol = grown(w.vol, ns)
	w.states = slices.Grow(w.states[:0], len(sys.Devices))[:len(sys.Devices)]
	w.due = grown(w.due, len(sys.Devices))
	w.flips = slices.Grow(w.flips[:0], len(sys.Devices))[:len(sys.Devices)]
	w.uneasy = slices.Grow(w.uneasy[:0], len(sys.Devices))[:len(sys.Devices)]
	w.flippedAt, w.heldTo = grown(w.flippedAt, len(sys.Devices)), grown(w.heldTo, len(sys.Devices))
	w.backAt = grown(w.backAt, len(sys.Devices))
	w.forget()
	w.headSlip = headSlip
	for d := range sys.Devices {
		w.states[d] = sys.Devices[d].Start
		w.due[d] = math.Inf(1)
		if s := &sys.Devices[d].States[w.states[d]]; s.Timer > 0 {
			w.due[d] = t + s.Timer
		}
	}
	w.sizeStores(ns)
	terms := 0
	w.slow = false
	w.creepAt = w.creepAt[:0]
	scale := 0.0
	for s := range sys.Stores {
		st := &sys.Stores[s]
		w.creepAt = append(w.creepAt, terms)
		terms += len(st.Creep)
		if len(st.Warm.T) > 0 || len(st.Creep) > 0 {
			w.slow = true
		}
	}
	w.strain = grown(w.strain, terms)
	clear(w.strain) // creep is counted from the moment of pressurising
	w.strainBase = grown(w.strainBase, terms)
	for i := range w.strainRate {
		w.strainRate[i] = grown(w.strainRate[i], terms)
		clear(w.strainRate[i])
	}
	for s := range sys.Stores {
		st := &sys.Stores[s]
		if st.Node == Out {
			w.vol[s] = heads[s]
			continue
		}
		off := st.Warm.At(t)
		w.head[s] = heads[s]
		w.off[s], w.extra[s] = off, 0
		w.vol[s], _ = st.levelOf(heads[s], off)
		if st.Device >= 0 && st.Idle>>w.states[st.Device]&1 != 0 {
			w.vol[s] = 0
		}
		if !st.Tank && !st.Ghost {
			lo, _ := st.levelOf(heads[s], 0)
			hi, _ := st.levelOf(heads[s]+1e5, 0)
			scale += hi - lo
		}
	}
	w.tolV = tol.Volume * math.Max(scale, leastScale)
	w.tolP = tol.Head
}

func (w *Work) sizeStores(n int) {
	for _, s := range []*[]float64{&w.base, &w.next, &w.err, &w.head, &w.off, &w.off0, &w.extra, &w.stiff} {
		*s = grown(*s, n)
		clear(*s)
	}
	for i := range w.gain {
		w.gain[i] = grown(w.gain[i], n)
		clear(w.gain[i])
	}
	w.lin = slices.Grow(w.lin[:0], n)[:n]
}
