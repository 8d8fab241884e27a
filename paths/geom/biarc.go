package geom

import "math"

// smoothCurve is what a chain of arcs is fitted to.
type smoothCurve interface {
	at(t float64) Point
	tangent(t float64, after bool) Point // unit direction of rising t, just after t or just before
	maxSecond(t0, t1 float64) float64    // bound of the second derivative between
}

// biarcFitter replaces a curve by pairs of arcs that meet with one tangent and
// have the curve's tangent at their outer ends, each pair over as long a piece of
// the curve as the tolerance allows. The error is measured on a polyline through
// points of the curve which itself is true to a known share of the tolerance, by
// the same radial distances as in arcFits.
type biarcFitter struct {
	curve smoothCurve
	tol   float64
	out   Path
	pts   []Point // of the piece at hand
}

const (
	// chordShare is the part of the tolerance given to the polyline on which the
	// rest is measured.
	chordShare = 1.0 / 8
	// maxPieceChords bounds that polyline; longer pieces are not tried.
	maxPieceChords = 512
	// maxHalvings ends the search for a piece at 2^-48 of the curve, less than
	// rounding leaves of it.
	maxHalvings = 48
	// refinements is how often the bracket of a piece's length is halved: within
	// 3 % of the longest.
	refinements = 5
	// leastAhead is the cosine between tangent and chord below which a piece
	// turns too much for its arcs to be compared along rays: 75 degrees.
	leastAhead = 0.26
)

// fit appends arcs for the curve from t0 to t1, which may run down the parameter.
func (f *biarcFitter) fit(t0, t1 float64) {
	stride := t1 - t0
	for t0 != t1 {
		end, s1, s2 := f.longest(t0, t1, stride)
		f.add(s1)
		f.add(s2)
		t0, stride = end, end-t0
	}
}

// longest returns the end of a piece from t0 that is nearly as long as can be,
// and its two arcs. The search starts at the length of the piece before.
func (f *biarcFitter) longest(t0, t1, stride float64) (good float64, s1, s2 Seg) {
	a := f.curve.at(t0)
	if n := len(f.out); n > 0 {
		a = f.out[n-1].B // the same point but for rounding
	}
	good = t0
	bad, failed := t1, false
	for k := 0; k < maxHalvings; k++ {
		t := t0 + stride
		if math.Abs(stride) >= math.Abs(t1-t0) {
			t = t1
		}
		r1, r2, ok := f.try(t0, t, a)
		switch {
		case ok && (t == t1 || failed):
			good, s1, s2 = t, r1, r2
		case ok:
			good, s1, s2 = t, r1, r2
			stride *= 2
			continue
		default:
			bad, failed = t, true
			if good == t0 {
				stride /= 2
				continue
			}
		}
		break
	}
	if good == t0 { // nothing holds at the limit of rounding
		return t1, Line(a, f.curve.at(t1)), Seg{}
	}
	for k := 0; failed && k < refinements; k++ {
		m := good + (bad-good)/2
		if r1, r2, ok := f.try(t0, m, a); ok {
			good, s1, s2 = m, r1, r2
		} else {
			bad = m
		}
	}
	return good, s1, s2
}

// try fits one piece, from the point a at t0 to t1: by two arcs, or where none
// will do by a line, if the piece is smaller than half the tolerance.
func (f *biarcFitter) try(t0, t1 float64, a Point) (s1, s2 Seg, ok bool) {
	chords := math.Ceil(math.Abs(t1-t0) * math.Sqrt(f.curve.maxSecond(t0, t1)/(8*chordShare*f.tol)))
	if !(chords <= maxPieceChords) {
		return s1, s2, false
	}
	n := max(4, int(chords))
	b := f.curve.at(t1)
	s1, s2, ok = f.biarc(t0, t1, n, a, b)
	switch {
	case ok && s1.Turn == Straight && s2.Turn == Straight:
		return Line(a, b), Seg{}, true // straight to the last nanometre
	case !ok && f.isPoint(t0, t1, n, a):
		return Line(a, b), Seg{}, true // a cusp or a knot that does not matter
	}
	return s1, s2, ok
}

func (f *biarcFitter) add(s Seg) {
	if s.A != s.B {
		f.out = append(f.out, s)
	}
}

// isPoint reports whether the piece is smaller than half the tolerance.
func (f *biarcFitter) isPoint(t0, t1 float64, n int, a Point) bool {
	limit := f.tol * (0.5 - chordShare)
	for i := n; i > 0; i-- {
		if f.curve.at(t0+(t1-t0)*float64(i)/float64(n)).Dist(a) > limit {
			return false
		}
	}
	return true
}

