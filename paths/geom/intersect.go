package geom

import (
	"math"
	"slices"
)

// sortedFractions returns the fractions strictly between 0 and 1, ascending,
// each once.
func sortedFractions(t []float64) []float64 {
	cuts := make([]float64, 0, len(t))
	for _, v := range t {
		if v > 0 && v < 1 {
			cuts = append(cuts, v)
		}
	}
	slices.Sort(cuts)
	return slices.Compact(cuts)
}

// DistanceTo returns the least distance between the two segments, 0 where they
// cross or touch. It is a closed form: the least over the ends of each against
// the other and, where a line or circle of one runs nearest to that of the
// other between the ends, over those places.
func (s Seg) DistanceTo(o Seg) float64 {
	if s.Turn == Straight {
		if o.Turn == Straight {
			return lineLineDistance(s, o)
		}
		return lineArcDistance(s, o)
	}
	if o.Turn == Straight {
		return lineArcDistance(o, s)
	}
	return arcArcDistance(s, o)
}

// endDistance returns the least distance of the ends of each segment to the other.
func endDistance(s, o Seg) float64 {
	d := math.Min(s.Distance(o.A), s.Distance(o.B))
	return math.Min(d, math.Min(o.Distance(s.A), o.Distance(s.B)))
}

func lineLineDistance(s, o Seg) float64 {
	if linesCross(s, o) {
		return 0
	}
	return endDistance(s, o)
}

// linesCross reports whether two straight segments share a point inside both.
// A touch that rounding hides shows as a distance of the size of that rounding.
func linesCross(s, o Seg) bool {
	u, v := s.B.Sub(s.A), o.B.Sub(o.A)
	a, b := u.Cross(o.A.Sub(s.A)), u.Cross(o.B.Sub(s.A))
	if a > 0 && b > 0 || a < 0 && b < 0 || a == 0 && b == 0 {
		return false
	}
	c, d := v.Cross(s.A.Sub(o.A)), v.Cross(s.B.Sub(o.A))
	return !(c > 0 && d > 0 || c < 0 && d < 0 || c == 0 && d == 0)
}

func lineArcDistance(l, a Seg) float64 {
	u := l.B.Sub(l.A)
	l2 := u.Dot(u)
	best := endDistance(l, a)
	if l2 == 0 || best == 0 {
		return best
	}
	lo, hi := a.band()
	v := a.C.Sub(l.A)
	foot := l.A.Add(u.Mul(u.Dot(v) / l2)) // of the centre on the line
	off := foot.Sub(a.C)
	d := math.Abs(u.Cross(v)) / math.Sqrt(l2)
	if d > hi {
		// The line passes outside the circle: nearest at the foot.
		if betweenEnds(l, foot) && a.spans(off) {
			best = math.Min(best, d-hi)
		}
		return best
	}
	// The line meets the circle: only a crossing inside both can be nearer than the ends.
	r := (lo + hi) / 2
	half := u.Mul(math.Sqrt(math.Max(0, (r-d)*(r+d)) / l2))
	for _, p := range [2]Point{foot.Sub(half), foot.Add(half)} {
		if betweenEnds(l, p) && a.spans(p.Sub(a.C)) {
			return 0
		}
	}
	return best
}

// betweenEnds reports whether p, a point of the line's carrier, lies between its ends.
func betweenEnds(l Seg, p Point) bool {
	u := l.B.Sub(l.A)
	return u.Dot(p.Sub(l.A)) >= 0 && u.Dot(p.Sub(l.B)) <= 0
}

func arcArcDistance(s, o Seg) float64 {
	best := endDistance(s, o)
	if best == 0 {
		return 0
	}
	between := o.C.Sub(s.C)
	d := between.Len()
	if d == 0 {
		return best // concentric: an end of one lies over the other, or the ends are nearest
	}
	slo, shi := s.band()
	olo, ohi := o.band()
	u := between.Mul(1 / d)
	// Places on the line of centres: the gap between two circles is least there.
	for _, ends := range [4]struct{ s, o float64 }{{1, -1}, {1, 1}, {-1, -1}, {-1, 1}} {
		if !s.spans(u.Mul(ends.s)) || !o.spans(u.Mul(ends.o)) {
			continue
		}
		// Along u, with the centre of s at 0.
		a0, a1 := ordered(ends.s*slo, ends.s*shi)
		b0, b1 := ordered(d+ends.o*olo, d+ends.o*ohi)
		best = math.Min(best, math.Max(0, math.Max(b0-a1, a0-b1)))
	}
	if best == 0 {
		return 0
	}
	pts, n := circlesCross(s.C, (slo+shi)/2, o.C, (olo+ohi)/2)
	for _, p := range pts[:n] {
		if s.spans(p.Sub(s.C)) && o.spans(p.Sub(o.C)) {
			return 0
		}
	}
	return best
}

func ordered(a, b float64) (lo, hi float64) {
	if a > b {
		return b, a
	}
	return a, b
}

