package geom

import "math"

// maxFitRadius bounds the radius of a fitted arc in mm. Over a chord of 1 m an
// arc of this radius rises 12.5 nm: more bending than that is a line's business.
const maxFitRadius = 1e7

// lineFits reports whether the chords through pts stay within tol of the line
// from a to b and never run back along it, a and b being within tol of the first
// and the last. Of every stride points one is looked at.
func lineFits(pts []Point, a, b Point, stride int, tol float64) bool {
	ux, uy := b.X-a.X, b.Y-a.Y
	l2 := ux*ux + uy*uy
	if l2 == 0 {
		return false
	}
	limit := tol * math.Sqrt(l2)
	start, end := pts[0].Sub(a), pts[len(pts)-1].Sub(a)
	along := ux*start.X + uy*start.Y
	for k := stride; k < len(pts)-1; k += stride {
		p := &pts[k]
		vx, vy := p.X-a.X, p.Y-a.Y
		t := ux*vx + uy*vy
		if c := ux*vy - uy*vx; c > limit || c < -limit || t < along {
			return false
		}
		along = t
	}
	return along <= ux*end.X+uy*end.Y
}

// sagShare is the part of the tolerance from which on the sagitta of a chord is
// taken into account when an arc is proposed; below it the vertices decide.
const sagShare = 1.0 / 16

// arcOver proposes an arc from a to b, which are within tol of the first and the
// last of pts; false when none can pass all points within tol.
//
// In coordinates about the middle of the chord, its length L, x along it and y
// to the side where the points lie, the arcs over the chord differ in their half
// sweep a: the centre lies at y = -L/2 cot a, the radius is L/2 / sin a. Of a
// point near the arc the distance from the centre less the radius is, to first
// order, v = (q sin a)/L + y cos a with q = x^2 + y^2 - L^2/4, and changes with a
// by d = (q cos a)/L - y sin a < 0. So each point allows an interval of a, and
// the middle of what all allow is taken. Whether the arc holds, arcFits decides.
// Of every stride points one is looked at.
func arcOver(pts []Point, a, b Point, stride int, tol float64) (Seg, bool) {
	u := b.Sub(a)
	l := u.Len()
	if l <= tol {
		return Seg{}, false
	}
	u = u.Mul(1 / l)
	mid := a.Lerp(b, 0.5)
	m := pts[len(pts)/2].Sub(mid)
	n, turn := u.Left(), CW
	if n.Dot(m) < 0 {
		n, turn = n.Mul(-1), CCW
	}
	quarter := l * l / 4
	// The arc through the middle point sets out.
	y := n.Dot(m)
	q := m.Dot(m) - quarter
	norm := length(l*y, q)
	if !(y > 0) || norm == 0 {
		return Seg{}, false
	}
	sin, cos := l*y/norm, -q/norm
	sinL, cosL := sin/l, cos/l
	sag := sin / (4 * l) // times the square of a chord: its sagitta
	lo, hi := math.Inf(-1), math.Inf(1)
	last := pts[0]
	var lastV, lastD float64
	for k := 0; k < len(pts); k += stride {
		p := pts[k]
		px, py := p.X-mid.X, p.Y-mid.Y
		y := n.X*px + n.Y*py
		q := px*px + py*py - quarter
		v, d := q*sinL+y*cos, y*sin-q*cosL
		if d > 0 {
			inv := 1 / d
			if s := (v - tol) * inv; s > lo {
				lo = s
			}
			if s := (v + tol) * inv; s < hi {
				hi = s
			}
		}
		// Its own chord has no sagitta at the first point.
		cx, cy := p.X-last.X, p.Y-last.Y
		if s := (cx*cx + cy*cy) * sag; s > sagShare*tol && stride == 1 && d+lastD > 0 {
			if s := (v + lastV - 2*s + 2*tol) / (d + lastD); s < hi {
				hi = s
			}
		}
		if lo > hi {
			return Seg{}, false
		}
		last, lastV, lastD = p, v, d
	}
	half := math.Atan2(sin, cos)
	if !math.IsInf(lo, 0) && !math.IsInf(hi, 0) {
		half += (lo + hi) / 2
	}
	if !(half > 0 && half < math.Pi) {
		return Seg{}, false
	}
	sin, cos = math.Sincos(half)
	if l > 2*maxFitRadius*sin {
		return Seg{}, false
	}
	return Arc(a, b, mid.Sub(n.Mul(l/2*cos/sin)), turn), true
}

