package stage

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"quietpump/network"
	"quietpump/wasm/live"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// Clock is what the crown and the paper do, for those who use no pointer.
func (s *Stage) Clock() []sheet.Block {
	times, words := scene.Pace(s.Live.Rate())
	pull := []sheet.Button{{Do: "roll", Arg: "-0.5", Text: "Pull the roll back"}}
	if s.Scene.Pulled() {
		pull = append(pull, sheet.Button{Do: "roll", Arg: "0", Text: "Let it run on"})
	}
	return []sheet.Block{
		sheet.Slide{Do: "rate", Ask: "The clock", At: math.Log(s.Live.Rate()) / math.Log(live.Fastest), Shows: times + ", " + words},
		sheet.Buttons{List: pull},
	}
}

// Hands are a button for each thing in the system that a hand turns.
func (s *Stage) Hands() sheet.Buttons {
	var b sheet.Buttons
	for _, p := range s.Live.Rig().Parts() {
		to, ok := scene.Turn(s.Live.Rig(), s.Live.Lineup(), p.ID())
		if ok {
			b.List = append(b.List, sheet.Button{Do: "turn", Arg: p.ID(), Text: turns(p, to)})
		}
	}
	return b
}

// turns says what a hand would do.
func turns(p network.Part, to network.Setting) string {
	switch w := to.Word(); {
	case to.Opening() > 0:
		return "Open the " + p.ID()
	case p.Kind() == "hookup" && to == network.On():
		return "Put the hose on"
	case p.Kind() == "hookup":
		return "Take the hose off"
	case p.Kind() == "pump":
		return fmt.Sprintf("Switch the %s %s", p.ID(), w)
	case p.Kind() == "selector":
		return fmt.Sprintf("Turn the %s to %s", p.ID(), w)
	default:
		return "Shut the " + p.ID()
	}
}

// Do takes what the slide and the buttons of [Stage.Clock] and [Stage.Hands] do, and
// reports whether it was one of theirs. The problem is for the reader.
func (s *Stage) Do(e sheet.Event) (mine bool, problem error) {
	switch e.Do {
	case "rate":
		x, err := strconv.ParseFloat(e.Arg, 64)
		if err != nil || math.IsNaN(x) {
			return true, nil
		}
		rate := math.Pow(live.Fastest, math.Min(math.Max(x, 0), 1))
		if r := math.Round(rate); math.Abs(r-rate) < 0.06*rate {
			rate = r
		}
		s.Live.SetRate(rate)
		return true, nil
	case "roll":
		x, err := strconv.ParseFloat(e.Arg, 64)
		if err != nil || math.IsNaN(x) {
			return true, nil
		}
		if x == 0 {
			x = math.Inf(1)
		}
		s.Scene.Back(-x)
		return true, nil
	case "turn":
		return true, s.Turn(e.Arg)
	}
	return false, nil
}

// Turn turns a part by hand, as [scene.Turn] has it; one that no hand turns it leaves.
func (s *Stage) Turn(part string) error {
	to, ok := scene.Turn(s.Live.Rig(), s.Live.Lineup(), part)
	if !ok {
		return nil
	}
	return s.Live.Turn(network.Lineup{part: to})
}

// Spoken is a sentence with a capital for its first letter, which is one of a to z.
func Spoken(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
