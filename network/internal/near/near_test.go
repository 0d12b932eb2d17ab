package near_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"quietpump/network/internal/near"
)

func TestWord(t *testing.T) {
	for _, tt := range []struct {
		written string
		words   []string
		want    string
	}{
		{"lenght", []string{"length", "bore"}, "length"},
		{"galey", []string{"shower", "galley"}, "galley"},
		{"Galley", []string{"galley"}, "galley"},
		{"pump out", []string{"pump in", "pumpout"}, "pumpout"},
		{"fill", []string{"spill", "full"}, "full"},
		{"shower", []string{"galley"}, ""},
		{"a", []string{"b", "tank"}, ""},
		{"", []string{"tank"}, ""},
		{"tank", []string{"tank"}, ""}, // the word itself is no suggestion
	} {
		assert.Equal(t, tt.want, near.Word(tt.written, tt.words), "%q", tt.written)
	}
}
