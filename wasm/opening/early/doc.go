// Package early opens the demo before the window library begins.
//
// As its packages are initialized the library compiles its shaders, which has the browser
// compile the compiler again, for seconds and on every core it finds; what comes after that
// takes three times as long. Go initializes packages in the order of their paths, each when
// what it imports has been (The Go Programming Language Specification, "Package
// initialization"). The library's wait for text/template, and nothing here does:
// TestEarly holds that.
package early
