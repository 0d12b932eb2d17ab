package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"quietpump/network"
	"quietpump/network/rigfile/document"
	"quietpump/sim/diagnose"
)

// A row is what came of one case. Minutes are until the pump is quiet.
type row struct {
	Case                       int
	Kind, Cause, Places        string
	Tool, Wrong                float64 // Wrong: of them, on wrong parts
	Vain                       float64 // beside them, cures of a part at fault that did not take
	Prior, Effort, Information float64
	Optimum, ToolSmall         float64 // on small vehicles, else −1; the mean over the hidden truth and others
	Expected                   float64 // what the optimum's plan takes on average, as it has it itself
	All                        float64 // every test and look done
	Named                      float64 // then: 1 right, 1/size where it is one of a group
	Belief                     float64 // of the group that leads
	Right                      float64 // the leading group holds the truth
	Outside                    float64 // 1 where something else is stated above 95 %
}

// matches says whether a hypothesis is what is true.
func (t *truth) matches(h *diagnose.Hypothesis) bool {
	has := func(a place) bool {
		for _, s := range h.Suspects {
			if s.Role == network.WeepConnections {
				if slices.ContainsFunc(s.At, func(j string) bool { return slices.Contains(a.joints, j) }) {
					return true
				}
			} else if s.Seep.Part == a.part {
				return true
			}
		}
		return false
	}
	switch t.kind {
	case "outside":
		return h.Kind == diagnose.None
	case "healthy":
		return h.Kind == diagnose.Healthy
	case "pair":
		return h.Kind == diagnose.Pair && has(t.at[0]) && has(t.at[1])
	case "benign":
		if c, ok := causes[t.cause]; ok {
			return h.Cause == c
		}
		return h.Kind != diagnose.Pair && has(t.at[0])
	}
	return h.Kind != diagnose.Pair && has(t.at[0])
}

// judge compares a belief with what is true. What nobody could part from the truth by what was done is as good as it, see class.
func (r *row) judge(p *player, b *diagnose.Belief) {
	t := p.truth
	same := p.class(t)
	right := func(h *diagnose.Hypothesis) bool { return t.matches(h) || same[keyOf(h)] }
	for i := range b.Hypotheses {
		h := &b.Hypotheses[i]
		if h.Belief > 0.95 && !right(h) {
			r.Outside = 1
		}
	}
	// A tie counts in parts.
	ties, named := 0, 0
	for i := range b.Hypotheses {
		h := &b.Hypotheses[i]
		if h.Belief > 0.98*b.Hypotheses[0].Belief {
			ties++
			if right(h) {
				named++
			}
		}
	}
	r.Named = float64(named) / float64(ties)
	// The group that leads is what could not be parted from the hypothesis that does.
	lead := &b.Hypotheses[0]
	group := same
	if !right(lead) {
		group = map[string]bool{}
		if o := p.asTruth(lead); o != nil {
			group = p.class(o)
		}
	}
	for i := range b.Hypotheses {
		h := &b.Hypotheses[i]
		if i == 0 || keyOf(h) == keyOf(lead) || group[keyOf(h)] || right(lead) && right(h) {
			r.Belief += h.Belief
			if right(h) {
				r.Right = 1
			}
		}
	}
}

var columns = []string{"case", "kind", "cause", "places", "tool_min", "wrong_min", "vain_min", "prior_min", "effort_min", "information_min", "optimum_min", "tool_small_min", "expected_min", "all_min", "named", "belief", "right", "outside"}

func (r *row) floats() []*float64 {
	return []*float64{&r.Tool, &r.Wrong, &r.Vain, &r.Prior, &r.Effort, &r.Information, &r.Optimum, &r.ToolSmall, &r.Expected, &r.All, &r.Named, &r.Belief, &r.Right, &r.Outside}
}

func writeRows(name string, list []row) error {
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	_ = w.Write(columns)
	for _, r := range list {
		fields := []string{strconv.Itoa(r.Case), r.Kind, r.Cause, r.Places}
		for _, x := range r.floats() {
			fields = append(fields, strconv.FormatFloat(*x, 'g', -1, 64))
		}
		_ = w.Write(fields)
	}
	w.Flush()
	return errors.Join(w.Error(), document.WriteFile(name, text.Bytes()))
}

func readRows(pattern string) ([]row, error) {
	names, err := filepath.Glob(pattern)
	if err != nil || len(names) == 0 {
		return nil, fmt.Errorf("no file matches %q", pattern)
	}
	var list []row
	for _, name := range names {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		rows, err := parseRows(name, f)
		_ = f.Close()
		if err != nil {
			return nil, err
		}
		list = append(list, rows...)
	}
	slices.SortFunc(list, func(a, b row) int { return a.Case - b.Case })
	return slices.CompactFunc(list, func(a, b row) bool { return a.Case == b.Case }), nil
}

