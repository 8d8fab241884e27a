package nest

import (
	"math"

	"proofcut/paths/geom"
)

// The names of the bounds, as a layout reports them.
const (
	boundOler   = "Oler's inequality for the convex hull of the places where a centre may lie (N. Oler, An inequality in the geometry of numbers, 1961)"
	boundCover  = "weights of discs that hold one centre each and cover every place for a centre (linear programming duality)"
	boundOne    = "places where a centre may lie are too near each other for two"
	boundWanted = "no more are wanted"
	boundNone   = "no place for a centre"
)

// hullDepth is how often the square round the stock is halved for the outline
// of the free set: a slab of 60 mm is resolved to 0.015 mm.
const hullDepth = 12

// freeHull returns the convex hull of a set that contains every place where
// the centre of a disc of that radius may lie, and exceeds it by little.
func (f *field) freeHull(radius float64) []geom.Point {
	half := math.Max(f.box.Size().X, f.box.Size().Y) / 2
	cells := []geom.Point{f.box.Center()}
	var inner []geom.Point // hull of places that are free
	for depth := 0; ; depth++ {
		// Free radii fall by no more than the distance moved: a cell whose
		// middle is too tight for that holds no place for a centre.
		reach := half * math.Sqrt2
		border := cells[:0]
		for _, q := range cells {
			r := f.free(q.X, q.Y) - radius
			if r >= 0 {
				inner = append(inner, q)
			}
			if r >= -reach-Rounding {
				border = append(border, q)
			}
		}
		inner = geom.ConvexHull(inner)
		if depth == hullDepth {
			cells = border
			break
		}
		half /= 2
		var next []geom.Point
		for _, q := range border {
			if insideHull(inner, q, 2*half) {
				continue // cannot widen the hull
			}
			for _, sx := range [2]float64{-half, half} {
				for _, sy := range [2]float64{-half, half} {
					next = append(next, geom.Pt(q.X+sx, q.Y+sy))
				}
			}
		}
		cells = next
	}
	for _, q := range cells {
		for _, sx := range [2]float64{-half, half} {
			for _, sy := range [2]float64{-half, half} {
				inner = append(inner, geom.Pt(q.X+sx, q.Y+sy))
			}
		}
	}
	return geom.ConvexHull(inner)
}

// insideHull reports whether the square about q lies inside a hull.
func insideHull(hull []geom.Point, q geom.Point, half float64) bool {
	if len(hull) < 3 {
		return false
	}
	for i, a := range hull {
		e := hull[(i+1)%len(hull)].Sub(a)
		// The corner that lies farthest to the right of the edge.
		if e.Cross(q.Sub(a)) < half*(math.Abs(e.X)+math.Abs(e.Y)) {
			return false
		}
	}
	return true
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

// hullBound returns the bound that the hull of the free set proves for discs
// of a radius whose centres keep spacing, and its name. The hull costs little.
func hullBound(f *field, radius, spacing float64) (int, string) {
	hull := f.freeHull(radius)
	if len(hull) == 0 {
		return 0, boundNone
	}
	// Discs may be Rounding too near, which a bound has to allow for.
	if diameterOf(hull) < spacing-Rounding {
		return 1, boundOne
	}
	return int(math.Floor(olerBound(hull, spacing-Rounding))), boundOler
}
