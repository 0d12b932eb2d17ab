package kernel

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// Every kind of law against central differences: the slope is the Jacobian.
func TestSlopesAgainstDifferences(t *testing.T) {
	table := NewTable(5e-4)
	laws := map[string]*Law{
		"offset and linear": {Off: 3e4, Lam: 2e7},
		"quadratic":         {Kap: 2e11, Lam: 1e-3},
		"crack":             {Pow: 4e8, Inv: 1 / 1.5, QLin: 1e-12},
		"film":              {Lam: 4e12},
		"n = 0.6":           {Pow: 3e13, Inv: 1 / 0.6, QLin: 1e-12},
		"Hazen-Williams":    {Pow: 5e10, Inv: 1.852, QLin: 1e-6},
		"tube":              {Kap: 1e9, Lam: 1e-9, Friction: []Friction{{R: 5e4, F: 2e-4, Table: table}}},
		"two bores":         {Friction: []Friction{{R: 5e4, F: 2e-4, Table: table}, {R: 8e4, F: 6e-4, Table: NewTable(0)}}},
		"pump":              {Curve: &Curve{Q: []float64{0, 1e-4, 2e-4}, Rise: []float64{5e5, 3e5, 0}, Slope: []float64{-1e9, -2.5e9, -4e9}}},
		"all in a row":      {Off: -2e3, Lam: 1e6, Kap: 1e10, Pow: 1e10, Inv: 1.5, QLin: 1e-9, Friction: []Friction{{R: 5e4, F: 2e-4, Table: table}}},
	}
	for name, l := range laws {
		t.Run(name, func(t *testing.T) {
			for _, sign := range []float64{1, -1} {
				for q := 3e-9; q < 3e-3; q *= 1.37 {
					h := 1e-6 * q
					// Away from the ends of its pieces, which central differences straddle.
					if l.Curve != nil && q+h > 1e-4 && q-h < 1e-4 {
						continue
					}
					_, slope := l.Drop(sign * q)
					up, _ := l.Drop(sign*q + h)
					down, _ := l.Drop(sign*q - h)
					want := (up - down) / (2 * h)
					round := 4e-16 * math.Max(math.Abs(up), math.Abs(l.Off)) / h
					if math.Abs(slope-want) > 1e-6*want+round {
						t.Fatalf("slope at %g is %.12g, differences say %.12g", sign*q, slope, want)
					}
					if slope <= 0 {
						t.Fatalf("slope at %g is %g", sign*q, slope)
					}
				}
			}
		})
	}
}

// A quadratic that comes to rest is off by a thirteenth of Still at the most, has
// its slope in one piece and a slope at rest.
func TestLawAtRest(t *testing.T) {
	pure, l := &Law{Kap: 2e11}, &Law{Kap: 2e11, Still: 1e-3}
	least := math.Sqrt(l.Still / l.Kap)
	for q := 0.0; q < 3*least; q += least / 50 {
		want, _ := pure.Drop(q)
		got, slope := l.Drop(q)
		if math.Abs(got-want) > l.Still/13 {
			t.Errorf("at %g of the least flow the drop is %g, off by %g", q/least, got, got-want)
		}
		if slope < 0.5*l.Kap*least {
			t.Errorf("at %g of the least flow the slope is %g", q/least, slope)
		}
	}
	_, below := l.Drop(least * (1 - 1e-9))
	_, above := l.Drop(least * (1 + 1e-9))
	if math.Abs(above-below) > 1e-8*above {
		t.Errorf("the slope jumps from %g to %g", below, above)
	}
}

