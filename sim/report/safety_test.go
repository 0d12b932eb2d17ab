package report_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"html"
	"math"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/diagnose"
	"quietpump/sim/internal/rigs"
	"quietpump/sim/report"
)

var (
	safetyCount = flag.Int("safety", 10, "random cases whose advice is held against the refusals")
	safetyFirst = flag.Uint64("safety.first", 39, "the first of them")
)

// Over random rigs, lineups and cards no lineup is proposed, in any output, that
// may never be set; none is predicted to bring more pressure than the weakest part
// bears, or a pump that runs on; and whatever proposes work carries its cautions.
//
// What may never be set is worked out here anew, from the plumbing part by part
// and by simulation, and not by what the diagnosis refuses by.
func TestNothingRefusedIsProposed(t *testing.T) {
	judged, tests, refused, swaps := 0, 0, 0, 0
	for seed := *safetyFirst; seed < *safetyFirst+uint64(*safetyCount); seed++ {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			c := anyCase(t, seed)
			ctx := context.Background()
			b, err := diagnose.From(ctx, c, diagnose.Options{Seed: seed})
			if err != nil { // a card that cannot be judged proposes nothing
				t.Log(err)
				return
			}
			judged++
			refused += len(b.Refused)
			danger := newDanger(t, c, b)
			for _, step := range b.Next {
				if step.Do == diagnose.DoTest {
					tests++
					assert.Empty(t, danger.of(step.Lineup, step.Watch), "proposed: %s (%s)", step.Words, step.Lineup)
				}
				assert.Empty(t, missing(c, step), "%s: %q carries %q", step.Do, step.Words, step.Cautions)
			}
			r, err := report.Of(ctx, c, b, report.Options{})
			require.NoError(t, err)
			if w := r.Worksheet; w != nil {
				swaps++
				work := network.Lineup{}
				for name, s := range w.Close {
					work[name] = s
				}
				for _, p := range c.Rig.Parts() {
					if k := p.Kind(); k == "pump" || k == "hookup" {
						assert.NotEqual(t, network.On(), work[p.ID()], "a swap with %q on", p.ID())
					}
				}
			}
			outputs(t, r)
		})
	}
	t.Logf("%d cards judged, %d tests proposed, %d lineups refused, %d swaps planned", judged, tests, refused, swaps)
	if *safetyCount == 10 && *safetyFirst == 39 {
		assert.Positive(t, tests)
		assert.Positive(t, refused)
		assert.Positive(t, swaps)
	}
}

// outputs holds every output to the steps of the belief, and to the cautions.
func outputs(t *testing.T, r *report.Report) {
	b := r.Belief
	allowed := map[string]bool{}
	for _, step := range b.Next {
		allowed[flat(step.Words)] = true
	}
	_, sections, err := report.Sections(r, unit.US)
	require.NoError(t, err)
	said := map[string]string{"sections": ""}
	for _, s := range sections {
		label := ""
		for _, l := range s.Lines {
			said["sections"] += " " + l.Text + " " + strings.Join(l.Cautions, " ")
			if l.Label {
				label = l.Text
			}
			if s.ID != "next" || l.Item == 0 || strings.HasPrefix(label, "Not to be done") {
				continue
			}
			known := false
			for words := range allowed {
				known = known || strings.HasPrefix(flat(l.Text), words)
			}
			assert.True(t, known, "nobody worked out: %s", l.Text)
		}
	}
	for name, write := range map[string]func(*bytes.Buffer) error{
		"text":     func(w *bytes.Buffer) error { return report.Text(w, r, unit.US) },
		"markdown": func(w *bytes.Buffer) error { return report.Markdown(w, r, unit.US) },
		"html":     func(w *bytes.Buffer) error { return report.HTML(w, r, unit.US) },
		"brief":    func(w *bytes.Buffer) error { return report.Brief(w, r, unit.US) },
	} {
		var w bytes.Buffer
		require.NoError(t, write(&w))
		said[name] = w.String()
	}
	for name, text := range said {
		text = flat(text)
		for _, f := range b.Refused {
			if f.Lineup != nil && len(b.Next) > 0 && !slices.ContainsFunc(b.Next, func(c diagnose.Choice) bool { return c.Lineup.String() == f.Lineup.String() }) {
				assert.NotContains(t, text, flat("Set "+f.Lineup.String()+","), "%s proposes what is refused", name)
			}
		}
		if len(b.Next) > 0 {
			for _, c := range b.Next[0].Cautions {
				assert.Contains(t, text, flat(c), "%s: the first step's caution", name)
			}
		}
		if name == "brief" {
			continue
		}
		for _, c := range report.Cautions() {
			assert.Contains(t, text, flat(string(c)), "%s", name)
		}
		for _, words := range everyPage {
			assert.Regexp(t, words, text, "%s", name)
		}
		if r.Worksheet == nil {
			continue
		}
		for _, s := range r.Worksheet.Steps {
			for _, c := range s.Cautions {
				assert.Contains(t, text, flat(string(c)), "%s: %s", name, s.Words)
			}
		}
	}
}

