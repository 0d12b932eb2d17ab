// Emptyprogram is the least program the window library makes: a window with nothing in
// it. The time it takes to be there is what the demo's is measured against.
package main
