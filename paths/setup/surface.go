package setup

import (
	"math"

	"proofcut/paths/geom"
)

// Surface is the height of a face of the stock over the plane, in program
// coordinates.
type Surface interface {
	// Height returns the height in mm at p, which may be anywhere.
	Height(p geom.Point) float64

	// Lipschitz returns a bound of the slope: heights at two points differ by no
	// more than this times the distance between the points.
	Lipschitz() float64

	// Range returns the least and the greatest height over a rectangle.
	Range(b geom.Box) (lo, hi float64)

	// Kinks returns where the height along a segment has a kink, as ascending
	// fractions of the segment's length between 0 and 1.
	Kinks(s geom.Seg) []float64

	// Bend returns a bound of the second derivative of the height along any
	// straight line between two kinks, 1/mm.
	Bend() float64
}

// Raised is a surface with all heights more by a constant.
type Raised struct {
	Surface
	By float64
}

// Height returns the height in mm at p.
func (r Raised) Height(p geom.Point) float64 { return r.Surface.Height(p) + r.By }

// Range returns the least and the greatest height over a rectangle.
func (r Raised) Range(b geom.Box) (lo, hi float64) {
	lo, hi = r.Surface.Range(b)
	return lo + r.By, hi + r.By
}

// Face is a measured upper face of the stock, and how it was found. Its Surface is
// the one that was fitted, raised by Worst: no probed point lies above it.
type Face struct {
	Surface

	// Parallel tells that the lower face follows the upper one at the stock's
	// thickness, as in a bent sheet. Otherwise the stock lies flat on the plate
	// and its thickness varies.
	Parallel bool

	Probed  int     // points that it was fitted to
	Fit     string  // plane or mesh
	Lowest  float64 // height of the raised surface over the stock's box, mm
	Highest float64
	Tilt    float64 // of the plane through the points, from the level, radians
	Towards float64 // direction in which that plane rises, radians from X
	Bow     float64 // height of the slice parallel to that plane that holds all points, mm
	Worst   float64 // largest difference of a point from the fitted surface, mm
	Limit   float64 // what was allowed for it, mm
}

// HeightAt returns the height of the upper face at p.
func (s Stock) HeightAt(p geom.Point) float64 {
	if s.Face == nil {
		return s.Top
	}
	return s.Face.Height(p)
}

// Lowest returns the height of the lowest place of the stock's lower face, where
// the plate is that it lies on.
func (s Stock) Lowest() float64 {
	if s.Face == nil || !s.Face.Parallel {
		return s.Bottom()
	}
	return s.Face.Lowest - s.Thickness
}

// Curvature returns a bound of the second derivative of a surface's height along
// a segment between two kinks, by the length along it.
func Curvature(s Surface, along geom.Seg) float64 {
	c := s.Bend()
	if along.IsArc() {
		c += s.Lipschitz() / math.Max(along.Radius(), geom.Tol)
	}
	return c
}
