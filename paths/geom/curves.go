package geom

import (
	"math"
	"slices"
)

// maxCurveSize bounds the size of a curve against its tolerance: beyond it the
// number of arcs has left all measure, and the curve is refused.
const maxCurveSize = 1e9

// Quadratic returns the quadratic Bezier curve with control points p0, p1, p2 as
// a chain of arcs; see Cubic.
func Quadratic(p0, p1, p2 Point, tol float64) Path {
	return Cubic(p0, p0.Lerp(p1, 2.0/3), p2.Lerp(p1, 2.0/3), p2, tol)
}

// Cubic returns the cubic Bezier curve with control points p0..p3 as a chain of
// arcs and straight lines from p0 to p3. Every point of the curve lies within
// tol (mm) of the chain, and every point of the chain within tol of the curve.
// The chain has the curve's tangent at its ends and turns no corner where the
// curve turns none, but for features smaller than tol. A tol below Tol, or NaN,
// is taken as Tol. A curve that is one point, not finite, or over 1e9 times tol
// in size gives nil.
func Cubic(p0, p1, p2, p3 Point, tol float64) Path {
	if !(tol >= Tol) {
		tol = Tol
	}
	size := p0.Dist(p1) + p1.Dist(p2) + p2.Dist(p3)
	for _, p := range [4]Point{p0, p1, p2, p3} {
		if !p.Finite() || math.Abs(p.X) > maxCoordinate || math.Abs(p.Y) > maxCoordinate {
			return nil
		}
	}
	switch {
	case size == 0 || size > maxCurveSize*tol:
		return nil
	case size <= tol/2 && p0 != p3:
		return Path{Line(p0, p3)}
	}
	c := &cubic{p0: p0, p1: p1, p2: p2, p3: p3, size: size}
	f := biarcFitter{curve: c, tol: tol}
	from := 0.0
	for _, t := range append(c.inflections(), 1) {
		f.fit(from, t)
		from = t
	}
	return f.out
}

// cubic is a cubic Bezier curve over t in 0..1.
type cubic struct {
	p0, p1, p2, p3 Point
	size           float64 // length of the control polygon
}

func (c *cubic) at(t float64) Point {
	switch t {
	case 0:
		return c.p0
	case 1:
		return c.p3
	}
	a, b, d := c.p0.Lerp(c.p1, t), c.p1.Lerp(c.p2, t), c.p2.Lerp(c.p3, t)
	a, b = a.Lerp(b, t), b.Lerp(d, t)
	return a.Lerp(b, t)
}

// second returns the second derivative, which runs straight from its value at
// 0 to that at 1.
func (c *cubic) second(t float64) Point {
	a := c.p2.Sub(c.p1).Sub(c.p1.Sub(c.p0))
	b := c.p3.Sub(c.p2).Sub(c.p2.Sub(c.p1))
	return a.Lerp(b, t).Mul(6)
}

func (c *cubic) maxSecond(t0, t1 float64) float64 {
	return math.Max(c.second(t0).Len(), c.second(t1).Len())
}

// tangent returns the direction of travel just after t, or just before it. Where
// the derivative vanishes the next one leads: B(t+h)-B(t) is h^2/2 B" + h^3/6 B"'.
func (c *cubic) tangent(t float64, after bool) Point {
	const vanished = 1e-9 // of the size: below, rounding may have its direction
	d := c.p1.Sub(c.p0).Lerp(c.p2.Sub(c.p1), t)
	e := c.p2.Sub(c.p1).Lerp(c.p3.Sub(c.p2), t)
	first := d.Lerp(e, t).Mul(3)
	if first.Len() > vanished*c.size {
		return first.Unit()
	}
	if second := c.second(t); second.Len() > vanished*c.size {
		if !after {
			second = second.Mul(-1)
		}
		return second.Unit()
	}
	return c.p3.Sub(c.p0).Sub(c.p2.Sub(c.p1).Mul(3)).Unit()
}

