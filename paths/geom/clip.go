package geom

import (
	"fmt"
	"math"
	"slices"
)

// Clip cuts the path at the boundary of the region and returns the pieces that
// lie inside and those outside, each in the order of travel. What runs along the
// boundary within Tol is inside. A mere touch does not cut the path, and pieces
// shorter than Tol are not told apart from their neighbours. Together the pieces
// cover the path; those of one segment keep its line or circle. An error means
// an invalid path or region.
func Clip(p Path, r Region) (inside, outside []Path, err error) {
	if err := p.Validate(); err != nil {
		return nil, nil, fmt.Errorf("path to clip: %w", err)
	}
	for i, c := range r {
		if e := c.check(); e != nil {
			e.Contour = i
			return nil, nil, fmt.Errorf("region to clip by: %w", e)
		}
	}
	inside, outside = NewIndex(r).Clip(p)
	return inside, outside, nil
}

// Clip is the function Clip for a path and region known to be valid, for many
// paths against one region.
func (x *Index) Clip(p Path) (inside, outside []Path) {
	var piece Path
	in := false
	flush := func() {
		switch {
		case len(piece) == 0:
		case in:
			inside = append(inside, piece)
		default:
			outside = append(outside, piece)
		}
		piece = nil
	}
	for _, s := range p {
		for _, part := range x.cut(s) {
			if part.inside != in {
				flush()
				in = part.inside
			}
			piece = append(piece, part.seg)
		}
	}
	flush()
	return inside, outside
}

// clipped is a part of a segment on one side of the boundary.
type clipped struct {
	seg    Seg
	inside bool
}

// cutAt is a place where a segment meets the boundary.
type cutAt struct {
	t float64
	p Point
}

// cut divides the segment where it passes the boundary.
func (x *Index) cut(s Seg) []clipped {
	var cuts []cutAt
	x.Visit(s.Bounds().Grow(Tol), func(_ Ref, o Seg) bool {
		for _, p := range s.Intersect(o) {
			if p.Dist(s.A) > Tol && p.Dist(s.B) > Tol {
				if (p == o.A || p == o.B) && s.Distance(p) > 0 {
					p = s.Closest(p) // the path keeps its course to the rounding, not to Tol
				}
				cuts = append(cuts, cutAt{s.param(p), p})
			}
		}
		return true
	})
	slices.SortFunc(cuts, func(a, b cutAt) int {
		switch {
		case a.t < b.t:
			return -1
		case a.t > b.t:
			return 1
		}
		return 0
	})
	cuts = append(cuts, cutAt{1, s.B})
	var out []clipped
	from, at := cutAt{0, s.A}, cutAt{0, s.A} // where the open part began, where the last cut was
	in := false
	started := false
	for i, c := range cuts {
		if i < len(cuts)-1 && (c.t <= at.t || c.p.Dist(at.p) <= Tol) {
			continue
		}
		now := x.holds(s.At((at.t + c.t) / 2))
		if started && now != in {
			out = append(out, clipped{x.piece(s, from, at), in})
			from = at
		}
		in, started = now, true
		at = c
	}
	return append(out, clipped{x.piece(s, from, at), in})
}

// piece returns the part of s between two cuts; a whole segment stays as it is.
func (x *Index) piece(s Seg, from, to cutAt) Seg {
	if from.t == 0 && to.t == 1 {
		return s
	}
	out := Seg{A: from.p, B: to.p, C: s.C, Turn: s.Turn}
	if out.A == out.B {
		out.Turn = Straight
	}
	return out
}

// holds reports whether p is inside the region or within Tol of its boundary.
func (x *Index) holds(p Point) bool {
	return !x.Clear(Line(p, p), math.Nextafter(Tol, 1))
}
