package paint

import (
	"math"

	"quietpump/sim/chart"
)

// A cutter cuts polygons into triangles by clipping ears (Meisters, "Polygons
// have ears", American Mathematical Monthly 82, 1975). Its slices are used
// again.
type cutter struct {
	next, prev []int
	out        []int
}

// triangles are three numbers of corners each, two triangles fewer than there
// are corners, for any simple polygon, whichever way round it runs. A polygon
// that crosses itself gives triangles too, though not those a reader would
// choose.
func (c *cutter) triangles(p []chart.Point) []int {
	c.out = c.out[:0]
	n := len(p)
	if n > 1 && p[0] == p[n-1] {
		n--
	}
	if n < 3 {
		return c.out
	}
	turn := 1.0
	if area(p[:n]) < 0 {
		turn = -1
	}
	if convex(p[:n], turn) {
		for i := 1; i+1 < n; i++ {
			c.out = append(c.out, 0, i, i+1)
		}
		return c.out
	}
	c.next, c.prev = c.next[:0], c.prev[:0]
	for i := range n {
		c.next = append(c.next, (i+1)%n)
		c.prev = append(c.prev, (i+n-1)%n)
	}
	at, left := 0, n
	for tried := 0; left > 3; {
		i, j := c.prev[at], c.next[at]
		// Once round without an ear: corners in line, or a polygon that crosses
		// itself. What is flat goes first, then whatever stands at hand.
		ear := c.ear(p, i, at, j, turn)
		if !ear && tried >= left {
			ear = tried >= 2*left || cross(p[i], p[at], p[j])*turn >= 0 && flat(p[i], p[at], p[j])
		}
		if !ear {
			at = j
			tried++
			continue
		}
		c.out = append(c.out, i, at, j)
		c.next[i], c.prev[j] = j, i
		left--
		tried = 0
		at = c.next[j] // skip one, so that triangles come out less thin
		if left == 3 {
			at = j
		}
	}
	return append(c.out, c.prev[at], at, c.next[at])
}

// ear reports whether the corner at b can be clipped: it turns outward, and no
// other corner lies in the triangle.
func (c *cutter) ear(p []chart.Point, ia, ib, ic int, turn float64) bool {
	a, b, d := p[ia], p[ib], p[ic]
	if cross(a, b, d)*turn <= 0 {
		return false
	}
	x0, x1 := math.Min(a.X, math.Min(b.X, d.X)), math.Max(a.X, math.Max(b.X, d.X))
	y0, y1 := math.Min(a.Y, math.Min(b.Y, d.Y)), math.Max(a.Y, math.Max(b.Y, d.Y))
	for i := c.next[ic]; i != ia; i = c.next[i] {
		q := p[i]
		if q.X < x0 || q.X > x1 || q.Y < y0 || q.Y > y1 || q == a || q == b || q == d {
			continue
		}
		if cross(a, b, q)*turn >= 0 && cross(b, d, q)*turn >= 0 && cross(d, a, q)*turn >= 0 {
			return false
		}
	}
	return true
}

// cross is twice the area of a triangle, positive where it turns from x to y.
func cross(a, b, c chart.Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// flat reports whether three corners stand in line, for what can be seen.
func flat(a, b, c chart.Point) bool {
	return math.Abs(cross(a, b, c)) <= 1e-9*(math.Hypot(b.X-a.X, b.Y-a.Y)*math.Hypot(c.X-b.X, c.Y-b.Y)+1e-300)
}

// area is twice the signed area of a polygon.
func area(p []chart.Point) float64 {
	sum := 0.0
	for i := 1; i+1 < len(p); i++ {
		sum += cross(p[0], p[i], p[i+1])
	}
	return sum
}

// convex reports whether a polygon turns one way at every corner, and once round
// in all.
func convex(p []chart.Point, turn float64) bool {
	n, flips := len(p), 0
	last := 0.0
	for i := range n {
		a, b := p[i], p[(i+1)%n]
		if cross(a, b, p[(i+2)%n])*turn < 0 {
			return false
		}
		// Round once means two changes between going right and going left.
		if dx := b.X - a.X; dx != 0 {
			if last != 0 && (dx > 0) != (last > 0) {
				flips++
			}
			last = dx
		}
	}
	return flips <= 2
}
