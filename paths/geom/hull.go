package geom

import (
	"cmp"
	"slices"
)

// ConvexHull returns the corners of the convex hull of points, counter-clockwise
// (A. M. Andrew's monotone chain, 1979). Points along its sides are left out. Of
// fewer than three different points it returns those.
func ConvexHull(ps []Point) []Point {
	ps = slices.Clone(ps)
	slices.SortFunc(ps, func(a, b Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	ps = slices.Compact(ps)
	if len(ps) < 3 {
		return ps
	}
	half := func(at func(int) Point) []Point {
		var h []Point
		for i := range ps {
			q := at(i)
			for len(h) >= 2 && h[len(h)-1].Sub(h[len(h)-2]).Cross(q.Sub(h[len(h)-1])) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		return h[:len(h)-1]
	}
	lower := half(func(i int) Point { return ps[i] })
	return append(lower, half(func(i int) Point { return ps[len(ps)-1-i] })...)
}
