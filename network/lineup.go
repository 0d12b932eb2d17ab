package network

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A Lineup is how everything a hand can move stands, by part name. A part that
// is not named stands as nobody had touched it: shutoffs and selectors as their
// rig says, pumps powered, taps, drains and appliances shut, the hookup off.
type Lineup map[string]Setting

// A Setting is how one part stands. The zero Setting is "untouched".
type Setting struct {
	word    string  // "", "shut", "open", "on", "off", "capped", "shut at spigot", or a position's name
	opening float64 // 0 to 1, with word "open"
}

// Shut closes a shutoff, tap, drain, appliance or mixer.
func Shut() Setting { return Setting{word: "shut"} }

// Open opens a shutoff, tap, drain, appliance or mixer to a fraction of its travel.
func Open(fraction float64) Setting { return Setting{word: "open", opening: fraction} }

// On powers a pump, or puts the hookup on.
func On() Setting { return Setting{word: "on"} }

// Off cuts a pump's power, or takes the hose off and leaves the inlet open to the air.
func Off() Setting { return Setting{word: "off"} }

// Capped closes a hookup with a cap.
func Capped() Setting { return Setting{word: "capped"} }

// ShutAtSpigot leaves the hose on and shuts the spigot.
func ShutAtSpigot() Setting { return Setting{word: "shut at spigot"} }

// At turns a selector, or a mixer's handles ("hot", "cold"), to a position.
func At(position string) Setting { return Setting{word: position} }

// Word is the setting's word as rig and card files write it.
func (s Setting) Word() string { return s.word }

// Opening is the fraction of travel of an open part, 0 to 1.
func (s Setting) Opening() float64 { return s.opening }

// Of returns how a part stands: as the lineup says, or where it does not say, as
// nobody had touched it: a shutoff as its rig says, a selector in its first
// position, a pump on, fixtures, drains, appliances and mixers shut, a hookup
// off. Other words for a setting become the setting itself ("on" for a tap is
// open). A setting that the part does not have counts as untouched;
// [Rig.CheckLineup] finds it.
func (l Lineup) Of(p Part) Setting {
	if s, ok := p.stands(l[p.ID()]); ok {
		return s
	}
	s, _ := p.stands(Setting{})
	return s
}

// CheckLineup returns [Problems] where the lineup names a part that the rig has
// not, or sets one as it cannot stand; else nil.
func (r *Rig) CheckLineup(l Lineup) error {
	var ps Problems
	for _, name := range slices.Sorted(maps.Keys(l)) {
		p, ok := r.Part(name)
		if !ok {
			ps = append(ps, Problem{Kind: "lineup of", Part: name, What: "the rig has no such part" + didYouMean(name, r.partNames()), Fix: "name a part of the rig"})
			continue
		}
		if s := l[name]; !canStand(p, s) {
			what, fix := fmt.Sprintf("it cannot stand %q", s.String()), "a "+p.Kind()+" is not moved by hand: leave it out"
			if can := settingsOf(p); len(can) > 0 {
				fix = "set it to " + strings.Join(can, ", ")
			}
			if p.Kind() == "selector" {
				what += didYouMean(s.word, settingsOf(p))
			}
			ps = append(ps, Problem{Kind: p.Kind(), Part: name, What: what, Fix: fix})
		}
	}
	return ps.Err()
}

func canStand(p Part, s Setting) bool {
	_, ok := p.stands(s)
	return ok
}

// settingsOf lists the settings a part has, in words.
func settingsOf(p Part) []string {
	if sel, ok := p.(Selector); ok {
		var names []string
		for _, pos := range sel.Positions {
			names = append(names, pos.Name)
		}
		return names
	}
	var can []string
	for _, s := range []Setting{Open(1), Open(0.5), Shut(), On(), Off(), Capped(), ShutAtSpigot(), At("hot"), At("cold")} {
		if to, ok := p.stands(s); ok && to == s { // its own word, not another's
			can = append(can, s.String())
		}
	}
	return can
}

// String writes the setting as [ParseLineup] reads it.
func (s Setting) String() string {
	switch {
	case s.word == "":
		return "untouched"
	case s.word != "open":
		return quoted(s.word)
	case s.opening == 1:
		return "open"
	case s.opening == 0.5:
		return "half"
	}
	return percent(s.opening) + " %"
}

// percent writes a fraction in hundredths with as few digits as give it back.
func percent(x float64) string {
	for _, near := range []float64{100 * x, math.Nextafter(100*x, 0), math.Nextafter(100*x, 200)} {
		for digits := 1; digits <= 17; digits++ {
			text := strconv.FormatFloat(near, 'g', digits, 64)
			if back, err := strconv.ParseFloat(text, 64); err == nil && back/100 == x {
				return strconv.FormatFloat(back, 'g', -1, 64)
			}
		}
	}
	return strconv.FormatFloat(100*x, 'g', 17, 64)
}

