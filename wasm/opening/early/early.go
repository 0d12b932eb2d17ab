//go:build js

package early

import (
	"os"

	"quietpump/wasm/desk/house"
	"quietpump/wasm/opening"
)

// Opening is the demo's.
var Opening = opening.Begin(os.Args[1:], os.Stdin, opening.Files{}, house.Chapters()...)
