// Package kernel is the numerical heart of sim: it knows paths, stores and
// devices, and nothing of pumps or taps. What a part is has been said before in
// data: the law of each of its paths in each state of its device, and the
// watches that move the device from state to state.
//
// Every node carries the head x = p + ρgz in pascals, so that elevation never
// appears again; flows are m³/s, volumes m³, times s.
package kernel

// Out is the node index of an end whose head is known.
const Out = -1

// A System is one rig under one lineup with its faults, as data.
type System struct {
	Nodes   []Node
	Paths   []Path
	Stores  []Store
	Devices []Device
}

// A Node is a joint, or a place inside a part.
type Node struct {
	GZ    float64 // ρgz, Pa
	Start float64 // head that it keeps while nothing else decides it, Pa
}

// A Path is a way water can go, from node A to node B or to an end of known
// head. Flow is positive from A to B.
type Path struct {
	A, B   int32
	XB     float64 // head of the end when B is Out, Pa
	Into   int32   // store that an end's water runs into, or -1
	Device int32   // device whose state chooses the law, or -1: Laws[0]
	Laws   []*Law  // by state of the device; nil: nothing passes
	Source bool    // the end is a source of water and not a place it runs to
}

// StoreKind says how a store's volume follows its pressure.
type StoreKind uint8

// The kinds of store.
const (
	Linear StoreKind = iota // V = C·(x − GZ) + offset
	Gas                     // V = V0 − K/P^(1/n), P = x − GZ absolute
)

// A Store is water held at a node: an elastic lump, a heater, an accumulator,
// a tank.
type Store struct {
	Node   int32 // Out: a tank that only receives
	Kind   StoreKind
	GZ     float64 // head of no water (linear, less the offset) or of no pressure at all (gas)
	C      float64 // compliance of a linear store, m³/Pa
	V0, K  float64 // of a gas: volume with no water, m³, and K of its law
	InvN   float64 // 1/n of a gas
	Device int32   // device that makes it idle or full, or -1
	Idle   uint32  // states (bits) in which it takes no part
	Full   uint32  // states (bits) in which its head is held and what comes in is spilled
	Pour   Pour    // where what runs in goes on to while its outlet stands dry
	Ghost  bool    // a stand-in where nothing decides the pressure: outside the ledger
	Tank   bool    // a vented tank
	Warm   Ramp    // offset of a linear store through time
	Creep  []Creep // delayed stretch of a linear store
}

// A Pour hands what runs into a tank's ends on to node Node while device Port is in
// one of the states Dry: a pump draws it as it comes. The zero Pour does not.
type Pour struct {
	Port int32
	Dry  uint32
	Node int32
}

// A Ramp is an offset of volume, linear in time between knots: what warming
// pushes out of a store, as a negative offset at given pressure.
type Ramp struct {
	T []float64 // s, ascending
	V []float64 // m³
}

// At returns the offset at time t, constant outside the knots.
func (r Ramp) At(t float64) float64 {
	n := len(r.T)
	if n == 0 {
		return 0
	}
	if t <= r.T[0] {
		return r.V[0]
	}
	for i := 1; i < n; i++ {
		if t <= r.T[i] {
			f := (t - r.T[i-1]) / (r.T[i] - r.T[i-1])
			return r.V[i-1] + f*(r.V[i]-r.V[i-1])
		}
	}
	return r.V[n-1]
}

// Creep is one Kelvin–Voigt term: a stretch e with τ·de/dt = C·p − e.
type Creep struct{ C, Tau float64 }

// A Device is a part's memory: a switch, the side of a check, a covered tank port.
type Device struct {
	Name   string // of the part, for the order of events
	Start  uint8  // state to begin from
	States []State
}

// A State of a device waits for its watches and, where Timer is above zero, for
// its time to run out.
type State struct {
	Watches []Watch
	Timer   float64 // s
	Then    uint8   // state when the timer ends
	ThenIs  Emit
	Carry   bool // entering from a state of the same timer does not restart it
}

// Value is what a watch looks at.
type Value uint8

// The values that can be watched. A watch fires when its value, which was
// negative, reaches zero.
const (
	Head   Value = iota // Sign·(x[I] − Ref)
	Drop                // Sign·(x[I] − x[J] − Ref)
	Flow                // Sign·(q[P] − Ref)
	Stored              // Sign·(V[S] − Ref)
	Gain                // Sign·(dV[S]/dt − Ref), what is spilled counted in
	Slack               // d_law(q[P]) − (x[I] − x[J]): a law that asks for more than there is
	Always              // due at once
	Lifted              // x[J] + Lam·q[P] − Ref: an outlet above what it is held to
	Wants               // min(Ref, x[I]) − x[J]: an outlet below what it is held to, with more before it
)

// A Watch is one way out of a device's state.
type Watch struct {
	Value   Value
	I, J    int32 // nodes
	P       int32 // path
	S       int32 // store
	Ref     float64
	Sign    float64
	Lam     float64
	Law     *Law
	To      uint8
	Is      Emit
	Switch  bool // a pump's switch, which a steady answer does not move
	Closing bool // an emptying tank, which Lam more water stands above its port
}

// Emit is the event a change of state makes known; zero is a silent one.
type Emit uint8
