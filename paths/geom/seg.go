package geom

import "math"

// IsArc reports whether the segment is a circular arc.
func (s Seg) IsArc() bool { return s.Turn != Straight }

// IsCircle reports whether the segment is a full circle: an arc that ends
// exactly where it starts.
func (s Seg) IsCircle() bool { return s.Turn != Straight && s.A == s.B }

// Radius returns the arc's radius, the mean of the distances of its two ends
// from the centre; it is 0 for a straight line.
func (s Seg) Radius() float64 {
	if s.Turn == Straight {
		return 0
	}
	return (s.A.Dist(s.C) + s.B.Dist(s.C)) / 2
}

// band returns the lesser and the greater distance of the arc's ends from its
// centre. They are the same but for what Tol allows; distances are taken to
// the band between them, so they are never too long.
func (s Seg) band() (lo, hi float64) {
	a, b := length(s.A.X-s.C.X, s.A.Y-s.C.Y), length(s.B.X-s.C.X, s.B.Y-s.C.Y)
	if a > b {
		return b, a
	}
	return a, b
}

// length is the Euclidean norm without the guards of math.Hypot: coordinates
// are far from the limits of a float64, and this stands in the inner loops.
func length(x, y float64) float64 { return math.Sqrt(x*x + y*y) }

// Sweep returns the signed angle of the arc, positive counter-clockwise:
// 0 for a straight line, +-2 pi for a full circle.
func (s Seg) Sweep() float64 {
	if s.Turn == Straight {
		return 0
	}
	if s.A == s.B {
		return float64(s.Turn) * 2 * math.Pi
	}
	a, b, chord := s.A.Sub(s.C), s.B.Sub(s.C), s.B.Sub(s.A)
	// a x b = a x (b-a): the difference is nearly free of rounding, which
	// keeps short arcs of large radius exact.
	angle := math.Atan2(a.Cross(chord), a.Dot(b))
	if s.Turn == CCW && angle < 0 {
		angle += 2 * math.Pi
	}
	if s.Turn == CW && angle > 0 {
		angle -= 2 * math.Pi
	}
	return angle
}

// Length returns the length along the segment.
func (s Seg) Length() float64 {
	if s.Turn == Straight {
		return s.A.Dist(s.B)
	}
	return s.Radius() * math.Abs(s.Sweep())
}

// At returns the point at fraction t of the length; At(0) is A and At(1) is B
// exactly. Fractions outside 0..1 extend the line or the circle.
func (s Seg) At(t float64) Point {
	switch {
	case t == 0:
		return s.A
	case t == 1:
		return s.B
	case s.Turn == Straight:
		return s.A.Lerp(s.B, t)
	case t <= 0.5:
		return s.swing(s.A, s.Sweep()*t, t)
	default:
		return s.swing(s.B, s.Sweep()*(t-1), t)
	}
}

// swing turns end, one of the arc's ends, by angle about the centre. The step
// is added to the end, not to the centre, so that little is lost to rounding on
// a large radius. t says how far the radius has moved from that of A to that of B.
func (s Seg) swing(end Point, angle, t float64) Point {
	v := end.Sub(s.C)
	half := math.Sin(angle / 2)
	p := end.Add(v.Mul(-2 * half * half)).Add(v.Left().Mul(math.Sin(angle)))
	ra, rb := s.A.Dist(s.C), s.B.Dist(s.C)
	if ra == rb {
		return p
	}
	r := ra + t*(rb-ra)
	return p.Add(p.Sub(s.C).Unit().Mul(r - end.Dist(s.C)))
}

// Tangent returns the unit direction of travel at fraction t. It is the zero
// vector for a segment without length.
func (s Seg) Tangent(t float64) Point {
	if s.Turn == Straight {
		return s.B.Sub(s.A).Unit()
	}
	var v Point
	switch {
	case t == 0:
		v = s.A.Sub(s.C)
	case t == 1:
		v = s.B.Sub(s.C)
	default:
		v = s.At(t).Sub(s.C)
	}
	return v.Left().Mul(float64(s.Turn)).Unit()
}

// curvature returns the signed curvature in 1/mm: positive where the segment
// bends left, 0 for a straight line.
func (s Seg) curvature() float64 {
	if s.Turn == Straight {
		return 0
	}
	return float64(s.Turn) / s.Radius()
}

// Bounds returns the least box that holds the segment.
func (s Seg) Bounds() Box {
	b := Box{s.A, s.A}.AddPoint(s.B)
	if s.Turn == Straight {
		return b
	}
	_, r := s.band()
	if s.spans(Point{1, 0}) {
		b.Max.X = math.Max(b.Max.X, s.C.X+r)
	}
	if s.spans(Point{-1, 0}) {
		b.Min.X = math.Min(b.Min.X, s.C.X-r)
	}
	if s.spans(Point{0, 1}) {
		b.Max.Y = math.Max(b.Max.Y, s.C.Y+r)
	}
	if s.spans(Point{0, -1}) {
		b.Min.Y = math.Min(b.Min.Y, s.C.Y-r)
	}
	return b
}

// Reverse returns the segment travelled from B to A.
func (s Seg) Reverse() Seg { return Seg{A: s.B, B: s.A, C: s.C, Turn: -s.Turn} }