// String writes the lineup as [ParseLineup] reads it, in order of part.
func (l Lineup) String() string {
	var list []string
	for _, name := range slices.Sorted(maps.Keys(l)) {
		list = append(list, quoted(name)+"="+l[name].String())
	}
	return strings.Join(list, ", ")
}

// ParseLineup reads how the valves stand, as people write it:
//
//	fill valve=shut, hookup=on, galley tap=half, outside tap=30 %
//
// The settings are open, half, quarter or a percentage, shut, on, off, capped,
// "shut at spigot", untouched, and the name of a selector's position; closed
// means shut and full means open. A name with a comma or equals sign in it
// stands in double quotes. Whether the rig has such parts and settings is for
// [Rig.CheckLineup] to say, and for [Rig.Lineup], which does both.
func ParseLineup(text string) (Lineup, error) {
	l := Lineup{}
	for _, entry := range split(text, ",;\n") {
		if strings.TrimSpace(entry) == "" {
			continue
		}
		halves := split(entry, "=")
		if len(halves) != 2 {
			return nil, fmt.Errorf("lineup %q: want one part=setting, such as \"fill valve=shut\"", strings.TrimSpace(entry))
		}
		name, err := unquoted(halves[0])
		if err != nil || name == "" {
			return nil, fmt.Errorf("lineup %q: no part before the equals sign", strings.TrimSpace(entry))
		}
		if _, twice := l[name]; twice {
			return nil, fmt.Errorf("lineup: %q is set twice; say it once", name)
		}
		if l[name], err = parseSetting(halves[1]); err != nil {
			return nil, fmt.Errorf("lineup: %q: %w", name, err)
		}
	}
	return l, nil
}

// settingWords are the words of people for settings.
var settingWords = map[string]Setting{
	"open": Open(1), "opened": Open(1), "full": Open(1), "fully open": Open(1),
	"half": Open(0.5), "half open": Open(0.5), "quarter": Open(0.25), "quarter open": Open(0.25),
	"shut": Shut(), "closed": Shut(), "close": Shut(),
	"on": On(), "off": Off(), "capped": Capped(), "cap": Capped(),
	"shut at spigot": ShutAtSpigot(), "shut at the spigot": ShutAtSpigot(), "spigot shut": ShutAtSpigot(), "spigot closed": ShutAtSpigot(),
	"untouched": {},
}

func parseSetting(text string) (Setting, error) {
	word, err := unquoted(text)
	if err != nil {
		return Setting{}, err
	}
	if strings.HasPrefix(strings.TrimSpace(text), `"`) && word != "" && unprintable(word) == "" {
		return At(word), nil // in quotes it is a position, whatever the word
	}
	if s, ok := settingWords[strings.ToLower(word)]; ok {
		return s, nil
	}
	if number, ok := strings.CutSuffix(word, "%"); ok {
		x, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if err != nil || !(x >= 0 && x <= 100) {
			return Setting{}, fmt.Errorf("opening %q: want 0 to 100 %%", word)
		}
		return Open(x / 100), nil
	}
	if word == "" {
		return Setting{}, fmt.Errorf("no setting after the equals sign")
	}
	if what := unprintable(word); what != "" {
		return Setting{}, fmt.Errorf("setting %q %s", word, what)
	}
	return At(word), nil
}

// Lineup reads a lineup as [ParseLineup] does and fits it to the rig: a part may
// be called in other case, or by its kind or the owner's word for it ("city
// water", "pump") where the rig has one of that kind. The error lists what the
// rig does not have.
func (r *Rig) Lineup(text string) (Lineup, error) {
	read, err := ParseLineup(text)
	if err != nil {
		return nil, err
	}
	l := Lineup{}
	for _, name := range slices.Sorted(maps.Keys(read)) {
		known := r.known(name)
		if _, twice := l[known]; twice {
			return nil, fmt.Errorf("lineup: %q is set twice; say it once", known)
		}
		l[known] = read[name]
		if p, ok := r.Part(known); ok && canStand(p, read[name]) {
			l[known], _ = p.stands(read[name])
		}
	}
	return l, r.CheckLineup(l)
}

// known is the part's name that people mean by a word, or else the word.
func (r *Rig) known(word string) string {
	if _, ok := r.Part(word); ok {
		return word
	}
	for _, p := range r.parts {
		if strings.EqualFold(p.ID(), word) {
			return p.ID()
		}
	}
	if kind, ok := KindOf(word); ok && len(r.kinds[kind]) == 1 {
		return r.parts[r.kinds[kind][0]].ID()
	}
	return word
}
