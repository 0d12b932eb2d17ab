package waves

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/sim/internal/kernel"
	"quietpump/testdata/checks"
)

// Every row of the table that is a wave through time; the others are formulas of one
// moment, which package hydraulics checks. A row that is neither fails.
func TestPublishedWaves(t *testing.T) {
	f, err := os.Open("../../testdata/published/water_hammer.csv")
	require.NoError(t, err)
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	checked, elsewhere := 0, 0
	for line, row := range all[1:] {
		name, inputs, quantity, printed, independent := row[0], row[1], row[2], row[3], row[5]
		t.Run(fmt.Sprintf("%d %s", line+2, name), func(t *testing.T) {
			checked++
			switch {
			case strings.HasPrefix(name, "reservoir-pipe-valve, frictionless, linear"):
				linearClosing(t, quantity, independent)
			case strings.HasPrefix(name, "reservoir-pipe-valve with friction"):
				var n int
				_, err := fmt.Sscanf(name[strings.Index(name, "N ="):], "N = %d", &n)
				require.NoError(t, err)
				withFriction(t, n, independent)
			case strings.HasPrefix(name, "reservoir-pipe-valve, frictionless, inst"):
				squareWave(t)
			case name == "rigid column after pump trip":
				pumpTrip(t, number(t, independent))
			case strings.HasPrefix(name, "13.4"):
				daugherty(t, inputs, number(t, printed), number(t, independent))
			case strings.HasPrefix(name, "14.18 slow"), strings.HasPrefix(name, "14.19"), strings.HasPrefix(name, "14.20 length"),
				strings.HasPrefix(name, "14.15"), strings.HasPrefix(name, "14.18 rapid"), strings.HasPrefix(name, "14.13"), strings.HasPrefix(name, "14.14"), strings.HasPrefix(name, "14.20 rapid"):
				subramanya(t, name, number(t, independent))
			case strings.HasPrefix(name, "14.1"), strings.HasPrefix(name, "steel pipe"), strings.HasPrefix(name, "PVC pipe"),
				strings.HasPrefix(name, "handbook"), strings.HasPrefix(name, "PEX against"), strings.HasPrefix(name, "modulus, "), strings.HasPrefix(name, "wave speed, "):
				checked--
				elsewhere++
			default:
				t.Fatal("no check for this row")
			}
		})
	}
	t.Logf("%d rows checked, %d are formulas that package hydraulics checks or skips with its reason", checked, elsewhere)
	assert.Equal(t, len(all)-1, checked+elsewhere)
	assert.GreaterOrEqual(t, checked, 20)
}

// printedNear compares with a figure of the row that the subtest is named after.
func printedNear(t *testing.T, quantity string, want, got, borne float64) {
	t.Helper()
	_, row, _ := strings.Cut(t.Name(), "/")
	checks.Against(t, "testdata/published/water_hammer.csv").Within(t, "row "+strings.ReplaceAll(row, "_", " "), quantity, want, got, borne)
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}

func numbers(t *testing.T, list string) []float64 {
	var out []float64
	for _, s := range strings.Split(list, ";") {
		out = append(out, number(t, strings.TrimSpace(s)))
	}
	return out
}

const g = 9.81 // m/s², as those rows have it

// H0 = 100 m, V0 = 2 m/s, L = 600 m, c = 1200 m/s, V = τ·V0·√(H/H0), τ = 1 − 0.2·t.
func linearClosing(t *testing.T, quantity, values string) {
	const rho = 1000.0
	var at float64
	_, err := fmt.Sscanf(quantity, "head at valve at t = %f s; velocity", &at)
	require.NoError(t, err)
	b := bare{long: 600, bore: 1, speed: 1200, rho: rho, main: rho * g * 100, reaches: 10, until: at, moves: shut(5), ideal: true}
	b.flow = 2 * b.area()
	r := b.begin(t)
	p := atEnd(r)
	want := numbers(t, values)
	q, _ := r.Flow("valve")
	printedNear(t, "head at the valve, m", want[0], p[len(p)-1]/(rho*g), 1e-8)
	printedNear(t, "velocity, m/s", want[1], float64(q)/b.area(), 1e-9)
}

