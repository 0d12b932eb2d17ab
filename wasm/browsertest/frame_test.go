//go:build !js

package browsertest

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"quietpump/wasm/desk/house"
)

// TestFrameWork measures Update and Draw in Go, in a small window, for there the
// browser's own drawing in software does not slow them. A median over 120 frames of
// four milliseconds is a quarter of a frame; a healthy one is far below.
func TestFrameWork(t *testing.T) {
	for _, c := range house.Chapters() {
		p := opened(t, 400, 300, 1).visit("?chapter=" + c.Key() + "#probe")
		p.until(`document.documentElement.dataset.state`)
		median := eval[float64](p, `JSON.parse(document.documentElement.dataset.state).median_ms`)
		t.Logf("%s: median %.2f ms", c.Key(), median)
		assert.LessOrEqual(t, median, 4.0, c.Key())
		p.clean()
	}
}
