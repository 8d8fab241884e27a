package geom

import "math"

// Point is a place or a vector in the plane, in millimetres: X right, Y away.
type Point struct{ X, Y float64 }

// Pt is shorthand for Point{x, y}.
func Pt(x, y float64) Point { return Point{x, y} }

// Polar returns the vector of length r at angle a (radians, counter-clockwise from X).
func Polar(r, a float64) Point { return Point{r * math.Cos(a), r * math.Sin(a)} }

// Add returns p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p - q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul returns p scaled by k.
func (p Point) Mul(k float64) Point { return Point{p.X * k, p.Y * k} }

// Dot returns the scalar product.
func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

// Cross returns the z component of the vector product, positive when q lies
// counter-clockwise of p.
func (p Point) Cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

// Len returns the length of the vector.
func (p Point) Len() float64 { return math.Hypot(p.X, p.Y) }

// Dist returns the distance between the points.
func (p Point) Dist(q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// Left returns the vector turned a quarter counter-clockwise.
func (p Point) Left() Point { return Point{-p.Y, p.X} }

// Unit returns the vector scaled to length 1; the zero vector stays zero.
func (p Point) Unit() Point {
	l := p.Len()
	if l == 0 {
		return Point{}
	}
	return Point{p.X / l, p.Y / l}
}

// Angle returns the direction of the vector in (-pi, pi].
func (p Point) Angle() float64 { return math.Atan2(p.Y, p.X) }

// Lerp returns the point at fraction t of the way from p to q.
func (p Point) Lerp(q Point, t float64) Point {
	return Point{p.X + t*(q.X-p.X), p.Y + t*(q.Y-p.Y)}
}

// Finite reports whether both coordinates are ordinary numbers.
func (p Point) Finite() bool {
	return !math.IsNaN(p.X) && !math.IsInf(p.X, 0) && !math.IsNaN(p.Y) && !math.IsInf(p.Y, 0)
}

// Box is an axis-parallel rectangle. It is empty when Min exceeds Max.
type Box struct{ Min, Max Point }

// EmptyBox returns the box that holds nothing; adding to it gives the addend.
func EmptyBox() Box {
	inf := math.Inf(1)
	return Box{Point{inf, inf}, Point{-inf, -inf}}
}

// Empty reports whether the box holds no point.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// AddPoint returns the least box that holds b and p.
func (b Box) AddPoint(p Point) Box {
	return Box{
		Point{math.Min(b.Min.X, p.X), math.Min(b.Min.Y, p.Y)},
		Point{math.Max(b.Max.X, p.X), math.Max(b.Max.Y, p.Y)},
	}
}

// Union returns the least box that holds both.
func (b Box) Union(o Box) Box {
	return Box{
		Point{math.Min(b.Min.X, o.Min.X), math.Min(b.Min.Y, o.Min.Y)},
		Point{math.Max(b.Max.X, o.Max.X), math.Max(b.Max.Y, o.Max.Y)},
	}
}

// Grow returns the box widened by d on every side.
func (b Box) Grow(d float64) Box {
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Overlaps reports whether the boxes share a point, edges included.
func (b Box) Overlaps(o Box) bool {
	return b.Min.X <= o.Max.X && o.Min.X <= b.Max.X && b.Min.Y <= o.Max.Y && o.Min.Y <= b.Max.Y
}

// Contains reports whether p lies in the box, edges included.
func (b Box) Contains(p Point) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X && b.Min.Y <= p.Y && p.Y <= b.Max.Y
}

// Size returns width and height.
func (b Box) Size() Point { return b.Max.Sub(b.Min) }

// Center returns the middle of the box.
func (b Box) Center() Point { return b.Min.Lerp(b.Max, 0.5) }

// Distance returns the least distance between the boxes, 0 when they overlap.
func (b Box) Distance(o Box) float64 {
	dx := math.Max(0, math.Max(o.Min.X-b.Max.X, b.Min.X-o.Max.X))
	dy := math.Max(0, math.Max(o.Min.Y-b.Max.Y, b.Min.Y-o.Max.Y))
	return math.Hypot(dx, dy)
}
