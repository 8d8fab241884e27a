package geom

import "math"

// Location says where a point lies relative to a region.
type Location uint8

// The three places of a point.
const (
	Outside Location = iota
	Boundary
	Inside
)

// String returns the location in words.
func (l Location) String() string {
	switch l {
	case Outside:
		return "outside"
	case Boundary:
		return "boundary"
	case Inside:
		return "inside"
	}
	return "unknown location"
}

// Area returns the area in mm2, holes taken off.
func (r Region) Area() float64 {
	sum := 0.0
	for _, c := range r {
		sum += c.Area()
	}
	return sum
}

// Perimeter returns the length of all contours, holes included.
func (r Region) Perimeter() float64 {
	sum := 0.0
	for _, c := range r {
		sum += c.Length()
	}
	return sum
}

// Bounds returns the least box that holds the region.
func (r Region) Bounds() Box {
	b := EmptyBox()
	for _, c := range r {
		b = b.Union(c.Bounds())
	}
	return b
}

// Centroid returns the centre of the area, holes taken off. A region without
// area has the middle of its bounds as centre.
func (r Region) Centroid() Point {
	if len(r) == 0 {
		return Point{}
	}
	b := r.Bounds()
	o := b.Center()
	area, moment := 0.0, Point{}
	for _, c := range r {
		if len(c) == 0 {
			continue
		}
		a, m := c.moments()
		area += a
		moment = moment.Add(m).Add(c[0].A.Sub(o).Mul(a))
	}
	if area == 0 {
		return o
	}
	return o.Add(moment.Mul(1 / area))
}

// Transform returns the region moved by t. Where t mirrors, the contours are
// turned so that the inside stays to their left.
func (r Region) Transform(t Similarity) Region {
	if r == nil {
		return nil
	}
	out := make(Region, len(r))
	for i, c := range r {
		out[i] = c.Transform(t)
		if t.mirrors() {
			out[i] = out[i].Reverse()
		}
	}
	return out
}

// Contains returns where p lies. The answer is exact in sign for lines: the
// boundary is only what lies exactly on a line, or on an arc as far as a
// float64 tells. A point that is not finite, or beyond 1e12 mm, is on the
// boundary: nothing may be concluded from it. For many points of one region make an Index.
func (r Region) Contains(p Point) Location {
	if !ordinary(p) {
		return Boundary
	}
	w := 0
	for _, c := range r {
		cw, on := windingOrOn(c, p)
		if on {
			return Boundary
		}
		w += cw
	}
	if w != 0 {
		return Inside
	}
	return Outside
}

// Distance returns the least distance from p to the region, 0 inside it; +Inf
// for the empty region.
func (r Region) Distance(p Point) float64 {
	if r.Contains(p) != Outside {
		return 0
	}
	return r.BoundaryDistance(p)
}

// BoundaryDistance returns the least distance from p to the contours, +Inf for
// the empty region.
func (r Region) BoundaryDistance(p Point) float64 {
	d := math.Inf(1)
	for _, c := range r {
		d = math.Min(d, c.Distance(p))
	}
	return d
}

// Closest returns the point of the region nearest to p: p itself inside, else
// a point of a contour. The empty region returns p.
func (r Region) Closest(p Point) Point {
	if r.Contains(p) != Outside {
		return p
	}
	best, at := math.Inf(1), p
	for _, c := range r {
		q := c.Closest(p)
		if d := q.Dist(p); d < best {
			best, at = d, q
		}
	}
	return at
}
