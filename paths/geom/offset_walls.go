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
	twin    []int32  // the same segment run back, where the source is a path
	corners []corner // at the end of each segment
	bends   []bend   // of the segments, nil where all are lines
}

// bend is what is asked of an arc again and again.
type bend struct {
	apex   Point // third corner of a triangle that holds it, see apexOf
	dir    Point // unit vector from the centre to the start
	radius float64
	sweep  float64
}

// corner is the fan of normals where two segments meet and turn left. Without
// such a turn there is none.
type corner struct {
	from  Point   // unit normal at the end of the first segment
	to    Point   // and at the start of the second
	sweep float64 // that of the fan, or less the turn where it is to the right
}

// span is a part of the curve of an item: of the side beside segment k, which is
// item 2k, or of the corner at its end, which is item 2k+1. lo and hi are
// fractions of its length, the same for all distances.
type span struct {
	item int32
	// calm is the distance up to which no segment but its neighbours comes near
	// the span, or less the distance below which that is not worth asking again.
	calm   float32
	lo, hi float64
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
	w.corners = resized(w.corners, len(w.segs))
	for k := range w.segs {
		if s := w.segs[k]; s.IsArc() {
			if w.bends == nil {
				w.bends = make([]bend, len(w.segs))
			}
			w.bends[k] = bend{apexOf(s), s.A.Sub(s.C).Unit(), s.Radius(), s.Sweep()}
		}
		w.corners[k] = cornerAt(w.segs[k], w.segs[w.next[k]])
	}
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

// flatTurn is the sine of the turn below which a corner is none: the offset
// would be in two by no more than a picometre at a distance of a metre.
const flatTurn = 1e-12

func cornerAt(s, t Seg) corner {
	if s.A == s.B && !s.IsArc() {
		return corner{from: Pt(1, 0), to: Pt(1, 0), sweep: 2 * math.Pi}
	}
	u, v := s.Tangent(1), t.Tangent(0)
	k, c := u.Cross(v), u.Dot(v)
	if math.Abs(k) <= flatTurn && c > 0 {
		return corner{}
	}
	a := math.Atan2(k, c)
	if k < 0 && !(k > -flatTurn && c < 0) {
		return corner{sweep: a} // a < 0
	}
	if a <= 0 {
		a = math.Pi
	}
	return corner{from: u.Left().Mul(-1), to: v.Left().Mul(-1), sweep: a}
}

// smooth reports whether the sides before and after corner k of a source run
// into each other at distance d: they meet, or overlap to a depth that is none.
func (w *walls) smooth(k int32, d float64) bool {
	c := &w.corners[k]
	// The overlap is d*turn^2/2 deep at its end, a quarter of that where trim
	// looks at it: anything deeper than this trim sees on both sides alike.
	return c.sweep <= 0 && d*c.sweep*c.sweep < 16*depth
}

// curveKind tells where the source of a curve lies.
type curveKind uint8

const (
	besideLine curveKind = iota
	besideArc            // the curve runs about it
	withinArc            // the curve runs inside it
	aboutCorner
)

// curveAt is the curve of an item at distance d.
type curveAt struct {
	arc   bool
	a, b  Point // ends of a line
	dir   Point // unit direction of a line, or unit vector from the centre to the start
	to    Point // of a corner, unit vector from the centre to the end
	kind  curveKind
	size  float64
	c     Point
	r     float64
	sweep float64
}

// curve returns the curve of an item at distance d, and false where it has none:
// at corners that turn right and beside arcs that curl up within d.
func (w *walls) curve(item int32, d float64) (k curveAt, ok bool) {
	s := &w.segs[item>>1]
	if item&1 == 1 {
		c := &w.corners[item>>1]
		if c.sweep <= 0 {
			return k, false
		}
		return curveAt{arc: true, c: s.B, r: d, dir: c.from, to: c.to, sweep: c.sweep, size: d * c.sweep, kind: aboutCorner}, true
	}
	if s.Turn == Straight {
		v := s.B.Sub(s.A)
		l := v.Len()
		u := v.Mul(1 / l)
		n := u.Left().Mul(-d)
		return curveAt{a: s.A.Add(n), b: s.B.Add(n), dir: u, size: l}, true
	}
	b := &w.bends[item>>1]
	r := b.radius + float64(s.Turn)*d
	if !(r > 0) {
		return k, false
	}
	kind := besideArc
	if s.Turn == CW {
		kind = withinArc
	}
	return curveAt{arc: true, c: s.C, r: r, dir: b.dir, sweep: b.sweep, size: r * math.Abs(b.sweep), kind: kind}, true
}

// clears reports whether what three points span certainly keeps d from the whole
// curve because it lies behind its source: behind the line, within the circle,
// or behind both normals of the corner.
func (k *curveAt) clears(p *[3]Point, d float64) bool {
	const e = depth / 2
	switch k.kind {
	case besideLine:
		for _, q := range p {
			if !(k.dir.Cross(q.Sub(k.a)) >= d-e) {
				return false
			}
		}
		return true
	case besideArc:
		r := k.r - d + e
		for _, q := range p {
			if v := q.Sub(k.c); !(v.Dot(v) <= r*r) {
				return false
			}
		}
		return true
	case aboutCorner:
		if k.sweep > 0.9*math.Pi {
			return false // what lies behind both is next to nothing
		}
		for _, q := range p {
			if v := q.Sub(k.c); !(v.Dot(k.dir) <= e && v.Dot(k.to) <= e) {
				return false
			}
		}
		return true
	}
	return false
}

// at returns the point at fraction t.
func (k *curveAt) at(t float64) Point {
	if !k.arc {
		if t == 1 {
			return k.b
		}
		return k.a.Lerp(k.b, t)
	}
	sin, cos := math.Sincos(t * k.sweep)
	return Point{
		k.c.X + k.r*(k.dir.X*cos-k.dir.Y*sin),
		k.c.Y + k.r*(k.dir.X*sin+k.dir.Y*cos),
	}
}

// tangent returns the unit direction at fraction t.
func (k *curveAt) tangent(t float64) Point {
	if !k.arc {
		return k.dir
	}
	sin, cos := math.Sincos(t * k.sweep)
	u := Point{k.dir.X*cos - k.dir.Y*sin, k.dir.X*sin + k.dir.Y*cos}.Left()
	if k.sweep < 0 {
		return u.Mul(-1)
	}
	return u
}

// fraction returns where on the curve a point of its carrier lies. Arcs count
// from their middle, so that points just before the start come out below 0.
func (k *curveAt) fraction(p Point) float64 {
	if !k.arc {
		return p.Sub(k.a).Dot(k.dir) / k.size
	}
	v := p.Sub(k.c)
	a := math.Atan2(k.dir.Cross(v), k.dir.Dot(v))
	if k.sweep < 0 {
		a = -a
	}
	all := math.Abs(k.sweep)
	if a < 0 && a < (all-2*math.Pi)/2 {
		a += 2 * math.Pi
	}
	return a / all
}

// meetLine appends where the curve meets the line through o along the unit
// vector u.
func (k *curveAt) meetLine(o, u Point, ts []float64) []float64 {
	if !k.arc {
		x := k.dir.Cross(u)
		if x == 0 {
			return ts
		}
		return append(ts, o.Sub(k.a).Cross(u)/x/k.size)
	}
	v := k.c.Sub(o)
	h := u.Cross(v)
	q := (k.r - h) * (k.r + h)
	if q < 0 {
		return ts
	}
	foot := o.Add(u.Mul(u.Dot(v)))
	g := u.Mul(math.Sqrt(q))
	return append(ts, k.fraction(foot.Sub(g)), k.fraction(foot.Add(g)))
}

// meetCircle appends where the curve meets the circle about o of radius r.
func (k *curveAt) meetCircle(o Point, r float64, ts []float64) []float64 {
	if !(r > 0) {
		return ts
	}
	if !k.arc {
		v := o.Sub(k.a)
		h := k.dir.Cross(v)
		q := (r - h) * (r + h)
		if q < 0 {
			return ts
		}
		m, g := k.dir.Dot(v), math.Sqrt(q)
		return append(ts, (m-g)/k.size, (m+g)/k.size)
	}
	var pts [2]Point
	var n int
	if k.r <= r {
		pts, n = circlesCross(k.c, k.r, o, r)
	} else {
		pts, n = circlesCross(o, r, k.c, k.r)
	}
	for _, p := range pts[:n] {
		ts = append(ts, k.fraction(p))
	}
	return ts
}
