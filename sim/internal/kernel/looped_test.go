package kernel

import (
	"maps"
	"math"
	"slices"
	"testing"

	"quietpump/testdata/checks"
)

// The networks of testdata/published/looped_network_examples.md, whose sources
// it names. Flows are to the digits computed there; where its printed solution
// holds a slip or a friction formula that the library has not, its columns for
// Colebrook–White are used, as it advises. Laws are given to the kernel as they
// are written there: no part of a rig has a constant friction factor or an
// exponent of 1.85.

// net is a network of named nodes and pipes.
type net struct {
	sys   System
	node  map[string]int32
	pipes []string
}

func newNet() *net { return &net{node: map[string]int32{}} }

func (n *net) at(name string) int32 {
	i, ok := n.node[name]
	if !ok {
		i = int32(len(n.sys.Nodes))
		n.node[name] = i
		n.sys.Nodes = append(n.sys.Nodes, Node{})
	}
	return i
}

func (n *net) pipe(name, a, b string, law *Law) {
	n.sys.Paths = append(n.sys.Paths, Path{A: n.at(a), B: n.at(b), Into: -1, Device: -1, Laws: []*Law{law}})
	n.pipes = append(n.pipes, name)
}

// held keeps a node at a head.
func (n *net) held(a string, head float64) {
	n.sys.Paths = append(n.sys.Paths, Path{A: n.at(a), B: Out, XB: head, Into: -1, Device: -1, Laws: []*Law{{Lam: 1e-6}}})
	n.pipes = append(n.pipes, "")
}

// drawn takes a flow from a node, whatever its head.
func (n *net) drawn(a string, q float64) {
	const lam = 1e21
	n.sys.Paths = append(n.sys.Paths, Path{A: n.at(a), B: Out, XB: -q * lam, Into: -1, Device: -1, Laws: []*Law{{Lam: lam}}})
	n.pipes = append(n.pipes, "")
}

// solve returns the flow of each pipe and the head of each node.
func (n *net) solve(t *testing.T) (q, x map[string]float64) {
	t.Helper()
	w := NewWork()
	w.Begin(&n.sys, Default, 0, nil)
	if err := w.Steady(); err != nil {
		t.Fatal(err)
	}
	if w.Effort.Newton > newtonCap {
		t.Errorf("%d Newton iterations", w.Effort.Newton)
	}
	q, x = map[string]float64{}, map[string]float64{}
	for i, name := range n.pipes {
		q[name] = w.PathFlow(int32(i))
	}
	for name, i := range n.node {
		x[name], _ = w.Head(i)
	}
	return q, x
}

// within compares flows in the unit of the table, each to what is borne.
func within(t *testing.T, q map[string]float64, unit float64, want map[string]float64, borne float64) {
	t.Helper()
	account := checks.Against(t, "testdata/published/looped_network_examples.md")
	for _, name := range slices.Sorted(maps.Keys(want)) {
		account.Within(t, t.Name(), name, want[name], q[name]/unit, borne)
	}
}

// round is the quadratic law of a bore: κ·q|q| = k·ρ·v²/2.
func round(k, rho, d float64) *Law {
	return &Law{Kap: k * 8 * rho / (math.Pi * math.Pi * d * d * d * d), Lam: 1e-9}
}

// tube is Darcy–Weisbach with Colebrook–White and fittings.
func tube(l, d, eps, k, rho, nu float64) *Law {
	law := round(k, rho, d)
	law.Friction = []Friction{{R: 4 / (math.Pi * d * nu * laminar), F: l * rho * nu * nu / (2 * d * d * d), Table: NewTable(eps / d)}}
	return law
}

