package repair

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// steps puts the worksheet in order.
func (j Job) steps(rig *network.Rig, w *Worksheet) []Step {
	var steps []Step
	add := func(words string, cautions ...Caution) { steps = append(steps, Step{Words: words, Cautions: cautions}) }
	part, _ := rig.Part(w.Part)
	heater, hookup := j.has("heater"), j.has("hookup")

	if j.has("pump") {
		add("Pump off.", PullFuse)
	}
	if heater {
		cautions := []Caution{HeaterOff}
		if part.Kind() == "relief valve" {
			cautions = append(cautions, NeverPlug)
		}
		add("Heater off, and wait until it is cool.", cautions...)
	}
	if hookup {
		add("Shut the spigot, then take the hose off.")
	}
	for i, r := range w.Relieve {
		what := "Open " + r.Open
		if i == 0 {
			what += " to let the pressure out"
		}
		if r.Water > 5*unit.Millilitre {
			what += ": about " + amount(r.Water) + " come out"
		}
		add(what + ". Leave it open, so that air gets in.")
	}
	if len(w.Relieve) == 0 {
		add("No tap on this rig lets the pressure out here. Loosen the connection slowly under a rag, and let it weep until it stops.", NotUnder)
	}
	var stand, set []string // as they must already, and anew
	for _, name := range w.Closing {
		p, _ := rig.Part(name)
		to := w.Close[name]
		switch {
		case p.Kind() == "hookup": // off already
		case j.Lineup.Of(p) == to:
			stand = append(stand, name+" "+to.String())
		default:
			set = append(set, name)
		}
	}
	var words []string
	if len(stand) > 0 {
		words = append(words, "See that these stand as they should: "+strings.Join(stand, ", ")+".")
	}
	for i, name := range set {
		then := "Set "
		if i > 0 {
			then = "Then set "
		}
		words = append(words, then+name+" to "+w.Close[name].String()+".")
	}
	switch {
	case len(words) > 0 && j.shutsHeaterIn(rig, w.Close):
		add(strings.Join(words, " ")+" That shuts the heater in: only off, cold and with the pressure out.", HeaterOff)
	case len(words) > 0:
		add(strings.Join(words, " "))
	}
	tanks := unit.Volume(0)
	for _, o := range w.Openings {
		tanks += o.FromTanks
	}
	if !w.Parted && tanks > 0 {
		add("No valves part this from the tank. Draw the tank down first, by up to " + amount(tanks) + ": until it stands below the opening.")
	}
	for _, o := range w.Openings {
		water := o.Water + o.FromTanks
		if water < 5*unit.Millilitre {
			continue
		}
		var parts []string
		if o.Water >= 5*unit.Millilitre {
			parts = append(parts, amount(o.Water))
		}
		if o.FromTanks > 0 {
			parts = append(parts, amount(o.FromTanks)+" from "+strings.Join(o.Tanks, " and "))
		}
		words := fmt.Sprintf("At the end by %q up to %s run out", o.Joint, strings.Join(parts, " and "))
		if o.Heater {
			words += "; the heater's water is in it, so drain the heater first"
		}
		add(words + ". Have a bucket that holds it.")
	}
	j.makeSteps(add, part, w)
	back := ""
	if len(set) > 0 {
		back = "Set " + strings.Join(set, ", ") + " back as before, slowly, the pump's suction first. "
	}
	if !w.Parted && tanks > 0 {
		back += "Fill the tank: the pump must not run dry. "
	}
	add(back+"Shut the taps and drains. Put a dry paper under each connection. Then put the fuse in, let the pump fill the lines, and bleed each tap until it runs without spitting.", NotUnder)
	if heater {
		add("Fill the heater: open a hot tap until water runs from it.", HeaterOn)
	}
	j.sanitiseSteps(add, w)
	if w.Hold != nil {
		add(fmt.Sprintf("Prove it: %s of quiet shows, at 95 %%, that less than a tenth of the seep is left.", short(w.Hold.Quiet)))
		steps = append(steps, w.Hold.Steps...)
	}
	add("Keep the old part until it is proved.", LastWord)
	return steps
}

