package scene

import (
	"math"

	"quietpump/wasm/frame"
)

// Places are where everything stands, CSS px.
type places struct {
	drawing frame.Box
	pen     frame.Box // the housing from which the paper comes
	paper   frame.Box // what is written on, from the pen to the roll
	watch   circle
	crown   frame.Box // to be touched
	figures frame.Box // where the water went; not more than a line on a phone
	pump    frame.Box // zero: it has no place
	small   bool
	bare    bool // there is no room but for the drawing
}

type circle struct{ x, y, r float64 }

// arrange puts the drawing above and the instrument below it, its pen under the
// pump, the watch and the figures where they leave it room.
func (s *Scene) arrange(free frame.Box) places {
	w, h := free.Wide(), free.High()
	pl := places{small: w < 640}
	if w < 250 || h < 200 {
		pl.bare, pl.drawing = true, free.Inset(math.Min(4, math.Min(w, h)/4))
		return pl
	}
	edge, line := 16.0, 0.0
	if pl.small {
		edge, line = 8, 18
	}
	strip := math.Min(math.Max(0.25*h, 150), 270)
	if pl.small {
		strip = math.Max(0.25*h, 112)
	}
	low := free.Y1 - edge/2 - line
	top := low - strip
	pl.drawing = frame.Box{X0: free.X0 + edge, Y0: free.Y0 + edge, X1: free.X1 - edge, Y1: top - 4}

	wide := math.Min(math.Max(0.1*w, 74), 116)
	left, right := free.X0+edge, free.X1-edge
	block := math.Min(math.Max(0.21*w, 180), 250)
	pen := right - wide // left edge of the housing
	if p, ok := s.live.Pump(); ok {
		if at, ok := s.plan.Where(p.Name, pl.drawing); ok {
			at.X0, at.X1 = pl.drawing.X0+pl.drawing.X1-at.X1, pl.drawing.X0+pl.drawing.X1-at.X0
			pl.pump = at
			pen = math.Min(math.Max((at.X0+at.X1)/2-wide/2, free.X0+0.42*w), pen)
		}
	}
	// The watch and the figures stand to the right of the housing where there is
	// room for them, else at the far end of the paper.
	switch {
	case pl.small:
		pen = right - 76 - wide // all the paper there can be
		pl.watch = circle{right - 32, top + 50, 28}
		pl.figures = frame.Box{X0: left, Y0: low, X1: right, Y1: low + line}
	case right-(pen+wide) >= 0.75*block:
		pen = math.Min(pen, right-block-24-wide)
		pl.figures = frame.Box{X0: pen + wide + 24, Y0: top + 12, X1: math.Min(right, pen+wide+364), Y1: low}
	default:
		pl.figures = frame.Box{X0: left, Y0: top + 12, X1: left + block, Y1: low}
		left += block + 24
	}
	if !pl.small {
		pl.figures.Y1 = math.Min(pl.figures.Y1, pl.figures.Y0+120+7*rows) // as much as there can be to say
		r := math.Min(math.Max(0.17*strip, 25), 38)
		pl.watch = circle{pl.figures.X0 + r + 12, pl.figures.Y0 + r + 20, r}
	}
	up := pl.watch.y - pl.watch.r
	pl.crown = frame.Box{X0: pl.watch.x - 36, Y0: up - 24, X1: pl.watch.x + 36, Y1: math.Max(pl.watch.y+pl.watch.r+4, up+24)}
	pl.pen = frame.Box{X0: pen, Y0: top + 8, X1: pen + wide, Y1: low}
	pl.paper = frame.Box{X0: left + 13, Y0: top + 14, X1: pen, Y1: low - 17}
	return pl
}
