package geom

import "math"

// The offset without the arrangement. What an offset at distance d consists of
// are pieces of the curves that run at d beside each segment of the source and
// about each of its corners; a point of such a curve belongs to the offset if
// and only if no segment lies nearer to it than d. That is decided piece by
// piece, in closed form, and never needs the crossings of pieces that are no
// part of the result: a star of needles costs no more than a blob.
//
// A point's foot on the source is the same at every distance, and once a
// segment nearer than the foot has come in between, it stays nearer: the points
// of the offset at d have their feet among those of every smaller distance. So
// the levels of a pocket are cut from what was left of the level before, and a
// segment of which nothing was left, ends included, can no longer come in
// between. The cost of all levels is that of the first and of what they hold,
// while each is the exact offset of the source.

// walls are the segments of a source, offset to their right.
type walls struct {
	segs    []Seg
	next    []int32 // the segment that follows on the contour
	prev    []int32
	twin    []int32   // the same segment run back, where the source is a path
	sides   []side    // of the segments
	bends   []bend    // of the segments, nil where all are lines
	corners []float64 // at the end of each segment, see cornerTurn
}

// side is what is asked of a segment again and again.
type side struct {
	u    Point   // of a line its unit direction, of an arc the unit vector from the centre to its middle
	size float64 // length of a line, radius of an arc
}

// bend is what else is asked of an arc.
type bend struct {
	apex     Point // third corner of a triangle that holds it, see apexOf
	from, to Point // unit vectors from the centre to the ends
	sweep    float64
	quarter  float64 // tangent of a quarter of the sweep, above 0
	slack    float64 // half the difference between the distances of the ends from the centre
}

// span is a part of the curve of an item: of the side beside segment k, which is
// item 2k, or of the corner at its end, which is item 2k+1. lo and hi are
// fractions of its length, the same for all distances.
type span struct {
	item int32
	// calm is the distance up to which no segments but the rivals come near the
	// span, or less the distance below which that is not worth asking again.
	calm    float32
	rivals  int32 // number of the list of them, nobody for none
	crowded bool  // looking far ahead was no help
	lo, hi  float64
}

// collect takes the segments of contours, run backward where back is set, in the
// memory that w has. Repeated points are passed over.
func (w *walls) collect(contours []Contour, back bool) {
	n := 0
	for _, c := range contours {
		n += len(c)
	}
	w.segs, w.next, w.prev = resized(w.segs, n)[:0], resized(w.next, n)[:0], resized(w.prev, n)[:0]
	w.twin, w.bends = nil, nil
	for _, c := range contours {
		first := int32(len(w.segs))
		for i := range c {
			s, next := c[i], c[(i+1)%len(c)]
			if back {
				k := len(c) - 1 - i
				s, next = c[k].Reverse(), c[(k+len(c)-1)%len(c)].Reverse()
			}
			// Gaps within joinTol are closed as the lattice closes them. What an
			// arc that is nearly a full circle becomes is that circle.
			full := s.IsCircle() || s.IsArc() && s.A.Dist(next.A) <= joinTol && math.Abs(s.Sweep()) > math.Pi
			if s.B = next.A; s.A == s.B && !(full && s.Radius() > 0) {
				continue
			}
			w.segs = append(w.segs, s)
			k := int32(len(w.segs) - 1)
			w.next = append(w.next, k+1)
			w.prev = append(w.prev, k-1)
		}
		if last := int32(len(w.segs)) - 1; last >= first {
			w.next[last] = first
			w.prev[first] = last
		} else if len(c) > 0 {
			// A single point is all corner.
			w.segs = append(w.segs, Line(c[0].A, c[0].A))
			w.next, w.prev = append(w.next, first), append(w.prev, first)
		}
	}
	w.sides = resized(w.sides, len(w.segs))
	for k := range w.segs {
		s := &w.segs[k]
		if s.Turn == Straight {
			v := s.B.Sub(s.A)
			l := v.Len()
			w.sides[k] = side{v, l}
			if l > 0 {
				w.sides[k].u = Point{v.X / l, v.Y / l}
			}
			continue
		}
		if w.bends == nil {
			w.bends = make([]bend, len(w.segs))
		}
		lo, hi := s.band()
		b := bend{
			apex:  apexOf(*s),
			from:  s.A.Sub(s.C).Unit(),
			to:    s.B.Sub(s.C).Unit(),
			sweep: s.Sweep(),
			slack: (hi - lo) / 2,
		}
		b.quarter = math.Tan(math.Abs(b.sweep) / 4)
		w.bends[k] = b
		w.sides[k] = side{midway(b.from, b.to, float64(s.Turn)), (lo + hi) / 2}
	}
	w.corners = resized(w.corners, len(w.segs))
	for k := range w.segs {
		w.corners[k] = w.cornerTurn(int32(k))
	}
}

