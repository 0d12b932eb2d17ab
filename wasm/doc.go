// Wasm is the demo, a program for a browser: a drawing on a canvas, with notes beside
// it that the page shows.
//
//	go run ./wasm/serve -open     # builds it, serves it and opens it
//
// Run anywhere else it says so and exits with 2.
package main
