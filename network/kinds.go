package network

import "strings"

// kinds lists the kinds of part, each with other words that people use for it.
var kinds = []struct {
	zero Part
	also []string
}{
	{Accumulator{}, []string{"pressure tank", "accumulator tank"}},
	{AirPocket{}, []string{"trapped air"}},
	{Appliance{}, []string{"icemaker", "ice maker", "washer", "dishwasher"}},
	{Check{}, []string{"check valve", "inlet check", "non-return valve", "one-way valve"}},
	{Drain{}, []string{"low-point drain", "drain valve", "drain cock"}},
	{Elastic{}, nil},
	{Filter{}, []string{"water filter"}},
	{Fixture{}, []string{"faucet", "tap", "shower", "toilet", "toilet valve"}},
	{HandPump{}, []string{"foot pump"}},
	{Heater{}, []string{"water heater"}},
	{Hookup{}, []string{"hose", "city water", "city-water inlet", "city inlet"}},
	{Mixer{}, []string{"mixing valve"}},
	{Pump{}, []string{"water pump"}},
	{Regulator{}, []string{"pressure regulator"}},
	{ReliefValve{}, []string{"relief", "pressure relief valve", "t&p valve"}},
	{Selector{}, []string{"fill panel", "winterising valve", "winterizing valve", "selector valve"}},
	{Shutoff{}, []string{"valve", "shutoff valve", "fill valve"}},
	{Strainer{}, nil},
	{Tank{}, []string{"fresh tank", "fresh-water tank", "water tank"}},
	{Tube{}, []string{"line", "pipe", "tubing"}},
	{VacuumBreaker{}, nil},
	{WasteTank{}, []string{"grey tank", "gray tank", "black tank", "holding tank"}},
}

// KindOf returns the kind of part that a word means: itself, or a word of the
// owner's such as "line" for a tube, "valve" for a shutoff, "faucet" for a
// fixture, "fresh tank" for a tank, "hose" and "city water" for a hookup. Case
// and underscores do not matter.
func KindOf(word string) (kind string, ok bool) {
	word = strings.Join(strings.Fields(strings.ToLower(strings.ReplaceAll(word, "_", " "))), " ")
	for _, k := range kinds {
		kind = k.zero.Kind()
		if word == kind {
			return kind, true
		}
		for _, other := range k.also {
			if word == other {
				return kind, true
			}
		}
	}
	return "", false
}