// makeSteps tells the work itself.
func (j Job) makeSteps(add func(string, ...Caution), part network.Part, w *Worksheet) {
	for _, t := range w.Tube {
		if t.Whole {
			add(fmt.Sprintf("Cut new %s %s, %s long, for %s; measure the old one end to end, and go by that.", t.Size, strings.ToUpper(t.Material), lengthWords(t.Length), t.For))
			continue
		}
		add(fmt.Sprintf("Cut %s square %s behind the part, and a new piece of %s %s, %s long: the gap less the coupling's shoulder. Measure the gap, and go by that.",
			t.For, lengthWords(stub), t.Size, strings.ToUpper(t.Material), lengthWords(t.Length)))
	}
	bench := 0
	for _, c := range w.Connections {
		bench += c.Bench
	}
	if bench > 0 {
		add(fmt.Sprintf("On the bench: slide the rings on first, push each tube home, and squeeze %s at the new part's side. Try the gauge on each.", ringsOf(bench)), PotableOnly)
	}
	turn := "turn the part the way it goes"
	switch part.(type) {
	case network.Shutoff, network.Selector, network.Mixer, network.Drain:
		turn = "turn the handle so that it can move"
	case network.Check, network.Pump, network.Regulator, network.Strainer, network.Filter:
		turn = "turn the part's arrow with the flow"
	}
	potable := []Caution{PotableOnly} // once, beside the first connection
	if bench > 0 {
		potable = nil
	}
	for _, c := range w.Connections {
		if !c.Last && c.Rings > c.Bench {
			add(fmt.Sprintf("In place: the connection to %s, %s. %s.", c.To, ringsOf(c.Rings-c.Bench), upper(c.Tools)), potable...)
			potable = nil
		} else if c.Rings == 0 {
			add(fmt.Sprintf("In place: the connection to %s. %s.", c.To, upper(c.Tools)), potable...)
			potable = nil
		}
	}
	if i := slices.IndexFunc(w.Connections, func(c Connection) bool { return c.Last }); i >= 0 {
		c := w.Connections[i]
		add(fmt.Sprintf("Before the last ring %s, and each ring's nub where the tool can take it. Then the last ring, at %s, where the tool reaches.", turn, c.To), potable...)
		add("Try GO/NO-GO on every ring. Too loose: set the tool exactly as before and squeeze again. Too tight: cut it out.")
	} else {
		add("Before the last connection is tight "+turn+".", potable...)
	}
}

// sanitiseSteps tells the dose.
func (j Job) sanitiseSteps(add func(string, ...Caution), w *Worksheet) {
	if len(w.Doses) == 0 {
		return
	}
	var doses []string
	for _, d := range w.Doses {
		doses = append(doses, fmt.Sprintf("%s of %.4g %%", amount(d.Bleach), 100*d.Strength))
	}
	words := fmt.Sprintf("Sanitise: for %s, a full tank, plain unscented bleach, %s, stirred into a bucket first: 50 mg/L. Draw it to every tap, hot ones too, and leave it for 4 hours or more.", amount(w.Dosed), strings.Join(doses, " or "))
	if j.has("filter") {
		words += " Take filter cartridges out before, and put new ones in afterwards."
	}
	if j.has("heater") {
		words += " The heater stays off; whether the dose goes through it is for its maker to say."
	}
	add(words+" Then empty, fill and flush until no more than 4 mg/L is left.", Chlorine)
}

// shutsHeaterIn says whether the valves as set part a heater from every tap.
func (j Job) shutsHeaterIn(rig *network.Rig, set network.Lineup) bool {
	for _, s := range rig.Sections(set) {
		heater, out := false, len(s.Pumps)+len(s.Hookups)+len(s.Tanks) > 0
		for _, name := range s.Parts {
			p, _ := rig.Part(name)
			switch p.Kind() {
			case "heater":
				heater = true
			case "fixture", "mixer", "drain", "appliance":
				out = true
			}
		}
		if heater && !out {
			return true
		}
	}
	return false
}

func upper(words string) string { return strings.ToUpper(words[:1]) + words[1:] }

func ringsOf(n int) string {
	if n == 1 {
		return "one ring"
	}
	return fmt.Sprintf("%d rings", n)
}

// amount says a volume in both systems: the sheet is read at the vehicle.
func amount(v unit.Volume) string {
	return unit.US.Format(v, 2) + " (" + unit.Metric.Format(v, 2) + ")"
}

func lengthWords(l unit.Length) string {
	return Tape(unit.US, l) + " (" + Tape(unit.Metric, l) + ")"
}

// Tape is a length as a tape measure reads it: to the millimetre, or to an eighth of an
// inch, "5 7/8 in". From four feet on it is told as other lengths are, for nobody cuts
// that closely.
func Tape(sys unit.System, l unit.Length) string {
	if sys != unit.US || l >= 4*unit.Foot {
		return sys.Format(l, 3)
	}
	eighths := int(math.Round(float64(l / (unit.Inch / 8))))
	whole, part := eighths/8, eighths%8
	if part == 0 {
		return fmt.Sprintf("%d in", whole)
	}
	over := 8
	for part%2 == 0 {
		part, over = part/2, over/2
	}
	if whole == 0 {
		return fmt.Sprintf("%d/%d in", part, over)
	}
	return fmt.Sprintf("%d %d/%d in", whole, part, over)
}
