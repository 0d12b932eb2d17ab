package site

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// program is the package of the demo that runs in the browser.
const program = "quietpump/wasm"

// unhurried are packages compiled without inlining, which takes a fortieth off what has to be sent: those that run when a file is
// read or a page is written, and never in a frame; and those with which the window library compiles its shaders as it starts. The
// browser compiles a function once more in the background, on all the cores it finds, when some 13 million bytes of it have been
// passed, and each turn of a large one passes all of its bytes: made smaller, fewer get there before the first picture. Of our own
// packages that run before it none is here: there each function more takes longer than it saves.
var unhurried = []string{
	"quietpump/sim/report", "quietpump/sim/repair", "quietpump/sim/diagnose/jobcard", "quietpump/wasm/chapters/yours",
	"github.com/pelletier/go-toml/v2/...", "encoding/json", "encoding/xml", "golang.org/x/net/...",
	"github.com/hajimehoshi/ebiten/v2/internal/shader", "github.com/hajimehoshi/ebiten/v2/internal/shaderir/...",
	"go/...", "regexp/...", "math/big",
	"archive/zip", "compress/flate", "github.com/hajimehoshi/ebiten/v2/internal/png",
}

// compile builds the program with the go command.
func compile(ctx context.Context, pkg string) ([]byte, error) {
	dir, err := os.MkdirTemp("", "quietpump")
	if err != nil {
		return nil, fmt.Errorf("site: %w", err)
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(dir, "program.wasm")
	args := []string{"build", "-trimpath", "-ldflags=-s -w"}
	for _, p := range unhurried {
		args = append(args, "-gcflags="+p+"=-l")
	}
	cmd := exec.CommandContext(ctx, "go", append(args, "-o", out, pkg)...)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if _, err := run(cmd); err != nil {
		return nil, fmt.Errorf("site: compiling the program (run this within the quietpump module): %w", err)
	}
	return os.ReadFile(out)
}

// runtime is the script with which the go command's programs start in a browser.
func runtime(ctx context.Context) ([]byte, error) {
	root, err := run(exec.CommandContext(ctx, "go", "env", "GOROOT"))
	if err != nil {
		return nil, fmt.Errorf("site: asking where Go is: %w", err)
	}
	return os.ReadFile(filepath.Join(strings.TrimSpace(root), "lib", "wasm", "wasm_exec.js"))
}

func run(cmd *exec.Cmd) (string, error) {
	var problem bytes.Buffer
	cmd.Stderr = &problem
	out, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("%w: %s", err, strings.TrimSpace(problem.String()))
	}
	return string(out), nil
}
