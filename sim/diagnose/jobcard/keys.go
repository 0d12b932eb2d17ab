package jobcard

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile/document"
	"quietpump/sim/diagnose"
)

// A readingRow is a reading as a file has it.
type readingRow struct {
	diagnose.Reading
	Level []levelRow
}

// A levelRow is a level as a file has it: what is told says how it was read.
type levelRow struct {
	Tank     string
	At       time.Duration
	Height   unit.Uncertain[unit.Length]
	Lamp     lamp
	Spilling diagnose.Told
	Spilt    unit.Uncertain[unit.Volume]
}

// A lamp is the share of a tank up to which lamps are lit, as people say it.
type lamp string

var lamps = []string{"empty", "1/3", "2/3", "full"}

// lampOf returns the words for a share of a tank.
func lampOf(share float64) lamp {
	for i, w := range lamps {
		if share == float64(i)/3 {
			return lamp(w)
		}
	}
	return lamp(strconv.FormatFloat(100*share, 'g', -1, 64) + " %")
}

// readLamp reads the words for a share of a tank.
func readLamp(text string) (float64, error) {
	for i, w := range lamps {
		if text == w {
			return float64(i) / 3, nil
		}
	}
	if number, ok := strings.CutSuffix(text, "%"); ok {
		if x, err := strconv.ParseFloat(strings.TrimSpace(number), 64); err == nil && x > 0 && x < 100 {
			return x / 100, nil
		}
	}
	return 0, fmt.Errorf("%q: want %s or a percentage", text, strings.Join(lamps, ", "))
}

// An alternativeRow is another rig that could be the real one, without what it
// consists of.
type alternativeRow struct {
	Words   string
	Where   string
	Share   float64
	Without []string
}

// The tables of a card. Access and unusual values stand under names of their own.
var (
	readings = sync.OnceValue(func() *document.Record {
		return document.NewRecord(reflect.TypeFor[readingRow](), readingNotes.about, words)
	})
	facts = sync.OnceValue(func() *document.Record {
		return document.NewRecord(reflect.TypeFor[diagnose.Facts](), factNotes.about, words)
	})
	access = sync.OnceValue(func() *document.Record {
		return document.NewRecord(reflect.TypeFor[diagnose.Access](), accessNotes.about, words)
	})
	alternatives = sync.OnceValue(func() *document.Record {
		return document.NewRecord(reflect.TypeFor[alternativeRow](), alternativeNotes.about, words)
	})
	dones = sync.OnceValue(func() *document.Record {
		return document.NewRecord(reflect.TypeFor[diagnose.Done](), doneNotes.about, words)
	})
)

type notes map[string]document.Note

func (n notes) about(path string) document.Note { return n[path] }

var yesOrNo = []string{string(diagnose.Yes), string(diagnose.No)}

