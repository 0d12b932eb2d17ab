package rigfile

import (
	"reflect"
	"strings"
	"sync"

	"quietpump/network"
	"quietpump/network/rigfile/document"
)

// A kind is one section of a rig file. Its keys come from the fields of the
// type; a row says only what the fields cannot: other words people use, what
// must be told, which values may be zero, and a line for editors.
type kind struct {
	of   network.Item // the zero part; its type is read and written
	also []string     // words the section answers to as well
	doc  string
	keys notes // by field, "Hold.Set" for one inside; what is said in common is not repeated

	word   string                  // section word, from the part's own kind
	record func() *document.Record // made when it is first asked for: few files have all kinds
}

type notes map[string]document.Note

// kinds is the table that reading, writing, the JSON form, the JSON Schema and
// the suggestions are made from, in the order files are written.
var kinds = []*kind{
	{of: network.Joint{}, also: []string{"tee", "fitting"},
		doc: "A place where parts meet. Needed only to tell its elevation, where a weep would show, or where it stands.",
		keys: notes{
			"Z":      {Also: []string{"elevation"}, Zero: true, Tell: true, Sign: true, Doc: "Elevation above any datum you like, the same for the whole rig.", Eg: "0.3 m"},
			"Untold": {Hide: true}, // by the absence of z
			"Place":  {Doc: "Where a weep here would show.", Eg: "belly pan"},
			"Along":  {Doc: "How far back from the vehicle's nose. Pictures stand it there; without it they find a place.", Instead: "a small length such as 1 cm for right at the nose", Eg: "2.4 m"},
		}},
	{of: network.Tank{}, also: []string{"fresh_tank", "water_tank"},
		doc: "The vented fresh tank.",
		keys: notes{
			"Ports":    {Need: true, Refers: true, Doc: "Joints in its wall; the first is the outlet the pump draws from."},
			"Capacity": {Eg: "40 gal"},
			"Height":   {Doc: "From its floor to the level at which it is full.", Eg: "0.3 m"},
			"Floor":    {Zero: true, Sign: true, Doc: "Elevation of its floor.", Eg: "0.1 m"},
			"Spills":   {Mean: "ground", Doc: "Where the overflow goes.", Eg: "ground"},
		}},
	{of: network.WasteTank{}, also: []string{"gray_tank", "grey_tank", "black_tank", "holding_tank"},
		doc: "A tank that takes what fixtures drain.", keys: notes{"Capacity": {Eg: "40 gal"}}},
	{of: network.Hookup{}, also: []string{"city_water", "hose"},
		doc: "The city-water inlet and the hose on it. Its regulator and its check are parts of their own.",
		keys: notes{
			"Static": {Doc: "Pressure at the spigot with no flow.", Eg: "60 psi"},
			"Droop":  {Instead: "ideal = true", Doc: "Fall of the pressure at the flow droop_at."},
			"Ideal":  {Doc: "No droop: the pressure is held whatever flows."},
		}},
	{of: network.Regulator{}, also: []string{"pressure_regulator"},
		doc: "Holds the pressure at `to` down to `set`.",
		keys: notes{
			"Set":   {Doc: "Outlet pressure at no flow.", Eg: "50 psi"},
			"Droop": {Zero: true, Doc: "Fall of the outlet pressure at the flow droop_at."},
			"Check": {Doc: "It has a check inside and passes nothing backward."},
		}},
	{of: network.Pump{}, also: []string{"water_pump", "demand_pump"},
		doc: "A diaphragm pump on a pressure switch, or holding a pressure by its speed.",
		keys: notes{
			"Curve":           {Doc: "Points of pressure rise, flow and (if known) current, flow falling."},
			"Voltage":         {Doc: "At the motor."},
			"CutIn":           {Also: []string{"starts_at"}, Doc: "The switch starts the pump at this pressure.", Eg: "30 psi ± 4"},
			"CutOut":          {Also: []string{"stops_at"}, Doc: "The switch stops the pump at this pressure.", Eg: "45 psi ± 4"},
			"Delay":           {Zero: true, Doc: "From the crossing of a setting to the switch's move."},
			"Sense":           {Refers: true, SameAs: "To", Doc: "Joint where the switch feels pressure, where it is not `to`.", Eg: "manifold"},
			"Hold":            {Doc: "Variable speed in place of the switch."},
			"Hold.Set":        {Show: true, Doc: "Pressure it holds.", Eg: "50 psi"},
			"Hold.Start":      {Show: true, Doc: "It starts at or below.", Eg: "45 psi"},
			"Hold.LeastSpeed": {Doc: "Fraction of full speed it can run at.", Eg: "0.2"},
			"Hold.RunOn":      {Doc: "How long it runs on at least speed once nothing is drawn.", Eg: "5 s"},
			"Cracking":        {Instead: "sealed = true for a head that passes nothing", Doc: "Forward pressure that opens the stopped pump's valves.", Eg: "2 psi"},
			"Sealed":          {Doc: "Nothing passes the stopped pump."},
			"Bypass":          {Doc: "A spring-loaded passage from outlet to suction."},
			"Bypass.Opens":    {Show: true, Doc: "Begins to open at this rise.", Eg: "40 psi"},
			"Bypass.Full":     {Doc: "Passes all of the pump's flow at this rise.", Eg: "62 psi"},
			"Bypass.Outside":  {Doc: "It joins outlet to suction outside the head valves."},
		}},
	{of: network.HandPump{},
		doc: "A hand or foot pump: two checks and a stroke.",
		keys: notes{
			"Stroke":   {Doc: "Water delivered by one stroke.", Eg: "100 mL"},
			"Cracking": {Zero: true, Doc: "Pressure that opens each of its checks."},
		}},
	{of: network.Tube{}, also: []string{"line", "pipe", "tubing"},
		doc: "A length of tube or hose, always full of water.",
		keys: notes{
			"Size":          {Doc: "Trade size, a name and not a length.", Eg: "1/2 in"},
			"Material":      {Doc: "What the tube is made of.", Eg: "pex", Pick: []string{"pex", "copper", "hose"}},
			"Length":        {Eg: "6 ft"},
			"Roughness":     {Word: "smooth", Doc: "Height of the wall's roughness; \"smooth\" for none.", Eg: "0.007 mm"},
			"K":             {Zero: true, Doc: "Sum of the fittings' loss coefficients."},
			"HazenWilliams": {Doc: "C of the Hazen-Williams formula; left out, Darcy-Weisbach.", Eg: "150"},
			"Compliance":    {Instead: "rigid = true"},
			"Rigid":         {Doc: "Neither wall nor water gives."},
		}},
	{of: network.Shutoff{}, also: []string{"valve", "shutoff_valve", "ball_valve"},
		doc:  "A hand valve between two joints.",
		keys: notes{"Shut": {Doc: "How it stands when nobody has touched it."}}},
	{of: network.Selector{}, also: []string{"diverter", "fill_panel"},
		doc: "A valve of several ports and named positions.",
		keys: notes{
			"Ports":           {Need: true, Refers: true, Doc: "The joints at its ports."},
			"Positions":       {Need: true, Doc: "The first is how it stands when nobody has touched it."},
			"Positions.Name":  {Need: true, Doc: "What the position is called.", Eg: "normal"},
			"Positions.Joins": {Need: true, Tell: true, Refers: true, Doc: "Pairs of ports that are joined; an empty list joins none."},
		}},
	{of: network.Check{}, also: []string{"check_valve"},
		doc:  "Passes water from `from` to `to` and holds it back the other way.",
		keys: notes{"Cracking": {Zero: true, Doc: "Forward pressure that opens it."}}},
	{of: network.Strainer{}, doc: "A screen ahead of a pump or valve.", keys: notes{"At": flowOfDrop}},
	{of: network.Filter{}, doc: "A cartridge in its housing.",
		keys: notes{"At": flowOfDrop, "Air": {Zero: true, Doc: "Air trapped in the housing, at atmospheric pressure."}}},
	{of: network.Mixer{}, also: []string{"mixing_valve"},
		doc: "Joins hot and cold to one spout; the spout's head is a fixture.",
		keys: notes{
			"Hot":   {Need: true, Refers: true, Doc: "Joint of the hot side.", Eg: "galley hot"},
			"Cold":  {Need: true, Refers: true, Doc: "Joint of the cold side.", Eg: "galley cold"},
			"Spout": {Need: true, Refers: true, Doc: "Joint behind the handles.", Eg: "galley spout"},
		}},
	{of: network.Accumulator{}, also: []string{"accumulator_tank", "pressure_tank"},
		doc: "Holds water against a gas charge behind a bladder.",
		keys: notes{
			"Volume":    {Doc: "Gas volume with no water in it.", Eg: "0.75 L"},
			"Precharge": {Doc: "With the water side empty.", Eg: "27 psi ± 3"},
			"Exponent":  {Doc: "n of pV^n: 1 slow, 1.4 fast.", Eg: "1"},
		}},
	{of: network.AirPocket{}, doc: "Gas trapped in the plumbing.",
		keys: notes{
			"Volume":   {Doc: "At atmospheric pressure.", Eg: "50 mL"},
			"Exponent": {Doc: "n of pV^n: 1 slow, 1.4 fast.", Eg: "1"},
		}},
	{of: network.Heater{}, also: []string{"water_heater"},
		doc: "A water heater. It needs a relief valve that no shutoff can part from it.",
		keys: notes{
			"Volume":     {Eg: "6 gal"},
			"Air":        {Zero: true, Doc: "Cushion of air at the top, at atmospheric pressure."},
			"Tankless":   {Doc: "Next to no stored water."},
			"Compliance": {Instead: "rigid = true"},
			"Rigid":      {Doc: "Neither shell nor water gives."},
			"Expansion":  {Word: "none", Doc: "Net expansion per kelvin, water less shell; \"none\" for none.", Eg: "0.0003"},
		}},
	{of: network.ReliefValve{}, also: []string{"relief", "tp_valve"},
		doc:  "Opens above its setting, to the outside.",
		keys: notes{"Set": {Eg: "150 psi"}, "Rated": {Doc: "Flow at a tenth above its setting.", Eg: "5 gpm"}}},
	{of: network.VacuumBreaker{}, doc: "Shut under pressure; lets air in below atmospheric pressure."},
	{of: network.Elastic{}, doc: "A lump of stretch at a joint, given outright.", keys: notes{"Compliance": {Need: true}}},
	{of: network.Fixture{}, also: []string{"faucet", "tap"},
		doc: "A tap, shower head or toilet valve: lets water out and none in.",
		keys: notes{
			"Toilet": {Doc: "It is a toilet's valve."},
			"Into":   {Also: []string{"drains_to"}, Doc: "Waste tank it drains to.", Eg: "gray tank"},
		}},
	{of: network.Appliance{}, also: []string{"icemaker", "washer"},
		doc: "A powered valve that draws by itself.", keys: notes{"Into": {Also: []string{"drains_to"}, Doc: "Waste tank it drains to.", Eg: "gray tank"}}},
	{of: network.Drain{}, also: []string{"low_point_drain", "drain_cock"},
		doc: "Opens to the air.", keys: notes{"Into": {Mean: "ground", Doc: "Place it runs to.", Eg: "ground"}}},
}

