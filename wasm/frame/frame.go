// Package frame holds what one picture of the demo is: marks of [chart.Drawing]
// in CSS px, on paper of a given size and theme, and what a finger or a mouse did to
// it. It knows no window and no browser, so whatever draws a frame is
// tested natively, and a frame can be written as SVG and compared.
package frame

import (
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
)

// A Box is an upright rectangle, CSS px, y down.
type Box struct{ X0, Y0, X1, Y1 float64 }

// Wide is the box's width, px.
func (b Box) Wide() float64 { return b.X1 - b.X0 }

// High is the box's height, px.
func (b Box) High() float64 { return b.Y1 - b.Y0 }

// Holds reports whether a point lies in the box, or on its upper or left edge.
func (b Box) Holds(x, y float64) bool { return x >= b.X0 && x < b.X1 && y >= b.Y0 && y < b.Y1 }

// Inset is the box with d px taken off each side; negative adds them.
func (b Box) Inset(d float64) Box { return Box{b.X0 + d, b.Y0 + d, b.X1 - d, b.Y1 - d} }

// A Look is how the reader wants to be shown things. The zero Look is the
// ordinary case: light paper, full motion, US units.
type Look struct {
	Dark  bool // paper and ink
	Calm  bool // reduced motion: nothing shakes or drifts
	Units unit.System
}

// Theme is the chart theme that goes with the look.
func (l Look) Theme() chart.Theme {
	if l.Dark {
		return chart.Dark
	}
	return chart.Light
}

// A Frame is one picture. Still is drawn anew only when Changed says so, Moving
// each time, above it.
type Frame struct {
	Paper   Box // the whole canvas
	Free    Box // what the margin notes leave of it
	Look    Look
	Now     time.Time     // the clock, handed in: frames are the same at the same time
	Still   chart.Drawing // what changes only when something happens
	Moving  chart.Drawing // what moves, above Still
	Changed bool          // Still was drawn anew
}

// A Pointer is one thing that a mouse or a finger did. A press that the browser took
// away, for a gesture of its own, is lifted off the paper, at −1, −1.
type Pointer struct {
	X, Y     float64 // CSS px
	Down, Up bool    // it was put down, lifted
	Held     bool    // it is down
	Wheel    float64 // notches, up positive
}