// H0 = 30 m, L = 10 m, D = 12.065 mm, c = 450 m/s, f = 0.025, V0 = 1.5 m/s, shut at once.
func withFriction(t *testing.T, n int, values string) {
	const rho = 1000.0
	b := bare{long: 10, bore: 12.065e-3, speed: 450, rho: rho, main: rho * g * 30, reaches: n, moves: shut(0), ideal: true}
	b.flow = 1.5 * b.area()
	b.friction = 0.025 * b.long / b.bore * rho / 2 / (b.area() * b.area())
	b.until = 10 / 450.0 / float64(n) * float64(6*n+1)
	p := atEnd(b.begin(t))
	for i, want := range numbers(t, values) {
		step := []int{0, 1, n, 2*n - 1, 2*n + 1, 4*n - 1, 4*n + 1, 6*n + 1}[i]
		printedNear(t, fmt.Sprintf("head at step %d of %d reaches, m", step, n), want, p[step]/(rho*g), 2e-8)
	}
}

// H0 + c·V0/g for 0 < t < 2L/c, H0 − c·V0/g to 4L/c, and again: Joukowsky exactly, for
// as long as one likes.
func squareWave(t *testing.T) {
	const rho, n = 998.0, 16
	b := bare{long: 7, bore: 0.0121, speed: 311, rho: rho, main: 3e5, reaches: n, moves: shut(0), ideal: true, until: 7 / 311.0 * 400}
	b.flow = 0.8 * b.area()
	r := b.begin(t)
	rise := rho * 311 * 0.8
	for k, p := range atEnd(r)[1:] {
		want := b.main + rise
		if k/(2*n)%2 == 1 {
			want = b.main - rise
		}
		require.InDelta(t, want, p, 1e-6*rise, "step %d", k+1)
	}
	printedNear(t, "highest pressure, by Joukowsky, Pa", b.main+rise, float64(r.Result().Highest.Pressure), 1e-6*rise)
	// At the main the water reverses each 2L/c.
	q, _ := r.Flow("tube")
	assert.InDelta(t, b.flow, math.Abs(float64(q)), 1e-6*b.flow)
}

// A column of water against 8 m and friction, Q = 0.05 m³/s, d = 0.15 m, l = 90 m,
// f = 0.007 (Fanning): a wave so fast that the column is as good as rigid.
func pumpTrip(t *testing.T, want float64) {
	const rho = 1000.0
	b := bare{long: 90, bore: 0.15, speed: 1e5, rho: rho, main: 1, reaches: 20, ideal: true, until: 3}
	b.flow = 0.05
	b.friction = 4 * 0.007 * b.long / b.bore * rho / 2 / (b.area() * b.area())
	b.main = b.friction*b.flow*b.flow + 1e5
	r := b.begin(t)
	// The pump stops: the head before the column is 8 m below that behind it.
	hookup, _ := r.form.Path("hookup")
	valve, _ := r.form.Path("valve")
	r.paths[hookup].xb = 0
	r.laws[valve] = []*kernel.Law{{Lam: 1e-6}, {Lam: 1e-6}, nil} // and lets all through
	r.paths[valve].xb = rho * g * 8
	r.renew(hookup)
	r.renew(valve)
	for {
		was, _ := r.Flow("tube")
		r.Advance(1)
		now, _ := r.Flow("tube")
		if now <= 0 {
			at := r.t - r.field.dt*float64(now/(now-was))
			printedNear(t, "time to rest, s", want, at, 0.002)
			return
		}
		require.Less(t, r.t, 3.0)
	}
}

