package network

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// ParseFault reads what is wrong, as people write it:
//
//	fill valve: 55 mL/min at 45 psi, orifice
//	selector tank-hose: 20 mL/min at 45 psi
//	accumulator: precharge 0 psi
//	pump: cut-in 25 psi, cut-out 40 psi
//	pump: 70 % speed
//	tee: air 200 mL
//
// Before the colon stands the part or joint, and for a selector or mixer two of
// its ports. A name with a comma, colon or equals sign stands in double quotes,
// and so does one whose last word has a hyphen, lest it be read as two ports.
// Seeps are those of [hydraulics.ParseSeep], or with an exponent told as "n 0.7".
// "starts at" and "stops at" serve for cut-in and cut-out. Whether the rig has
// such a part is for [Rig.CheckFaults] to say, and for [Rig.Fault], which does both.
func ParseFault(text string) (Fault, error) {
	f, err := parseFault(text, func(string) bool { return false })
	if err != nil {
		return nil, err
	}
	return f, nil
}

// Fault reads a fault as [ParseFault] does and fits it to the rig: a name of the
// rig's needs no quotes, and a part may be called in other case or by its kind
// as in [Rig.Lineup].
func (r *Rig) Fault(text string) (Fault, error) {
	f, err := parseFault(text, func(name string) bool {
		_, part := r.partAt[r.known(name)]
		_, joint := r.jointAt[name]
		return part || joint
	})
	if err != nil {
		return nil, err
	}
	if _, joint := r.jointAt[f.Faulty()]; !joint {
		f = renamed(f, r.known(f.Faulty()))
	}
	return f, r.CheckFaults(Faults{f})
}

func renamed(f Fault, part string) Fault {
	switch f := f.(type) {
	case Seep:
		f.Part = part
		return f
	case LostCharge:
		f.Part = part
		return f
	case DriftedSwitch:
		f.Part = part
		return f
	case SlowPump:
		f.Part = part
		return f
	}
	return f
}

func parseFault(text string, known func(name string) bool) (Fault, error) {
	wrong := func(why string) error {
		return fmt.Errorf("fault %q: %s (want part: fault, such as %q)", text, why, "fill valve: 55 mL/min at 45 psi")
	}
	halves := split(text, ":")
	if len(halves) != 2 {
		return nil, wrong("one colon parts the name from what is wrong")
	}
	name, pair, err := faultyPart(halves[0], known)
	if err != nil {
		return nil, wrong(err.Error())
	}
	what := strings.TrimSpace(halves[1])
	f, err := faultOf(name, what)
	if err != nil {
		return nil, fmt.Errorf("fault %q: %w", text, err)
	}
	if f == nil {
		s, err := parseSeep(what)
		if err != nil {
			return nil, fmt.Errorf("fault %q: %w", text, err)
		}
		return Seep{Part: name, Pair: pair, Seep: s}, nil
	}
	if pair != ([2]string{}) {
		return nil, wrong("two ports are named and nothing seeps; put the name in quotes if it is a name")
	}
	return f, nil
}

// faultyPart reads a name, and the two ports after it where there are any.
func faultyPart(text string, known func(name string) bool) (name string, pair [2]string, err error) {
	text = strings.TrimSpace(text)
	space := 0
	if words := split(text, " "); len(words) > 1 {
		space = len(text) - len(words[len(words)-1])
	}
	ports := split(text[space:], "-")
	if whole, err := unquoted(text); space == 0 || len(ports) != 2 || err == nil && known(whole) {
		if err == nil && whole == "" {
			err = errors.New("no part before the colon")
		}
		return whole, pair, err
	}
	for i, port := range ports {
		if pair[i], err = unquoted(port); err != nil {
			return "", pair, err
		}
	}
	if pair[0] == "" || pair[1] == "" { // a word with a dash at its end is no pair
		name, err = unquoted(text)
		return name, [2]string{}, err
	}
	if name, err = unquoted(text[:space]); err == nil && name == "" {
		err = errors.New("no part before the colon")
	}
	return name, pair, err
}

// faultOf reads every fault but a seep, and is nil for what is none of them.
func faultOf(name, what string) (Fault, error) {
	if text, ok := after(what, "precharge"); ok {
		p, err := some[unit.Pressure](text)
		return LostCharge{Part: name, Precharge: p}, err
	}
	if text, ok := after(what, "air"); ok {
		v, err := some[unit.Volume](text)
		return TrappedAir{Joint: name, Volume: v}, err
	}
	if number, ok := strings.CutSuffix(what, "speed"); ok {
		x, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(number), "%")), 64)
		if err != nil || !strings.Contains(number, "%") || !(x > 0 && x <= 1000) {
			return nil, fmt.Errorf("speed %q: want a percentage above zero, such as %q", strings.TrimSpace(number), "70 % speed")
		}
		return SlowPump{Part: name, Speed: x / 100}, nil
	}
	f := DriftedSwitch{Part: name}
	for i, setting := range strings.Split(what, ",") {
		setting = strings.TrimSpace(setting)
		to := &f.CutIn
		text, ok := after(setting, "cut-in", "cut in", "cut_in", "starts at")
		if !ok {
			to = &f.CutOut
			text, ok = after(setting, "cut-out", "cut out", "cut_out", "stops at")
		}
		if !ok {
			if i == 0 {
				return nil, nil // no switch either
			}
			return nil, fmt.Errorf("%q: want cut-in or cut-out and a pressure", setting)
		}
		if *to != 0 {
			return nil, fmt.Errorf("%q: it is told twice", setting)
		}
		var err error
		if *to, err = some[unit.Pressure](text); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// after returns what follows the first of the words that the text begins with.
func after(text string, words ...string) (rest string, ok bool) {
	for _, w := range words {
		if rest, ok = strings.CutPrefix(text, w+" "); ok {
			return strings.TrimSpace(rest), true
		}
	}
	return "", false
}

// some reads a quantity of zero or more.
func some[Q interface {
	unit.Quantity
	~float64
}](text string) (Q, error) {
	q, err := unit.Parse[Q](text)
	if err == nil && q.Value < 0 {
		err = fmt.Errorf("%q is below zero", text)
	}
	return q.Value, err
}

// parseSeep is hydraulics.ParseSeep with exponents that have no name.
func parseSeep(text string) (hydraulics.Seep, error) {
	stated, exponent, ok := strings.Cut(text, ", n ")
	s, err := hydraulics.ParseSeep(stated)
	if !ok || err != nil {
		return s, err
	}
	s.Exp, err = strconv.ParseFloat(strings.TrimSpace(exponent), 64)
	if err != nil || !(s.Exp > 0 && s.Exp <= 3) || math.IsNaN(s.Exp) || strings.Contains(stated, ",") {
		return s, fmt.Errorf("seep %q: the exponent n is no number from 0 to 3", text)
	}
	return s, nil
}