// everyPage is what each page that proposes work has to say.
var everyPage = []string{
	`pull the pump s fuse and try a tap`, `not enough|not isolation`, `shore power off`,
	`heater off on gas and electric`, `hot tap not by the relief lever`, `until water runs from the hot tap`,
	`never plug or defeat a relief valve`, `regulator within the rating of the weakest part`,
	`overflow and vent are free and lead outdoors`, `never leave it or sleep on it`, `hose off while chlorine or antifreeze`,
	`potable`, `sanitise after opening`, `local codes and a licensed or certified technician have the last word`,
}

var (
	tags  = regexp.MustCompile(`<[^>]*>`)
	seeps = regexp.MustCompile(`(?i)\bseep(s|ing|ed|age)?\b`)
	marks = regexp.MustCompile(`[^\pL\pN%./°=]+`)
)

// flat is a text's words alone, whatever lays them out: leaks for seeps, as owners say.
func flat(text string) string {
	text = html.UnescapeString(tags.ReplaceAllString(text, " "))
	text = seeps.ReplaceAllString(text, "leak$1")
	text = strings.ToLower(marks.ReplaceAllString(text, " "))
	return strings.TrimSpace(strings.Trim(text, ". "))
}

// missing is what a step should warn of and does not.
func missing(c diagnose.Case, s diagnose.Choice) []string {
	var list []string
	said := flat(strings.Join(s.Cautions, " "))
	need := func(words string) {
		if !regexp.MustCompile(words).MatchString(said) {
			list = append(list, words)
		}
	}
	part, known := c.Rig.Part(s.Part)
	switch s.Do {
	case diagnose.DoTest:
		need(`stay beside it`)
		if s.For == diagnose.Charge {
			need(`fuse and try a tap`)
			need(`heater off on gas and electric`)
		}
		for _, p := range c.Rig.Parts() {
			if p.Kind() == "hookup" && s.Lineup.Of(p) == network.On() {
				need(`regulator`)
				need(`overflow and vent`)
			}
		}
	case diagnose.DoSwap:
		for _, words := range []string{`fuse and try a tap`, `heater off on gas and electric`, `not by the relief lever`, `until water runs`, `sanitise`, `local codes`} {
			need(words)
		}
	case diagnose.DoLook:
		if strings.Contains(s.Words, "loosen") || strings.Contains(s.Words, ": open ") || strings.Contains(s.Words, "Pump off") {
			need(`fuse and try a tap`)
		}
	case diagnose.DoCure:
		if known && (part.Kind() == "accumulator" || part.Kind() == "heater") {
			need(`fuse and try a tap`)
		}
	}
	if known && part.Kind() == "relief valve" && s.Do != diagnose.DoTest {
		need(`never plug or defeat a relief valve`)
	}
	return list
}

// A danger judges lineups of one case.
type danger struct {
	c       diagnose.Case
	base    network.Lineup
	settled bool
	empty   map[string]bool
	model   *sim.Model
	leaders []network.Faults // of the hypotheses that are worth a twentieth
}

func newDanger(t *testing.T, c diagnose.Case, b *diagnose.Belief) *danger {
	d := &danger{c: c, empty: map[string]bool{}}
	for i, r := range c.Readings {
		if i == 0 {
			d.base = r.Lineup
		}
		if r.Heater != diagnose.HeaterUnknown {
			d.settled = r.Heater == diagnose.HeaterSettled
		}
		for _, l := range r.Level {
			if l.By == diagnose.ByLamp {
				d.empty[l.Tank] = l.Lamp == 0
			}
		}
	}
	var err error
	d.model, err = sim.Compile(c.Rig)
	require.NoError(t, err)
	for _, h := range b.Hypotheses {
		if h.Belief >= 0.05 && h.Faults != nil && len(d.leaders) < 2 {
			d.leaders = append(d.leaders, h.Faults)
		}
	}
	return d
}