// What the inner loop makes of a law is the law.
func TestHotLawsAreTheLaws(t *testing.T) {
	table := NewTable(5e-4)
	for i, l := range []*Law{
		{Off: 3e4, Lam: 2e7}, {Kap: 2e11, Lam: 1e-3}, {Kap: 2e11, Lam: 1e-3, Still: 1e7}, {Pow: 4e8, Inv: 1 / 1.5, QLin: 1e-12},
		{Kap: 1e9, Lam: 1e-9, Friction: []Friction{{R: 5e4, F: 2e-4, Table: table}, {R: 8e4, F: 6e-4, Table: table}}},
		{Curve: &Curve{Q: []float64{0, 2e-4}, Rise: []float64{5e5, 0}, Slope: []float64{-2.5e9, -2.5e9}}},
	} {
		sys := &System{Nodes: make([]Node, 2), Paths: []Path{
			{A: 0, B: 1, Into: -1, Device: -1, Laws: []*Law{l}},
			{A: 0, B: Out, XB: 2e5, Into: -1, Device: -1, Laws: []*Law{{Lam: 1}}},
			{A: 1, B: Out, XB: 1e5, Into: -1, Device: -1, Laws: []*Law{{Lam: 1}}},
		}}
		w := NewWork()
		w.Begin(sys, Default, 0, nil)
		if err := w.Steady(); err != nil {
			t.Fatal(i, err)
		}
		a, _ := w.Head(0)
		b, _ := w.Head(1)
		if d, _ := l.Drop(w.PathFlow(0)); math.Abs(d-(a-b)) > 1e-6 {
			t.Errorf("law %d: drop %g at the flow found, heads say %g", i, d, a-b)
		}
	}
}

// One section with conductances from 1e-16 to 1e3 m³/(s·Pa) beside a store's
// 1e-10, against the same elimination in 400-bit arithmetic: every head to 1e-9 of
// the largest, every pivot formed without a subtraction. The last two are large enough to
// be eliminated in blocks.
func TestFactorFromSeepsToOpenPipes(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	worst := 0.0
	for trial := range 62 {
		n := 4 + r.IntN(20)
		if trial >= 60 {
			n += 100
		}
		var pairs [][2]int32
		var cond []float64
		add := func(i, j int) {
			pairs = append(pairs, [2]int32{int32(i), int32(j)})
			cond = append(cond, math.Pow(10, -16+19*r.Float64()))
		}
		for i := 1; i < n; i++ {
			add(i, r.IntN(i))
		}
		for range n / 2 * (1 + trial/60) {
			if i, j := r.IntN(n), r.IntN(n); i != j {
				add(i, j)
			}
		}
		order, entries := new(quotient).minimumDegree(n, pairs)
		at := make([]int32, n)
		for k, v := range order {
			at[v] = int32(k)
		}
		for k := range pairs {
			pairs[k] = [2]int32{at[pairs[k][0]], at[pairs[k][1]]}
		}
		var f factor
		f.analyse(n, pairs, entries, false)
		if len(f.idx) != entries {
			t.Fatalf("%d entries, %d foretold", len(f.idx), entries)
		}
		clear(f.all)
		if trial >= 60 && f.blocks == nil {
			t.Fatalf("%d unknowns are not in blocks", n)
		}
		surplus := make([]float64, n)
		rhs := make([]float64, n+1)
		for i := range n {
			if i == 0 || r.IntN(5) == 0 {
				surplus[i] = 1e-10
			}
			rhs[i] = 1e-5 * (r.Float64() - 0.5)
			f.sur[i] += surplus[i]
		}
		exact := newDense(n)
		for k, p := range pairs {
			f.up[f.slot(p[0], p[1])] += cond[k]
			exact.link(int(p[0]), int(p[1]), cond[k])
		}
		for i := range n {
			exact.anchor(i, surplus[i], rhs[i])
		}
		f.eliminate(rhs)
		x := make([]float64, n+1)
		f.back(x, rhs)
		want := exact.solve()
		top := 0.0
		for i := range n {
			top = math.Max(top, math.Abs(want[i]))
		}
		for i := range n {
			e := math.Abs(x[i]-want[i]) / top
			worst = math.Max(worst, e)
			if e > 1e-9 {
				t.Fatalf("trial %d of %d unknowns: head %d is %.15g, exactly %.15g", trial, n, i, x[i], want[i])
			}
		}
	}
	t.Logf("worst %.2g of the largest head", worst)
}