// inflections returns where the curvature changes sign or the curve stops, in
// 0..1, ascending: with B' = 3a t^2 + 2b t + c, the roots of B' x B".
func (c *cubic) inflections() []float64 {
	c1 := c.p1.Sub(c.p0).Mul(3)
	b := c.p2.Sub(c.p1).Sub(c.p1.Sub(c.p0)).Mul(3)
	a := c.p3.Sub(c.p0).Sub(c.p2.Sub(c.p1).Mul(3))
	// -3 (a x b) t^2 + 3 (c x a) t + (c x b) = 0
	q2, q1, q0 := -3*a.Cross(b), 3*c1.Cross(a), c1.Cross(b)
	roots := make([]float64, 0, 3)
	if disc := q1*q1 - 4*q2*q0; disc >= 0 {
		// The root away from cancellation first, the other from the product.
		s := -(q1 + math.Copysign(math.Sqrt(disc), q1)) / 2
		roots = append(roots, s/q2, q0/s)
	}
	// Rounding puts a root at an end, or a double one, a few units in the last
	// place beside: a piece so short has no direction.
	const roundedOff = 1e-12
	last := 0.0
	return slices.DeleteFunc(sortedFractions(roots), func(t float64) bool { // NaN and Inf fall out
		if t-last < roundedOff || 1-t < roundedOff {
			return true
		}
		last = t
		return false
	})
}

// EllipticalArc returns part of the ellipse about c with half axes rx and ry, the
// first turned by rotation from X, as a chain of arcs with the bounds of Cubic.
// The part begins at parameter start and runs through sweep, both in radians,
// positive counter-clockwise: parameter u is the point (rx cos u, ry sin u) in
// the frame of the axes. A sweep of a full turn or more gives the whole ellipse,
// closed. With equal axes the result is one exact arc. Negative axes count
// without their sign. Axes that are both 0, a sweep of 0 and numbers that are not
// finite give nil.
func EllipticalArc(c Point, rx, ry, rotation, start, sweep, tol float64) Path {
	if !(tol >= Tol) {
		tol = Tol
	}
	rx, ry = math.Abs(rx), math.Abs(ry)
	size := math.Max(rx, ry)
	if !c.Finite() || !(Point{rotation, start}).Finite() || math.IsNaN(sweep) || math.IsInf(sweep, 0) ||
		math.Abs(c.X) > maxCoordinate || math.Abs(c.Y) > maxCoordinate ||
		!(size > 0) || size > maxCurveSize*tol || sweep == 0 {
		return nil
	}
	full := math.Abs(sweep) >= 2*math.Pi
	if full {
		sweep = math.Copysign(2*math.Pi, sweep)
	}
	e := &ellipse{c: c, rx: rx, ry: ry}
	e.sin, e.cos = math.Sincos(rotation)
	if rx == ry {
		turn := CCW
		if sweep < 0 {
			turn = CW
		}
		a, b := e.at(start), e.at(start+sweep)
		if full {
			b = a
		} else if a == b {
			return nil // too short to have two ends
		}
		return Path{Arc(a, b, c, turn)}
	}
	f := biarcFitter{curve: e, tol: tol}
	// Cut at the vertices: symmetric ellipses give symmetric chains.
	from, end := start, start+sweep
	if sweep > 0 {
		for k := math.Floor(start/(math.Pi/2)) + 1; k*(math.Pi/2) < end; k++ {
			f.fit(from, k*(math.Pi/2))
			from = k * (math.Pi / 2)
		}
	} else {
		for k := math.Ceil(start/(math.Pi/2)) - 1; k*(math.Pi/2) > end; k-- {
			f.fit(from, k*(math.Pi/2))
			from = k * (math.Pi / 2)
		}
	}
	f.fit(from, end)
	if n := len(f.out); full && n > 0 {
		f.out[n-1].B = f.out[0].A
	}
	return f.out
}

type ellipse struct {
	c        Point
	rx, ry   float64
	sin, cos float64 // of the rotation
}

func (e *ellipse) turned(x, y float64) Point {
	return Point{x*e.cos - y*e.sin, x*e.sin + y*e.cos}
}

func (e *ellipse) at(u float64) Point {
	s, c := math.Sincos(u)
	return e.c.Add(e.turned(e.rx*c, e.ry*s))
}

func (e *ellipse) maxSecond(_, _ float64) float64 { return math.Max(e.rx, e.ry) }

// tangent: of an ellipse flat as a line the derivative vanishes at its ends.
func (e *ellipse) tangent(u float64, after bool) Point {
	const vanished = 1e-9
	s, c := math.Sincos(u)
	d := e.turned(-e.rx*s, e.ry*c)
	if d.Len() > vanished*math.Max(e.rx, e.ry) {
		return d.Unit()
	}
	d = e.turned(-e.rx*c, -e.ry*s)
	if !after {
		d = d.Mul(-1)
	}
	return d.Unit()
}
