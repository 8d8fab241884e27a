package slab

import (
	"math"
	"slices"
	"sort"

	"proofcut/paths/geom"
)

// Range returns the least and the greatest height over a rectangle.
func (p Plane) Range(b geom.Box) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, q := range [4]geom.Point{b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)} {
		h := p.Height(q)
		lo, hi = math.Min(lo, h), math.Max(hi, h)
	}
	return lo, hi
}

// Kinks returns nothing: a plane has none.
func (p Plane) Kinks(geom.Seg) []float64 { return nil }

// Bend returns 0.
func (p Plane) Bend() float64 { return 0 }

// Range returns the least and the greatest height over a rectangle. Between the
// lines of the mesh the height is straight in x and in y, so both are at a corner
// of the rectangle, at a crossing in it, or where a line meets its border.
func (m *Mesh) Range(b geom.Box) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	xs, ys := within(m.x, b.Min.X, b.Max.X), within(m.y, b.Min.Y, b.Max.Y)
	look := func(x, y float64) {
		h := m.Height(geom.Pt(x, y))
		lo, hi = math.Min(lo, h), math.Max(hi, h)
	}
	column := func(x float64) {
		look(x, b.Min.Y)
		for _, y := range ys {
			look(x, y)
		}
		look(x, b.Max.Y)
	}
	column(b.Min.X)
	for _, x := range xs {
		column(x)
	}
	column(b.Max.X)
	return lo, hi
}

// within returns the lines between two values.
func within(lines []float64, lo, hi float64) []float64 {
	i := sort.SearchFloat64s(lines, lo)
	j := max(i, sort.SearchFloat64s(lines, hi))
	return lines[i:j]
}

// Kinks returns where a segment crosses the lines of the mesh, as fractions of
// its length.
func (m *Mesh) Kinks(s geom.Seg) []float64 {
	var out []float64
	add := func(t float64) {
		if t > 0 && t < 1 {
			out = append(out, t)
		}
	}
	b := s.Bounds()
	xs, ys := within(m.x, b.Min.X, b.Max.X), within(m.y, b.Min.Y, b.Max.Y)
	if !s.IsArc() {
		for _, x := range xs {
			add((x - s.A.X) / (s.B.X - s.A.X))
		}
		for _, y := range ys {
			add((y - s.A.Y) / (s.B.Y - s.A.Y))
		}
	} else {
		r, sweep := s.Radius(), s.Sweep()
		start := s.A.Sub(s.C).Angle()
		at := func(angle float64) {
			// The turn from the start to the angle, in the sense of the arc.
			turn := math.Mod(angle-start, 2*math.Pi)
			if turn*sweep < 0 {
				turn += math.Copysign(2*math.Pi, sweep)
			}
			add(turn / sweep)
		}
		for _, x := range xs {
			if c := (x - s.C.X) / r; math.Abs(c) <= 1 {
				at(math.Acos(c))
				at(-math.Acos(c))
			}
		}
		for _, y := range ys {
			if c := (y - s.C.Y) / r; math.Abs(c) <= 1 {
				at(math.Asin(c))
				at(math.Pi - math.Asin(c))
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Bend returns a bound of the second derivative of the height along a straight
// line: within a cell it is twice the product of the direction's parts and the
// cell's twist, so at most the twist.
func (m *Mesh) Bend() float64 {
	const rounding = 1e-9 // see Lipschitz
	return m.twist*(1+rounding) + rounding
}
