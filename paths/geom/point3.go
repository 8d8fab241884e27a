package geom

import "math"

// Point3 is a place in space in millimetres, Z up along the tool axis.
type Point3 struct{ X, Y, Z float64 }

// Pt3 is shorthand for Point3{x, y, z}.
func Pt3(x, y, z float64) Point3 { return Point3{x, y, z} }

// XY returns the place seen from above.
func (p Point3) XY() Point { return Point{p.X, p.Y} }

// Dist returns the distance in space.
func (p Point3) Dist(q Point3) float64 {
	return math.Hypot(math.Hypot(p.X-q.X, p.Y-q.Y), p.Z-q.Z)
}

// Finite reports whether all coordinates are ordinary numbers.
func (p Point3) Finite() bool {
	return p.XY().Finite() && !math.IsNaN(p.Z) && !math.IsInf(p.Z, 0)
}

// At returns p lifted to height z.
func (p Point) At(z float64) Point3 { return Point3{p.X, p.Y, z} }

// Box3 is an axis-parallel block. It is empty when Min exceeds Max.
type Box3 struct{ Min, Max Point3 }

// EmptyBox3 returns the block that holds nothing.
func EmptyBox3() Box3 {
	inf := math.Inf(1)
	return Box3{Point3{inf, inf, inf}, Point3{-inf, -inf, -inf}}
}

// Empty reports whether the block holds no point.
func (b Box3) Empty() bool {
	return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y || b.Min.Z > b.Max.Z
}

// Add returns the least block that holds b and p.
func (b Box3) Add(p Point3) Box3 {
	return Box3{
		Point3{math.Min(b.Min.X, p.X), math.Min(b.Min.Y, p.Y), math.Min(b.Min.Z, p.Z)},
		Point3{math.Max(b.Max.X, p.X), math.Max(b.Max.Y, p.Y), math.Max(b.Max.Z, p.Z)},
	}
}

// Contains reports whether p lies in the block, faces included.
func (b Box3) Contains(p Point3) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X &&
		b.Min.Y <= p.Y && p.Y <= b.Max.Y &&
		b.Min.Z <= p.Z && p.Z <= b.Max.Z
}

// XY returns the block seen from above.
func (b Box3) XY() Box { return Box{b.Min.XY(), b.Max.XY()} }
