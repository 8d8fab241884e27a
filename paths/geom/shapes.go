package geom

import "math"

// Circle returns the full circle about c, counter-clockwise from its rightmost
// point; nil when r is not positive.
func Circle(c Point, r float64) Contour {
	if !(r > 0) {
		return nil
	}
	a := Point{c.X + r, c.Y}
	return Contour{Arc(a, a, c, CCW)}
}

// Polygon returns the closed contour through the points in the given order. A
// last point equal to the first is not repeated, neither is any point next to
// itself. Fewer than two distinct points give nil.
func Polygon(pts ...Point) Contour {
	c := make(Contour, 0, len(pts))
	for i, p := range pts {
		if q := pts[(i+1)%len(pts)]; p != q {
			c = append(c, Line(p, q))
		}
	}
	if len(c) < 2 {
		return nil
	}
	return c
}

// RegularPolygon returns the polygon of n corners on the circle of radius r
// about c, the first corner in direction angle; nil for n < 3 or r not positive.
func RegularPolygon(c Point, r float64, n int, angle float64) Contour {
	if n < 3 || !(r > 0) {
		return nil
	}
	pts := make([]Point, n)
	for i := range pts {
		pts[i] = c.Add(Polar(r, angle+2*math.Pi*float64(i)/float64(n)))
	}
	return Polygon(pts...)
}

// Rect returns the axis-parallel rectangle, counter-clockwise from its lower
// left, with its corners rounded by corner (0: sharp). The radius is taken no
// larger than half the shorter side. A rectangle without area gives nil.
func Rect(lo, hi Point, corner float64) Contour {
	w, h := hi.X-lo.X, hi.Y-lo.Y
	if !(w > 0 && h > 0) || math.IsNaN(corner) {
		return nil
	}
	r := math.Min(math.Max(0, corner), math.Min(w, h)/2)
	if r == 0 {
		return Polygon(lo, Point{hi.X, lo.Y}, hi, Point{lo.X, hi.Y})
	}
	c := make(Contour, 0, 8)
	add := func(s Seg) {
		if s.A != s.B {
			c = append(c, s)
		}
	}
	x0, x1, y0, y1 := lo.X+r, hi.X-r, lo.Y+r, hi.Y-r
	if w <= 2*r {
		x1 = x0
	}
	if h <= 2*r {
		y1 = y0
	}
	add(Line(Point{x0, lo.Y}, Point{x1, lo.Y}))
	add(Arc(Point{x1, lo.Y}, Point{hi.X, y0}, Point{x1, y0}, CCW))
	add(Line(Point{hi.X, y0}, Point{hi.X, y1}))
	add(Arc(Point{hi.X, y1}, Point{x1, hi.Y}, Point{x1, y1}, CCW))
	add(Line(Point{x1, hi.Y}, Point{x0, hi.Y}))
	add(Arc(Point{x0, hi.Y}, Point{lo.X, y1}, Point{x0, y1}, CCW))
	add(Line(Point{lo.X, y1}, Point{lo.X, y0}))
	add(Arc(Point{lo.X, y0}, Point{x0, lo.Y}, Point{x0, y0}, CCW))
	return c
}

// Slot returns the stadium of the given width whose end arcs are centred on a
// and b, counter-clockwise; the circle when a and b are one point, nil when
// width is not positive.
func Slot(a, b Point, width float64) Contour {
	if !(width > 0) {
		return nil
	}
	if a == b {
		return Circle(a, width/2)
	}
	n := b.Sub(a).Unit().Left().Mul(width / 2)
	a0, b0, b1, a1 := a.Sub(n), b.Sub(n), b.Add(n), a.Add(n)
	if a0 == b0 || a1 == b1 { // shorter than rounding at this width
		return Circle(a.Lerp(b, 0.5), width/2)
	}
	return Contour{Line(a0, b0), Arc(b0, b1, b, CCW), Line(b1, a1), Arc(a1, a0, a, CCW)}
}

// RegionOf returns the region bounded by the contours, each turned to the sense
// that its nesting asks for: outer contours counter-clockwise, holes clockwise.
// Empty contours are left out. The contours must not cross; those that may are
// for Resolve.
func RegionOf(contours ...Contour) Region {
	r := make(Region, 0, len(contours))
	boxes := make([]Box, 0, len(contours))
	for _, c := range contours {
		if len(c) > 0 {
			r = append(r, c)
			boxes = append(boxes, c.Bounds())
		}
	}
	depth := make([]int, len(r))
	index := make([]*Index, len(r)) // of the contours that may enclose others
	for i, c := range r {
		for j := range r {
			if i == j || !boxes[j].Contains(boxes[i].Min) || !boxes[j].Contains(boxes[i].Max) {
				continue
			}
			if index[j] == nil {
				index[j] = NewIndex(Region{r[j]})
			}
			if encloses(index[j], c) {
				depth[i]++
			}
		}
	}
	for i, c := range r {
		if (c.Area() > 0) != (depth[i]%2 == 0) {
			r[i] = c.Reverse()
		}
	}
	return r
}

// encloses reports whether the inner contour lies inside the outer one, judged
// by the first of its points that is not on the outer curve.
func encloses(outer *Index, inner Contour) bool {
	for _, s := range inner {
		for _, p := range [2]Point{s.A, s.At(0.5)} {
			if outer.BoundaryDistance(Line(p, p)) > Tol {
				return outer.Contains(p) == Inside
			}
		}
	}
	return false // the same curve twice
}