// midway returns the unit vector halfway from the unit vector a to b, turning to
// the left (turn 1) or right (-1).
func midway(a, b Point, turn float64) Point {
	if a.Dot(b) > 0 && a.Cross(b)*turn >= 0 {
		x, y := a.X+b.X, a.Y+b.Y
		l := length(x, y)
		return Point{x / l, y / l}
	}
	x, y := (b.Y-a.Y)*turn, (a.X-b.X)*turn
	if l := length(x, y); l > 0 {
		return Point{x / l, y / l}
	}
	return Point{}
}

// apexOf returns where the end tangents of an arc meet; of no arc that turns by
// half a circle or more, for which it is not a number.
func apexOf(s Seg) Point {
	sweep := math.Abs(s.Sweep())
	if sweep > 0.9*math.Pi {
		return Point{math.NaN(), math.NaN()}
	}
	d := s.B.Sub(s.A)
	return s.A.Lerp(s.B, 0.5).Sub(d.Left().Mul(float64(s.Turn) * math.Tan(sweep/2) / 2))
}

// normals returns the unit normals to the right of segment k at its ends.
func (w *walls) normals(k int32) (start, end Point) {
	switch w.segs[k].Turn {
	case Straight:
		u := w.sides[k].u
		n := Point{u.Y, -u.X}
		return n, n
	case CCW:
		return w.bends[k].from, w.bends[k].to
	}
	return w.bends[k].from.Mul(-1), w.bends[k].to.Mul(-1)
}

// flatTurn is the sine of the turn below which a corner is none: the offset
// would be in two by no more than a picometre at a distance of a metre.
const flatTurn = 1e-12

// cornerTurn returns the tangent of a quarter of the turn from segment k to the
// next, above 0 where it turns left, which opens a fan of normals, +Inf where a
// single point is all that there is.
func (w *walls) cornerTurn(k int32) float64 {
	if s := &w.segs[k]; s.A == s.B && s.Turn == Straight {
		return math.Inf(1)
	}
	_, u := w.normals(k)
	v, _ := w.normals(w.next[k])
	sin, cos := u.Cross(v), u.Dot(v)
	if math.Abs(sin) <= flatTurn {
		if cos > 0 {
			return 0
		}
		sin, cos = 0, -1
	}
	// Of half the turn, without cancellation on either side.
	var half float64
	if cos > 0 {
		half = sin / (1 + cos)
	} else if sin != 0 {
		half = (1 - cos) / sin
	} else {
		return 1
	}
	return half / (1 + math.Sqrt(1+half*half))
}

// smooth reports whether the sides before and after corner k of a source run
// into each other at distance d: they meet, or overlap to a depth that is none.
func (w *walls) smooth(k int32, d float64) bool {
	c := w.corners[k]
	// The overlap is d*turn^2/2 deep at its end, a quarter of that where trim
	// looks at it: anything deeper than this trim sees on both sides alike.
	return c <= 0 && d*c*c < depth
}

// off returns the distance of p from segment j, of which it is never more than
// that to the nearer end.
func (w *walls) off(j int32, p Point) float64 {
	s, e := &w.segs[j], &w.sides[j]
	if s.Turn == Straight {
		vx, vy := p.X-s.A.X, p.Y-s.A.Y
		along := e.u.X*vx + e.u.Y*vy
		if along <= 0 {
			return length(vx, vy)
		}
		if along*2 > e.size { // from the nearer end: the product loses least there
			vx, vy = p.X-s.B.X, p.Y-s.B.Y
			if along >= e.size {
				return length(vx, vy)
			}
		}
		return math.Abs(e.u.X*vy - e.u.Y*vx)
	}
	v := p.Sub(s.C)
	if w.fans(j, v) {
		return max(0, math.Abs(length(v.X, v.Y)-e.size)-w.bends[j].slack)
	}
	return min(length(p.X-s.A.X, p.Y-s.A.Y), length(p.X-s.B.X, p.Y-s.B.Y))
}

// fans reports whether the ray from the centre of arc j in direction v meets it.
func (w *walls) fans(j int32, v Point) bool {
	b := &w.bends[j]
	a, c := b.from.Cross(v), v.Cross(b.to)
	if w.segs[j].Turn == CW {
		a, c = -a, -c
	}
	if b.quarter > 1 {
		return a >= 0 || c >= 0 || w.segs[j].A == w.segs[j].B
	}
	return a >= 0 && c >= 0 && w.sides[j].u.Dot(v) >= 0
}
