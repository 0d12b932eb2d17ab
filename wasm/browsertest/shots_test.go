//go:build !js

package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quietpump/wasm/desk/house"
)

// sizes are those of the issue: phones both ways up, a tablet, a laptop, a desk.
var sizes = []struct {
	wide, high int
	density    float64
}{{390, 844, 2}, {844, 390, 2}, {768, 1024, 1}, {1440, 900, 1}, {2560, 1440, 1}}

func TestShots(t *testing.T) {
	if *shots == "" {
		t.Skip("pictures are taken with -shots DIR")
	}
	require.NoError(t, os.MkdirAll(*shots, 0o755))
	for _, c := range house.Chapters() {
		for _, size := range sizes {
			for _, dark := range []string{"light", "dark"} {
				p := opened(t, size.wide, size.high, size.density)
				p.media("prefers-color-scheme", dark)
				p.visit("?chapter=" + c.Key())
				p.until(`document.documentElement.dataset.chapter === "` + c.Key() + `"`)
				name := fmt.Sprintf("%s-%dx%d-%s.png", c.Key(), size.wide, size.high, dark)
				require.NoError(t, os.WriteFile(filepath.Join(*shots, name), p.picture(), 0o644))
				p.clean()
				p.leave()
			}
		}
	}
}