func TestLoopsOfConstantFriction(t *testing.T) {
	pipes := []struct {
		name, a, b string
		l          float64
	}{{"0-1", "0", "1", 100}, {"1-2", "1", "2", 300}, {"1-3", "1", "3", 1200}, {"2-4", "2", "4", 1200}, {"2-3", "2", "3", 300}, {"3-4", "3", "4", 1200}, {"4-5", "4", "5", 300}}
	const rho, d, mu = 997.08, 0.154, 8.937e-4
	n, c := newNet(), newNet()
	for _, p := range pipes {
		n.pipe(p.name, p.a, p.b, round(4*0.005*p.l/d, rho, d))
		c.pipe(p.name, p.a, p.b, tube(p.l, d, 4.6e-5, 0, rho, mu/rho))
	}
	for _, n := range []*net{n, c} {
		n.held("0", 15e5)
		n.held("5", 0)
	}
	t.Run("no=1", func(t *testing.T) {
		q, x := n.solve(t)
		within(t, q, 1, map[string]float64{"0-1": 0.098136697942, "1-2": 0.064819402832, "1-3": 0.033317295110, "2-4": 0.049372279146, "2-3": 0.015447123686, "3-4": 0.048764418796, "4-5": 0.098136697942}, 1e-12)
		within(t, x, 1, map[string]float64{"1": 1320274.57, "2": 1085052.57, "3": 1071693.90, "4": 539176.28}, 0.005)
	})
	t.Run("no=2", func(t *testing.T) {
		// Of its last two columns the first is Shacham's explicit formula, which is not the library's.
		q, _ := c.solve(t)
		within(t, q, 1, map[string]float64{"0-1": 0.109855980817, "1-2": 0.073053155768, "1-3": 0.036802825049, "2-4": 0.055341206326, "2-3": 0.017711949442, "3-4": 0.054514774491, "4-5": 0.109855980817}, 1e-10)
	})
}

func TestLoopsOfFixedDemands(t *testing.T) {
	// In units a millionth and ten thousand times the table's, of a coach's size.
	const flow, drop = 1e-6, 1e4
	n := newNet()
	for _, p := range []struct {
		name, a, b string
		k          float64
	}{{"1-2", "1", "2", 2000 / math.Pow(12, 5)}, {"1-4", "1", "4", 1000 / math.Pow(8, 5)}, {"2-3", "2", "3", 1000 / math.Pow(8, 5)}, {"4-3", "4", "3", 2000 / math.Pow(8, 5)}, {"3-5", "3", "5", 1000 / math.Pow(6, 5)}, {"6-5", "6", "5", 2000 / math.Pow(6, 5)}, {"4-6", "4", "6", 1000 / math.Pow(6, 5)}} {
		n.pipe(p.name, p.a, p.b, &Law{Kap: 8.7e-4 * p.k * drop / (flow * flow), Lam: 1e-9})
	}
	n.held("1", 0)
	for node, q := range map[string]float64{"2": 420, "3": 420, "5": 420, "6": 140} {
		n.drawn(node, q*flow)
	}
	q, _ := n.solve(t)
	within(t, q, flow, map[string]float64{"1-2": 872.751713805, "1-4": 527.248286195, "2-3": 452.751713805, "4-3": 252.591106100, "3-5": 285.342819905, "6-5": 134.657180095, "4-6": 274.657180095}, 1e-8)
}

func TestParallelPipesAndReservoirs(t *testing.T) {
	const rho, nu, g, hour = 1000, 1.02e-6, 9.81, 1.0 / 3600
	one, two, three := func() *Law { return tube(100, 0.08, 0.24e-3, 0, rho, nu) }, func() *Law { return tube(150, 0.06, 0.12e-3, 0, rho, nu) }, func() *Law { return tube(80, 0.04, 0.20e-3, 0, rho, nu) }
	t.Run("no=4", func(t *testing.T) {
		n := newNet()
		n.pipe("1", "a", "b", one())
		n.pipe("2", "a", "b", two())
		n.pipe("3", "a", "b", three())
		n.held("a", 20.3*rho*g)
		n.held("b", 0)
		q, _ := n.solve(t)
		want := map[string]float64{"1": 62.54771480, "2": 25.91070915, "3": 11.40797034}
		within(t, q, hour, want, 1e-8)
		within(t, map[string]float64{"sum": q["1"] + q["2"] + q["3"]}, hour, map[string]float64{"sum": 99.86639428}, 2e-8)
	})
	t.Run("no=7", func(t *testing.T) {
		n := newNet()
		n.pipe("1", "r1", "j", one())
		n.pipe("2", "r2", "j", two())
		n.pipe("3", "r3", "j", three())
		n.held("r1", 20*rho*g)
		n.held("r2", 100*rho*g)
		n.held("r3", 40*rho*g)
		q, x := n.solve(t)
		within(t, q, hour, map[string]float64{"1": -52.84812858, "2": 47.00974083, "3": 5.83838775}, 1e-8)
		within(t, x, rho*g, map[string]float64{"j": 34.54075203}, 1e-8)
	})
	t.Run("no=8", func(t *testing.T) {
		// In feet: h = f·L/D·v²/(2g) with g = 32.2, as ρ = 1/g in a head of feet.
		const g, unit = 32.2, 1e-3
		n := newNet()
		for _, p := range []struct {
			name string
			l, h float64
		}{{"1", 1000, 100}, {"2", 500, 20}, {"3", 400, 0}} {
			law := round(0.02*p.l, 1/g, 1)
			law.Kap *= 1e4 / (unit * unit)
			n.pipe(p.name, p.name, "j", law)
			n.held(p.name, p.h*1e4)
		}
		q, x := n.solve(t)
		within(t, q, unit, map[string]float64{"1": 12.50631417, "2": -2.23281739, "3": -10.27349678}, 1e-8)
		within(t, x, 1e4, map[string]float64{"j": 21.25499149}, 1e-8)
	})
}