var readingNotes = notes{
	"Lineup":     {Eg: "fill valve=shut, hookup=on", Doc: "How everything a hand can move stood; what is not named was untouched."},
	"When":       {Doc: "When the watch began."},
	"Began":      {Pick: []string{string(diagnose.AtStart), string(diagnose.Anytime)}, Eg: "start", Doc: "What the watch began with; left out: a pump stop that was seen."},
	"Heater":     {Pick: []string{string(diagnose.HeaterSettled), string(diagnose.HeaterWarming), string(diagnose.HeaterCooling)}, Eg: "settled", Doc: "What the water heater was doing."},
	"Rest":       {Lone: true, Eg: "95 s", Doc: "From the pump's stop to its next start."},
	"Run":        {Lone: true, Eg: "3.2 s", Doc: "From its start to its stop."},
	"Every":      {Lone: true, Eg: "20 min", Doc: "From start to start, where neither rest nor run was timed."},
	"Count":      {Lone: true, Doc: "So many starts in so long."},
	"Blip":       {Doc: "It runs too briefly to be timed."},
	"NeverStops": {Eg: "10 min", Instead: "nothing", Doc: "It ran so long without a stop."},
	"NoStart":    {Eg: "12 min", Instead: "nothing", Doc: "It stayed quiet so long."},

	"Cup":         {Lone: true, Eg: "2.5 fl oz", Doc: "Drawn slowly from just after the pump stopped until it started."},
	"Jug":         {Lone: true, Doc: "A vessel filled at a full tap."},
	"Jug.Tap":     {Refers: true, Eg: "galley tap", Doc: "Left out: any tap."},
	"Jug.Volume":  {Need: true, Eg: "1 gal", Show: true},
	"Jug.Time":    {Need: true, Eg: "34 s", Show: true},
	"CutIn":       {Lone: true, Also: []string{"starts_at"}, Eg: "30 psi", Doc: "Read on a gauge as the pump starts."},
	"CutOut":      {Lone: true, Also: []string{"stops_at"}, Eg: "45 psi", Doc: "Read on a gauge as the pump stops."},
	"Precharge":   {Lone: true, Eg: "27 psi", Doc: "Of the accumulator, by tyre gauge, with its water side empty."},
	"Gauge":       {Lone: true, Doc: "A pressure read at a joint."},
	"Gauge.Joint": {Need: true, Refers: true, Eg: "galley", Doc: "Where it is screwed on."},
	"Gauge.At":    {Zero: true, Key: "after", Eg: "2 min", Doc: "Since the watch began."},
	"Gauge.Pressure": {Need: true, Key: "reads", Also: []string{"pressure"}, Eg: "41 psi",
		Doc: "What it showed."},

	"Level":          {Lone: true, Doc: "What was read of a tank; two of them tell what it gained."},
	"Level.Tank":     {Need: true, Refers: true, Eg: "fresh tank"},
	"Level.At":       {Zero: true, Key: "after", Eg: "1 h", Doc: "Since the watch began."},
	"Level.Height":   {Eg: "180 mm", Doc: "Above any fixed mark."},
	"Level.Lamp":     {Eg: "1/3", Doc: "How far the lamps are lit: empty, 1/3, 2/3, full or a percentage."},
	"Level.Spilling": {Pick: yesOrNo, Eg: "yes", Doc: "Whether the tank spills."},
	"Level.Spilt":    {Eg: "1 gal", Doc: "Spill caught since the watch began."},

	"Look":     {Lone: true, Doc: "A thing that was looked for."},
	"Look.At":  {Need: true, Refers: true, Eg: "galley tap", Doc: "A part, joint or place."},
	"Look.For": {Need: true, Pick: []string{string(diagnose.Drip), string(diagnose.Warm), string(diagnose.Hiss), string(diagnose.LeftOn)}, Eg: "drip"},
	"Look.Saw": {Pick: yesOrNo, Eg: "no", Doc: "Left out: it could not be seen."},
}

var factNotes = notes{
	"Frozen":   {Pick: yesOrNo, Eg: "yes", Doc: "Frozen or winterised lately?"},
	"Worked":   {Pick: yesOrNo, Eg: "yes", Doc: "New, or just worked on?"},
	"Debris":   {Pick: yesOrNo, Eg: "yes", Doc: "Sand or scale in the water?"},
	"Plunger":  {Pick: yesOrNo, Eg: "no", Doc: "Was the inlet's plunger pushed with the line under pressure?"},
	"Creeps":   {Pick: yesOrNo, Eg: "yes", Doc: "Does the fresh tank gain water while on the hose?"},
	"Replaced": {Lone: true, Refers: true, Eg: "pump", Doc: "Parts that were replaced before."},
	"PumpAge":  {Key: "pump_age_years", Eg: "6", Doc: "Age of the pump in years."},
}

var accessNotes = notes{
	"Effort":  {Pick: efforts, Eg: "a few screws", Doc: "What it takes to reach it."},
	"Minutes": {Key: "reach", Eg: "5 min", Instead: "an effort", Doc: "To reach it, in place of the effort's usual time."},
	"Cover":   {Eg: "pump bay panel", Doc: "What must be opened, where several share it; it costs once."},
	"Wrong":   {Pick: []string{string(diagnose.CheapTry), string(diagnose.Nuisance), string(diagnose.CallOut)}, Eg: "nuisance", Doc: "What a swap costs when the part was not at fault."},
	"Work":    {Eg: "45 min", Doc: "To swap it, in place of the usual time."},
}

var efforts = []string{string(diagnose.ByHand), string(diagnose.Door), string(diagnose.Screws), string(diagnose.TakeOut), string(diagnose.Crawl), string(diagnose.Cant)}

var alternativeNotes = notes{
	"Words":   {Need: true, Eg: "a check stands after the pump", Doc: "What differs."},
	"Where":   {Refers: true, Eg: "pump bay", Doc: "Part, joint or place where one could look."},
	"Share":   {Need: true, Eg: "0.3", Doc: "How likely it is, 0 to 1; what all alternatives leave is the card's own rig's."},
	"Without": {Lone: true, Eg: "heater check", Doc: "Parts that are not there."},
}