var flowOfDrop = document.Note{Also: []string{"at_flow"}, Doc: "Flow at which drop is told.", Eg: "2 gpm"}

// common is what is said of a field wherever it stands.
var common = notes{
	"Name":       {Need: true, Doc: "The part's name, unique in the rig.", Eg: "pump"},
	"From":       {Need: true, Refers: true, Doc: "Joint it comes from.", Eg: "tank out"},
	"To":         {Need: true, Refers: true, Doc: "Joint it goes to.", Eg: "pump in"},
	"At":         {Need: true, Refers: true, Also: []string{"joint"}, Doc: "Joint it sits at.", Eg: "heater"},
	"Bore":       {Doc: "Inside diameter.", Eg: "12 mm"},
	"K":          {Instead: "a small number such as 1e-9 for next to no loss", Doc: "Loss coefficient fully open, on the bore.", Eg: "2"},
	"Cv":         {Doc: "US gpm at 1 psi fully open; rules over bore and k.", Eg: "6"},
	"DroopAt":    {Doc: "Flow at which the fall is told.", Eg: "2 gpm"},
	"Drop":       {Doc: "Fall of pressure at the flow told by `at`.", Eg: "3 psi"},
	"Rated":      {Doc: "Flow fully open at rated_at.", Eg: "1.5 gpm"},
	"RatedAt":    {Doc: "Pressure at which it is rated.", Eg: "45 psi"},
	"Capacity":   {Doc: "What it holds when full."},
	"Volume":     {Doc: "Water it holds."},
	"Length":     {Doc: "Along the tube."},
	"Compliance": {Doc: "Water taken up per rise of pressure.", Eg: "8e-12 m3/Pa"},
	"Set":        {Doc: "Its setting."},
}

// about returns what is known of a field of a kind, by its path.
func (k *kind) about(path string) document.Note {
	field := path[strings.LastIndex(path, ".")+1:]
	n, ok := k.keys[path]
	c := common[field]
	if !ok {
		return c
	}
	if n.Doc == "" {
		n.Doc = c.Doc
	}
	if n.Eg == "" {
		n.Eg = c.Eg
	}
	if n.Instead == "" {
		n.Instead = c.Instead
	}
	if n.Also == nil {
		n.Also = c.Also
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
		k.record = sync.OnceValue(func() *document.Record { return document.NewRecord(reflect.TypeOf(k.of), k.about, nil) })
		for _, w := range append([]string{k.word}, k.also...) {
			byWord[w] = k
			sections = append(sections, w)
		}
	}
}

// title is the kind in the words of messages, such as "hand pump".
func (k *kind) title() string { return strings.ReplaceAll(k.word, "_", " ") }