// ways are the joints that water can go to from each joint at once.
func ways(parts []network.Part, l network.Lineup) map[string][]string {
	to := map[string][]string{}
	one := func(a, b string) { to[a] = append(to[a], b) }
	both := func(a, b string) { one(a, b); one(b, a) }
	for _, p := range parts {
		s := l.Of(p)
		switch p := p.(type) {
		case network.Tube:
			both(p.From, p.To)
		case network.Strainer:
			both(p.From, p.To)
		case network.Filter:
			both(p.From, p.To)
		case network.Check:
			one(p.From, p.To)
		case network.Pump:
			one(p.From, p.To)
		case network.HandPump:
			one(p.From, p.To)
		case network.Regulator:
			one(p.From, p.To)
			if !p.Check {
				one(p.To, p.From)
			}
		case network.Shutoff:
			if s.Opening() > 0 {
				both(p.From, p.To)
			}
		case network.Selector:
			for _, pos := range p.Positions {
				if pos.Name == s.Word() {
					for _, j := range pos.Joins {
						both(j[0], j[1])
					}
				}
			}
		case network.Mixer:
			if s.Word() == "hot" || s.Opening() > 0 {
				both(p.Hot, p.Spout)
			}
			if s.Word() == "cold" || s.Opening() > 0 {
				both(p.Cold, p.Spout)
			}
		}
	}
	return to
}

func reach(ways map[string][]string, from ...string) map[string]bool {
	seen := map[string]bool{}
	for len(from) > 0 {
		at := from[0]
		from = from[1:]
		if !seen[at] {
			seen[at] = true
			from = append(from, ways[at]...)
		}
	}
	return seen
}

// of is everything that speaks against a lineup that is watched for so long.
func (d *danger) of(l network.Lineup, watch time.Duration) []string {
	var list []string
	add := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	now, before := ways(d.c.Rig.Parts(), l), ways(d.c.Rig.Parts(), d.base)
	hose := false
	for _, p := range d.c.Rig.Parts() {
		switch p := p.(type) {
		case network.Pump:
			if l.Of(p) == network.On() && !d.fed(now, p.From, l) {
				add("%q runs without water", p.Name)
			}
		case network.Hookup:
			if l.Of(p) != network.On() {
				continue
			}
			hose = true
			bare := slices.DeleteFunc(d.c.Rig.Parts(), func(q network.Part) bool { return q.Kind() == "regulator" })
			at := reach(ways(bare, l), p.At)
			for _, q := range d.c.Rig.Parts() {
				switch q.(type) {
				case network.Fixture, network.Heater, network.Pump, network.Accumulator, network.Appliance:
					if slices.ContainsFunc(q.Joints(), func(j string) bool { return at[j] }) {
						add("%q is on and no regulator stands before %q", p.Name, q.ID())
					}
				}
			}
		case network.Heater:
			if p.Tankless || d.settled {
				continue
			}
			if d.vents(before, p.At) && !d.vents(now, p.At) {
				add("%q is shut in and may be hot", p.Name)
			}
			if d.wet(before, d.base)[p.At] && !d.wet(now, l)[p.At] {
				add("%q may heat without water", p.Name)
			}
		}
	}
	return append(list, d.predicted(l, hose, max(watch+2*time.Minute, 5*time.Minute))...)
}

// fed says whether a joint gets water, from a tank that is not empty or the hose.
func (d *danger) fed(ways map[string][]string, joint string, l network.Lineup) bool {
	for _, p := range d.c.Rig.Parts() {
		switch p := p.(type) {
		case network.Tank:
			if !d.empty[p.Name] && reach(ways, p.Ports...)[joint] {
				return true
			}
		case network.Hookup:
			if l.Of(p) == network.On() && reach(ways, p.At)[joint] {
				return true
			}
		}
	}
	return false
}

// vents says whether water that grows has where to go.
func (d *danger) vents(ways map[string][]string, joint string) bool {
	at := reach(ways, joint)
	return slices.ContainsFunc(d.c.Rig.Parts(), func(p network.Part) bool {
		switch p := p.(type) {
		case network.Fixture, network.Accumulator, network.AirPocket:
			return at[p.Joints()[0]]
		case network.Tank:
			return slices.ContainsFunc(p.Ports, func(j string) bool { return at[j] })
		case network.Pump:
			return at[p.To]
		}
		return false
	})
}

// wet are the joints that pumped water or the hose reaches.
func (d *danger) wet(ways map[string][]string, l network.Lineup) map[string]bool {
	var from []string
	for _, p := range d.c.Rig.Parts() {
		switch p := p.(type) {
		case network.Pump:
			from = append(from, p.To)
		case network.HandPump:
			from = append(from, p.To)
		case network.Hookup:
			if l.Of(p) == network.On() {
				from = append(from, p.At)
			}
		}
	}
	return reach(ways, from...)
}