// No. 5 with Colebrook–White: Swamee and Jain's explicit formula is not the
// library's.
func TestThreeLoops(t *testing.T) {
	const rho, nu, g = 1000, 1e-6, 9.81
	n := newNet()
	for _, p := range []struct {
		a, b         string
		l, d, eOverD float64
	}{{"A", "B", 300, 0.30, 0.00087}, {"A", "D", 250, 0.25, 0.00104}, {"B", "G", 125, 0.20, 0.00130}, {"D", "E", 300, 0.20, 0.00130}, {"B", "C", 350, 0.20, 0.00130}, {"G", "H", 350, 0.20, 0.00130}, {"C", "H", 125, 0.20, 0.00130}, {"E", "G", 125, 0.15, 0.00173}, {"E", "F", 350, 0.20, 0.00130}, {"H", "F", 125, 0.15, 0.00173}} {
		n.pipe(p.a+"-"+p.b, p.a, p.b, tube(p.l, p.d, p.eOverD*p.d, 0, rho, nu))
	}
	n.held("A", 50*rho*g)
	n.drawn("C", 0.050)
	n.drawn("G", 0.100)
	n.drawn("F", 0.150)
	q, x := n.solve(t)
	within(t, q, 1, map[string]float64{"A-B": 0.204952, "A-D": 0.095048, "B-G": 0.125227, "D-E": 0.095048, "B-C": 0.079725, "G-H": 0.033093, "C-H": 0.029725, "E-G": 0.007866, "E-F": 0.087182, "H-F": 0.062818}, 1e-6)
	within(t, x, rho*g, map[string]float64{"B": 41.697, "C": 29.379, "D": 46.097, "E": 31.144, "F": 16.441, "G": 30.932, "H": 28.747}, 1e-3)
}

// No. 6: 5 ft³/s at 70 ft over 5000 ft, then an equal pipe beside 2000 ft of it.
func TestLoopedLine(t *testing.T) {
	const n185, unit, head = 1.85, 1e-4, 1e4
	k := 70 * head / math.Pow(5*unit, n185) / 5000 // per foot
	law := func(feet float64) *Law { return &Law{Pow: k * feet, Inv: n185, QLin: 1e-9} }
	n := newNet()
	n.pipe("line", "a", "b", law(3000))
	n.pipe("old", "b", "c", law(2000))
	n.pipe("new", "b", "c", law(2000))
	n.held("a", 70*head)
	n.held("c", 0)
	q, _ := n.solve(t)
	within(t, q, unit, map[string]float64{"line": 6.01249469}, 1e-8)
}

// No. 9: a shower on 2 m, a toilet on 1 m, one supply.
func TestShowerAndToilet(t *testing.T) {
	const rho, mu, g, litre = 998, 1.002e-3, 9.81, 1e-3
	for _, tt := range []struct {
		name   string
		toilet bool
		want   map[string]float64
	}{
		{"shower only", false, map[string]float64{"shower": 0.52691158}},
		{"both", true, map[string]float64{"shower": 0.42071076, "toilet": 0.48237272, "common": 0.90308348}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			n := newNet()
			n.pipe("common", "in", "tee", tube(5, 0.015, 1.5e-6, 0, rho, mu/rho))
			n.pipe("shower", "tee", "shower out", tube(6, 0.015, 1.5e-6, 24.7, rho, mu/rho))
			n.held("in", 200e3)
			n.held("shower out", rho*g*2)
			if tt.toilet {
				n.pipe("toilet", "tee", "toilet out", tube(1, 0.015, 1.5e-6, 26.9, rho, mu/rho))
				n.held("toilet out", rho*g*1)
			}
			q, _ := n.solve(t)
			within(t, q, litre, tt.want, 1e-8)
		})
	}
}
