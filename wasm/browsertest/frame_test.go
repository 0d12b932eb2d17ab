//go:build !js

package browsertest

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"quietpump/wasm/desk/house"
)

// TestFrameWork measures Update and Draw in Go, in a window no larger than all of a
// chapter's things need and of few pixels, for there the browser's own drawing in
// software does not slow them. A median over 120 frames of four milliseconds is a
// quarter of a frame; a healthy one is far below. The first is passed over, for in it the
// browser's compiler has the processor as much as the program has; of the three after it
// the least counts, for what else the machine does only adds.
func TestFrameWork(t *testing.T) {
	const bar, warming, tries = 4.0, 1, 3 // ms, medians, medians
	for _, c := range house.Chapters() {
		for _, query := range []string{"", "&rig=bench30&rate=60"} { // as it opens; the largest rig of the house
			p := opened(t, 560, 400, 0.5).visit("?chapter=" + c.Key() + query + "#probe")
			least := math.Inf(1)
			for told := warming + 1; told <= warming+tries && least > bar; told++ {
				p.until(fmt.Sprintf(`JSON.parse(document.documentElement.dataset.state ?? '{"told":0}').told >= %d`, told))
				median := eval[float64](p, `JSON.parse(document.documentElement.dataset.state).median_ms`)
				t.Logf("%s%s: median %d: %.2f ms", c.Key(), query, told, median)
				least = min(least, median)
			}
			assert.LessOrEqual(t, least, bar, c.Key()+query)
			p.clean()
			p.leave()
		}
	}
}
