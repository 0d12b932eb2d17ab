package rigfile

import (
	"reflect"
	"strings"

	"quietpump/network"
)

// A kind is one section of a rig file. Its keys come from the fields of the
// type; a row says only what the fields cannot: other words people use, what
// must be told, which values may be zero, and a line for editors.
type kind struct {
	of   network.Item // the zero part; its type is read and written
	also []string     // words the section answers to as well
	doc  string
	keys notes // by field, "Hold.Set" for one inside; what is said in common is not repeated

	word   string // section word, from the part's own kind
	record *record
}

type notes map[string]note

// A note says what a field's name and type cannot.
type note struct {
	also    []string // words the key answers to as well
	doc     string
	need    bool     // must be told
	zero    bool     // a written zero means zero
	tell    bool     // zero or empty is written too, for it says more than nothing
	sign    bool     // may be negative
	instead string   // what to write instead of zero, where there is something
	word    string   // text that stands for a value of -1
	mean    string   // leaving it out means this text
	sameAs  string   // leaving it out means the text of this field
	eg      string   // example of a value; by default one of the type's
	show    bool     // the example of the table it stands in has it
	pick    []string // the only texts allowed

	joint bool // its texts name joints
}

// kinds is the table that reading, writing, the JSON form, the JSON Schema and
// the suggestions are made from, in the order files are written.
var kinds = []*kind{
	{of: network.Joint{}, also: []string{"tee", "fitting"},
		doc: "A place where parts meet. Needed only to tell its elevation, or where a weep would show.",
		keys: notes{
			"Z":     {also: []string{"elevation"}, zero: true, tell: true, sign: true, doc: "Elevation above any datum you like, the same for the whole rig.", eg: "0.3 m"},
			"Place": {doc: "Where a weep here would show.", eg: "belly pan"},
		}},
	{of: network.Tank{}, also: []string{"fresh_tank", "water_tank"},
		doc: "The vented fresh tank.",
		keys: notes{
			"Ports":    {need: true, joint: true, doc: "Joints in its wall; the first is the outlet the pump draws from."},
			"Capacity": {eg: "40 gal"},
			"Height":   {doc: "From its floor to the level at which it is full.", eg: "0.3 m"},
			"Floor":    {zero: true, sign: true, doc: "Elevation of its floor.", eg: "0.1 m"},
			"Spills":   {mean: "ground", doc: "Where the overflow goes.", eg: "ground"},
		}},
	{of: network.WasteTank{}, also: []string{"gray_tank", "grey_tank", "black_tank", "holding_tank"},
		doc: "A tank that takes what fixtures drain.", keys: notes{"Capacity": {eg: "40 gal"}}},
	{of: network.Hookup{}, also: []string{"city_water", "hose"},
		doc: "The city-water inlet and the hose on it. Its regulator and its check are parts of their own.",
		keys: notes{
			"Static": {doc: "Pressure at the spigot with no flow.", eg: "60 psi"},
			"Droop":  {instead: "ideal = true", doc: "Fall of the pressure at the flow droop_at."},
			"Ideal":  {doc: "No droop: the pressure is held whatever flows."},
		}},
	{of: network.Regulator{}, also: []string{"pressure_regulator"},
		doc: "Holds the pressure at `to` down to `set`.",
		keys: notes{
			"Set":   {doc: "Outlet pressure at no flow.", eg: "50 psi"},
			"Droop": {zero: true, doc: "Fall of the outlet pressure at the flow droop_at."},
			"Check": {doc: "It has a check inside and passes nothing backward."},
		}},
	{of: network.Pump{}, also: []string{"water_pump", "demand_pump"},
		doc: "A diaphragm pump on a pressure switch, or holding a pressure by its speed.",
		keys: notes{
			"Curve":           {doc: "Points of pressure rise, flow and (if known) current, flow falling."},
			"Voltage":         {doc: "At the motor."},
			"CutIn":           {also: []string{"starts_at"}, doc: "The switch starts the pump at this pressure.", eg: "30 psi ± 4"},
			"CutOut":          {also: []string{"stops_at"}, doc: "The switch stops the pump at this pressure.", eg: "45 psi ± 4"},
			"Delay":           {zero: true, doc: "From the crossing of a setting to the switch's move."},
			"Sense":           {joint: true, sameAs: "To", doc: "Joint where the switch feels pressure, where it is not `to`."},
			"Hold":            {doc: "Variable speed in place of the switch."},
			"Hold.Set":        {show: true, doc: "Pressure it holds.", eg: "50 psi"},
			"Hold.Start":      {show: true, doc: "It starts at or below.", eg: "45 psi"},
			"Hold.LeastSpeed": {doc: "Fraction of full speed it can run at.", eg: "0.2"},
			"Hold.RunOn":      {doc: "How long it runs on at least speed once nothing is drawn.", eg: "5 s"},
			"Cracking":        {instead: "sealed = true for a head that passes nothing", doc: "Forward pressure that opens the stopped pump's valves.", eg: "2 psi"},
			"Sealed":          {doc: "Nothing passes the stopped pump."},
			"Bypass":          {doc: "A spring-loaded passage from outlet to suction."},
			"Bypass.Opens":    {show: true, doc: "Begins to open at this rise.", eg: "40 psi"},
			"Bypass.Full":     {doc: "Passes all of the pump's flow at this rise.", eg: "62 psi"},
			"Bypass.Outside":  {doc: "It joins outlet to suction outside the head valves."},
		}},
	{of: network.HandPump{},
		doc: "A hand or foot pump: two checks and a stroke.",
		keys: notes{
			"Stroke":   {doc: "Water delivered by one stroke.", eg: "100 mL"},
			"Cracking": {zero: true, doc: "Pressure that opens each of its checks."},
		}},
	{of: network.Tube{}, also: []string{"line", "pipe", "tubing"},
		doc: "A length of tube or hose, always full of water.",
		keys: notes{
			"Size":          {doc: "Trade size, a name and not a length.", eg: "1/2 in"},
			"Material":      {doc: "What the tube is made of.", eg: "pex", pick: []string{"pex", "copper", "hose"}},
			"Length":        {eg: "6 ft"},
			"Roughness":     {word: "smooth", doc: "Height of the wall's roughness; \"smooth\" for none.", eg: "0.007 mm"},
			"K":             {zero: true, doc: "Sum of the fittings' loss coefficients."},
			"HazenWilliams": {doc: "C of the Hazen-Williams formula; left out, Darcy-Weisbach.", eg: "150"},
			"Compliance":    {instead: "rigid = true"},
			"Rigid":         {doc: "Neither wall nor water gives."},
		}},
	{of: network.Shutoff{}, also: []string{"valve", "shutoff_valve", "ball_valve"},
		doc:  "A hand valve between two joints.",
		keys: notes{"Shut": {doc: "How it stands when nobody has touched it."}}},
	{of: network.Selector{}, also: []string{"diverter", "fill_panel"},
		doc: "A valve of several ports and named positions.",
		keys: notes{
			"Ports":           {need: true, joint: true, doc: "The joints at its ports."},
			"Positions":       {need: true, doc: "The first is how it stands when nobody has touched it."},
			"Positions.Name":  {need: true, doc: "What the position is called.", eg: "normal"},
			"Positions.Joins": {need: true, tell: true, joint: true, doc: "Pairs of ports that are joined; an empty list joins none."},
		}},
	{of: network.Check{}, also: []string{"check_valve"},
		doc:  "Passes water from `from` to `to` and holds it back the other way.",
		keys: notes{"Cracking": {zero: true, doc: "Forward pressure that opens it."}}},
	{of: network.Strainer{}, doc: "A screen ahead of a pump or valve.", keys: notes{"At": flowOfDrop}},
	{of: network.Filter{}, doc: "A cartridge in its housing.",
		keys: notes{"At": flowOfDrop, "Air": {zero: true, doc: "Air trapped in the housing, at atmospheric pressure."}}},
	{of: network.Mixer{}, also: []string{"mixing_valve"},
		doc: "Joins hot and cold to one spout; the spout's head is a fixture.",
		keys: notes{"Hot": {need: true, joint: true, doc: "Joint of the hot side."}, "Cold": {need: true, joint: true, doc: "Joint of the cold side."},
			"Spout": {need: true, joint: true, doc: "Joint behind the handles."}}},
	{of: network.Accumulator{}, also: []string{"accumulator_tank", "pressure_tank"},
		doc: "Holds water against a gas charge behind a bladder.",
		keys: notes{
			"Volume":    {doc: "Gas volume with no water in it.", eg: "0.75 L"},
			"Precharge": {doc: "With the water side empty.", eg: "27 psi ± 3"},
			"Exponent":  {doc: "n of pV^n: 1 slow, 1.4 fast.", eg: "1"},
		}},
	{of: network.AirPocket{}, doc: "Gas trapped in the plumbing.",
		keys: notes{
			"Volume":   {doc: "At atmospheric pressure.", eg: "50 mL"},
			"Exponent": {doc: "n of pV^n: 1 slow, 1.4 fast.", eg: "1"},
		}},
	{of: network.Heater{}, also: []string{"water_heater"},
		doc: "A water heater. It needs a relief valve that no shutoff can part from it.",
		keys: notes{
			"Volume":     {eg: "6 gal"},
			"Air":        {zero: true, doc: "Cushion of air at the top, at atmospheric pressure."},
			"Tankless":   {doc: "Next to no stored water."},
			"Compliance": {instead: "rigid = true"},
			"Rigid":      {doc: "Neither shell nor water gives."},
			"Expansion":  {word: "none", doc: "Net expansion per kelvin, water less shell; \"none\" for none.", eg: "0.0003"},
		}},
	{of: network.ReliefValve{}, also: []string{"relief", "tp_valve"},
		doc:  "Opens above its setting, to the outside.",
		keys: notes{"Set": {eg: "150 psi"}, "Rated": {doc: "Flow at a tenth above its setting.", eg: "5 gpm"}}},
	{of: network.VacuumBreaker{}, doc: "Shut under pressure; lets air in below atmospheric pressure."},
	{of: network.Elastic{}, doc: "A lump of stretch at a joint, given outright.", keys: notes{"Compliance": {need: true}}},
	{of: network.Fixture{}, also: []string{"faucet", "tap"},
		doc: "A tap, shower head or toilet valve: lets water out and none in.",
		keys: notes{
			"Toilet": {doc: "It is a toilet's valve."},
			"Into":   {also: []string{"drains_to"}, doc: "Waste tank it drains to.", eg: "gray tank"},
		}},
	{of: network.Appliance{}, also: []string{"icemaker", "washer"},
		doc: "A powered valve that draws by itself.", keys: notes{"Into": {also: []string{"drains_to"}, doc: "Waste tank it drains to.", eg: "gray tank"}}},
	{of: network.Drain{}, also: []string{"low_point_drain", "drain_cock"},
		doc: "Opens to the air.", keys: notes{"Into": {mean: "ground", doc: "Place it runs to.", eg: "ground"}}},
}

