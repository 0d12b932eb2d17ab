package ask

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestBar(t *testing.T) {
	var out strings.Builder
	b := NewBar(&out, "rigs")
	b.Show(1, 4)
	b.Clear()
	assert.Empty(t, out.String(), "nobody watches")
	assert.Equal(t, "1 of 4 rigs", b.line(1, 4, time.Millisecond))
	assert.Equal(t, "1 of 4 rigs, about 30s left", b.line(1, 4, 10*time.Second))
	assert.Equal(t, "4 of 4 rigs", b.line(4, 4, time.Minute))
	assert.Equal(t, "0 of 4 rigs", b.line(0, 4, time.Minute))
	b.out = &out
	b.Show(2, 4)
	b.Clear()
	assert.Equal(t, "\r2 of 4 rigs\x1b[K\r\x1b[K", out.String())
}
