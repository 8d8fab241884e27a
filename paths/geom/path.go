package geom

import "math"

// Start returns where the path begins; the zero point for an empty path.
func (p Path) Start() Point {
	if len(p) == 0 {
		return Point{}
	}
	return p[0].A
}

// End returns where the path ends; the zero point for an empty path.
func (p Path) End() Point {
	if len(p) == 0 {
		return Point{}
	}
	return p[len(p)-1].B
}

// Closed reports whether the path ends where it starts, within Tol.
func (p Path) Closed() bool { return len(p) > 0 && p.Start().Dist(p.End()) <= Tol }

// Length returns the length along the path.
func (p Path) Length() float64 { return totalLength(p) }

// Bounds returns the least box that holds the path.
func (p Path) Bounds() Box { return boundsOf(p) }

// Reverse returns the path travelled from its end to its start.
func (p Path) Reverse() Path { return reversed(p) }

// Transform returns the path moved by t.
func (p Path) Transform(t Similarity) Path { return transformed(p, t) }

// At returns the point at the given length along the path, clamped to its ends.
func (p Path) At(along float64) Point {
	if len(p) == 0 {
		return Point{}
	}
	for _, s := range p {
		l := s.Length()
		if along <= l {
			if l == 0 || along <= 0 {
				return s.A
			}
			return s.At(along / l)
		}
		along -= l
	}
	return p.End()
}

// Part returns the path between two lengths along it, clamped to its ends; nil
// when nothing lies between. Pieces keep their line or circle.
func (p Path) Part(from, to float64) Path {
	if !(from < to) {
		return nil
	}
	var out Path
	for _, s := range p {
		l := s.Length()
		a, b := math.Max(0, from), math.Min(l, to)
		from, to = from-l, to-l
		switch {
		case !(a < b):
			continue
		case a == 0 && b == l:
			out = append(out, s)
		default:
			out = append(out, s.between(a/l, b/l))
		}
	}
	return out
}

// between returns the part of the segment from fraction t to fraction u > t.
func (s Seg) between(t, u float64) Seg {
	part := Seg{A: s.At(t), B: s.At(u), C: s.C, Turn: s.Turn}
	if part.A == part.B {
		part.Turn = Straight // shorter than rounding tells: never a circle
	}
	return part
}

// Distance returns the least distance from q to the path, +Inf when it is empty.
func (p Path) Distance(q Point) float64 { return distanceTo(p, q) }

// Closest returns the point of the path nearest to q; q itself when it is empty.
func (p Path) Closest(q Point) Point { return closestOn(p, q) }

// Polyline returns the path of straight segments through the points.
func Polyline(pts ...Point) Path {
	if len(pts) < 2 {
		return nil
	}
	p := make(Path, len(pts)-1)
	for i := range p {
		p[i] = Line(pts[i], pts[i+1])
	}
	return p
}

// The functions below serve Path and Contour alike.

func totalLength(segs []Seg) float64 {
	sum := 0.0
	for _, s := range segs {
		sum += s.Length()
	}
	return sum
}

func boundsOf(segs []Seg) Box {
	b := EmptyBox()
	for _, s := range segs {
		b = b.Union(s.Bounds())
	}
	return b
}

func reversed(segs []Seg) []Seg {
	if segs == nil {
		return nil
	}
	out := make([]Seg, len(segs))
	for i, s := range segs {
		out[len(segs)-1-i] = s.Reverse()
	}
	return out
}

func transformed(segs []Seg, t Similarity) []Seg {
	if segs == nil {
		return nil
	}
	out := make([]Seg, len(segs))
	for i, s := range segs {
		out[i] = s.Transform(t)
	}
	return out
}

func distanceTo(segs []Seg, q Point) float64 {
	d := math.Inf(1)
	for _, s := range segs {
		d = math.Min(d, s.Distance(q))
	}
	return d
}

func closestOn(segs []Seg, q Point) Point {
	best, at := math.Inf(1), q
	for _, s := range segs {
		c := s.Closest(q)
		if d := c.Dist(q); d < best {
			best, at = d, c
		}
	}
	return at
}
