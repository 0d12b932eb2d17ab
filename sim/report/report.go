// Package report puts a case on one page, as a letter to the owner: the answer,
// what it rests on, what to do next, what waiting costs, how to cure or swap the
// part, how to prove it, cautions, what was assumed, and sources.
//
//	belief, err := diagnose.From(ctx, card.Case, diagnose.Options{})
//	page, err := report.Of(ctx, card.Case, belief, report.Options{})
//	err = report.Text(w, page, unit.US) // or Brief, Markdown, HTML
//
// The HTML is one file that needs no other: no script, no font, no picture from
// elsewhere. It reads on a phone, follows the reader's light or dark setting and
// prints black on white. Whatever stands in a case is text to it, never markup.
package report

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/chart"
	"quietpump/sim/diagnose"
	"quietpump/sim/repair"
)

// A Report holds what a page tells. Case and Belief must be there; what else is
// nil or empty is left out of the page.
type Report struct {
	Case      diagnose.Case
	Belief    *diagnose.Belief
	Waiting   *repair.Waiting
	Cures     []repair.Cure
	Worksheet *repair.Worksheet
	Hold      *repair.HoldTest // where there is no Worksheet, or in place of its own
	Proof     *repair.Proof    // what a quarter of an hour of quiet would prove
	// Suspects shows what the table of what it could be tells, so only HTML has it.
	Suspects Picture
	Pictures []Picture // shown with the evidence, in order
}

// A Picture is shown by its SVG in HTML and told by its words elsewhere.
// Figures of package chart are such. The SVG goes into the page as it is, so it
// must escape what it was given.
type Picture interface {
	Title(sys unit.System) string
	Words(sys unit.System) string
	SVG(w io.Writer, sys unit.System, id string) error
}

// Options of working out a report. The zero Options are the ordinary case.
type Options struct {
	Sim sim.Options // water, altitude, levels; its span and samples are the report's own
}

// usualQuiet is how long a pump is commonly watched after a repair: common
// practice, no source.
const usualQuiet = 15 * time.Minute

// worthPlanning is the belief from which a leading part's swap is planned.
const worthPlanning = 0.3

// Of works out what follows from a belief: what waiting costs, what could be
// tried, the swap of the part that leads, how to prove it, and pictures. What
// cannot be worked out on this rig is left out; the error is for what cannot be
// reported at all.
func Of(ctx context.Context, c diagnose.Case, b *diagnose.Belief, o Options) (*Report, error) {
	if err := check(c, b); err != nil {
		return nil, err
	}
	r := &Report{Case: c, Belief: b}
	model, err := sim.Compile(c.Rig)
	if err != nil {
		return nil, err
	}
	var lead diagnose.Hypothesis
	if len(b.Hypotheses) > 0 {
		lead = b.Hypotheses[0]
	}
	if job, ok := jobOf(c, b, lead, model, o); ok {
		if r.Waiting, err = job.Waiting(ctx); err != nil {
			r.Waiting = nil
		}
		if err := ctx.Err(); err != nil {
			return r, err
		}
		if lead.Kind == diagnose.OneSuspect && lead.Belief >= worthPlanning {
			if r.Cures, err = job.Cures(); err != nil {
				r.Cures = nil
			}
			if r.Worksheet, err = job.Worksheet(ctx); err != nil {
				r.Worksheet = nil
			}
		}
		if err := ctx.Err(); err != nil {
			return r, err
		}
		if r.Worksheet != nil {
			r.Hold = r.Worksheet.Hold
		} else if hold, err := job.Hold(job.Low / 10); err == nil {
			r.Hold = hold
		}
		if proof, err := job.Proves(usualQuiet); err == nil {
			r.Proof = proof
		}
	} else if len(lead.Faults) > 0 && lead.Belief >= worthPlanning {
		for _, f := range lead.Faults {
			r.Cures = append(r.Cures, repair.CuresOf(f)...)
		}
	}
	if err := ctx.Err(); err != nil {
		return r, err
	}
	if s := suspects(b); len(s.List) > 1 {
		r.Suspects = chart.Figure{Picture: s, Bare: true}
	}
	r.Pictures = pictures(ctx, model, c, b, lead, o)
	return r, ctx.Err()
}

func check(c diagnose.Case, b *diagnose.Belief) error {
	if c.Rig == nil || b == nil {
		return errors.New("report: a page needs a case with its rig, and its belief")
	}
	return nil
}

// jobOf is the work that the leading seep asks for, sized as it was fitted.
func jobOf(c diagnose.Case, b *diagnose.Belief, lead diagnose.Hypothesis, model *sim.Model, o Options) (repair.Job, bool) {
	for _, f := range lead.Faults {
		seep, ok := f.(network.Seep)
		if !ok || !(seep.Ref > 0) {
			continue
		}
		j := repair.Job{
			Model: model, Lineup: asUsed(c), Seep: seep, Low: lead.Low, High: lead.High,
			LowDrawdown: b.Size.LowDrawdown, HighDrawdown: b.Size.HighDrawdown, Every: seenEvery(c), Sim: o.Sim, Reach: map[string]time.Duration{},
		}
		for part, a := range c.Access {
			if a.Minutes > 0 {
				j.Reach[part] = a.Minutes
			}
		}
		return j, true
	}
	return repair.Job{}, false
}

// asUsed is how the valves stood when the rig was first watched.
func asUsed(c diagnose.Case) network.Lineup {
	if len(c.Readings) > 0 {
		return c.Readings[0].Lineup
	}
	return nil
}

// Text writes the page as plain text, 80 columns wide.
func Text(w io.Writer, r *Report, sys unit.System) error { return write(w, r, sys, textOf, false) }

// Brief writes the answer and the next step alone, as plain text.
func Brief(w io.Writer, r *Report, sys unit.System) error { return write(w, r, sys, textOf, true) }

// Markdown writes the page as Markdown.
func Markdown(w io.Writer, r *Report, sys unit.System) error {
	return write(w, r, sys, markdownOf, false)
}

// HTML writes the page as one self-contained file.
func HTML(w io.Writer, r *Report, sys unit.System) error { return write(w, r, sys, htmlOf, false) }

func write(w io.Writer, r *Report, sys unit.System, as func(*page) ([]byte, error), brief bool) error {
	if r == nil {
		return errors.New("report: no report")
	}
	if err := check(r.Case, r.Belief); err != nil {
		return err
	}
	text, err := as(compose(r, sys, brief))
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err = w.Write(text)
	return err
}
