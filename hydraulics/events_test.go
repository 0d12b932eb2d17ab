package hydraulics

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"

	"quietpump/hydraulics/unit"
	"quietpump/testdata/checks"
)

// A caseTable is one table of ode_events.md: a quantity's printed value in each
// of three sets, and which quantities a test has used.
type caseTable struct {
	t       *testing.T
	cell    map[string][]string
	used    map[string]bool
	account *checks.Account
	heading string
}

func eventCase(t *testing.T, heading string) *caseTable {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "published", "ode_events.md"))
	require.NoError(t, err)
	_, section, ok := strings.Cut(string(text), "\n## "+heading)
	require.True(t, ok, heading)
	section, _, _ = strings.Cut(section, "\n## ")
	title, _, _ := strings.Cut(section, "\n")
	c := &caseTable{t, map[string][]string{}, map[string]bool{}, checks.Against(t, "testdata/published/ode_events.md"), heading + title}
	for line := range strings.Lines(section) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if len(cells) != 4 || strings.HasPrefix(cells[0], "-") || strings.Contains(cells[0], "quantity") {
			continue
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		name := cells[0]
		for c.cell[name] != nil {
			name += " again" // "p at half that time" stands in a table twice
		}
		c.cell[name] = cells[1:]
	}
	return c
}

// num reads an input.
func (c *caseTable) num(name string, set int) float64 {
	c.t.Helper()
	require.Contains(c.t, c.cell, name)
	c.used[name] = true
	x, err := strconv.ParseFloat(c.cell[name][set], 64)
	require.NoError(c.t, err, name)
	return x
}

// equal checks a result to its printed digits.
func (c *caseTable) equal(name string, set int, got float64) {
	c.t.Helper()
	want := c.num(name, set)
	c.account.Within(c.t, c.heading+", set "+string(rune('A'+set)), name, want, got, 2*halfDigit(c.cell[name][set]))
}

// done requires that every line of the table was used.
func (c *caseTable) done() {
	for name := range c.cell {
		assert.True(c.t, c.used[name], "%q was not checked", name)
	}
}

// decay is the time in which a store of a compliance at p gives water at a rate
// of flow at p from p1 down to p2: ∫ C/q dp by Gauss–Legendre. It tests the laws
// themselves against the closed forms.
func decay(p1, p2 float64, compliance, flow func(p float64) float64) float64 {
	return quad.Fixed(func(p float64) float64 { return compliance(p) / flow(p) }, p2, p1, 60, nil, 0)
}

const eventAtm, eventRho = 101325, 998.2

func linearSeep(g float64) Seep { return Seep{Ref: unit.Flow(g), At: 1, Exp: 1} }

func TestAccumulatorDecayAgainstClosedForms(t *testing.T) {
	c, b := eventCase(t, "(a)"), eventCase(t, "(b)")
	for set := range 3 {
		gas := Gas{Volume: unit.Volume(c.num("V0, m3", set)), Precharge: unit.Pressure(c.num("p0, Pa", set))}
		p1, p2 := c.num("p1 cut-out, Pa", set), c.num("p2 cut-in, Pa", set)
		dp := func(atm unit.AbsPressure) float64 {
			return float64(gas.Drawdown(unit.Pressure(p2), unit.Pressure(p1), atm))
		}
		compliance := func(p float64) float64 { return float64(gas.Compliance(unit.Pressure(p), eventAtm)) }
		c.equal("C, J", set, (float64(gas.Precharge)+eventAtm)*float64(gas.Volume))
		c.equal("drawdown dV, m3", set, dp(eventAtm))
		c.equal("wrong dV with gauge pressures, m3", set, dp(0))
		adiabatic := gas
		adiabatic.Exponent = 1.4
		c.equal("dV if adiabatic (n = 1.4)", set, float64(adiabatic.Drawdown(unit.Pressure(p2), unit.Pressure(p1), eventAtm)))

		linear := linearSeep(c.num("G, m3/(s Pa)", set))
		orifice := RoundOrifice(c.num("Cd", set), unit.Length(c.num("orifice diameter, m", set))).Seep(eventRho)
		c.equal("k, m3/(s Pa^0.5)", set, float64(orifice.Flow(1)))
		for _, leak := range []struct {
			seep                 Seep
			time, half, atCutOut string
		}{
			{linear, "t linear, s", "p at half that time, Pa", "linear leak at cut-out, mL/min"},
			{orifice, "t orifice, s", "p at half that time, Pa again", "orifice leak at cut-out, mL/min"},
		} {
			flow := func(p float64) float64 { return float64(leak.seep.Flow(unit.Pressure(p))) }
			c.equal(leak.time, set, decay(p1, p2, compliance, flow))
			half := c.num(leak.half, set)
			assert.InEpsilon(t, c.num(leak.time, set)/2, decay(p1, half, compliance, flow), 2e-9, leak.half)
			c.equal(leak.atCutOut, set, flow(p1)/float64(unit.MillilitrePerMinute))
		}

		pump := b.num("Qp, m3/s", set)
		rest := c.num("t linear, s", set)
		run := decay(p1, p2, compliance, func(p float64) float64 { return pump - float64(linear.Flow(unit.Pressure(p))) })
		b.equal("fill time, no leak, s", set, dp(eventAtm)/pump)
		b.equal("fill time with linear leak, s", set, run)
		b.equal("cycle period, linear leak, s", set, rest+run)
		assert.InEpsilon(t, b.num("duty (pump on/period)", set), run/(rest+run), 1e-9)
	}
	c.done()
	b.done()
}

