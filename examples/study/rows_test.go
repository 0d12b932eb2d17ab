package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Rows come back as they were written.
func TestRowsComeBack(t *testing.T) {
	name := filepath.Join(t.TempDir(), "rows.csv")
	list := []row{{Case: 3, Kind: "suspect", Cause: "fill valve, \"old\"", Places: "belly\npan", Tool: 1.25, Optimum: -1}, {Case: 4, Belief: 1. / 3}}
	require.NoError(t, writeRows(name, list))
	back, err := readRows(name)
	require.NoError(t, err)
	assert.Equal(t, list, back)
	for _, text := range []string{"NaN", "+Inf", "x", ""} {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		_, err = parseRows("rows.csv", bytes.NewReader(bytes.Replace(data, []byte("1.25"), []byte(text), 1)))
		assert.ErrorContains(t, err, "rows.csv:2: tool_min is")
	}
}

// FuzzRows: a file of rows is read or refused; no number in it is none.
func FuzzRows(f *testing.F) {
	f.Add([]byte("case,kind\n1,x\n"))
	name := filepath.Join(f.TempDir(), "rows.csv")
	if err := writeRows(name, []row{{Case: 1, Kind: "pair", Tool: 2.5}, {Case: 2}}); err != nil {
		f.Fatal(err)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := parseRows("rows.csv", bytes.NewReader(data))
		if err != nil {
			return
		}
		for i := range list {
			for _, x := range list[i].floats() {
				if *x-*x != 0 {
					t.Fatalf("row %d holds %v", i, *x)
				}
			}
		}
	})
}
