package main

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"text/tabwriter"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/tolerance"
	"quietpump/sim/whatif"
)

// writePeople writes what a person reads: the answer first, then what moves it.
func writePeople(out io.Writer, units unit.System, rig *network.Rig, t *whatif.Table) error {
	w := bufio.NewWriter(out)
	fmt.Fprint(w, t.Rig)
	if t.Lineup != "" {
		fmt.Fprintf(w, ", %s", t.Lineup)
	}
	fmt.Fprintln(w)
	for _, f := range t.Faults {
		fmt.Fprintf(w, "What is wrong: %s\n", f)
	}
	if len(t.Faults) == 0 {
		fmt.Fprintln(w, "Nothing is wrong: no -fault was given.")
	}
	fmt.Fprintln(w)
	switch {
	case t.What == "ensemble":
		writeEnsemble(w, units, rig, t)
	case len(t.Columns) == 2:
		writeGrid(w, units, rig, t)
	default:
		writeSweep(w, units, rig, t)
	}
	writeReasons(w, t)
	return w.Flush()
}

func writeEnsemble(w io.Writer, units unit.System, rig *network.Rig, t *whatif.Table) {
	const low, mid, high = 0.025, 0.5, 0.975
	rest := t.Quantiles(whatif.Rest, low, mid, high)
	if math.IsNaN(rest[1]) {
		fmt.Fprintf(w, "In none of %d versions of it does the pump rest and run.\n", t.Count)
		return
	}
	fmt.Fprintf(w, "In %d versions of it that could be the real one, the pump rests %s to %s (19 in 20), %s in the middle.\n\n", t.Count, seconds(rest[0]), seconds(rest[2]), seconds(rest[1]))
	table := tabwriter.NewWriter(w, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprintln(table, "\tfrom\tmiddle\tto\t")
	fmt.Fprintf(table, "rest\t%s\t%s\t%s\t\n", seconds(rest[0]), seconds(rest[1]), seconds(rest[2]))
	run := t.Quantiles(whatif.Run, low, mid, high)
	fmt.Fprintf(table, "run\t%s\t%s\t%s\t\n", seconds(run[0]), seconds(run[1]), seconds(run[2]))
	for _, q := range []struct {
		name string
		of   whatif.Quantity
	}{{"given up by storage", whatif.Drawdown}, {"pumped a run", whatif.Pumped}} {
		x := t.Quantiles(q.of, low, mid, high)
		in := unit.UnitFor(units, unit.Volume(x[2]))
		fmt.Fprintf(table, "%s\t%s\t%s\t%s\t\n", q.name, in.Format(unit.Volume(x[0]), 3), in.Format(unit.Volume(x[1]), 3), in.Format(unit.Volume(x[2]), 3))
	}
	table.Flush()
	list, err := t.Influences(whatif.Rest)
	if err != nil {
		fmt.Fprintf(w, "\nToo few versions to say what moves the rest: make -n larger.\n")
		return
	}
	known := map[whatif.Column]tolerance.Unknown{}
	if rig != nil {
		for _, u := range tolerance.InCycle(rig) {
			known[whatif.Column{Part: u.Part, Field: u.Field}] = u
		}
	}
	chance, left := 2/math.Sqrt(float64(len(t.Rows))), 0 // two standard deviations of a share or trend that is none
	fmt.Fprintln(w, "\nWhat moves the rest most:")
	table = tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	fmt.Fprintln(table, "  unknown\tshare\twith more of it\thow it is known")
	for _, i := range list {
		if i.Share < chance && math.Abs(i.Trend) < chance {
			left++
			continue
		}
		way := "longer"
		switch {
		case math.Abs(i.Trend) < chance:
			way = "now longer, now shorter"
		case i.Trend < 0:
			way = "shorter"
		}
		how := ""
		if u, ok := known[i.Column]; ok {
			how = value(rig, units, u) + ", " + string(u.Known)
		}
		fmt.Fprintf(table, "  %s\t%.0f %%\t%s\t%s\n", i.Column, 100*i.Share, way, how)
	}
	table.Flush()
	if left > 0 {
		fmt.Fprintf(w, "  and %d that cannot be told from chance\n", left)
	}
	fmt.Fprintln(w, "\nThe share is the part of the variance of the rest's logarithm that an unknown makes by itself")
	fmt.Fprintln(w, "(first-order index after Sobol, estimated as in Plischke, Reliab. Eng. Syst. Saf. 95 (2010) 354).")
}

// value is an unknown with its 95 % interval, such as "30 psi ± 4".
func value(rig *network.Rig, units unit.System, u tolerance.Unknown) string {
	c := whatif.Column{Part: u.Part, Field: u.Field}
	if quantity(rig, u.Part, u.Field) == nil {
		return fmt.Sprintf("± %.2g %%", 200*u.SD/u.Value)
	}
	show := shower(rig, units, c, u.Value)
	return show(u.Value) + " ± " + show(2*u.SD)
}

func writeSweep(w io.Writer, units unit.System, rig *network.Rig, t *whatif.Table) {
	show := shower(rig, units, t.Columns[0], columnOf(t, 0)...)
	in := unit.UnitFor(units, unit.Volume(slices.Max(append(storedOf(t), 0))))
	table := tabwriter.NewWriter(w, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprintf(table, "%s\trest\trun\tgiven up by storage\tstarts a day\t\n", t.Columns[0])
	for _, r := range t.Rows {
		fmt.Fprintf(table, "%s\t", show(r.Values[0]))
		if _, ok := r.Of(whatif.Rest); !ok {
			fmt.Fprintln(table, "-\t-\t-\t-\t")
			continue
		}
		fmt.Fprintf(table, "%s\t%s\t%s\t%.0f\t\n", seconds(r.Rest), seconds(r.Run), in.Format(unit.Volume(r.Stored), 3), 86400/(r.Rest+r.Run))
	}
	table.Flush()
}

func columnOf(t *whatif.Table, k int) []float64 {
	x := make([]float64, len(t.Rows))
	for i, r := range t.Rows {
		x[i] = r.Values[k]
	}
	return x
}

func storedOf(t *whatif.Table) []float64 {
	var x []float64
	for _, r := range t.Rows {
		if v, ok := r.Of(whatif.Drawdown); ok {
			x = append(x, v)
		}
	}
	return x
}

// writeGrid writes the rest by the values of two columns.
func writeGrid(w io.Writer, units unit.System, rig *network.Rig, t *whatif.Table) {
	var across []float64
	for _, r := range t.Rows {
		if !slices.Contains(across, r.Values[1]) {
			across = append(across, r.Values[1])
		}
	}
	fmt.Fprintf(w, "Rest by %s (down) and %s (across)\n\n", t.Columns[0], t.Columns[1])
	table := tabwriter.NewWriter(w, 0, 0, 3, ' ', tabwriter.AlignRight)
	down, right := shower(rig, units, t.Columns[0], columnOf(t, 0)...), shower(rig, units, t.Columns[1], across...)
	for _, x := range across {
		fmt.Fprintf(table, "\t%s", right(x))
	}
	fmt.Fprint(table, "\t\n")
	for k, r := range t.Rows {
		if k%len(across) == 0 {
			fmt.Fprint(table, down(r.Values[0]))
		}
		if rest, ok := r.Of(whatif.Rest); ok {
			fmt.Fprintf(table, "\t%s", seconds(rest))
		} else {
			fmt.Fprint(table, "\t-")
		}
		if k%len(across) == len(across)-1 {
			fmt.Fprint(table, "\t\n")
		}
	}
	table.Flush()
}

// writeReasons says why rows have no cycle, each reason once.
func writeReasons(w io.Writer, t *whatif.Table) {
	count := map[string]int{}
	var order []string
	for _, r := range t.Rows {
		if r.Why != "" {
			if count[r.Why] == 0 {
				order = append(order, r.Why)
			}
			count[r.Why]++
		}
	}
	if len(order) > 0 {
		fmt.Fprintln(w)
	}
	const most = 5
	for i, why := range order {
		if i == most {
			fmt.Fprintf(w, "and %d reasons more\n", len(order)-most)
			break
		}
		fmt.Fprintf(w, "%d of %d: %s\n", count[why], len(t.Rows), why)
	}
}

// seconds says a time as people do, to three digits.
func seconds(s float64) string {
	switch {
	case s < 100:
		return fmt.Sprintf("%.3g s", s)
	case s < 6000:
		return fmt.Sprintf("%.3g min", s/60)
	}
	return fmt.Sprintf("%.3g h", s/3600)
}
