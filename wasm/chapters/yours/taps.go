package yours

import (
	"time"

	"quietpump/network"
	"quietpump/sim/diagnose"
)

// What a tap stands for.
const (
	starts = "start"
	stops  = "stop"
)

// A tap is the clock time at which something was heard, ms since 1970; 0 is one
// that was missed.
type tap int64

func (t tap) time() time.Time { return time.UnixMilli(int64(t)).UTC() }

// A listening is what was tapped while one listened to the pump, the valves standing
// in one way. Times are the clock's, so that a phone that slept, and a tab that was
// closed, changes none of them.
type listening struct {
	Lineup string `json:"lineup,omitempty"` // as Rig.Lineup reads it
	First  string `json:"first,omitempty"`  // what the first tap is; empty: a start
	Both   bool   `json:"both,omitempty"`   // stops are tapped as well as starts
	Taps   []tap  `json:"taps,omitempty"`
	Until  tap    `json:"until,omitempty"` // no start was heard from the last tap until then; 0: not said
}

// is says what the i-th tap stands for.
func (l *listening) is(i int) string {
	first := l.First
	if first == "" {
		first = starts
	}
	if i == 0 {
		return first
	}
	if l.Both && (i%2 == 1) == (first == starts) {
		return stops
	}
	return starts
}

// next is what the next tap stands for.
func (l *listening) next() string { return l.is(len(l.Taps)) }

// tapped takes a tap.
func (l *listening) tapped(at time.Time) {
	l.Taps = append(l.Taps, tap(at.UnixMilli()))
	l.Until = 0
}

// missed says that the next was not tapped. One missed before the first, or two in a
// row, would say nothing.
func (l *listening) missed() {
	if n := len(l.Taps); n > 0 && l.Taps[n-1] != 0 {
		l.Taps = append(l.Taps, 0)
		l.Until = 0
	}
}

// undo takes the last back, or that no start was heard.
func (l *listening) undo() {
	switch n := len(l.Taps); {
	case l.Until != 0:
		l.Until = 0
	case n > 0:
		l.Taps = l.Taps[:n-1]
	}
}

// last is when the last tap was; false where there is none, or where it was missed.
func (l *listening) last() (time.Time, bool) {
	if n := len(l.Taps); n > 0 && l.Taps[n-1] != 0 {
		return l.Taps[n-1].time(), true
	}
	return time.Time{}, false
}

// reading is what the taps say; false where they do not say anything yet. A stretch
// with a missed one at an end of it is left out.
func (l *listening) reading(lineup network.Lineup) (diagnose.Reading, bool) {
	r := diagnose.Reading{Lineup: lineup}
	for i := range l.Taps {
		if l.Taps[i] != 0 {
			r.When = l.Taps[i].time().Truncate(time.Second)
			break
		}
	}
	if l.is(0) == starts {
		r.Began = diagnose.AtStart
	}
	for i := 1; i < len(l.Taps); i++ {
		if l.Taps[i] == 0 || l.Taps[i-1] == 0 || l.Taps[i] <= l.Taps[i-1] {
			continue
		}
		t := diagnose.Time{Value: time.Duration(l.Taps[i]-l.Taps[i-1]) * time.Millisecond}
		switch from, to := l.is(i-1), l.is(i); {
		case from == stops:
			r.Rest = append(r.Rest, t)
		case to == stops:
			r.Run = append(r.Run, t)
		default:
			r.Every = append(r.Every, t)
		}
	}
	// Quiet counts where the watch began with the last tap: what was heard before it
	// says more than that.
	if at, ok := l.last(); ok && l.Until > 0 && len(l.Taps) == 1 {
		r.NoStart = l.Until.time().Sub(at)
	}
	return r, len(r.Rest)+len(r.Run)+len(r.Every) > 0 || r.NoStart > 0
}
