package nest

import (
	"math"

	"proofcut/paths/geom"
)

// Two bounds for stock that is not convex or has holes.
//
// Area: let the centres of discs keep a distance s from each other, and cut off
// each Voronoi cell at s/sqrt3 from its centre. Every neighbour whose bisector
// cuts into that circle takes a segment of half an angle of at most 30 degrees;
// the segments do not meet, since a triangle with sides of s or more has a
// circumradius of s/sqrt3 or more; and a segment's area is a convex function of
// its angle. So six segments of 30 degrees take most, and what is left of a cell is
// never smaller than a regular hexagon about a circle of diameter s: sqrt3/2 s^2
// (C. A. Rogers, The packing of equal spheres, 1958, has the bound for whole
// cells in every dimension). The cells do not overlap and lie within s/sqrt3 of
// the places for centres.
//
// Filled hull: points that keep s from each other and from every place where a
// centre may lie can be added to any layout, and Oler's inequality counts them
// with the centres. In a large hole, or a bay, there is room for some.

// The names of these bounds, as a layout reports them.
const (
	boundCells  = "area within which the Voronoi cells of centres lie, cut off at spacing/sqrt3, none of which is smaller than a hexagon (after C. A. Rogers, The packing of equal spheres, 1958)"
	boundFilled = "Oler's inequality for the convex hull of the places for centres, less the points that can be added in holes and bays (N. Oler, 1961)"
)

// regionSlack makes the region of places for centres a little larger than it is,
// in mm: twice what an offset may be off.
const regionSlack = 0.002

// freeRegion returns a region that contains every place where a centre may lie,
// and exceeds it by no more than a few micrometres.
func freeRegion(p Problem) (geom.Region, error) {
	free, err := geom.Offset(p.Stock, -math.Max(0, p.Edge+p.radius()-regionSlack), geom.OffsetOptions{})
	if err != nil {
		return nil, err
	}
	for _, k := range p.Keepouts {
		if len(k.Area) == 0 || len(free) == 0 {
			continue
		}
		out, err := geom.Offset(k.Area, math.Max(0, k.Margin+p.radius()-regionSlack), geom.OffsetOptions{})
		if err != nil {
			return nil, err
		}
		if free, err = geom.Difference(free, out); err != nil {
			return nil, err
		}
	}
	return free, nil
}

// cellBound returns the area bound for centres in a region that keep spacing.
func cellBound(free geom.Region, spacing float64) (int, error) {
	s := spacing - Rounding
	near, err := geom.Offset(free, s/math.Sqrt(3), geom.OffsetOptions{})
	if err != nil {
		return 0, err
	}
	// A cell lies in one piece of the area.
	total := 0
	for i, c := range near {
		if c.Area() <= 0 {
			continue
		}
		area := c.Area()
		for j, h := range near {
			if i != j && h.Area() < 0 && holds(near, i, h[0].A) {
				area += h.Area()
			}
		}
		// A millionth outweighs the rounding of areas.
		total += int(math.Floor(area/(math.Sqrt(3)/2*s*s)*(1+1e-6) + 1e-6))
	}
	return total, nil
}

// holds reports whether outer contour i of a region is the smallest round p.
func holds(r geom.Region, i int, p geom.Point) bool {
	best := -1
	for k, c := range r {
		if c.Area() > 0 && (geom.Region{c}).Contains(p) != geom.Outside && (best < 0 || c.Area() < r[best].Area()) {
			best = k
		}
	}
	return best == i
}

// extras returns points inside a convex hull that keep spacing from each other
// and from a region.
func extras(free geom.Region, hull []geom.Point, spacing float64) ([]geom.Point, error) {
	if len(free) == 0 || len(hull) < 3 {
		return nil, nil
	}
	near, err := geom.Offset(free, spacing, geom.OffsetOptions{})
	if err != nil {
		return nil, err
	}
	room, err := geom.Difference(geom.RegionOf(geom.Polygon(hull...)), near)
	if err != nil {
		return nil, err
	}
	index := geom.NewIndex(free)
	var out []geom.Point
	for i, c := range room {
		if c.Area() <= 0 {
			continue
		}
		piece := geom.Region{c}
		for j, h := range room {
			if h.Area() < 0 && holds(room, i, h[0].A) {
				piece = append(piece, room[j])
			}
		}
		var best []geom.Point
		try := func(ps []geom.Point) {
			var kept []geom.Point
			for _, q := range ps {
				ok := piece.Contains(q) != geom.Outside && index.Distance(geom.Line(q, q)) >= spacing+geom.Tol
				for _, o := range out {
					ok = ok && o.Dist(q) >= spacing
				}
				if ok {
					kept = append(kept, q)
				}
			}
			if len(kept) > len(best) {
				best = kept
			}
		}
		try([]geom.Point{piece.Centroid()})
		for _, s := range c {
			try([]geom.Point{s.A})
			try([]geom.Point{s.At(0.5).Lerp(piece.Centroid(), 1e-3)})
		}
		l := lattice{hexagonal: true, spacing: spacing * (1 + 1e-12), pivot: piece.Centroid(), reachLimit: c.Bounds().Size().Len()}
		if l.reachLimit > maxExtras*spacing {
			continue // a bay that large would take long, and hold mostly nothing
		}
		for turn := range extraTurns {
			l.angle = math.Pi / 3 * float64(turn) / extraTurns
			for u := range extraShifts {
				for v := range extraShifts {
					l.u, l.v = float64(u)/extraShifts, float64(v)/extraShifts
					var ps []geom.Point
					l.each(c.Bounds(), func(q geom.Point) { ps = append(ps, q) })
					try(ps)
				}
			}
		}
		out = append(out, best...)
	}
	return out, nil
}

const (
	extraTurns, extraShifts = 6, 3
	// maxExtras bounds the size of a hole or bay that is filled, in spacings.
	maxExtras = 40
)

// areaBounds improves a bound by those of this file; where a region cannot be
// computed it stays as it is.
func areaBounds(p Problem, f *field, bound int, name string) (int, string) {
	if bound <= 1 {
		return bound, name
	}
	free, err := freeRegion(p)
	if err != nil {
		return bound, name
	}
	if n, err := cellBound(free, p.spacing()); err == nil && n < bound {
		bound, name = n, boundCells
	}
	hull := f.freeHull(p.radius())
	if more, err := extras(free, hull, p.spacing()); err == nil && len(more) > 0 {
		n := int(math.Floor(olerBound(hull, p.spacing()-Rounding))) - len(more)
		if n < bound {
			bound, name = n, boundFilled
		}
	}
	return bound, name
}
