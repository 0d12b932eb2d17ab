package diagnose

import (
	"time"

	"quietpump/network"
)

// A Case is what is known of one job: the rig, what was watched, and what was
// done about it. The zero Case has no rig and is refused; all else may be left
// out.
type Case struct {
	Rig      *network.Rig
	Others   []Alternative     // unknown plumbing: other rigs that could be the real one; integrated out
	Facts    Facts             // asked in plain words
	Access   map[string]Access // by part, joint or place; what is not listed is judged by its kind
	Readings []Reading         // in the order they were taken
	Done     []Done            // parts closed, cured or swapped
}

// An Alternative is another rig that could be the real one.
type Alternative struct {
	Rig   *network.Rig
	Share float64 // 0 to 1; what all alternatives leave is the Case's own rig's
	Words string  // what differs, such as "a check stands after the pump"
	Where string  // part, joint or place where one could look; by its Access
}

// Told answers a question of yes or no.
type Told string

// Answers; the zero one is that nobody knows.
const (
	Unsaid Told = ""
	Yes    Told = "yes"
	No     Told = "no"
)

// Facts move the order of suspicion. The zero Facts move nothing.
type Facts struct {
	Frozen   Told     // frozen or winterised lately
	Worked   Told     // new, or just worked on
	Debris   Told     // sand or scale in the water
	Plunger  Told     // the inlet's plunger was pushed with the line under pressure
	Creeps   Told     // the fresh tank gains water while on the hose
	Replaced []string // parts that were replaced before
	PumpAge  float64  // years; zero: not known
}

// Effort is what it takes to reach a part.
type Effort string

// Efforts, and the minutes they cost: common practice, no source.
const (
	ByHand  Effort = "by hand"                  // 1 min
	Door    Effort = "a door or lid"            // 3 min
	Screws  Effort = "a few screws"             // 8 min
	TakeOut Effort = "take something out first" // 20 min
	Crawl   Effort = "crawl or unload"          // 40 min
	Cant    Effort = "can't"                    // never
)

// Wrong is what a swap costs when the part was not at fault.
type Wrong string

// Costs of a wrong part, in minutes: common practice, no source.
const (
	CheapTry Wrong = "cheap try" // 30 min
	Nuisance Wrong = "nuisance"  // 120 min
	CallOut  Wrong = "call-out"  // 480 min
)

// Access is what it takes to reach a part, joint or place and to work on it. A
// zero field is judged by the kind of part.
type Access struct {
	Effort  Effort
	Minutes time.Duration // in place of the effort's
	Cover   string        // what must be opened, where several share it; it costs once
	Wrong   Wrong
	Work    time.Duration // to swap the part, in place of Wrong's
}

// Doing is a kind of step.
type Doing string

// Kinds of step. Quiet is the hold test that proves a repair, or a healthy rig.
const (
	DoTest  Doing = "test"
	DoLook  Doing = "look"
	DoCure  Doing = "cure"
	DoSwap  Doing = "swap"
	DoQuiet Doing = "hold test"
)

// After is what became of the trouble after a step.
type After string

// What happened then; the zero one is that nobody knows yet.
const (
	NotKnown After = ""
	Quiet    After = "quiet" // the pump stays quiet
	Same     After = "same"
)

// Done is a step that was taken. Readings that come later are of the rig with
// the part cured or swapped.
type Done struct {
	Do     Doing  // DoCure, DoSwap or DoQuiet
	Part   string // of a hold test empty
	Before int    // how many of the Readings were taken before it
	After  After  // what happened
	Words  string
}
