package yours

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
	"quietpump/sim/report"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

func begun(t *testing.T) *Chapter {
	t.Helper()
	c, err := New()
	require.NoError(t, err)
	c.open = func(name string) ([]byte, error) { return nil, errors.New(name + " is not there") }
	return c
}

func do(c *Chapter, what, arg string, at ...float64) {
	e := sheet.Event{Do: what, Arg: arg, At: c.now}
	if len(at) > 0 {
		e.At = after(at[0])
	}
	c.Do(e)
}

// worked lets the chapter work until nothing is left to do.
func worked(c *Chapter) {
	for c.Advance(c.now, 0) {
	}
}

func shown(c *Chapter) sheet.Sheet { return c.Sheet(frame.Look{}) }

// words are all words of a note, without its pictures.
func words(s sheet.Sheet) string {
	s.Blocks = slices.Clone(s.Blocks)
	for i, b := range s.Blocks {
		switch b := b.(type) {
		case sheet.Picture:
			s.Blocks[i] = sheet.Picture{}
		case sheet.Choice:
			b.Picture = ""
			s.Blocks[i] = b
		}
	}
	line, _ := s.Line()
	return strings.ReplaceAll(line, "\u00A0", " ")
}

// library is the answer of the library itself to a case.
func library(t *testing.T, c diagnose.Case) *diagnose.Belief {
	t.Helper()
	b, err := diagnose.From(t.Context(), c, diagnose.Options{})
	require.NoError(t, err)
	return b
}

// An owner taps three starts, answers every question and takes two free looks.
func owner(t *testing.T) *Chapter {
	c := begun(t)
	for _, s := range []float64{0, 95, 191} {
		do(c, "heard", "", s)
	}
	worked(c)
	do(c, "next", "")
	for _, q := range questions {
		require.Equal(t, q.Ask, shown(c).Title)
		answer := no
		if q.taken {
			answer = yes
		}
		do(c, "answer", answer)
	}
	require.Equal(t, "Free looks first", shown(c).Title)
	do(c, "look "+round, no)
	do(c, "look toilet valve", no)
	do(c, "heater", string(diagnose.HeaterSettled))
	do(c, "fact frozen", yes)
	do(c, "next", "")
	worked(c)
	return c
}

func TestFromTheFirstTapToTheAnswer(t *testing.T) {
	c := begun(t)
	s := shown(c)
	assert.IsType(t, sheet.Tap{}, s.Blocks[1], "no set-up: the button is there")
	do(c, "heard", "", 0)
	do(c, "heard", "", 95)
	worked(c)
	s = shown(c)
	assert.Equal(t, "It starts every 95 s", s.Title)
	assert.Contains(t, words(s), "gets away. Assumed, not known")
	assert.Contains(t, c.Effects(), desk.Effect{Do: "awake", Name: "on"})

	c = owner(t)
	want := library(t, diagnose.Case{Rig: c.rig(), Facts: diagnose.Facts{Frozen: diagnose.Yes}, Readings: []diagnose.Reading{{
		Lineup: network.Lineup{"hose inlet": network.Off()}, When: bay.Truncate(time.Second), Began: diagnose.AtStart, Heater: diagnose.HeaterSettled,
		Every: []diagnose.Time{{Value: 95 * time.Second}, {Value: 96 * time.Second}},
		Look:  []diagnose.Look{{At: round, For: diagnose.LeftOn, Saw: diagnose.No}, {At: "toilet valve", For: diagnose.Drip, Saw: diagnose.No}},
	}}})
	assert.Equal(t, want, c.belief(), "the answer is the library's own")
	title, _, err := report.Sections(c.told(), unit.US)
	require.NoError(t, err)
	s = shown(c)
	assert.Equal(t, title, s.Title)
	require.NotNil(t, s.Next)
	assert.Contains(t, words(s), strings.ReplaceAll(owners(stopped(want.Next[0].Words)), `"`, `\"`))
	assert.Contains(t, c.Effects(), desk.Effect{Do: "awake", Name: "off"})
}

// In slices, as the page works, it is the same belief and the same report.
func TestSlicesChangeNothing(t *testing.T) {
	c := owner(t)
	d := owner(t)
	d.work, d.asOf, d.dirty = nil, "", true
	n := 0
	for d.Advance(d.now, time.Millisecond) {
		n++
	}
	assert.Greater(t, n, 3, "it was worked out in slices")
	assert.Equal(t, c.belief(), d.belief())
	var a, b strings.Builder
	require.NoError(t, report.Text(&a, c.told(), unit.US))
	require.NoError(t, report.Text(&b, d.told(), unit.US))
	assert.Equal(t, a.String(), b.String())
}

