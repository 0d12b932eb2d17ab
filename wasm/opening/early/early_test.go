//go:build !js

package early_test

import (
	"encoding/json"
	"io"
	"maps"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Packages of the program are initialized in the order that the language defines (The Go
// Programming Language Specification, "Package initialization"): sorted by path, the first
// each time whose imports have all been. The opening comes before the window library compiles
// its shaders.
func TestEarly(t *testing.T) {
	imports := program(t)
	paths := slices.Sorted(maps.Keys(imports))
	begun := map[string]bool{}
	var order []string
	for len(order) < len(paths) {
		next := slices.IndexFunc(paths, func(p string) bool {
			return !begun[p] && !slices.ContainsFunc(imports[p], func(i string) bool { return !begun[i] })
		})
		require.GreaterOrEqual(t, next, 0, "a circle of imports")
		begun[paths[next]] = true
		order = append(order, paths[next])
	}
	opening := slices.Index(order, "quietpump/wasm/opening/early")
	shaders := slices.Index(order, "github.com/hajimehoshi/ebiten/v2/internal/restorable")
	require.GreaterOrEqual(t, opening, 0, "the program has no opening")
	require.GreaterOrEqual(t, shaders, 0, "the library compiles its shaders elsewhere")
	require.Less(t, opening, shaders)
}

// program is what each package of the program imports.
func program(t *testing.T) map[string][]string {
	cmd := exec.Command("go", "list", "-deps", "-json=ImportPath,Imports,ImportMap", "quietpump/wasm")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	out, err := cmd.Output()
	require.NoError(t, err)
	imports := map[string][]string{}
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath string
			Imports    []string
			ImportMap  map[string]string // of what the standard library carries with it
		}
		err := d.Decode(&p)
		if err == io.EOF {
			return imports
		}
		require.NoError(t, err)
		for i, path := range p.Imports {
			if at, ok := p.ImportMap[path]; ok {
				p.Imports[i] = at
			}
		}
		imports[p.ImportPath] = p.Imports
	}
}
