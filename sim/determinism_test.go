package sim_test

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"runtime"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/internal/rigs"
)

var updateRecords = flag.Bool("update", false, "write testdata/records.json anew, which says what records come to")

// figures are a record in numbers, in an order of their own.
type figures struct {
	Events []sim.Event `json:"events"`
	// Pressures at the joints and flows through the parts, in order of name, at each
	// sample; what nothing decides is left out.
	Pressures [][]float64 `json:"pressures"`
	Flows     [][]float64 `json:"flows"`
	Ledger    sim.Ledger  `json:"-"`
}

func figuresOf(rig *network.Rig, rec *sim.Record) figures {
	f := figures{Events: rec.Events, Ledger: rec.Ledger}
	for i := range rec.Samples {
		var pressures, flows []float64
		for _, j := range rig.Joints() {
			if p, ok := rec.Samples[i].Pressure(j.Name); ok {
				pressures = append(pressures, float64(p))
			}
		}
		for _, p := range rig.Parts() {
			if q, ok := rec.Samples[i].Flow(p.ID()); ok {
				flows = append(flows, float64(q))
			}
		}
		f.Pressures, f.Flows = append(f.Pressures, pressures), append(f.Flows, flows)
	}
	return f
}

// hash is of every bit of the figures, the ledger included.
func (f figures) hash(t testing.TB) string {
	text, err := json.Marshal(struct {
		figures
		Ledger sim.Ledger
	}{f, f.Ledger}) // shortest digits that read back to the same bits; maps in order of key
	require.NoError(t, err)
	return fmt.Sprintf("%x", sha256.Sum256(text))
}

// kept is what testdata/records.json has of a rig of the house.
type kept struct {
	Rig     string `json:"rig"`
	Fault   string `json:"fault"`
	Lineup  string `json:"lineup,omitempty"`
	Minutes int    `json:"minutes"`
	SHA256  string `json:"sha256"` // on linux/amd64
	figures
}

type keptRecords struct {
	House  []kept `json:"house"`
	Random string `json:"random_sha256"` // of the hashes of two dozen random rigs, on linux/amd64
}

func (k kept) simulate(t testing.TB) figures {
	rig, err := rigfile.Read("../testdata/rigs/" + k.Rig + ".rig.toml")
	require.NoError(t, err)
	fault, err := rig.Fault(k.Fault)
	require.NoError(t, err)
	lineup, err := rig.Lineup(k.Lineup)
	require.NoError(t, err)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	until := time.Duration(k.Minutes) * time.Minute
	rec, err := m.Simulate(context.Background(), lineup, network.Faults{fault},
		sim.Options{Until: until, Samples: []time.Duration{until / 3, until / 2, until}})
	require.NoError(t, err)
	return figuresOf(rig, rec)
}

const keptFile = "testdata/records.json"

func readKept(t testing.TB) keptRecords {
	text, err := os.ReadFile(keptFile)
	require.NoError(t, err)
	var k keptRecords
	require.NoError(t, json.Unmarshal(text, &k))
	return k
}

// randomHash is of the records of two dozen random rigs, simulated by all cores, put
// together in order of seed.
func randomHash(t testing.TB) string {
	const n = 24
	hashes := make([]string, n)
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				c, err := rigs.Random(uint64(900_001+i), 5+i)
				if !assert.NoError(t, err) {
					continue
				}
				m, err := sim.Compile(c.Rig)
				if !assert.NoError(t, err) {
					continue
				}
				rec, err := m.Simulate(context.Background(), c.Lineup, c.Faults, c.Options)
				if assert.NoError(t, err, "seed %d", 900_001+i) {
					hashes[i] = figuresOf(c.Rig, rec).hash(t)
				}
			}
		}()
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
	return fmt.Sprintf("%x", sha256.Sum256(fmt.Append(nil, hashes)))
}

// A silent change of any figure shows: the records of the house's rigs are bit for
// bit those that testdata/records.json was written of, on linux/amd64. Elsewhere,
// WebAssembly included, they are the same within [elsewhere]. After a change that
// is meant to move a figure:
//
//	go test ./sim -run RecordsAreKept -update
func TestRecordsAreKept(t *testing.T) {
	here := runtime.GOOS == "linux" && runtime.GOARCH == "amd64"
	k := readKept(t)
	if *updateRecords {
		require.True(t, here, "records are written on linux/amd64")
		for i := range k.House {
			k.House[i].figures = k.House[i].simulate(t)
			k.House[i].SHA256 = k.House[i].hash(t)
		}
		k.Random = randomHash(t)
		text, err := json.MarshalIndent(k, "", " ")
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(keptFile, append(text, '\n'), 0o666))
		k = readKept(t)
	}
	for _, want := range k.House {
		t.Run(want.Rig, func(t *testing.T) {
			got := want.simulate(t)
			if here {
				assert.Equal(t, want.SHA256, got.hash(t), "a figure has changed; if that is meant, run with -update")
			}
			want.near(t, got)
		})
	}
	if here {
		assert.Equal(t, k.Random, randomHash(t), "a figure of some random rig has changed; if that is meant, run with -update")
	}
}

// elsewhere is how far records may differ on another processor: math has functions
// of its own for some, and some fuse x*y + z; WebAssembly comes within 6e-11. Of times
// and pressures it is a share, of flows 1e-8 L/s.
const elsewhere = 1e-8

// elsewhereTwoPumps is that of twopumps: an event there is met by another trial, within the
// same hundred-thousandth of a pascal, and what follows is a microsecond off; WebAssembly
// comes within 5e-7.
const elsewhereTwoPumps = 1e-6

func (k kept) near(t *testing.T, got figures) {
	worst := 0.0
	require.Len(t, got.Events, len(k.Events))
	for i, want := range k.Events {
		assert.Equal(t, [2]string{want.Part, string(want.What)}, [2]string{got.Events[i].Part, string(got.Events[i].What)})
		worst = math.Max(worst, math.Abs(got.Events[i].At-want.At)/math.Max(want.At, 1))
	}
	off := func(got, want [][]float64, scale func(float64) float64) {
		require.Len(t, got, len(want))
		for i, row := range want {
			require.Len(t, got[i], len(row))
			for n, x := range row {
				worst = math.Max(worst, math.Abs(got[i][n]-x)/scale(x))
			}
		}
	}
	off(got.Pressures, k.Pressures, func(p float64) float64 { return math.Max(math.Abs(p), 1e3) })
	off(got.Flows, k.Flows, func(float64) float64 { return 1e-3 }) // m³/s
	t.Logf("within %.1e on %s/%s", worst, runtime.GOOS, runtime.GOARCH)
	most := elsewhere
	if k.Rig == "twopumps" {
		most = elsewhereTwoPumps
	}
	assert.LessOrEqual(t, worst, most)
}

// One core or two, once or again: the same bytes.
func TestSameBytesOnAnyCores(t *testing.T) {
	if testing.Short() {
		t.Skip("two dozen random rigs, three times")
	}
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	one := randomHash(t)
	runtime.GOMAXPROCS(2)
	two := randomHash(t)
	again := randomHash(t)
	assert.Equal(t, one, two, "one core and two")
	assert.Equal(t, two, again, "twice")
	for _, k := range readKept(t).House {
		assert.Equal(t, k.simulate(t).hash(t), k.simulate(t).hash(t), k.Rig)
	}
}
