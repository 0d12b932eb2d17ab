package yours

import (
	"context"
	"iter"
	"time"

	"quietpump/sim/diagnose"
	"quietpump/sim/report"
)

// slice is how long work goes on before it lets the page draw.
const slice = 2 * time.Millisecond

// A work is a belief that is being computed, and then what follows from it: what
// waiting costs, the swap, the proof. Both in slices, so that the page stays alive.
// The result is the library's own, and does not depend on the slices.
type work struct {
	session *diagnose.Session
	belief  *diagnose.Belief // nil until it is complete
	report  *report.Report   // nil until it is complete, and where it is not asked for
	problem error            // why there is none
	resume  func() (struct{}, bool)
	stop    func()
	turn    turn
}

// A turn is the slice that is being worked in. As a context it gives the page its
// turn wherever the library asks whether to go on.
type turn struct {
	context.Context
	began  time.Time
	budget time.Duration // none or less: no limit
	yield  func(struct{}) bool
	over   bool
}

// Err lets the page draw when the slice is over, and says whether to go on.
func (t *turn) Err() error {
	if !t.over && t.budget > 0 && time.Since(t.began) >= t.budget {
		t.over = !t.yield(struct{}{})
	}
	if t.over {
		return context.Canceled
	}
	return nil
}

// begin begins to work a case out. An earlier work of the same rig lends what it
// knows; whole asks for what follows from the belief, too.
func begin(c diagnose.Case, earlier *work, whole bool) *work {
	w := &work{}
	var o diagnose.Options
	if earlier != nil {
		o.Like = earlier.session
		earlier.end()
	}
	if w.session, w.problem = diagnose.Begin(c, o); w.problem != nil || !whole {
		return w
	}
	w.turn.Context = context.Background()
	w.resume, w.stop = iter.Pull(func(yield func(struct{}) bool) {
		w.turn.yield = yield
		w.report, w.problem = report.Of(&w.turn, c, w.belief, report.Options{})
	})
	return w
}

// end gives up what is not complete.
func (w *work) end() {
	if w.stop != nil {
		w.stop()
	}
	w.resume, w.stop = nil, nil
}

// advance works for about the budget, none or less being no limit, and reports
// whether anything is left to do.
func (w *work) advance(budget time.Duration) (busy bool) {
	began := time.Now()
	for w.busy() {
		switch {
		case w.belief == nil:
			done, err := w.session.Advance()
			if done && err == nil {
				w.belief = w.session.Belief()
			}
			if w.problem = err; err != nil {
				w.end()
			}
		default:
			w.turn.began, w.turn.budget = began, min(budget, slice)
			if _, more := w.resume(); !more {
				w.end()
			}
		}
		if budget > 0 && time.Since(began) >= min(budget, slice) {
			break
		}
	}
	return w.busy()
}

func (w *work) busy() bool {
	return w.problem == nil && w.session != nil && (w.belief == nil || w.resume != nil)
}
