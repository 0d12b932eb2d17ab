package ask

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBar(t *testing.T) {
	var out strings.Builder
	b := NewBar(&out, "rigs")
	b.Show(1, 4)
	b.Clear()
	assert.Empty(t, out.String(), "nobody watches")
	b.on = &out
	b.Show(1, 4)
	b.it.Write()
	b.Show(4, 4)
	b.Clear()
	assert.Contains(t, out.String(), "1 of 4 rigs")
}