// spans reports whether the ray from the centre in direction v meets the arc.
func (s Seg) spans(v Point) bool {
	if s.A == s.B {
		return true
	}
	a, b := s.A, s.B
	if s.Turn == CW {
		a, b = b, a
	}
	chordX, chordY := b.X-a.X, b.Y-a.Y
	ax, ay := a.X-s.C.X, a.Y-s.C.Y
	bx, by := b.X-s.C.X, b.Y-s.C.Y
	across := ax*chordY - ay*chordX
	fromA := ax*v.Y - ay*v.X
	toB := v.X*by - v.Y*bx
	if ax*bx+ay*by > 0 {
		// The ends lie close together. Opposite them both products are near
		// zero and their signs worth nothing; which side v lies on is plain.
		switch away := v.X*ax+v.Y*ay <= 0; {
		case away:
			return across < 0
		case across == 0: // no sweep at all: only the ray through the ends
			return fromA == 0
		}
	}
	switch {
	case across > 0:
		return fromA >= 0 && toB >= 0
	case across < 0:
		return fromA >= 0 || toB >= 0
	}
	return fromA >= 0 // a half circle
}

// Distance returns the least distance from p to the segment, in closed form.
// It is never more than the distance to the nearer end, and for an arc whose
// ends differ in radius (within Tol) it is taken to the nearer of the two circles.
func (s Seg) Distance(p Point) float64 {
	if s.Turn == Straight {
		return lineDistance(s.A, s.B, p)
	}
	vx, vy := p.X-s.C.X, p.Y-s.C.Y
	if s.spans(Point{vx, vy}) {
		lo, hi := s.band()
		d := length(vx, vy)
		return math.Max(0, math.Max(lo-d, d-hi))
	}
	return math.Min(length(p.X-s.A.X, p.Y-s.A.Y), length(p.X-s.B.X, p.Y-s.B.Y))
}

// lineDistance returns the least distance from p to the straight segment a-b.
func lineDistance(a, b, p Point) float64 {
	ux, uy := b.X-a.X, b.Y-a.Y
	vx, vy := p.X-a.X, p.Y-a.Y
	along := ux*vx + uy*vy
	if along <= 0 {
		return length(vx, vy)
	}
	l2 := ux*ux + uy*uy
	if along >= l2 {
		return length(p.X-b.X, p.Y-b.Y)
	}
	// From the nearer end: the product loses least there.
	if along > l2/2 {
		vx, vy = p.X-b.X, p.Y-b.Y
	}
	return math.Abs(ux*vy-uy*vx) / math.Sqrt(l2)
}

// Closest returns the point of the segment nearest to p. From the centre of an
// arc all its points are equally near; A is returned then.
func (s Seg) Closest(p Point) Point {
	if s.Turn == Straight {
		u, v := s.B.Sub(s.A), p.Sub(s.A)
		along, l2 := u.Dot(v), u.Dot(u)
		switch {
		case along <= 0:
			return s.A
		case along >= l2:
			return s.B
		}
		return s.A.Lerp(s.B, along/l2)
	}
	v := p.Sub(s.C)
	l := v.Len()
	if l == 0 {
		return s.A
	}
	if s.spans(v) {
		return s.C.Add(v.Mul(s.Radius() / l))
	}
	if p.Dist(s.A) <= p.Dist(s.B) {
		return s.A
	}
	return s.B
}

// param returns the fraction of the length at which the segment comes nearest
// to p, in 0..1.
func (s Seg) param(p Point) float64 {
	if s.Turn == Straight {
		u, v := s.B.Sub(s.A), p.Sub(s.A)
		along, l2 := u.Dot(v), u.Dot(u)
		switch {
		case along <= 0:
			return 0
		case along >= l2:
			return 1
		}
		return along / l2
	}
	v := p.Sub(s.C)
	if p == s.A || v == (Point{}) {
		return 0
	}
	if p == s.B {
		return 1
	}
	if !s.spans(v) {
		if p.Dist(s.A) <= p.Dist(s.B) {
			return 0
		}
		return 1
	}
	part := s
	part.B = s.C.Add(v.Mul(s.A.Dist(s.C) / v.Len()))
	if part.B == s.A {
		return 0
	}
	t := part.Sweep() / s.Sweep()
	if t > 1 { // p lies at an end, and rounding took it round the circle
		return 0
	}
	return t
}

// Split cuts the segment at the fractions of its length, which may come in any
// order; those outside 0..1 and repeated ones are left out. The pieces follow
// each other from A to B.
func (s Seg) Split(t ...float64) []Seg {
	cuts := sortedFractions(t)
	out := make([]Seg, 0, len(cuts)+1)
	from := s.A
	for i := 0; i <= len(cuts); i++ {
		to := s.B
		if i < len(cuts) {
			to = s.At(cuts[i])
		}
		piece := Seg{A: from, B: to, C: s.C, Turn: s.Turn}
		switch {
		case s.Turn != Straight && len(cuts) == 0: // uncut, a circle may stay one
		case from == to:
			continue // too short to have two ends; an arc would become a full circle
		}
		out = append(out, piece)
		from = to
	}
	if len(out) == 0 {
		return []Seg{s}
	}
	return out
}
