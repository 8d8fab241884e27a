package proof

import (
	"math"

	"proofcut/paths/geom"
)

// lineSet answers whether motions stay near engraving lines.
type lineSet struct {
	paths []geom.Path
	index *geom.Index
	box   geom.Box
	last  geom.Seg // accompanied the motion before
	any   bool     // last is set
}

func newLineSet(paths []geom.Path) *lineSet {
	g := &lineSet{paths: paths, index: geom.NewPathIndex(paths), box: geom.EmptyBox()}
	for _, p := range paths {
		if len(p) > 0 {
			g.box = g.box.Union(p.Bounds())
		}
	}
	return g
}

// holds reports whether every point of s lies within d of some line. It may
// say no when the answer is closer than a ten-thousandth of d.
func (g *lineSet) holds(s geom.Seg, d float64) bool {
	if !(d > 0) {
		return false
	}
	if g.any && beside(g.last, s, d) {
		return true
	}
	mid := s.At(0.5)
	ref, near := g.index.Nearest(geom.Line(mid, mid))
	if near > d {
		return false
	}
	if l := g.paths[ref.Contour][ref.Seg]; beside(l, s, d) {
		g.last, g.any = l, true
		return true
	}
	return g.covers(s, 0, 1, d, s.Length())
}

// beside decides the common case that one line accompanies s all the way. It
// may say no wrongly, never yes.
func beside(l, s geom.Seg, d float64) bool {
	switch {
	case l.Turn == geom.Straight && s.Turn == geom.Straight:
		// The points within d of a straight line are a convex set, so two ends
		// in it vouch for what lies between.
		return l.Distance(s.A) <= d && l.Distance(s.B) <= d
	case l.Turn == geom.Straight:
		return false
	case s.Turn == geom.Straight:
		return besideArc(l, s, d)
	}
	// Arcs about nearly the same centre with nearly the same radius: points at
	// equal angles lie no further apart than the centres and radii differ.
	return l.C.Dist(s.C)+math.Abs(l.Radius()-s.Radius()) <= d &&
		spanned(l, s.A.Sub(s.C), s.B.Sub(s.C), math.Abs(s.Sweep()))
}

// besideArc reports whether the straight segment s lies within d of the arc l.
// Where all of s lies in the arc's sector the distance of a point is that of its
// radius from the arc's; the radius is convex along s, so its greatest values
// are at the ends and its least at the foot of the perpendicular.
func besideArc(l, s geom.Seg, d float64) bool {
	a, b := s.A.Sub(l.C), s.B.Sub(l.C)
	r := l.Radius()
	if math.Abs(a.Len()-r) > d || math.Abs(b.Len()-r) > d {
		return false
	}
	if low := math.Sqrt(squared(l.C, s.A, s.B)); r-low > d || low < r/2 {
		return false
	}
	return spanned(l, a, b, math.Abs(math.Atan2(a.Cross(b), a.Dot(b))))
}

// spanned reports whether all directions from a to b, which turn by that angle
// in either sense, lie in the arc's sector.
func spanned(l geom.Seg, a, b geom.Point, turn float64) bool {
	sweep := math.Abs(l.Sweep())
	ta, tb := turned(l, a), turned(l, b)
	// The two turns differ by the angle itself only if the gap is not between.
	return ta <= sweep && tb <= sweep && math.Abs(math.Abs(ta-tb)-turn) < angleTol
}

// angleTol is the rounding of an angle that was computed in two ways.
const angleTol = 1e-9

// turned returns by how much the arc turns to reach the direction of v, from 0
// to a whole turn.
func turned(l geom.Seg, v geom.Point) float64 {
	u := l.A.Sub(l.C)
	t := math.Atan2(u.Cross(v), u.Dot(v)) * float64(l.Turn)
	if t < 0 {
		t += 2 * math.Pi
	}
	return t
}

// covers divides s until each part is vouched for: a part of length l is within
// d when its middle is within d-l/2.
func (g *lineSet) covers(s geom.Seg, t0, t1, d, length float64) bool {
	near := g.distance(s.At((t0 + t1) / 2))
	half := (t1 - t0) * length / 2
	switch {
	case near > d:
		return false
	case near+half <= d:
		return true
	case half < d*1e-4 || half < geom.Tol:
		return false
	}
	m := (t0 + t1) / 2
	return g.covers(s, t0, m, d, length) && g.covers(s, m, t1, d, length)
}

// distance returns the distance to the nearest line.
func (g *lineSet) distance(p geom.Point) float64 { return g.index.BoundaryDistance(geom.Line(p, p)) }
