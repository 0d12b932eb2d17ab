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

// unhurried are packages that run when a file is read or a page is written, and never in a frame: they are compiled without
// inlining, which takes a fortieth off what has to be sent. What runs before the first picture and is large is none of them: there
// each function more takes longer than it saves.
var unhurried = []string{
	"quietpump/sim/report", "quietpump/sim/repair", "quietpump/sim/diagnose/jobcard", "quietpump/wasm/chapters/yours",
	"github.com/pelletier/go-toml/v2/...", "encoding/json", "encoding/xml", "golang.org/x/net/...",
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