// arcFits reports whether the chords through pts and the arc s over them, whose ends
// are within tol of the first and the last, lie within tol of each other: each chord
// turns the arc's way about the centre, by less than half a turn, never beyond the
// last point, and keeps its least and greatest distance from the centre within tol
// of the radius. Then chords and arc face each other along every ray but those
// between an end of the arc and that of the chords; there neither is farther from
// the other's end than the ends from each other or than along the ray.
func arcFits(pts []Point, s Seg, tol float64) bool {
	rlo, rhi := s.band()
	if rhi <= tol {
		return false // a chord could pass the centre, and rays from it prove nothing
	}
	outer := (rlo + tol) * (rlo + tol)
	inner := (rhi - tol) * (rhi - tol)
	turn := float64(s.Turn)
	n := len(pts)
	first, final := pts[0].Sub(s.C), pts[n-1].Sub(s.C)
	if d2 := first.Dot(first); d2 > outer || d2 < inner {
		return false
	}
	// An end of the arc must face the first or the last chord, if any.
	if !(s.A.Sub(s.C).Cross(pts[1].Sub(s.C))*turn > 0) || !(pts[n-2].Sub(s.C).Cross(s.B.Sub(s.C))*turn > 0) {
		return false
	}
	bx, by := final.X, final.Y
	// The middle of the arc, seen from the centre: square to the chord.
	mx, my := turn*(s.B.Y-s.A.Y), -turn*(s.B.X-s.A.X)
	past := false // the middle is passed: the end must not be
	ax, ay := first.X, first.Y
	for _, p := range pts[1:] {
		px, py := p.X-s.C.X, p.Y-s.C.Y
		cross := ax*py - ay*px
		if !(cross*turn > 0) {
			return false
		}
		past = past || (mx*py-my*px)*turn > 0
		if past && (px*by-py*bx)*turn < 0 {
			return false
		}
		d2 := px*px + py*py
		if d2 > outer || d2 < inner {
			return false
		}
		ex, ey := px-ax, py-ay
		l2 := ex*ex + ey*ey
		if cross*cross < inner*l2 {
			// The chord's carrier comes too near; does the chord?
			if t := -(ax*ex + ay*ey); t > 0 && t < l2 {
				return false
			}
		}
		ax, ay = px, py
	}
	return true
}

// eased returns the places for pieces to meet at, near the points of a closed
// polyline: halfway in from a vertex to as far as the chords are off the circle that
// it and its neighbours lie on. An arc that goes through the vertices themselves is
// off the middle of the chords by twice as much. Where that would be too much of tol
// the vertex stays.
func eased(pts []Point, tol float64) []Point {
	out := make([]Point, len(pts))
	n := len(pts) - 1
	for i, p := range pts[:n] {
		a, b := pts[(i+n-1)%n], pts[i+1]
		u := b.Sub(a)
		// The height of the triangle is four times the sagitta of its sides.
		h, l2 := p.Sub(a).Cross(b.Sub(p)), u.Dot(u)
		if out[i] = p; math.Abs(h) <= easeMost*8*tol*math.Sqrt(l2) && h != 0 {
			out[i] = p.Add(u.Left().Mul(h / (8 * l2)))
		}
	}
	out[n] = out[0]
	return out
}

// easeMost is the part of the tolerance that a vertex may be left by.
const easeMost = 0.97

// circle fits a full circle to a closed polyline: the centre by least squares of
// the squared distances (I. Kasa, A circle fitting procedure and its error
// analysis, 1976), the radius midway between the extremes.
func (f *fitter) circle() (Seg, bool) {
	pts := f.pts
	n := len(pts) - 1
	if n < 3 {
		return Seg{}, false
	}
	var mean Point
	for _, p := range pts[:n] {
		mean = mean.Add(p.Sub(pts[0]))
	}
	mean = pts[0].Add(mean.Mul(1 / float64(n)))
	var xx, xy, yy, xz, yz float64
	for _, p := range pts[:n] {
		v := p.Sub(mean)
		z := v.Dot(v)
		xx, xy, yy = xx+v.X*v.X, xy+v.X*v.Y, yy+v.Y*v.Y
		xz, yz = xz+v.X*z, yz+v.Y*z
	}
	det := xx*yy - xy*xy
	if det == 0 {
		return Seg{}, false
	}
	c := mean.Add(Point{(xz*yy - yz*xy) / (2 * det), (yz*xx - xz*xy) / (2 * det)})
	// Least and greatest distance of the chords, their sense, and once round.
	lo, hi := math.Inf(1), 0.0
	around := 0
	turn := CCW
	if pts[0].Sub(c).Cross(pts[1].Sub(c)) < 0 {
		turn = CW
	}
	for i, p := range pts[1:] {
		a := pts[i]
		if !(a.Sub(c).Cross(p.Sub(c))*float64(turn) > 0) {
			return Seg{}, false
		}
		lo = math.Min(lo, lineDistance(a, p, c))
		hi = math.Max(hi, p.Dist(c))
		if hi-lo > 2*f.tol {
			return Seg{}, false
		}
		around += rises(a.Y, p.Y, c.Y) * sideOf(a, p, c)
	}
	if around != int(turn) {
		return Seg{}, false
	}
	r := (lo + hi) / 2
	start := c.Add(pts[0].Sub(c).Unit().Mul(r))
	// The start is rounded: what the circle is in the end must hold.
	got := start.Dist(c)
	if hi-got > f.tol || got-lo > f.tol {
		return Seg{}, false
	}
	return Arc(start, start, c, turn), true
}

// sideOf returns 1 where the line a-b passes the height of c to its right, else 0.
func sideOf(a, b, c Point) int {
	if (b.Sub(a).Cross(c.Sub(a)) > 0) == (b.Y > a.Y) {
		return 1
	}
	return 0
}