// Each card of testdata, dropped on the page, gets the library's answer.
func TestACardGetsTheLibrarysAnswer(t *testing.T) {
	files, err := filepath.Glob("../../../testdata/cards/*.card.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files[:min(len(files), 2)] {
		card, err := jobcard.Read(file)
		require.NoError(t, err)
		text := jobcard.Marshal(&jobcard.Card{Case: card.Case}) // with its rig in it
		c := begun(t)
		c.open = func(string) ([]byte, error) { return text, nil }
		do(c, "file", "/in/"+filepath.Base(file))
		require.Empty(t, c.problem, file)
		worked(c)
		again, err := jobcard.Parse("again", text, nil)
		require.NoError(t, err)
		want := library(t, again.Case)
		got := c.belief()
		require.NotNil(t, got, file)
		require.Equal(t, len(want.Hypotheses), len(got.Hypotheses))
		for i := range want.Hypotheses {
			assert.Equal(t, want.Hypotheses[i].Name, got.Hypotheses[i].Name)
			assert.Equal(t, want.Hypotheses[i].Belief, got.Hypotheses[i].Belief)
		}
		assert.Equal(t, want.Next, got.Next)
	}
}

// A card goes out and comes back with nothing changed.
func TestTheCardGoesOutAndComesBack(t *testing.T) {
	c := owner(t)
	c.Effects()
	do(c, "give", "card")
	out := c.Effects()
	require.Len(t, out, 1)
	assert.Equal(t, "save", out[0].Do)
	d := begun(t)
	d.open = func(string) ([]byte, error) { return out[0].Data, nil }
	do(d, "file", "/in/water-system.card.toml")
	require.Empty(t, d.problem)
	worked(d)
	assert.Equal(t, c.belief().Hypotheses, d.belief().Hypotheses)
	assert.Equal(t, c.belief().Next, d.belief().Next)
	do(d, "give", "card")
	assert.Equal(t, string(out[0].Data), string(d.Effects()[0].Data))

	// And the page to print, save and send is the library's.
	for what, as := range map[string]func(*strings.Builder) error{
		"print": func(b *strings.Builder) error { return report.HTML(b, c.told(), unit.US) },
		"page":  func(b *strings.Builder) error { return report.HTML(b, c.told(), unit.US) },
		"share": func(b *strings.Builder) error { return report.Text(b, c.told(), unit.US) },
	} {
		do(c, "give", what)
		e := c.Effects()
		require.Len(t, e, 1, what)
		var b strings.Builder
		require.NoError(t, as(&b))
		assert.Equal(t, b.String(), string(e[0].Data), what)
	}
}

// What cannot be used says all that is wrong, and changes nothing.
func TestBadFiles(t *testing.T) {
	c := owner(t)
	before, err := c.Keep()
	require.NoError(t, err)
	for name, tt := range map[string]struct {
		text string
		says []string
	}{
		"bad.rig.toml":     {"rig.name = \"x\"\n[[pump]]\nname = \"pump\"\nfrom = \"a\"\nto = \"b\"\ncut_in = \"50\"\nlenght = \"2 ft\"\n", []string{"missing unit", "lenght"}},
		"bad.card.toml":    {"rig = \"coach.rig.toml\"\n[[reading]]\nrest = \"95\"\n", []string{"coach.rig.toml", "missing unit"}},
		"no-pump.rig.toml": {"rig.name = \"x\"\n[[hookup]]\nname = \"hose\"\nat = \"a\"\n[[faucet]]\nname = \"tap\"\nat = \"b\"\n[[line]]\nname = \"l\"\nfrom = \"a\"\nto = \"b\"\n", []string{"no pump"}},
		"photo.jpg":        {"\xff\xd8\xff", []string{"photo.jpg"}},
	} {
		c.open = func(at string) ([]byte, error) {
			if at == "/in/"+name {
				return []byte(tt.text), nil
			}
			return nil, os.ErrNotExist
		}
		do(c, "file", "/in/"+name)
		text := words(shown(c))
		for _, say := range tt.says {
			assert.Contains(t, text, say, name)
		}
		after, err := c.Keep()
		require.NoError(t, err)
		assert.Equal(t, string(before), string(after), name)
	}
}

