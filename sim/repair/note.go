package repair

// A Note is a footnote: a fact that was not computed from the rig, and where it
// comes from.
type Note struct {
	Words  string
	Source string // a standard, book or public body; of a trade, maker or owner page its kind and year
	Status Status
}

// Status is how well a note is supported.
type Status string

// The statuses.
const (
	Published      Status = "published"
	Computed       Status = "computed"
	FromMemory     Status = "from memory"
	CommonPractice Status = "common practice" // usual in the trade, no source
)

const noSource = "common practice, no source"

// The facts that this package leans on.
var (
	noteSwitchLife = Note{"5e4 operations at rated current, of an industrial piston switch; no figure for a 12 V pump switch was found", "maker's manual, year not stated", Published}
	noteVoltage    = Note{"at least 90 percent of rated voltage at the motor, under load", "maker's manual, year not stated", Published}
	noteBattery    = Note{"usable share of a lead battery: 50 percent for long life, 80 percent at most", "trade pages, year not stated", Published}
	noteCurve      = Note{"no published curve of a 12 V demand pump could be read: the assumed one is synthetic", "none found", FromMemory}
	noteWeight     = Note{"weight of water: 8.33 lb per US gal", "computed: 998.2 kg/m3 x 3.7854 L", Computed}
	noteCooling    = Note{"a 6 US gal heater that cools by 6 K from 60 C draws one full pump cycle (59 mL): it imitates a slow leak", "computed: 59 mL/(22.71 L x 4.36e-4)", Computed}
	noteFlushFirst = Note{"flush with full flow, then clean the seat, then replace: debris is taken as the commonest cause", noSource, CommonPractice}
	noteReliefDrip = Note{"why a relief valve drips: almost always pressure or thermal expansion, seldom the valve", "maker page, year not stated", Published}
	noteBreaker    = Note{"a drip at a vacuum breaker is a part to replace, not to plug", "trade page, year not stated", Published}
	noteSwitchSide = Note{"if the pump does leak back the pressure switch must sit downstream of the check valve", "trade page, year not stated", Published}
	notePrecharge  = Note{"precharge about 3 psi below cut-in, water side open", "trade page, year not stated", Published}
	noteInletCheck = Note{"city inlet check: O-ring displaced, worn or damaged, often after the plunger was pushed with the line under pressure", "trade magazine, 2022", Published}
	noteChances    = Note{"chances of a cure and minutes are judgements", noSource, CommonPractice}
	noteCut        = Note{"tube cut square, no burrs", "maker's manual, 2021", Published}
	noteRingOff    = Note{"cut the ring through at two places 180 deg apart, then pull the tube", "trade page, year not stated", Published}
	noteReuse      = Note{"metal fitting: reuse allowed if unmarked; ring and crimped tube end: never", "trade page, year not stated; never reusing the ring is common practice", Published}
	noteRingAt     = Note{"ring 1/8 to 1/4 in from the tube end", "trade page, year not stated", Published}
	noteGauge      = Note{"gauge GO slides over, NO-GO does not; both slide over: too tight, neither: too loose", "maker's manual, year not stated", Published}
	noteLoose      = Note{"crimp too loose: readjust tool, place it exactly as before, squeeze again", "maker's manual, year not stated", Published}
	noteTight      = Note{"crimp too tight: cut out tube and ring, redo", "maker's manual, year not stated", Published}
	noteSlack      = Note{"leave 1/8 in slack per foot of tube", "makers' manuals, years not stated (1.0; 1.1)", Published}
	noteBleach     = Note{"volume = dose x volume / (w x 0.9525 x density): w weight fraction NaOCl, 0.9525 = 70.906/74.442 available chlorine", "computed: fresh bleach, no chlorine demand; 1.5 fl oz of 8.25 percent in 5 US gal gives 205 mg/L, a state agency prints about 200", Computed}
	noteDose       = Note{"50 mg/L for at least 4 h, or 100 mg/L for at least 1 h; include every hot faucet", "motorhome owner manuals, 2010 and 2019", Published}
	noteDoseCode   = Note{"building code: 50 mg/L for 24 h, or 200 mg/L for 3 h", "International Plumbing Code 610.1 as adopted in the New York City plumbing code, section 610.1; same text in a scanned copy of the model chapter 6", Published}
	noteFlushOut   = Note{"chlorine allowed in drinking water after flushing: 4.0 mg/L", "Florida Department of Health, disinfection page of the drinking-water manual (range 0.2 to 4.0 mg/L)", Published}
	noteCartridge  = Note{"filter cartridge: remove before dosing, refit a new one afterwards", "motorhome owner manual, 2019; owner page for the carbon reason", Published}
	noteHeaterDose = Note{"heater during sanitising: makers run dosed water through it, trade pages bypass it; switch heating off in both cases", "motorhome owner manual, 2019, against a trade page, year not stated", Published}
	noteOldBleach  = Note{"stored bleach loses 10 to 20 percent of its strength per year", "trade page, year not stated", Published}
	notePlain      = Note{"bleach: plain, unscented, not splashless", noSource, CommonPractice}
	noteTopUps     = Note{"pressurise, wait, pump up again, then start the clock: 2 or 3 top-ups over 10 to 30 min", noSource, CommonPractice}
	noteCreep      = Note{"tight plastic tube goes on losing pressure for 24 to 36 h: a falling gauge is not a leak", "UK Water Industry Information and Guidance Note 4-01-03 (2011)", Published}
	noteBurn       = Note{"burn time at 140 F (60 C): 3 s second degree, 5 s third degree", "trade page, year not stated, with the time table after Moritz and Henriques 1947 (adult skin)", Published}
	noteNoPlug     = Note{"relief valve: never plugged, removed or capped; no valve between it and the tank", "maker's manual, year not stated", Published}
	noteRework     = Note{"never rework a joint under pressure: depressurise, cut out, replace", "maker's manual, year not stated", Published}
	noteQuarter    = Note{"leak tests of buildings hold the working pressure for 15 min", "Uniform Plumbing Code 609.4", FromMemory}
)
