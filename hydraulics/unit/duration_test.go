package unit

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestParseDuration(t *testing.T) {
	for _, tt := range []struct {
		text      string
		value, sd time.Duration
	}{
		{"95 s", 95 * time.Second, 0},
		{"95s", 95 * time.Second, 0},
		{"1m35s", 95 * time.Second, 0},
		{"1:35", 95 * time.Second, 0},
		{"1:35.5", 95500 * time.Millisecond, 0},
		{"1:20:00", 80 * time.Minute, 0},
		{"1 h 20 min", 80 * time.Minute, 0},
		{"1h20m", 80 * time.Minute, 0},
		{"1.5 h", 90 * time.Minute, 0},
		{"1 1/2 hours", 90 * time.Minute, 0},
		{"half an hour", 30 * time.Minute, 0},
		{"Ten minutes", 10 * time.Minute, 0},
		{"an hour", time.Hour, 0},
		{"2 days", 48 * time.Hour, 0},
		{"3.2 s", 3200 * time.Millisecond, 0},
		{"95 s ± 2", 95 * time.Second, time.Second},
		{"95 ± 2 s", 95 * time.Second, time.Second},
		{"1:35 ± 2 s", 95 * time.Second, time.Second},
		{"20 min ± 10 %", 20 * time.Minute, time.Minute},
		{"0 s", 0, 0},
	} {
		value, sd, err := ParseDuration(tt.text)
		assert.NoError(t, err)
		assert.Equal(t, tt.value, value, tt.text)
		assert.Equal(t, tt.sd, sd, tt.text)
	}
	for text, want := range map[string]string{
		"":             "empty",
		"95":           `duration "95": missing unit (want s, min or h)`,
		"-5 s":         "negative",
		"1:75":         "want min:s",
		"1:35:61":      "want min:s",
		"1:35 ± 2":     "missing unit after ±",
		"300 years":    "unknown unit",
		"1e10 s":       "longer than 292 years",
		"95 s ± 1e12":  "longer than 292 years",
		"5 gal":        "gal is a unit of volume",
		"every 20 min": "want a number",
		"2 secnods":    "did you mean s?",
	} {
		_, _, err := ParseDuration(text)
		assert.ErrorContains(t, err, want, text)
	}
}

// What time.Duration prints is read as what it is.
func TestParseDurationReadsGo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := time.Duration(rapid.Int64Range(0, int64(100*24*time.Hour)).Draw(t, "ns"))
		got, _, err := ParseDuration(want.String())
		if err != nil {
			t.Fatal(err)
		}
		// float64 seconds hold a nanosecond up to 104 days, the sum of h, m and s one less.
		if d := got - want; d < -1 || d > 1 {
			t.Fatalf("%v came back as %v", want, got)
		}
	})
}