var flowOfDrop = note{also: []string{"at_flow"}, doc: "Flow at which drop is told.", eg: "2 gpm"}

// common is what is said of a field wherever it stands.
var common = notes{
	"Name":       {need: true, doc: "The part's name, unique in the rig.", eg: "pump"},
	"From":       {need: true, joint: true, doc: "Joint it comes from.", eg: "tank out"},
	"To":         {need: true, joint: true, doc: "Joint it goes to.", eg: "pump in"},
	"At":         {need: true, joint: true, also: []string{"joint"}, doc: "Joint it sits at.", eg: "heater"},
	"Bore":       {doc: "Inside diameter.", eg: "12 mm"},
	"K":          {instead: "a small number such as 1e-9 for next to no loss", doc: "Loss coefficient fully open, on the bore.", eg: "2"},
	"Cv":         {doc: "US gpm at 1 psi fully open; rules over bore and k.", eg: "6"},
	"DroopAt":    {doc: "Flow at which the fall is told.", eg: "2 gpm"},
	"Drop":       {doc: "Fall of pressure at the flow told by `at`.", eg: "3 psi"},
	"Rated":      {doc: "Flow fully open at rated_at.", eg: "1.5 gpm"},
	"RatedAt":    {doc: "Pressure at which it is rated.", eg: "45 psi"},
	"Capacity":   {doc: "What it holds when full."},
	"Volume":     {doc: "Water it holds."},
	"Length":     {doc: "Along the tube."},
	"Compliance": {doc: "Water taken up per rise of pressure.", eg: "8e-12 m3/Pa"},
	"Set":        {doc: "Its setting."},
}

// about returns what is known of a field of a kind, by its path.
func (k *kind) about(path string) note {
	field := path[strings.LastIndex(path, ".")+1:]
	n, ok := k.keys[path]
	c := common[field]
	if !ok {
		return c
	}
	if n.doc == "" {
		n.doc = c.doc
	}
	if n.eg == "" {
		n.eg = c.eg
	}
	if n.instead == "" {
		n.instead = c.instead
	}
	if n.also == nil {
		n.also = c.also
	}
	return n
}

// byWord finds a section's kind by its word or another it answers to.
var byWord = map[string]*kind{}

// sections are the words of all sections, for suggestions.
var sections = []string{"rig"}

func init() {
	for _, k := range kinds {
		k.word = "joint"
		if p, ok := k.of.(network.Part); ok {
			k.word = strings.ReplaceAll(p.Kind(), " ", "_")
		}
		k.record = newRecord(k, reflect.TypeOf(k.of), "")
		for _, w := range append([]string{k.word}, k.also...) {
			byWord[w] = k
			sections = append(sections, w)
		}
	}
}

// title is the kind in the words of messages, such as "hand pump".
func (k *kind) title() string { return strings.ReplaceAll(k.word, "_", " ") }