// daugherty is Example 13.4: 30 ft³/s in a pipe of 2 ft radius, c = 3200 ft/s,
// 1.94 slug/ft³; at once, in 4 s, and from 30 to 10 ft³/s.
func daugherty(t *testing.T, inputs string, printed, want float64) {
	const foot, slug, psi = 0.3048, 14.593903, 6894.757293
	const rho = 1.94 * slug / (foot * foot * foot)
	b := bare{long: 2000 * foot, bore: 4 * foot, speed: 3200 * foot, rho: rho, reaches: 200, ideal: true, until: 1.2 * 2 * 2000 / 3200}
	b.flow = 30 * foot * foot * foot
	rise := 0.0
	switch {
	case strings.Contains(inputs, "closure 4.0 s"):
		rise = uniformly(t, b, 4, 0)
	case strings.Contains(inputs, "cut from 30 to 10"):
		rise = uniformly(t, b, 0, 1.0/3)
	default:
		rise = uniformly(t, b, 0, 0)
	}
	printedNear(t, "rise, psi, second computation", want, rise/psi, 0.002)
	printedNear(t, "rise, psi", printed, rise/psi, 0.06)
}

const highMain, smallPart = 1e8, 1e-3 // Pa, of the flow

// uniformly stops the flow in a straight line of time, to a share of it, and returns
// the highest rise at the valve. Behind a main so high that no rise matters beside it
// a valve's flow is as its opening; without friction a small part of the flow gives
// that part of the rise.
func uniformly(t *testing.T, b bare, over, to float64) float64 {
	b.main = highMain
	b.flow *= smallPart
	b.moves = shut(over)
	if to > 0 {
		b.moves[0].Lineup = network.Lineup{"valve": network.Open(to)}
	}
	r := b.begin(t)
	most := 0.0
	for _, p := range atEnd(r) {
		most = math.Max(most, p-b.main)
	}
	return most / smallPart
}

// subramanya is Chapter 14 of the same: rises by one closure or another.
func subramanya(t *testing.T, name string, want float64) {
	const rho, gpa = 998.0, 1e9
	thin := func(k, e, d, wall float64) float64 { return math.Sqrt(1 / (rho * (1/k + d/(wall*e)))) }
	rigid := func(k float64) float64 { return math.Sqrt(k / rho) }
	b := bare{long: 800, bore: 0.6, rho: rho, reaches: 200, ideal: true}
	v, over, scale := 0.0, 0.0, 1e6
	switch {
	case strings.HasPrefix(name, "14.13"):
		b.speed, v = rigid(2.2*gpa), 3
	case strings.HasPrefix(name, "14.14"):
		b.speed, v, scale = thin(2.0*gpa, 100*gpa, 0.9, 0.0125), 2.60, rho*g
	case strings.HasPrefix(name, "14.15 rigid"):
		b.speed, v = rigid(2.1*gpa), 2.1
	case strings.HasPrefix(name, "14.15"):
		b.speed, v = thin(2.1*gpa, 210*gpa, 0.6, 0.012), 2.1
	case strings.HasPrefix(name, "14.18"):
		b.speed, v = thin(2.11*gpa, 104.1*gpa, 0.6, 0.015), 3
		if strings.Contains(name, "slow") {
			over = 2
		}
	case strings.HasPrefix(name, "14.19"): // and the static pressure on top of it
		b.long, b.speed, v, over, scale = 2500, thin(2.10*gpa, 211*gpa, 4, 0.100), 2.5, 5, 1e3
		want -= 9.79 * 250
	case strings.HasPrefix(name, "14.20"):
		b.long, b.speed, v = 3500, rigid(2.2*gpa), 0.8
	}
	b.flow = v * b.area()
	b.until = 2.4 * b.long / b.speed
	if !strings.HasPrefix(name, "14.20 length") {
		printedNear(t, "rise", want, uniformly(t, b, over, 0)/scale, 0.0006*math.Max(1, want/5))
		return
	}
	// How much of the pipe sees the whole rise, if the closing takes 4 s.
	b.main, b.flow, b.moves, b.until, b.reaches = highMain, b.flow*smallPart, shut(4), 3*b.long/b.speed, 2000
	r := b.begin(t)
	atEnd(r)
	n := 0
	for i := range r.bounds {
		if r.bounds[i].hi-b.main > (1-1e-3)*rho*b.speed*v*smallPart {
			n++
		}
	}
	printedNear(t, "length at the whole rise, m", want, float64(n)/2000*3500, 4)
}