func TestGravityDrainingAgainstClosedForm(t *testing.T) {
	c := eventCase(t, "(c)")
	for set := range 3 {
		plan := unit.Area(c.num("A, m2", set))
		hole := RoundOrifice(c.num("Cd", set), unit.Length(c.num("d, m", set)))
		h1, h2 := unit.Length(c.num("h1, m", set)), unit.Length(c.num("h2, m", set))
		c.equal("t, s", set, hole.DrainTime(plan, h1, h2).Seconds())
		half := unit.Length(c.num("h at t/2, m", set))
		assert.InEpsilon(t, c.num("t, s", set)/2, hole.DrainTime(plan, h1, half).Seconds(), 2e-9)
		c.equal("initial flow, m3/s", set, float64(hole.Flow(unit.Pressure(eventRho*Gravity*h1), eventRho)))
	}
	c.done()
}

func TestElasticDecayAgainstClosedForms(t *testing.T) {
	c := eventCase(t, "(d)")
	for set := range 3 {
		cw, g := c.num("Cw, m3/Pa", set), c.num("G, m3/(s Pa)", set)
		p1, p2 := c.num("p1, Pa", set), c.num("p2, Pa", set)
		d, cd, ok := strings.Cut(c.cell["orifice d, m; Cd"][set], "; ")
		require.True(t, ok)
		c.used["orifice d, m; Cd"] = true
		diameter, err := strconv.ParseFloat(d, 64)
		require.NoError(t, err)
		coefficient, err := strconv.ParseFloat(cd, 64)
		require.NoError(t, err)
		orifice := RoundOrifice(coefficient, unit.Length(diameter)).Seep(eventRho)
		c.equal("k, m3/(s Pa^0.5)", set, float64(orifice.Flow(1)))
		c.equal("tau = Cw/G, s", set, cw/g)
		c.equal("stored between switch points, m3", set, cw*(p1-p2))
		compliance := func(float64) float64 { return cw }
		for _, leak := range []struct {
			seep       Seep
			time, half string
			mean       float64 // the pressure at half time in closed form
		}{
			{linearSeep(g), "t linear, s", "p at half that time, Pa", math.Sqrt(p1 * p2)},
			{orifice, "t orifice, s", "p at half that time, Pa again", math.Pow((math.Sqrt(p1)+math.Sqrt(p2))/2, 2)},
		} {
			flow := func(p float64) float64 { return float64(leak.seep.Flow(unit.Pressure(p))) }
			c.equal(leak.time, set, decay(p1, p2, compliance, flow))
			c.equal(leak.half, set, leak.mean)
			assert.InEpsilon(t, c.num(leak.time, set)/2, decay(p1, leak.mean, compliance, flow), 2e-9)
		}
	}
	c.done()
}
