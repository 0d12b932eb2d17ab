// Package browsertest plays the demo in a browser. It has tests only:
//
//	go test ./wasm/browsertest                                  # a loud skip where there is no Chromium
//	QUIETPUMP_BROWSER=none go test ./...                        # without it
//	QUIETPUMP_BROWSER=must go test ./wasm/browsertest           # a failure there
//	go test ./wasm/browsertest -run Shots -shots pictures       # every chapter at five sizes, light and dark
//	go test ./wasm/browsertest -run Playable -pairs 5 -v        # time to playable, against an empty page
//	go test ./wasm/browsertest -run Size -sizes -v              # the size of the program, plain and packed
//	go test ./wasm/browsertest -run 'Speed$' -speed -v          # how fast the solver is: native, in Node, in the browser
//
// They wait for what the page shows and what the program says, and never look at a
// clock to decide whether all is well: a browser that draws in software takes
// seconds for what a phone does at once.
package browsertest