// A rig file takes the questions' place, and the taps stay.
func TestARigFileTakesTheQuestionsPlace(t *testing.T) {
	data, err := house("twopath")
	require.NoError(t, err)
	c := begun(t)
	do(c, "heard", "", 0)
	do(c, "heard", "", 95)
	c.open = func(string) ([]byte, error) { return data, nil }
	do(c, "file", "/in/twopath.rig.toml")
	require.Empty(t, c.problem)
	assert.Equal(t, "Two-path coach", c.rig().Name())
	assert.Len(t, c.ear.Taps, 2)
	do(c, "next", "")
	assert.Equal(t, "Free looks first", shown(c).Title)
	do(c, "next", "")
	worked(c)
	assert.Equal(t, library(t, c.job.thecase()), c.belief())
	require.NoError(t, begun(t).Follow(desk.Link{Rig: "camper"}))
	assert.Error(t, begun(t).Follow(desk.Link{Rig: "yacht"}))
}

// All that was told and tapped survives a closed tab, on every page.
func TestKeepsItsPlace(t *testing.T) {
	same := func(c *Chapter) {
		t.Helper()
		data, err := c.Keep()
		require.NoError(t, err)
		d := begun(t)
		require.NoError(t, d.Restore(data))
		d.now = c.now
		worked(c)
		worked(d)
		d.said, c.said = "", ""
		assert.Equal(t, words(shown(c)), words(shown(d)), c.page)
		again, err := d.Keep()
		require.NoError(t, err)
		assert.Equal(t, string(data), string(again))
		assert.Equal(t, c.ear, d.ear)
	}
	c := begun(t)
	same(c)
	do(c, "both", "both")
	do(c, "heard", "", 0)
	same(c)
	do(c, "heard", "", 2)
	do(c, "missed", "")
	do(c, "heard", "", 192)
	same(c)
	do(c, "next", "")
	do(c, "answer", cant)
	same(c)
	c = owner(t)
	same(c)
	for _, page := range []string{atCard, atLooks} {
		do(c, "go", page)
		same(c)
	}
	do(c, "kind", "gauge")
	do(c, "blank first", "45 psi")
	do(c, "go", atEnter)
	same(c)
	do(c, "go", atAnswer)
	worked(c)
	do(c, "next", "")
	same(c)
	kept, _ := c.Keep()
	for _, bad := range []string{``, `{`, `{"page":"attic"}`, `{"page":"start","card":"[[reading]]\nrest = 3"}`} {
		require.Error(t, c.Restore([]byte(bad)), bad)
		now, _ := c.Keep()
		assert.Equal(t, string(kept), string(now))
	}
}

// A valve that is never to be turned so is not, and the reason is told.
func TestRefusedValvesAreNotTurned(t *testing.T) {
	c := begun(t)
	for _, q := range questions {
		c.job.answer(q.Key, yes)
	}
	do(c, "go", atEnter)
	do(c, "kind", "rest")
	do(c, "turn", "heater inlet valve")
	first := c.lineup().String()
	do(c, "turn", "heater outlet valve")
	if !strings.Contains(words(shown(c)), "Never") {
		t.Fatalf("%s, then %s: nothing was refused", first, c.lineup())
	}
	assert.Equal(t, first, c.lineup().String())
	// Off and cold it may be.
	c.job.Heater = diagnose.HeaterSettled
	c.job.Read = []diagnose.Reading{{Lineup: c.base()}}
	do(c, "turn", "heater inlet valve")
	do(c, "turn", "heater outlet valve")
	assert.Empty(t, c.problem)
}

