package network_test

import (
	"fmt"
	"math"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/network"
)

func joint(i int) string { return fmt.Sprintf("j%d", i) }

// randomItems is a tree of random parts behind a pump, with returns to the tank.
func randomItems(t *rapid.T) []network.Item {
	items := []network.Item{
		network.Tank{Name: "tank", Ports: []string{"out", "top"}},
		network.Pump{Name: "pump", From: "out", To: joint(0)},
		network.Shutoff{Name: "fill valve", From: joint(0), To: "top", Shut: true},
	}
	n := rapid.IntRange(1, 25).Draw(t, "parts")
	for i := 1; i <= n; i++ {
		name, from, to := fmt.Sprintf("part %d", i), joint(rapid.IntRange(0, i-1).Draw(t, "from")), joint(i)
		switch rapid.IntRange(0, 7).Draw(t, "kind") {
		case 0, 1:
			items = append(items, network.Tube{Name: name, From: from, To: to})
		case 2:
			items = append(items, network.Shutoff{Name: name, From: from, To: to, Shut: rapid.Bool().Draw(t, "shut")})
		case 3:
			items = append(items, network.Check{Name: name, From: from, To: to})
		case 4:
			items = append(items, network.Regulator{Name: name, From: from, To: to, Droop: 1e4, Check: rapid.Bool().Draw(t, "check")})
		case 5:
			items = append(items, network.Selector{Name: name, Ports: []string{from, to}, Positions: []network.Position{
				{Name: "shut off"}, {Name: "use", Joins: [][2]string{{from, to}}}}})
		case 6:
			items = append(items, network.Filter{Name: name, From: from, To: to})
		case 7:
			items = append(items, network.Strainer{Name: name, From: from, To: to})
		}
		end := fmt.Sprintf("end %d", i)
		switch rapid.IntRange(0, 4).Draw(t, "end") {
		case 0:
			items = append(items, network.Fixture{Name: end, At: to})
		case 1:
			items = append(items, network.Drain{Name: end, At: to})
		case 2:
			items = append(items, network.Appliance{Name: end, At: to})
		case 3:
			items = append(items, network.Heater{Name: end, At: to}, network.ReliefValve{Name: "relief of " + end, At: to})
		case 4:
			items = append(items, network.Accumulator{Name: end, At: to})
		}
	}
	return items
}

func TestOrderOfItemsChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := randomItems(t)
		a, err := network.New("rig", items...)
		require.NoError(t, err)
		b, err := network.New("rig", rapid.Permutation(items).Draw(t, "order")...)
		require.NoError(t, err)
		require.Equal(t, a, b)
		require.Equal(t, a.EscapePaths(nil), b.EscapePaths(nil))
	})
}

// Closing what isolates a part takes the part out of every escape path that
// leads out of the pumped water, and off the suspects.
func TestIsolatedPartsExchangeNoWater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rig, err := network.New("rig", randomItems(t)...)
		require.NoError(t, err)
		parts := rig.Parts()
		part := parts[rapid.IntRange(0, len(parts)-1).Draw(t, "part")]
		set, enough := rig.Isolators(part.ID())
		if !enough {
			return
		}
		require.NoError(t, rig.CheckLineup(set))
		for _, path := range rig.EscapePaths(set) {
			for i, name := range path.Parts {
				if name == part.ID() && part.Kind() != "pump" {
					// Only by a seep through one of the isolators can water still come.
					require.Contains(t, set, path.Suspect.Seep.Part, "%s: %v", part.ID(), path)
					require.Positive(t, i)
				}
			}
		}
	})
}

// On every escape path one part holds water back, that part is a suspect whose
// seep the rig can have, and shutting it away needs no more than its isolators.
func TestEverySuspectIsAFaultTheRigCanHave(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rig, err := network.New("rig", randomItems(t)...)
		require.NoError(t, err)
		suspects := make(map[string]bool)
		for _, s := range rig.Suspects(nil) {
			require.NoError(t, rig.CheckFaults(network.Faults{s.Seep}))
			suspects[s.Name] = true
		}
		for _, path := range rig.EscapePaths(nil) {
			require.NotEmpty(t, path.Words)
			if path.Suspect.Name != "" {
				require.True(t, suspects[path.Suspect.Name], path.Words)
			}
		}
	})
}

// anyParts has one part of each kind.
var anyParts = []network.Part{
	network.Accumulator{}, network.AirPocket{}, network.Appliance{}, network.Check{}, network.Drain{}, network.Elastic{},
	network.Filter{}, network.Fixture{}, network.HandPump{}, network.Heater{}, network.Hookup{}, network.Mixer{}, network.Pump{},
	network.Regulator{}, network.ReliefValve{}, network.Selector{}, network.Shutoff{}, network.Strainer{}, network.Tank{},
	network.Tube{}, network.VacuumBreaker{}, network.WasteTank{},
}

// scramble sets every field of a value to something odd.
func scramble(t *rapid.T, v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(rapid.SampledFrom([]string{"a", "b", "c", "d", "", "on", "\x00", "1/2 in"}).Draw(t, "word"))
	case reflect.Float64:
		v.SetFloat(rapid.SampledFrom([]float64{0, 0, 1, 3e5, 1e300, -1, math.NaN(), math.Inf(1)}).Draw(t, "number"))
	case reflect.Int64:
		v.SetInt(rapid.Int64Range(-1, 1).Draw(t, "time"))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "yes"))
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), rapid.IntRange(0, 3).Draw(t, "length"), 3))
		for i := range v.Len() {
			scramble(t, v.Index(i))
		}
	case reflect.Array:
		for i := range v.Len() {
			scramble(t, v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			scramble(t, v.Field(i))
		}
	case reflect.Pointer:
		if rapid.Bool().Draw(t, "there") {
			v.Set(reflect.New(v.Type().Elem()))
			scramble(t, v.Elem())
		}
	}
}

// Whatever is given, New answers with a rig whose numbers are numbers, or with
// problems; it does not panic.
func TestNewStandsAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var items []network.Item
		for range rapid.IntRange(0, 8).Draw(t, "parts") {
			v := reflect.New(reflect.TypeOf(rapid.SampledFrom(anyParts).Draw(t, "kind")))
			scramble(t, v.Elem())
			items = append(items, v.Elem().Interface().(network.Item))
		}
		rig, err := network.New("rig", items...)
		if err != nil {
			require.IsType(t, network.Problems{}, err)
			require.NotEmpty(t, err.Error())
			return
		}
		for _, a := range rig.Assumed() {
			require.False(t, math.IsNaN(a.SD) || math.IsInf(a.SD, 0), "%+v", a)
		}
		for _, path := range rig.EscapePaths(nil) {
			require.NotEmpty(t, path.Words)
		}
	})
}

func TestFiftyThousandJoints(t *testing.T) {
	rig, err := network.New("rig", bigRig(50_000)...)
	require.NoError(t, err)
	assert.Len(t, rig.Joints(), 50_003)
	assert.Len(t, rig.Suspects(nil), 25_000+3) // drains, tap, pump head, connections
	_, enough := rig.Isolators("drain j26000")
	assert.True(t, enough)
}

func BenchmarkNew(b *testing.B) {
	for _, n := range []int{50, 5_000, 50_000} {
		items := bigRig(n)
		b.Run(fmt.Sprintf("joints=%d", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := network.New("rig", items...); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
