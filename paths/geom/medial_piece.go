package geom

import "math"

// Disc is a circle with its inside: centre and radius in mm.
type Disc struct {
	C Point
	R float64
}

// MedialSite is one of the two nearest things of a piece of the medial axis: a
// straight edge from A to B (a side of the region or a chord of one of its
// arcs), or a point A == B (a vertex).
type MedialSite struct {
	A, B Point
	// Source is the segment of the region that the edge belongs to, or that
	// starts at the vertex; {-1, -1} where chords of curves that touch had to be
	// cut.
	Source Ref
}

// Vertex reports whether the site is a point.
func (s MedialSite) Vertex() bool { return s.A == s.B }

// Foot returns the place of the site that is nearest to p.
func (s MedialSite) Foot(p Point) Point {
	if s.Vertex() {
		return s.A
	}
	d := s.B.Sub(s.A)
	t := p.Sub(s.A).Dot(d) / d.Dot(d)
	return s.A.Lerp(s.B, math.Max(0, math.Min(1, t)))
}

// MedialPiece is a stretch of the medial axis on which the two nearest sites
// stay the same. Between two edges it is a straight line on which the clearance
// is linear; between a vertex and an edge a parabola, where the clearance is
// the distance from the directrix; between two vertices a straight line on
// which the clearance is the distance from either.
type MedialPiece struct {
	From, To Disc
	P, Q     MedialSite // Q is left of the way from From to To
}

// parabola returns focus, foot of the focus on the directrix, and unit vector
// along the directrix; ok is false for a straight piece.
func (m MedialPiece) parabola() (focus, foot, along Point, ok bool) {
	v, e := m.P, m.Q
	if !v.Vertex() {
		v, e = e, v
	}
	if !v.Vertex() || e.Vertex() {
		return
	}
	along = e.B.Sub(e.A).Unit()
	foot = e.A.Add(along.Mul(v.A.Sub(e.A).Dot(along)))
	return v.A, foot, along, true
}

// At returns the disc at fraction t of the piece: t grows evenly along a
// straight piece, and evenly along the directrix of a parabola.
func (m MedialPiece) At(t float64) Disc {
	switch {
	case t <= 0:
		return m.From
	case t >= 1:
		return m.To
	}
	if f, foot, along, ok := m.parabola(); ok {
		h := f.Dist(foot)
		if h == 0 {
			return Disc{m.From.C.Lerp(m.To.C, t), m.From.R + t*(m.To.R-m.From.R)}
		}
		x0, x1 := m.From.C.Sub(foot).Dot(along), m.To.C.Sub(foot).Dot(along)
		x := x0 + t*(x1-x0)
		r := (x*x + h*h) / (2 * h)
		up := f.Sub(foot).Mul(1 / h)
		return Disc{foot.Add(along.Mul(x)).Add(up.Mul(r)), r}
	}
	c := m.From.C.Lerp(m.To.C, t)
	if m.P.Vertex() {
		return Disc{c, c.Dist(m.P.A)}
	}
	return Disc{c, m.From.R + t*(m.To.R-m.From.R)}
}

// Length returns the length of the piece.
func (m MedialPiece) Length() float64 {
	if f, foot, along, ok := m.parabola(); ok {
		if h := f.Dist(foot); h > 0 {
			// y = x^2/(2h): length element sqrt(1 + (x/h)^2).
			s := func(x float64) float64 {
				u := x / h
				return h / 2 * (u*math.Sqrt(1+u*u) + math.Asinh(u))
			}
			l := s(m.To.C.Sub(foot).Dot(along)) - s(m.From.C.Sub(foot).Dot(along))
			return math.Max(math.Abs(l), m.From.C.Dist(m.To.C))
		}
	}
	return m.From.C.Dist(m.To.C)
}

// Least returns the disc of least clearance on the piece.
func (m MedialPiece) Least() Disc {
	var t float64
	switch _, foot, along, ok := m.parabola(); {
	case ok:
		x0, x1 := m.From.C.Sub(foot).Dot(along), m.To.C.Sub(foot).Dot(along)
		t = -x0 / (x1 - x0)
	case m.P.Vertex():
		d := m.To.C.Sub(m.From.C)
		t = m.P.A.Sub(m.From.C).Dot(d) / d.Dot(d)
	}
	least := m.From
	if m.To.R < least.R {
		least = m.To
	}
	if t > 0 && t < 1 {
		if d := m.At(t); d.R < least.R {
			least = d
		}
	}
	return least
}

// appendDiscs appends discs along the piece, without the first, so that
// between neighbours neither centre nor clearance departs from the straight
// line between them by more than tol (mm).
func (m MedialPiece) appendDiscs(dst []Disc, tol float64) []Disc {
	if !(tol >= Tol) {
		tol = Tol
	}
	n := 1
	if f, foot, along, ok := m.parabola(); ok {
		// Second derivative 1/h along the directrix: a step s errs by s^2/(8h).
		if h := f.Dist(foot); h > 0 {
			x0, x1 := m.From.C.Sub(foot).Dot(along), m.To.C.Sub(foot).Dot(along)
			n = steps(math.Abs(x1-x0), math.Sqrt(8*h*tol))
		}
	} else if m.P.Vertex() && m.Q.Vertex() {
		// sqrt(h^2+x^2) has second derivative at most 1/h, and departs from a
		// chord by no more than h as well.
		h := m.P.A.Dist(m.Q.A) / 2
		n = steps(m.From.C.Dist(m.To.C), math.Sqrt(8*h*tol))
	}
	for i := 1; i < n; i++ {
		dst = append(dst, m.At(float64(i)/float64(n)))
	}
	return append(dst, m.To)
}

// maxSteps bounds the discs of one piece.
const maxSteps = 1 << 16

func steps(length, step float64) int {
	if !(length > step) {
		return 1
	}
	return int(math.Min(math.Ceil(length/step), maxSteps))
}