// circlesCross returns where two circles cross, two points or none. Circles
// that touch may give two points close together or none.
func circlesCross(c Point, r float64, o Point, q float64) (pts [2]Point, n int) {
	if r > q { // seen from the smaller circle the places are sharper
		pts, n = circlesCross(o, q, c, r)
		pts[0], pts[1] = pts[1], pts[0]
		return pts, n
	}
	between := o.Sub(c)
	d := between.Len()
	if d == 0 || d > r+q || d < math.Abs(r-q) {
		return pts, 0
	}
	// The radical line lies at x from c; r-q factored to keep large radii exact.
	x := (d + (r-q)*((r+q)/d)) / 2
	y := math.Sqrt(math.Max(0, (r-x)*(r+x)))
	u := between.Mul(1 / d)
	foot := c.Add(u.Mul(x))
	return [2]Point{foot.Sub(u.Left().Mul(y)), foot.Add(u.Left().Mul(y))}, 2
}

// Intersect returns the points that the segments share, in order along s, each
// once. Where they run along each other it returns the two ends of the common
// stretch. Touching counts, within Tol.
func (s Seg) Intersect(o Seg) []Point {
	var hits []Point
	add := func(p Point) {
		for _, q := range hits {
			if q.Dist(p) <= Tol {
				return
			}
		}
		hits = append(hits, p)
	}
	// Ends first: an end that lies on the other segment is the point, exactly.
	for _, p := range [2]Point{s.A, s.B} {
		if o.Distance(p) <= Tol {
			add(p)
		}
	}
	for _, p := range [2]Point{o.A, o.B} {
		if s.Distance(p) <= Tol {
			add(p)
		}
	}
	if !sameCarrier(s, o) {
		pts, n := carriersCross(s, o)
		for _, p := range pts[:n] {
			if s.Distance(p) <= Tol && o.Distance(p) <= Tol {
				add(p)
			}
		}
	}
	if len(hits) > 1 {
		slices.SortStableFunc(hits, func(p, q Point) int {
			switch a, b := s.param(p), s.param(q); {
			case a < b:
				return -1
			case a > b:
				return 1
			}
			return 0
		})
	}
	return hits
}

// sameCarrier reports whether the segments lie on one line or one circle within
// Tol, so that what they share is a stretch between ends.
func sameCarrier(s, o Seg) bool {
	if s.Turn == Straight && o.Turn == Straight {
		u := s.B.Sub(s.A)
		l := u.Len()
		return l == 0 || math.Abs(u.Cross(o.A.Sub(s.A))) <= Tol*l && math.Abs(u.Cross(o.B.Sub(s.A))) <= Tol*l
	}
	if s.Turn == Straight || o.Turn == Straight {
		return false
	}
	return s.C.Dist(o.C)+math.Abs(s.Radius()-o.Radius()) <= Tol
}

// carriersCross returns where the lines or circles that carry the segments
// cross, and where they touch within Tol.
func carriersCross(s, o Seg) (pts [2]Point, n int) {
	switch {
	case s.Turn == Straight && o.Turn == Straight:
		u, v := s.B.Sub(s.A), o.B.Sub(o.A)
		w := u.Cross(v)
		if w == 0 {
			return pts, 0
		}
		pts[0] = s.A.Add(u.Mul(o.A.Sub(s.A).Cross(v) / w))
		return pts, 1
	case s.Turn == Straight:
		return lineCircle(s, o)
	case o.Turn == Straight:
		return lineCircle(o, s)
	}
	r, q := s.Radius(), o.Radius()
	pts, n = circlesCross(s.C, r, o.C, q)
	if n > 0 {
		return pts, n
	}
	between := o.C.Sub(s.C)
	d := between.Len()
	if d == 0 {
		return pts, 0
	}
	u := between.Mul(1 / d)
	switch {
	case d > r+q && d-(r+q) <= Tol: // touch from outside
		pts[0] = s.C.Add(u.Mul((r + d - q) / 2))
		return pts, 1
	case d < r-q && r-q-d <= Tol: // o touches s from within
		pts[0] = s.C.Add(u.Mul((r + d + q) / 2))
		return pts, 1
	case d < q-r && q-r-d <= Tol: // s touches o from within
		pts[0] = s.C.Add(u.Mul((-r + d - q) / 2))
		return pts, 1
	}
	return pts, 0
}

func lineCircle(l, a Seg) (pts [2]Point, n int) {
	u := l.B.Sub(l.A)
	l2 := u.Dot(u)
	if l2 == 0 {
		return pts, 0
	}
	r := a.Radius()
	v := a.C.Sub(l.A)
	foot := l.A.Add(u.Mul(u.Dot(v) / l2))
	d := math.Abs(u.Cross(v)) / math.Sqrt(l2)
	if d > r+Tol {
		return pts, 0
	}
	if d >= r {
		pts[0] = foot
		return pts, 1
	}
	half := u.Mul(math.Sqrt((r - d) * (r + d) / l2))
	return [2]Point{foot.Sub(half), foot.Add(half)}, 2
}
