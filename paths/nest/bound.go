package nest

import (
	"math"
	"slices"

	"proofcut/paths/geom"
)

// bound is a proven upper bound on a count of discs.
type bound struct {
	count int
	name  string
}

// The names of the bounds, as a layout reports them.
const (
	boundOler = "Oler's inequality for the convex hull of the places where a centre may lie (N. Oler, An inequality in the geometry of numbers, 1961)"
	boundArea = "area of the truncated Voronoi cells (A. Thue 1910, L. Fejes Toth 1940)"
	boundOne  = "places where a centre may lie are too near each other for two"
	boundNone = "no place for a centre"
)

// hullDepth is how often the square round the stock is halved for the outline
// of the free set: a slab of 60 mm is resolved to 0.004 mm.
const hullDepth = 14

// freeHull returns the convex hull of a set that contains every place where
// the centre of a disc of that radius may lie, and exceeds it by little.
func (f *field) freeHull(radius float64) []geom.Point {
	var ps []geom.Point
	c := f.box.Center()
	half := math.Max(f.box.Size().X, f.box.Size().Y) / 2
	f.collect(&ps, c.X, c.Y, half, radius, 0)
	return convexHull(ps)
}

// collect adds the corners of the cells at the border of the free set.
func (f *field) collect(ps *[]geom.Point, x, y, half, radius float64, depth int) {
	r := f.free(x, y) - radius
	reach := half * math.Sqrt2
	if r < -reach-Rounding {
		return // free falls by no more than the distance moved
	}
	if depth == hullDepth || r > reach && depth > 4 {
		for _, sx := range [2]float64{-half, half} {
			for _, sy := range [2]float64{-half, half} {
				*ps = append(*ps, geom.Pt(x+sx, y+sy))
			}
		}
		return
	}
	if depth > 8 && len(*ps) > 4096 {
		*ps = convexHull(*ps)
	}
	half /= 2
	for _, sx := range [2]float64{-half, half} {
		for _, sy := range [2]float64{-half, half} {
			f.collect(ps, x+sx, y+sy, half, radius, depth+1)
		}
	}
}

// convexHull returns the hull counter-clockwise (A. M. Andrew's monotone
// chain, 1979).
func convexHull(ps []geom.Point) []geom.Point {
	ps = slices.Clone(ps)
	slices.SortFunc(ps, func(a, b geom.Point) int { return compare(a.X, b.X, a.Y, b.Y) })
	ps = slices.Compact(ps)
	if len(ps) < 3 {
		return ps
	}
	half := func(at func(int) geom.Point) []geom.Point {
		var h []geom.Point
		for i := range ps {
			q := at(i)
			for len(h) >= 2 && h[len(h)-1].Sub(h[len(h)-2]).Cross(q.Sub(h[len(h)-1])) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		return h[:len(h)-1]
	}
	lower := half(func(i int) geom.Point { return ps[i] })
	upper := half(func(i int) geom.Point { return ps[len(ps)-1-i] })
	return append(lower, upper...)
}

// olerBound returns the largest number of points with mutual distance spacing
// in a convex polygon: 2A/(sqrt3 s^2) + P/(2s) + 1.
func olerBound(hull []geom.Point, spacing float64) float64 {
	area, perimeter := 0.0, 0.0
	for i, a := range hull {
		b := hull[(i+1)%len(hull)]
		area += a.Cross(b) / 2
		perimeter += a.Dist(b)
	}
	return 2*area/(math.Sqrt(3)*spacing*spacing) + perimeter/(2*spacing) + 1
}

// diameterOf returns the greatest distance between two of the points.
func diameterOf(ps []geom.Point) float64 {
	d := 0.0
	for i, a := range ps {
		for _, b := range ps[i+1:] {
			d = math.Max(d, a.Dist(b))
		}
	}
	return d
}

// boundFor returns the best bound that can be proven for discs of a radius
// whose centres keep spacing.
func boundFor(f *field, radius, spacing float64) bound {
	hull := f.freeHull(radius)
	if len(hull) == 0 {
		return bound{0, boundNone}
	}
	if diameterOf(hull) < spacing-Rounding {
		return bound{1, boundOne}
	}
	// Discs may be Rounding too near, which the bound has to allow for.
	return bound{int(math.Floor(olerBound(hull, spacing-Rounding))), boundOler}
}