// biarc proposes two arcs for the piece and reports whether they hold.
//
// The joints of all biarcs over given ends and tangents lie on a circle through
// both ends that leaves the chord at half the difference of the tangents' angles
// to it (K. M. Bolton, Biarc curves, 1975); the joint halfway along is taken.
func (f *biarcFitter) biarc(t0, t1 float64, n int, a, b Point) (s1, s2 Seg, ok bool) {
	ta, tb := f.curve.tangent(t0, t1 > t0), f.curve.tangent(t1, t1 < t0)
	if t1 < t0 {
		ta, tb = ta.Mul(-1), tb.Mul(-1)
	}
	chord := b.Sub(a)
	l := chord.Len()
	if l == 0 {
		return s1, s2, false
	}
	u := chord.Mul(1 / l)
	if ta.Dot(u) < leastAhead || tb.Dot(u) < leastAhead {
		return s1, s2, false
	}
	away := math.Atan2(u.Cross(ta), u.Dot(ta)) - math.Atan2(u.Cross(tb), u.Dot(tb))
	joint := a.Lerp(b, 0.5).Add(u.Left().Mul(l / 2 * math.Tan(away/4)))
	s1 = tangentArc(a, ta, joint)
	s2 = tangentArc(b, tb.Mul(-1), joint).Reverse()

	// Where the curve passes the joint: across the normal that both arcs share.
	along := joint.Sub(a).Unit()
	tj := along.Mul(2 * ta.Dot(along)).Sub(ta)
	hi := f.passes(t0, t1, a, b, joint, tj)
	limit := f.tol * (1 - chordShare)
	return s1, s2, f.sample(t0, hi, n, a) && f.holds(s1, u, limit) &&
		f.sample(hi, t1, n, f.pts[len(f.pts)-1]) && f.holds(s2, u, limit)
}

// passes returns the parameter between t0 and t1 at which the curve crosses the
// normal to direction u through p, by false position with the Illinois step
// (M. Dowell, P. Jarratt, A modified regula falsi method, 1971).
func (f *biarcFitter) passes(t0, t1 float64, a, b, p, u Point) float64 {
	va, vb := a.Sub(p).Dot(u), b.Sub(p).Dot(u)
	small := 1e-15 * (math.Abs(va) + math.Abs(vb) + p.Len()) // the rounding of v
	side := 0
	t := t0
	for i := 0; i < 60 && va < vb; i++ {
		t = t0 + (t1-t0)*(va/(va-vb))
		switch v := f.curve.at(t).Sub(p).Dot(u); {
		case math.Abs(v) <= small:
			return t
		case v < 0:
			t0, va = t, v
			if side < 0 {
				vb /= 2
			}
			side = -1
		default:
			t1, vb = t, v
			if side > 0 {
				va /= 2
			}
			side = 1
		}
	}
	return t
}

// sample fills pts with n chords of the curve from t0 to t1, which begin at the
// given point. It returns false for an empty piece.
func (f *biarcFitter) sample(t0, t1 float64, n int, from Point) bool {
	f.pts = append(f.pts[:0], from)
	for i := 1; i <= n; i++ {
		f.pts = append(f.pts, f.curve.at(t0+(t1-t0)*float64(i)/float64(n)))
	}
	return t0 != t1
}

// holds reports whether the sampled points run ahead in direction u, turn the
// arc's way and stay within limit of its circle or line. Their ends lie on the
// rays through the ends of s.
func (f *biarcFitter) holds(s Seg, u Point, limit float64) bool {
	last := f.pts[0]
	rlo, rhi := s.band()
	d := s.B.Sub(s.A)
	l := d.Len()
	for _, p := range f.pts[1:] {
		step := p.Sub(last)
		if step.Dot(u) < 0 {
			return false
		}
		if s.Turn == Straight {
			if math.Abs(d.Cross(p.Sub(s.A))) > limit*l {
				return false
			}
		} else {
			if float64(s.Turn)*last.Sub(s.C).Cross(p.Sub(s.C)) < 0 {
				return false
			}
			if p.Dist(s.C) > rlo+limit || lineDistance(last, p, s.C) < rhi-limit {
				return false
			}
		}
		last = p
	}
	return true
}

// tangentArc returns the arc from a to b that leaves a in the unit direction t; a
// straight line where it would bend less than a fitted arc may.
func tangentArc(a, t, b Point) Seg {
	v := b.Sub(a)
	n := t.Left()
	bend := 2 * n.Dot(v) / v.Dot(v) // signed curvature
	if !(math.Abs(bend) > 1/maxFitRadius) {
		return Line(a, b)
	}
	turn := CCW
	if bend < 0 {
		turn = CW
	}
	return Arc(a, b, a.Add(n.Mul(1/bend)), turn)
}
