package geom

import (
	"cmp"
	"math"
	"slices"
)

const (
	// sliverShare is the part of a region's area that its slivers may have in all
	// and be dropped: a tenth of what areas are exact to.
	sliverShare = 1e-10
	// sliverSegs is the number of segments up to which a contour can be a sliver:
	// two curves and what bridges their ends.
	sliverSegs = 8
)

// dropLeftovers drops contours no wider than the lattice tells apart. Two curves
// that touch are one within a step on both sides of the place, and cross there at
// several vertices. The contour that ends at the first of these is made to end at
// the place itself (see sharpen), and would run along what lies between the others.
func (l *lattice) dropLeftovers(r Region) Region {
	sliver := func(c Contour) bool {
		return len(c) <= sliverSegs && math.Abs(c.Area()) <= l.step*c.Length()
	}
	if !slices.ContainsFunc(r, sliver) {
		return r
	}
	type part struct {
		i    int
		area float64
	}
	var parts []part
	left := 0.0
	for i, c := range r {
		a := c.Area()
		parts = append(parts, part{i, math.Abs(a)})
		left += a
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(a.area, b.area) })
	left *= sliverShare
	drop := make([]bool, len(r))
	for k, p := range parts {
		if left -= p.area; left < 0 {
			break
		}
		// A hole is smaller than what it lies in, and goes with it or before.
		drop[p.i] = sliver(r[p.i]) && !slices.ContainsFunc(parts[:k], func(q part) bool {
			return !drop[q.i] && r[q.i].Bounds().Overlaps(r[p.i].Bounds())
		})
	}
	out := r[:0]
	for i, c := range r {
		if !drop[i] {
			out = append(out, c)
		}
	}
	return out
}