var doneNotes = notes{
	"Do":     {Need: true, Pick: []string{string(diagnose.DoCure), string(diagnose.DoSwap), string(diagnose.DoQuiet)}, Eg: "swap", Doc: "What was done."},
	"Part":   {Refers: true, Show: true, Eg: "pump", Doc: "To which part; a hold test has none."},
	"Before": {Key: "readings_before", Zero: true, Tell: true, Eg: "2", Doc: "How many of the readings were taken before; left out: those above it in the file."},
	"After":  {Key: "then", Pick: []string{string(diagnose.Quiet), string(diagnose.Same)}, Eg: "quiet", Doc: "What became of the trouble; left out: nobody knows yet."},
	"Words":  {Key: "note", Eg: "new O-ring", Doc: "Anything worth keeping."},
}

// words are the types that cards write as texts of their own.
var words = map[reflect.Type]document.Words{
	reflect.TypeFor[network.Lineup](): {
		Eg:    "fill valve=shut, hookup=on",
		Read:  func(text string) (any, error) { return network.ParseLineup(text) },
		Write: func(v any) string { return v.(network.Lineup).String() },
	},
	reflect.TypeFor[diagnose.Time](): {
		Eg: "95 s", Unit: true,
		Read: func(text string) (any, error) {
			span, sd, err := unit.ParseDuration(text)
			if err == nil && span == 0 {
				err = fmt.Errorf("%q is no time that can be watched", text)
			}
			return diagnose.Time{Value: span, SD: sd}, err
		},
		Write: func(v any) string { return document.FormatDuration(v.(diagnose.Time).Value, v.(diagnose.Time).SD) },
	},
	reflect.TypeFor[diagnose.Count](): {
		Eg:    "6 in 9 h",
		Read:  func(text string) (any, error) { return readCount(text) },
		Write: func(v any) string { return writeCount(v.(diagnose.Count)) },
	},
	reflect.TypeFor[time.Time](): {
		Eg:    "2026-11-02 19:30",
		Read:  func(text string) (any, error) { return readWhen(text) },
		Write: func(v any) string { return writeWhen(v.(time.Time)) },
	},
	reflect.TypeFor[lamp](): {
		Eg: "1/3",
		Read: func(text string) (any, error) {
			_, err := readLamp(text)
			return lamp(text), err
		},
		Write: func(v any) string { return string(v.(lamp)) },
	},
	reflect.TypeFor[unit.Uncertain[unit.Volume]]():   uncertain[unit.Volume]("2 fl oz"),
	reflect.TypeFor[unit.Uncertain[unit.Pressure]](): uncertain[unit.Pressure]("30 psi"),
	reflect.TypeFor[unit.Uncertain[unit.Length]]():   uncertain[unit.Length]("180 mm"),
}

// uncertain is a quantity with how far it could be off.
func uncertain[Q unit.Quantity](eg string) document.Words {
	return document.Words{
		Eg: eg, Unit: true,
		Read: func(text string) (any, error) {
			u, err := unit.Parse[Q](text)
			if err == nil && !(u.Value > 0) {
				err = fmt.Errorf("%q is not above zero", text)
			}
			return u, err
		},
		Write: func(v any) string {
			text, err := v.(unit.Uncertain[Q]).MarshalText()
			if err != nil { // no number: it is refused as it is read again
				return fmt.Sprint(v)
			}
			return string(text)
		},
	}
}

// readCount reads a number of starts in a time.
func readCount(text string) (diagnose.Count, error) {
	number, within, ok := strings.Cut(text, " in ")
	starts, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(number), "starts"), "start")))
	if !ok || err != nil || starts < 1 || starts > 1e6 {
		return diagnose.Count{}, fmt.Errorf("%q is no number of starts in a time", text)
	}
	span, _, err := unit.ParseDuration(within)
	if err == nil && span <= 0 {
		err = fmt.Errorf("%q is in no time", text)
	}
	return diagnose.Count{Starts: starts, Within: span}, err
}

func writeCount(c diagnose.Count) string {
	return strconv.Itoa(c.Starts) + " in " + document.FormatDuration(c.Within, 0)
}

// The ways to write when a watch began. Without a zone it is where the rig stands.
var whens = []string{"2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02", time.RFC3339Nano}

func readWhen(text string) (time.Time, error) {
	for _, layout := range whens {
		if t, err := time.Parse(layout, text); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no date and time", text)
}

func writeWhen(t time.Time) string {
	if t.Location() == time.UTC {
		for _, layout := range whens[:2] {
			if s := t.Format(layout); func() bool { back, err := time.Parse(layout, s); return err == nil && back.Equal(t) }() {
				return s
			}
		}
	}
	return t.Format(time.RFC3339Nano)
}
