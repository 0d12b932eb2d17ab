package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const area = `package area

const sides = 2.0

// Around is what a rectangle measures around.
func Around(a, b float64) float64 {
	if a < 0 {
		return -1
	}
	a += b
	return sides * a
}
`

func write(t *testing.T, dir string, files map[string]string) {
	for name, text := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666))
	}
}

// A test that minds all but the minus and the bound lets those two survive, and the
// constant that goes with them; one that minds everything lets none.
func TestSurvivorsAreWhatNoTestMinds(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	write(t, dir, map[string]string{"go.mod": "module area\n\ngo 1.26\n", "area.go": area, "area_test.go": `package area

import "testing"

func TestAround(t *testing.T) {
	if Around(2, 3) != 10 {
		t.Fail()
	}
}
`})
	s := settings{percent: 1, every: 1, limit: time.Minute}
	n, err := s.mutate("area.go")
	require.NoError(t, err)
	assert.Equal(t, 3, n, "1 for 0, no minus, 2 for 1")

	write(t, dir, map[string]string{"more_test.go": `package area

import "testing"

func TestNegative(t *testing.T) {
	if Around(-2, 3) != -1 || Around(0.5, 1) != 3 {
		t.Fail()
	}
}
`})
	n, err = s.mutate("area.go")
	require.NoError(t, err)
	assert.Zero(t, n)
	text, err := os.ReadFile("area.go")
	require.NoError(t, err)
	assert.Equal(t, area, string(text), "the file is as it was")
}
