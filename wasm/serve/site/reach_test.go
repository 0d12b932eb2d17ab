package site_test

import (
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The program in the browser reaches nothing that would double its size, nor the
// library's matrices, which would add a seventh.
func TestTheProgramReachesNothingLarge(t *testing.T) {
	cmd := exec.Command("go", "list", "-deps", "quietpump/wasm")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := cmd.Output()
	require.NoError(t, err)
	reached := strings.Fields(string(out))
	assert.Contains(t, reached, "github.com/hajimehoshi/ebiten/v2", "the list is of the program")
	for _, pkg := range reached {
		for _, large := range []string{"gonum.org/v1/plot", "gonum.org/v1/gonum/mat", "gonum.org/v1/gonum/stat", "net/http", "html/template", "crypto/tls", "github.com/hajimehoshi/ebiten/v2/audio",
			"github.com/hajimehoshi/ebiten/v2/exp/textinput", "github.com/chromedp/chromedp", "github.com/andybalholm/brotli", "quietpump/sim/chart/plots", "quietpump/wasm/browsertest"} {
			assert.False(t, pkg == large || strings.HasPrefix(pkg, large+"/"), "it reaches %s", pkg)
		}
		if strings.HasPrefix(pkg, "quietpump/") {
			assert.NotContains(t, imports(t, pkg), "syscall/js", pkg)
		}
	}
	// And on a machine without a screen nothing of the window library is built.
	out, err = exec.Command("go", "list", "-deps", "quietpump/...").Output()
	require.NoError(t, err)
	assert.NotContains(t, string(out), "hajimehoshi")
}

func imports(t *testing.T, pkg string) []string {
	t.Helper()
	cmd := exec.Command("go", "list", "-f", "{{range .Imports}}{{.}} {{end}}", pkg)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := cmd.Output()
	require.NoError(t, err)
	return strings.Fields(string(out))
}
