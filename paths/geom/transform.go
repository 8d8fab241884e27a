package geom

import "math"

// Similarity is a map of the plane that keeps shapes: turns, mirrors, scales by
// one factor and moves. Arcs stay arcs. The zero value is the identity.
type Similarity struct {
	set    bool // the linear part is given; otherwise it is the identity
	a, b   float64
	mirror bool // Y changes sign first
	move   Point
}

// Identity returns the map that leaves every point where it is.
func Identity() Similarity { return Similarity{} }

// Translate returns the map that adds d to every point.
func Translate(d Point) Similarity { return Similarity{move: d} }

// Rotate returns the turn about the origin by angle radians, counter-clockwise.
// Quarter turns are exact.
func Rotate(angle float64) Similarity {
	sin, cos := math.Sincos(angle)
	// The nearest float64 to a multiple of pi/2 misses it by less than this.
	const quarter = 1e-15
	switch {
	case math.Abs(sin) < quarter && math.Abs(angle) < 100:
		sin, cos = 0, math.Copysign(1, cos)
	case math.Abs(cos) < quarter && math.Abs(angle) < 100:
		sin, cos = math.Copysign(1, sin), 0
	}
	return Similarity{set: true, a: cos, b: sin}
}

// RotateAbout returns the turn about c by angle radians, counter-clockwise.
func RotateAbout(c Point, angle float64) Similarity {
	return Translate(c.Mul(-1)).Then(Rotate(angle)).Then(Translate(c))
}

// Scale returns the enlargement by k from the origin; a negative k also makes a
// half turn. The map of k = 0 has no shape left: Validate refuses what it returns.
func Scale(k float64) Similarity { return Similarity{set: true, a: k} }

// MirrorX returns the mirror image in the X axis: Y changes sign.
func MirrorX() Similarity { return Similarity{set: true, a: 1, mirror: true} }

// MirrorY returns the mirror image in the Y axis: X changes sign.
func MirrorY() Similarity { return Similarity{set: true, a: -1, mirror: true} }

// linear returns the coefficients: x' = a x - b y, y' = b x + a y, after the mirror.
func (s Similarity) linear() (a, b float64) {
	if !s.set {
		return 1, 0
	}
	return s.a, s.b
}

// Apply returns the image of p.
func (s Similarity) Apply(p Point) Point { return s.ApplyVector(p).Add(s.move) }

// ApplyVector returns the image of the vector v: turned and scaled, not moved.
func (s Similarity) ApplyVector(v Point) Point {
	a, b := s.linear()
	if s.mirror {
		v.Y = -v.Y
	}
	return Point{a*v.X - b*v.Y, b*v.X + a*v.Y}
}

// Then returns the map that applies s first and o after it.
func (s Similarity) Then(o Similarity) Similarity {
	sa, sb := s.linear()
	oa, ob := o.linear()
	if o.mirror { // mirror after a turn: the turn runs the other way
		sb = -sb
	}
	return Similarity{
		set:    true,
		a:      oa*sa - ob*sb,
		b:      ob*sa + oa*sb,
		mirror: s.mirror != o.mirror,
		move:   o.Apply(s.move),
	}
}

// Factor returns by how much lengths grow.
func (s Similarity) Factor() float64 {
	a, b := s.linear()
	return math.Hypot(a, b)
}

// mirrors reports whether the map turns shapes over, counter-clockwise to clockwise.
func (s Similarity) mirrors() bool { return s.mirror }

// Inverse returns the map that undoes s. It has no finite value when s scales to nothing.
func (s Similarity) Inverse() Similarity {
	a, b := s.linear()
	n := a*a + b*b
	inv := Similarity{set: true, a: a / n, b: -b / n, mirror: s.mirror}
	if s.mirror {
		inv.b = b / n
	}
	inv.move = inv.ApplyVector(s.move).Mul(-1)
	return inv
}

// Transform returns the image of the segment. An arc so short that its ends
// become one point turns into a straight segment, never into a full circle.
func (s Seg) Transform(t Similarity) Seg {
	out := Seg{A: t.Apply(s.A), B: t.Apply(s.B), Turn: s.Turn}
	if s.Turn == Straight {
		return out
	}
	out.C = t.Apply(s.C)
	if t.mirror {
		out.Turn = -s.Turn
	}
	if s.A != s.B {
		before, after := math.Abs(s.Sweep()), math.Abs(out.Sweep())
		switch {
		case before < math.Pi/2 && after > 3*math.Pi/2: // rounding took an end past the other
			return Line(out.A, out.B)
		case before > 3*math.Pi/2 && after < math.Pi/2:
			out.B = out.A
		}
	}
	return out
}