// dense is a matrix in 400-bit arithmetic.
type dense struct {
	a [][]*big.Float
	b []*big.Float
}

func bigOf(x float64) *big.Float { return new(big.Float).SetPrec(400).SetFloat64(x) }

func newDense(n int) *dense {
	d := &dense{a: make([][]*big.Float, n), b: make([]*big.Float, n)}
	for i := range d.a {
		d.a[i] = make([]*big.Float, n)
		for j := range d.a[i] {
			d.a[i][j] = bigOf(0)
		}
		d.b[i] = bigOf(0)
	}
	return d
}

func (d *dense) link(i, j int, g float64) {
	c := bigOf(g)
	d.a[i][i].Add(d.a[i][i], c)
	d.a[j][j].Add(d.a[j][j], c)
	d.a[i][j].Sub(d.a[i][j], c)
	d.a[j][i].Sub(d.a[j][i], c)
}

func (d *dense) anchor(i int, g, b float64) {
	d.a[i][i].Add(d.a[i][i], bigOf(g))
	d.b[i].Add(d.b[i], bigOf(b))
}

func (d *dense) solve() []float64 {
	n := len(d.b)
	for k := range n {
		for i := k + 1; i < n; i++ {
			m := bigOf(0).Quo(d.a[i][k], d.a[k][k])
			for j := k; j < n; j++ {
				d.a[i][j].Sub(d.a[i][j], bigOf(0).Mul(m, d.a[k][j]))
			}
			d.b[i].Sub(d.b[i], bigOf(0).Mul(m, d.b[k]))
		}
	}
	x := make([]float64, n)
	for k := n - 1; k >= 0; k-- {
		s := bigOf(0).Copy(d.b[k])
		for j := k + 1; j < n; j++ {
			s.Sub(s, bigOf(0).Mul(d.a[k][j], bigOf(x[j])))
		}
		x[k], _ = s.Quo(s, d.a[k][k]).Float64()
	}
	return x
}

// Any start of flows leads to the same answer within the cap: the loops of
// Seveneq3b from flows of either sign over nine decades.
func TestEveryStartReachesTheSameAnswer(t *testing.T) {
	n := newNet()
	for i, p := range [][2]string{{"0", "1"}, {"1", "2"}, {"1", "3"}, {"2", "4"}, {"2", "3"}, {"3", "4"}, {"4", "5"}} {
		n.pipe(fmt.Sprint(i), p[0], p[1], tube(0.5+float64(i), 0.0123, 7e-6, 1, 998.2, 1e-6))
	}
	n.held("0", 3e5)
	n.held("5", 0)
	want, _ := n.solve(t)
	r := rand.New(rand.NewPCG(1, 2))
	most := 0
	for range 2000 {
		w := NewWork()
		w.Begin(&n.sys, Default, 0, nil)
		w.use()
		for j := range w.q {
			w.q[j] = math.Pow(10, -9+6*r.Float64())
			if r.IntN(2) == 0 {
				w.q[j] = -w.q[j]
			}
		}
		for k := range w.plan.unknowns {
			w.x[k] = 1e6 * (r.Float64() - 0.5)
		}
		if !w.solve(0, 0) {
			t.Fatal("no convergence within the cap")
		}
		most = max(most, w.Effort.Newton)
		for i, name := range n.pipes {
			if name != "" && math.Abs(w.PathFlow(int32(i))-want[name]) > 1e-12 {
				t.Fatalf("pipe %s: %g, want %g", name, w.PathFlow(int32(i)), want[name])
			}
		}
	}
	t.Logf("at most %d iterations of %d", most, newtonCap)
}
