package whatif_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/sim/whatif"
)

func some() *whatif.Table {
	return &whatif.Table{What: "sweep", Rig: "van", Faults: []string{"pump: 30 mL/min at 45 psi, film"}, Count: 2, Seed: 3,
		Columns: []whatif.Column{{Part: "accumulator", Field: "volume"}, {Field: "altitude"}},
		Rows: []whatif.Row{
			{Index: 0, Values: []float64{0.00075, 0}, Rest: 95.25, Run: 1.5, Stored: 1e-4, Pumped: 1.25e-4},
			{Index: 1, Values: []float64{0.002, 1e-300}, Why: "the pump does not start"},
		}}
}

func TestWrite(t *testing.T) {
	var csv, lines bytes.Buffer
	require.NoError(t, some().WriteCSV(&csv))
	assert.Equal(t, `index,accumulator: volume,altitude,rest_s,run_s,drawdown_m3,pumped_m3,why
0,0.00075,0,95.25,1.5,0.0001,0.000125,
1,0.002,1e-300,,,,,the pump does not start
`, csv.String())
	require.NoError(t, some().WriteJSON(&lines))
	assert.Equal(t, `{"what":"sweep","rig":"van","lineup":"","faults":["pump: 30 mL/min at 45 psi, film"],"seed":3,"count":2,"columns":[{"part":"accumulator","field":"volume"},{"part":"","field":"altitude"}]}
{"index":0,"values":[0.00075,0],"rest_s":95.25,"run_s":1.5,"drawdown_m3":0.0001,"pumped_m3":0.000125}
{"index":1,"values":[0.002,1e-300],"rest_s":null,"run_s":null,"drawdown_m3":null,"pumped_m3":null,"why":"the pump does not start"}
`, lines.String())
}

// Any number comes back bit for bit.
func TestJSONRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := some()
		table.Rows[0].Values[0] = rapid.Float64().Draw(t, "value")
		table.Rows[0].Rest = rapid.Float64Range(0, 1e9).Draw(t, "rest")
		var b bytes.Buffer
		require.NoError(t, table.WriteJSON(&b))
		back, err := whatif.ReadJSON(&b)
		require.NoError(t, err)
		assert.Equal(t, table, back)
	})
}

func TestReadJSONRefusals(t *testing.T) {
	head, row, _ := strings.Cut(jsonOf(t, some()), "\n")
	row, _, _ = strings.Cut(row, "\n")
	for _, tt := range []struct{ says, text string }{
		{"line 1: there is nothing", ""},
		{"line 1: not the head", "index,rest\n"},
		{"line 2: not a row", head + "\n{\"index\":\n"},
		{"line 2: not a row", head + "\n{\"index\":0,\"valeus\":[]}\n"},
		{"line 3: 1 values for 2 columns", head + "\n" + row + "\n" + `{"index":1,"values":[1],"why":"x"}`},
		{"line 2: a row without a cycle", head + "\n" + `{"index":1,"values":[1,2],"rest_s":4}`},
		{"line 2: it is empty", head + "\n\n" + row},
	} {
		_, err := whatif.ReadJSON(strings.NewReader(tt.text))
		assert.ErrorContains(t, err, tt.says)
	}
}

func FuzzReadJSON(f *testing.F) {
	var b bytes.Buffer
	if err := some().WriteJSON(&b); err != nil {
		f.Fatal(err)
	}
	f.Add(b.String())
	f.Add("{}\n{\"index\":0,\"values\":[],\"why\":\"x\"}\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, err := whatif.ReadJSON(strings.NewReader(text))
		if err != nil {
			return
		}
		var once, twice bytes.Buffer
		require.NoError(t, table.WriteJSON(&once))
		again, err := whatif.ReadJSON(bytes.NewReader(once.Bytes()))
		require.NoError(t, err)
		require.NoError(t, again.WriteJSON(&twice))
		require.Equal(t, once.String(), twice.String())
	})
}

func TestParseShard(t *testing.T) {
	s, err := whatif.ParseShard(" 3/16 ")
	require.NoError(t, err)
	assert.Equal(t, whatif.Shard{Index: 3, Count: 16}, s)
	for _, bad := range []string{"", "3", "16/16", "-1/4", "0/0", "a/b", "1/2/3"} {
		_, err := whatif.ParseShard(bad)
		assert.ErrorContains(t, err, "3/16", bad)
	}
}

// FuzzParseShard: what is read as a shard can be worked on, and is written as it was read.
func FuzzParseShard(f *testing.F) {
	for _, text := range []string{"3/16", "0/1", "1/1", "-1/2", "9223372036854775807/9223372036854775807", " 1/2 ", "1/2/3", "/", "+1/+2"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := whatif.ParseShard(text)
		if err != nil {
			return
		}
		if s.Index < 0 || s.Index >= s.Count {
			t.Fatalf("%q is %d of %d", text, s.Index, s.Count)
		}
		calls := 0
		if err := (whatif.Batch{Shard: s, Cores: 1}).Each(context.Background(), 5, func(int) error { calls++; return nil }); err != nil || calls > 5 {
			t.Fatalf("%q does %d of 5: %v", text, calls, err)
		}
	})
}
