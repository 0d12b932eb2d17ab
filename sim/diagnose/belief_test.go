package diagnose_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim/diagnose"
)

func rigOf(tb testing.TB, name string) *network.Rig {
	tb.Helper()
	r, err := rigfile.Read("../../testdata/rigs/" + name + ".rig.toml")
	require.NoError(tb, err)
	return r
}

func from(tb testing.TB, c diagnose.Case) *diagnose.Belief {
	tb.Helper()
	b, err := diagnose.From(context.Background(), c, diagnose.Options{})
	require.NoError(tb, err)
	return b
}

func TestLook(t *testing.T) {
	for _, name := range []string{"twopath", "nosuction", "camper", "bypass", "noaccumulator", "twopumps"} {
		c := diagnose.Case{Rig: rigOf(t, name), Readings: []diagnose.Reading{{Rest: rest(95), Run: rest(2.5)}}}
		began := time.Now()
		b := from(t, c)
		fmt.Println("=====", name, time.Since(began), b.Effective, unit.US.SayBetween(b.Size.Low, b.Size.High))
		for _, h := range b.Hypotheses {
			if h.Belief > 0.005 {
				fmt.Printf("  %.3f %-10s %s  %v..%v rest %v run %v worst %q\n", h.Belief, h.Kind, h.Name, h.Low, h.High, h.Rest, h.Run, h.Worst)
			}
		}
		for _, g := range b.Groups[:min(3, len(b.Groups))] {
			fmt.Println("  group", g)
		}
		for _, n := range b.Next {
			fmt.Printf("  %6.1f %6.1f %s %s\n", n.Total, n.Minutes, n.Do, n.Words)
			for _, o := range n.Outcomes {
				fmt.Printf("              %.2f %s -> %s\n", o.Chance, o.Words, o.Then)
			}
		}
		for _, r := range b.Refused {
			fmt.Println("  refused", r.Rule, r.Lineup)
		}
		fmt.Println(b.Otherwise, b.Findings)
	}
}
