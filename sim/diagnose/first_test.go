package diagnose_test

import (
	"context"
	"testing"
	"time"

	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/diagnose"
)

func BenchmarkFirst(b *testing.B) {
	rig, err := rigfile.Read("../../testdata/rigs/twopath.rig.toml")
	if err != nil {
		b.Fatal(err)
	}
	m, err := sim.Compile(rig)
	if err != nil {
		b.Fatal(err)
	}
	reading := diagnose.Reading{
		Rest: []diagnose.Time{{Value: 95 * time.Second}},
		Run:  []diagnose.Time{{Value: 1700 * time.Millisecond}},
	}
	for b.Loop() {
		if _, err := diagnose.First(context.Background(), m, reading, diagnose.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