// parseRows reads one file of rows.
func parseRows(name string, f io.Reader) ([]row, error) {
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	var list []row
	for k, fields := range all {
		if k == 0 {
			continue
		}
		if len(fields) != len(columns) {
			return nil, fmt.Errorf("%s:%d: %d columns, want %d; was it written by this study?", name, k+1, len(fields), len(columns))
		}
		r := row{Kind: fields[1], Cause: fields[2], Places: fields[3]}
		if r.Case, err = strconv.Atoi(fields[0]); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, k+1, err)
		}
		for i, x := range r.floats() {
			if *x, err = strconv.ParseFloat(fields[4+i], 64); err != nil || math.IsNaN(*x) || math.IsInf(*x, 0) {
				return nil, fmt.Errorf("%s:%d: %s is %q, which is no number", name, k+1, columns[4+i], fields[4+i])
			}
		}
		list = append(list, r)
	}
	return list, nil
}

func mean(list []row, of func(r *row) float64) float64 {
	sum := 0.0
	for i := range list {
		sum += of(&list[i])
	}
	return sum / float64(max(len(list), 1))
}

func only(list []row, keep func(r *row) bool) []row {
	var out []row
	for _, r := range list {
		if keep(&r) {
			out = append(out, r)
		}
	}
	return out
}

// table prints what the study found.
func table(w io.Writer, list []row) {
	fmt.Fprintf(w, "%d hidden faults\n\nminutes until the pump is quiet, on average\n", len(list))
	for _, o := range []struct {
		name string
		of   func(r *row) float64
	}{
		{"the advice", func(r *row) float64 { return r.Tool }},
		{"… wrong parts three times", func(r *row) float64 { return r.Tool + 2*r.Wrong }},
		{"… with cures of the right part in vain", func(r *row) float64 { return r.Tool + r.Vain }},
		{"(a) fixed order by prior", func(r *row) float64 { return r.Prior }},
		{"(b) by prior over effort, covers shared", func(r *row) float64 { return r.Effort }},
		{"(c) information per minute", func(r *row) float64 { return r.Information }},
		{"(e) every test and look, before any work", func(r *row) float64 { return r.All }},
	} {
		fmt.Fprintf(w, "  %-42s %7.1f\n", o.name, mean(list, o.of))
	}
	small := only(list, func(r *row) bool { return r.Optimum >= 0 })
	if len(small) > 0 {
		fmt.Fprintf(w, "  on the %d small ones: the advice %.1f, (d) the exhaustive optimum %.1f, ratio %.2f\n", len(small),
			mean(small, func(r *row) float64 { return r.ToolSmall }), mean(small, func(r *row) float64 { return r.Optimum }),
			mean(small, func(r *row) float64 { return r.ToolSmall })/mean(small, func(r *row) float64 { return r.Optimum }))
	}
	fmt.Fprintf(w, "\nnamed right once every test and look is done\n")
	for _, kind := range []string{"suspect", "pair", "benign", "healthy", "outside"} {
		k := only(list, func(r *row) bool { return r.Kind == kind })
		if len(k) > 0 {
			fmt.Fprintf(w, "  %-10s %5d   %5.1f %%   (in the leading group %.1f %%)\n", kind, len(k), 100*mean(k, func(r *row) float64 { return r.Named }), 100*mean(k, func(r *row) float64 { return r.Right }))
		}
	}
	fmt.Fprintf(w, "  something else stated above 95 %%: %.1f %%\n", 100*mean(list, func(r *row) float64 { return r.Outside }))
	fmt.Fprintf(w, "\ncalibration: belief of the leading group, and how often it holds the truth\n")
	for _, bin := range [][2]float64{{0, 0.3}, {0.3, 0.5}, {0.5, 0.7}, {0.7, 0.85}, {0.85, 0.95}, {0.95, 1.01}} {
		k := only(list, func(r *row) bool { return r.Belief >= bin[0] && r.Belief < bin[1] })
		if len(k) == 0 {
			continue
		}
		p := mean(k, func(r *row) float64 { return r.Belief })
		fmt.Fprintf(w, "  %3.0f–%3.0f %%  %5d cases   believed %5.1f %%   right %5.1f %%   (99 %% of chance: ± %.1f)\n", 100*bin[0], 100*math.Min(bin[1], 1), len(k), 100*p, 100*mean(k, func(r *row) float64 { return r.Right }), 258*math.Sqrt(p*(1-p)/float64(len(k))))
	}
}
