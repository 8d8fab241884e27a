package geom

import "math"

// Path returns the contour as a path that ends where it starts.
func (c Contour) Path() Path { return Path(c) }

// Length returns the length round the contour.
func (c Contour) Length() float64 { return totalLength(c) }

// Bounds returns the least box that holds the contour.
func (c Contour) Bounds() Box { return boundsOf(c) }

// Reverse returns the contour travelled the other way round, from the same start.
func (c Contour) Reverse() Contour { return reversed(c) }

// Transform returns the contour moved by t. A mirror turns its sense of travel.
func (c Contour) Transform(t Similarity) Contour { return transformed(c, t) }

// Rotate returns the contour started at segment i, counted modulo its length.
func (c Contour) Rotate(i int) Contour {
	if len(c) == 0 {
		return nil
	}
	i %= len(c)
	if i < 0 {
		i += len(c)
	}
	out := make(Contour, 0, len(c))
	return append(append(out, c[i:]...), c[:i]...)
}

// Winding returns how often the contour runs round p, counter-clockwise positive.
// A point on the curve has winding number 0.
func (c Contour) Winding(p Point) int {
	w, on := windingOrOn(c, p)
	if on {
		return 0
	}
	return w
}

// Distance returns the least distance from q to the curve, +Inf when it is empty.
func (c Contour) Distance(q Point) float64 { return distanceTo(c, q) }

// Closest returns the point of the curve nearest to q; q itself when it is empty.
func (c Contour) Closest(q Point) Point { return closestOn(c, q) }

// Area returns the enclosed area in mm2, positive for a counter-clockwise
// contour; a contour that crosses itself counts each part by its winding.
func (c Contour) Area() float64 {
	area, _ := c.moments()
	return area
}

// Centroid returns the centre of the enclosed area. A contour without area has
// its first point as centre.
func (c Contour) Centroid() Point {
	area, m := c.moments()
	if len(c) == 0 {
		return Point{}
	}
	if area == 0 {
		return c[0].A
	}
	return c[0].A.Add(m.Mul(1 / area))
}

// moments returns the signed area and its first moment about the start point.
// Every segment adds the triangle over its chord, and an arc the circular
// segment between chord and arc: area r2/2 (w - sin w), moment about the centre
// 2/3 r3 sin3(w/2) along the bisector of the sweep w (plane statics, any
// table of centroids).
func (c Contour) moments() (area float64, moment Point) {
	if len(c) == 0 {
		return 0, Point{}
	}
	o := c[0].A // near the shape: far from the origin nothing is lost
	last := c[len(c)-1].B
	for _, s := range c {
		area, moment = addTriangle(area, moment, last.Sub(o), s.A.Sub(o)) // a gap within Tol
		last = s.B
		area, moment = addTriangle(area, moment, s.A.Sub(o), s.B.Sub(o))
		if s.Turn == Straight {
			continue
		}
		r, w := s.Radius(), s.Sweep()
		a := r * r / 2 * sinDefect(w)
		half := math.Sin(w / 2)
		mid := s.At(0.5).Sub(s.C).Unit()
		area += a
		moment = moment.Add(s.C.Sub(o).Mul(a)).Add(mid.Mul(r * r * r * 2 / 3 * half * half * half))
	}
	return area, moment
}

func addTriangle(area float64, moment, a, b Point) (float64, Point) {
	t := a.Cross(b) / 2
	return area + t, moment.Add(a.Add(b).Mul(t / 3))
}

// sinDefect returns x - sin x without cancellation at small x.
func sinDefect(x float64) float64 {
	if math.Abs(x) > 0.5 {
		return x - math.Sin(x)
	}
	// Taylor series; at 0.5 the first term left out is below 1e-17 of the sum.
	term := x * x * x / 6
	sum := term
	for k := 4.0; k <= 14; k += 2 {
		term *= -x * x / (k * (k + 1))
		sum += term
	}
	return sum
}