// What simulation may be off from the closed forms that the advice is made by, and
// how far a joint may lie below a gauge.
const (
	longRun   = 90.0 // s
	shortBeat = 1.0  // s
	head      = 9810 // Pa/m
)

// predicted is what simulation finds against a lineup, with what leads leaking.
func (d *danger) predicted(l network.Lineup, hose bool, until time.Duration) []string {
	most, inlets := 0.0, map[string]bool{}
	low, high := math.Inf(1), math.Inf(-1)
	for _, j := range d.c.Rig.Joints() {
		low, high = min(low, float64(j.Z)), max(high, float64(j.Z))
	}
	for _, p := range d.c.Rig.Parts() {
		if p, ok := p.(network.Pump); ok {
			inlets[p.From] = true
			stops := p.CutOut
			if p.Hold != nil {
				stops = p.Hold.Set
			}
			most = max(most, float64(stops+5*unit.PSI)) // off now, it may have left its pressure
		}
	}
	var list []string
	for _, faults := range d.leaders {
		rec, err := d.model.Simulate(context.Background(), l, faults, sim.Options{Until: until, Samples: every(until, 60), MaxSteps: 200_000})
		if err != nil {
			continue // it is not predicted
		}
		for _, p := range d.c.Rig.Parts() {
			pump, ok := p.(network.Pump)
			if !ok || l.Of(p) != network.On() {
				continue
			}
			quick := 0
			starts, stops := rec.Starts(pump.Name), rec.Stops(pump.Name)
			for i, at := range starts {
				end := rec.Until
				if i < len(stops) {
					end = stops[i]
				}
				if end-at > longRun {
					list = append(list, fmt.Sprintf("%q would run for %.0f s", pump.Name, end-at))
				}
				if i > 0 && at-starts[i-1] < shortBeat {
					quick++
				} else {
					quick = 0
				}
				if quick == 10 {
					list = append(list, fmt.Sprintf("%q would chatter, %.2f s from start to start", pump.Name, at-starts[i-1]))
				}
			}
		}
		if !hose {
			continue // pressures as they were found: a cut-out of the rig's own
		}
		limit := max(most, float64(50*unit.PSI))
		for _, s := range rec.Samples {
			for _, j := range d.c.Rig.Joints() {
				p, ok := s.Pressure(j.Name)
				bears := limit
				if inlets[j.Name] && s.At > 60 {
					bears = float64(30 * unit.PSI)
				}
				if deeper := head * (high - float64(j.Z)); ok && float64(p) > bears+deeper+1e3 && d.behindHose(l, j.Name) {
					list = append(list, fmt.Sprintf("%q would come to %s", j.Name, unit.US.Format(p, 3)))
				}
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// behindHose says whether a joint is fed by the hose through its regulator.
func (d *danger) behindHose(l network.Lineup, joint string) bool {
	now := ways(d.c.Rig.Parts(), l)
	before := ways(slices.DeleteFunc(d.c.Rig.Parts(), func(q network.Part) bool { return q.Kind() == "regulator" }), l)
	for _, p := range d.c.Rig.Parts() {
		if p.Kind() == "hookup" && reach(before, p.Joints()...)[joint] {
			return false
		}
	}
	for _, p := range d.c.Rig.Parts() {
		h, ok := p.(network.Hookup)
		if !ok || l.Of(p) != network.On() || !reach(now, h.At)[joint] {
			continue
		}
		for _, q := range d.c.Rig.Parts() {
			if g, ok := q.(network.Regulator); ok && reach(now, g.To)[joint] {
				return true
			}
		}
	}
	return false
}

func every(until time.Duration, n int) (list []time.Duration) {
	for i := range n {
		list = append(list, until*time.Duration(i+1)/time.Duration(n))
	}
	return list
}

// anyCase is a random card: of a rig of the house or of none, with what somebody
// may have seen on it, however odd.
func anyCase(t *testing.T, seed uint64) diagnose.Case {
	g := rand.New(rand.NewPCG(seed, 8))
	var c diagnose.Case
	if g.IntN(3) > 0 {
		files, err := filepath.Glob("../../testdata/rigs/*.rig.toml")
		require.NoError(t, err)
		files = slices.DeleteFunc(files, func(name string) bool { return strings.Contains(name, "bench30") })
		c.Rig, err = rigfile.Read(files[g.IntN(len(files))])
		require.NoError(t, err)
	} else {
		r, err := rigs.Random(seed, 5+g.IntN(6))
		require.NoError(t, err)
		c.Rig = r.Rig
	}
	yes := func(p float64) bool { return g.Float64() < p }
	c.Rig = hosed(t, c.Rig, g)
	span := func(lo, hi float64) time.Duration {
		return time.Duration(lo * math.Pow(hi/lo, g.Float64()) * float64(time.Second)).Round(10 * time.Millisecond)
	}
	lineup := func() network.Lineup {
		l := network.Lineup{}
		for _, p := range c.Rig.Parts() {
			if !yes(0.3) {
				continue
			}
			switch p := p.(type) {
			case network.Shutoff:
				l[p.Name] = []network.Setting{network.Shut(), network.Open(1)}[g.IntN(2)]
			case network.Selector:
				l[p.Name] = network.At(p.Positions[g.IntN(len(p.Positions))].Name)
			case network.Hookup:
				l[p.Name] = []network.Setting{network.On(), network.Off(), network.Off(), network.Capped()}[g.IntN(4)]
			case network.Pump:
				if yes(0.2) {
					l[p.Name] = network.Off()
				}
			}
		}
		return l
	}
	told := func() diagnose.Told { return []diagnose.Told{"", "", diagnose.Yes, diagnose.No}[g.IntN(4)] }
	c.Facts = diagnose.Facts{Frozen: told(), Worked: told(), Debris: told(), Plunger: told(), Creeps: told()}
	c.Access = map[string]diagnose.Access{}
	for _, p := range c.Rig.Parts() {
		if yes(0.3) {
			c.Access[p.ID()] = diagnose.Access{Effort: []diagnose.Effort{diagnose.ByHand, diagnose.Door, diagnose.Screws, diagnose.TakeOut, diagnose.Crawl, diagnose.Cant}[g.IntN(6)]}
		}
	}
	base := lineup()
	for i := range 1 + g.IntN(3) {
		r := diagnose.Reading{Lineup: base, Heater: []diagnose.Heater{"", "", diagnose.HeaterSettled, diagnose.HeaterWarming, diagnose.HeaterCooling}[g.IntN(5)]}
		if i > 0 && yes(0.6) {
			r.Lineup = lineup()
		}
		switch g.IntN(6) {
		case 0, 1:
			r.Rest, r.Run = []diagnose.Time{{Value: span(3, 3000)}}, []diagnose.Time{{Value: span(0.3, 200)}}
		case 2:
			r.Every = []diagnose.Time{{Value: span(5, 5000)}}
		case 3:
			r.NoStart = span(120, 4000)
		case 4:
			r.Count = []diagnose.Count{{Starts: 1 + g.IntN(20), Within: span(600, 40000)}}
		case 5:
			r.NeverStops = span(60, 600)
		}
		if yes(0.3) {
			r.Cup = []unit.Uncertain[unit.Volume]{{Value: unit.Volume(5e-6 * math.Pow(100, g.Float64()))}}
		}
		for _, p := range c.Rig.Parts() {
			if k, ok := p.(network.Tank); ok && yes(0.3) {
				r.Level = append(r.Level, diagnose.Level{Tank: k.Name, By: diagnose.ByLamp, Lamp: []float64{0, 1. / 3, 2. / 3, 1}[g.IntN(4)]})
			}
		}
		c.Readings = append(c.Readings, r)
	}
	return c
}

// hosed is a rig whose regulators may be set too high, and which may have a hose on
// its pump's suction.
func hosed(t *testing.T, rig *network.Rig, g *rand.Rand) *network.Rig {
	high, suction := g.Float64() < 0.3, g.Float64() < 0.2
	var items []network.Item
	for _, j := range rig.Joints() {
		items = append(items, j)
	}
	for _, p := range rig.Parts() {
		if r, ok := p.(network.Regulator); ok && high {
			r.Set = unit.Pressure(25+50*g.Float64()) * unit.PSI
			p = r
		}
		if h, ok := p.(network.Hookup); ok && high {
			h.Static = 90 * unit.PSI
			p = h
		}
		if p, ok := p.(network.Pump); ok && suction {
			suction = false
			items = append(items,
				network.Hookup{Name: "second hose", At: "second inlet", Static: 60 * unit.PSI},
				network.Regulator{Name: "second regulator", From: "second inlet", To: "second regulated", Set: unit.Pressure(15+30*g.Float64()) * unit.PSI, Droop: 5 * unit.PSI},
				network.Check{Name: "second inlet check", From: "second regulated", To: p.From})
		}
		items = append(items, p)
	}
	hosed, err := network.New(rig.Name(), items...)
	require.NoError(t, err)
	return hosed
}