// A step that is advised is done, and what was seen is on the card.
func TestStepsAreDone(t *testing.T) {
	c := owner(t)
	for i := range 5 {
		b := c.belief()
		require.NotNil(t, b, "step %d: %s", i, c.problem)
		if len(b.Next) == 0 {
			break
		}
		n := b.Next[0]
		reads, dones := len(c.job.Read), len(c.job.Done)
		do(c, "next", "")
		s := shown(c)
		require.NotEmpty(t, s.Title)
		for _, caution := range n.Cautions {
			assert.Contains(t, words(s), strings.ReplaceAll(owners(caution), `"`, `\"`), n.Words)
		}
		at := c.now.Sub(bay).Seconds() + 60
		switch {
		case n.Do == diagnose.DoQuiet, n.Do == diagnose.DoTest && n.For == diagnose.AtPumps:
			do(c, "heard", "", at)
			assert.True(t, slices.ContainsFunc(shown(c).Blocks, func(b sheet.Block) bool { _, ok := b.(sheet.Countdown); return ok }), "a countdown to an instant")
			c.Advance(after(at+c.step.Watch.Seconds()+1), 0)
			do(c, "next", "")
		case n.Do == diagnose.DoTest:
			for _, x := range mustKind(t, c.enter.Kind).blanks {
				v := x.Hint[0]
				if x.pick != nil {
					v = x.pick(c.rig())[0]
				}
				do(c, "blank "+x.Key, v)
			}
			do(c, "next", "")
		case n.Do == diagnose.DoLook:
			do(c, "did", no)
		default:
			do(c, "did", string(diagnose.Same))
		}
		require.Empty(t, c.problem, n.Words)
		assert.Greater(t, len(c.job.Read)+len(c.job.Done), reads+dones, n.Words)
		worked(c)
	}
	assert.Equal(t, library(t, c.job.thecase()), c.belief())
}

// Where nobody can get to look nobody is sent again.
func TestWhatCannotBeSeenIsNotAdvisedAgain(t *testing.T) {
	c := owner(t)
	n := c.belief().Next[0]
	require.Equal(t, diagnose.DoLook, n.Do)
	do(c, "next", "")
	do(c, "did", cant)
	worked(c)
	assert.NotEqual(t, n.Words, c.belief().Next[0].Words)
	assert.Equal(t, library(t, c.job.thecase()), c.belief())
}

// With the hose on it is the tank that tells, and the pump is off.
func TestOnTheHose(t *testing.T) {
	c := begun(t)
	do(c, "what", tankRises)
	assert.Contains(t, words(shown(c)), "never leave it or sleep on it")
	do(c, "level", "level")
	for blank, v := range map[string]string{"tank": "fresh tank", "first": "7", "later": "7.5", "after": "60"} {
		do(c, "blank "+blank, v)
	}
	do(c, "next", "")
	require.Empty(t, c.problem)
	worked(c)
	assert.Equal(t, network.Lineup{"hose inlet": network.On(), "pump": network.Off()}, c.job.base())
	assert.Equal(t, diagnose.Yes, c.job.Facts.Creeps)
	assert.Equal(t, library(t, c.job.thecase()), c.belief())

	c = begun(t)
	do(c, "what", reliefDrips)
	do(c, "heater", string(diagnose.HeaterWarming))
	do(c, "next", "")
	assert.Equal(t, []diagnose.Look{{At: "relief valve", For: diagnose.Drip, Saw: diagnose.Yes}}, c.job.Read[0].Look)
	assert.Equal(t, diagnose.HeaterWarming, c.job.thecase().Readings[0].Heater)

	c = begun(t)
	do(c, "hose", "on")
	do(c, "heard", "", 0)
	do(c, "heard", "", 95)
	worked(c)
	assert.Empty(t, c.problem, "a pump that starts has power, hose or not")
}

func mustKind(t *testing.T, key string) kind {
	t.Helper()
	k, ok := kindOf(key)
	require.True(t, ok, key)
	return k
}

// On every page the note is in the owner's words.
func TestWords(t *testing.T) {
	c := owner(t)
	for _, page := range pages {
		c.goTo(page)
		c.dirty = true
		worked(c)
		for _, k := range append([]kind{{}}, kinds...) {
			if k.Key != "" && page != atEnter {
				continue
			}
			c.enter.Kind = k.Key
			for _, look := range []frame.Look{{}, {Units: unit.Metric}} {
				s := c.Sheet(look)
				assert.NotEmpty(t, s.Title, page)
				assert.NotEmpty(t, s.Say, page)
				for _, word := range []string{"error", "invalid", "please", "nan\"", "inf ", "seep"} {
					assert.False(t, strings.Contains(strings.ToLower(words(s)), strings.ToLower(word)), "%s %s: %s", page, k.Key, word)
				}
			}
		}
	}
	for _, x := range sections {
		c.section, c.page = x.ID, atSection
		s := shown(c)
		assert.Equal(t, "Back to the answer", s.Next.Text)
		if x.ID == "cautions" {
			for _, caution := range report.Cautions() {
				assert.Contains(t, words(s), strings.ReplaceAll(owners(string(caution)), `"`, `\"`))
			}
		}
	}
}
