package geom

import "math"

// A point of an offset at distance h from its foot p along the unit normal n is
// the centre of the disc of radius h that touches the source there. These discs
// lie one within the other, so a point q is nearer than h from when on the disc
// has grown to it: h = |q-p|^2 / (2 n.(q-p)), and never where q lies behind p. On
// a line or a circle the first point that the discs reach is where one of them
// touches it, or an end. So the distance at which a segment comes into the way
// of a span is known in closed form, and until then the span need not look at it.

// feet are where the points of a span have their nearest place on the source,
// from one normal to another, counter-clockwise on an arc.
type feet struct {
	kind   curveKind
	narrow bool       // the rest holds: an arc turns by less than a quarter
	p, n   [2]Point   // first and last foot, and the unit normals there
	c      Point      // centre of an arc
	rho    float64    // its radius, 0 for a corner
	dir    Point      // of a line
	along  [2]float64 // of a line, the places of the feet along dir
}

// stand sets f to the feet of what is left of the span at hand.
func (t *trimmer) stand(f *feet) {
	k := &t.k
	lo, hi := t.keep[0][0], t.keep[len(t.keep)-1][1]
	f.kind = k.kind
	f.narrow = !k.arc || !k.wide && k.quarter*(hi-lo) < math.Pi/8
	if !f.narrow {
		return
	}
	f.rho = 0
	if !k.arc {
		n := Point{k.dir.Y, -k.dir.X}
		f.n = [2]Point{n, n}
		a, b := k.at(lo), k.at(hi)
		f.p = [2]Point{{a.X - t.d*n.X, a.Y - t.d*n.Y}, {b.X - t.d*n.X, b.Y - t.d*n.Y}}
		f.dir = k.dir
		f.along = [2]float64{k.dir.Dot(f.p[0]), k.dir.Dot(f.p[1])}
		return
	}
	u, v := k.direction(lo), k.direction(hi)
	if k.turn < 0 {
		u, v = v, u
	}
	f.c, f.rho = k.c, k.r-t.d
	if k.kind == withinArc {
		f.rho = k.r + t.d
	}
	f.p = [2]Point{{k.c.X + f.rho*u.X, k.c.Y + f.rho*u.Y}, {k.c.X + f.rho*v.X, k.c.Y + f.rho*v.Y}}
	if k.kind == withinArc {
		u, v = u.Mul(-1), v.Mul(-1)
	}
	f.n = [2]Point{u, v}
}

// holds reports whether the direction v from the centre lies between the feet.
func (f *feet) holds(v Point) bool {
	a, b := f.n[0], f.n[1]
	if f.kind == withinArc {
		v = Point{-v.X, -v.Y}
	}
	return a.X*v.Y-a.Y*v.X >= 0 && b.X*v.Y-b.Y*v.X <= 0 && (a.X+b.X)*v.X+(a.Y+b.Y)*v.Y > 0
}

// most returns the greatest product of v with points that have their feet among
// narrow f, at distances of at least d and at most until.
func (f *feet) most(v Point, d, until float64) float64 {
	at := math.Inf(-1)
	for i := range f.p {
		p, a := v.X*f.p[i].X+v.Y*f.p[i].Y, v.X*f.n[i].X+v.Y*f.n[i].Y
		at = max(at, p+d*a, p+until*a)
	}
	if f.kind == besideLine {
		return at
	}
	r := f.rho + until
	if f.kind == withinArc {
		r = f.rho - d
	}
	if f.holds(v) {
		at = max(at, v.X*f.c.X+v.Y*f.c.Y+r)
	}
	return at
}

// gap returns half of how far a point at distance d from the centre is from the
// circle of the feet, in front of it; +Inf behind.
func (f *feet) gap(d float64) float64 {
	d -= f.rho
	if f.kind == withinArc {
		d = -d
	}
	if d < 0 {
		return math.Inf(1)
	}
	return d / 2
}

// contact is at which distances a segment reaches the points of a span: the first
// of them, and the last unless one of its ends, taken alone, is later there.
type contact struct{ first, last float64 }

// touch returns the distance at which q, an end of a segment that leads away
// from there in direction u, is reached from foot i. Where the foot is that end
// itself, the segment is either reached at once or lies behind.
func (f *feet) touch(i int, q, u Point) float64 {
	n := &f.n[i]
	x, y := q.X-f.p[i].X, q.Y-f.p[i].Y
	d2, y2 := x*x+y*y, 2*(n.X*x+n.Y*y)
	switch {
	case d2 <= depth*depth:
		if n.X*u.X+n.Y*u.Y > flatTurn {
			return 0
		}
	case y2 > 0:
		return d2 / y2
	}
	return math.Inf(1)
}

// between returns the distance at which q is reached from a foot that faces it,
// +Inf where none does.
func (f *feet) between(q Point) float64 {
	if f.kind == besideLine {
		x := f.dir.X*q.X + f.dir.Y*q.Y
		if y := f.n[0].X*(q.X-f.p[0].X) + f.n[0].Y*(q.Y-f.p[0].Y); y > 0 && x > f.along[0] && x < f.along[1] {
			return y / 2
		}
		return math.Inf(1)
	}
	if v := q.Sub(f.c); f.holds(v) {
		return f.gap(length(v.X, v.Y))
	}
	return math.Inf(1)
}

// contact returns the distances at which segment j reaches the points that have
// their feet among f: from the first on it comes nearer than that to one of
// them, from the last on to all; +Inf where it never does. ok is false where that
// is not told.
//
// The distance of segment and point at the first is off by no more than the
// rounding of a few operations, far within depth. As for the last: of the discs
// of one radius along a span, those that hold a given point follow each other, so
// that all do if the two outer ones do. Which they are changes steadily along
// the segment while there are any. Beside a line or about a corner that is a
// single stretch of a line, so that there the nearest points of the segment
// tell; elsewhere its ends alone do.
func (w *walls) contact(f *feet, j int32) (h contact, ok bool) {
	s, e := &w.segs[j], &w.sides[j]
	if !f.narrow {
		return h, false
	}
	if s.Turn == Straight {
		return f.line(s, e), true
	}
	if b := &w.bends[j]; b.quarter > 1 || b.slack > depth/2 {
		return h, false
	}
	return w.contactArc(f, j), true
}

// all returns the distance from which on the discs of all feet hold q, given
// those of the two outer ones. Where the feet are on the far side of their
// centre from q, one between is the last.
func (f *feet) all(q Point, a, b float64) float64 {
	if f.kind == withinArc && f.holds(f.c.Sub(q)) {
		return math.Inf(1)
	}
	return max(a, b)
}

// line is contact with a line.
func (f *feet) line(s *Seg, e *side) contact {
	var at, a, b [2]float64
	for i := range f.p {
		a[i], b[i] = f.touch(i, s.A, e.u), f.touch(i, s.B, Point{-e.u.X, -e.u.Y})
		h := min(a[i], b[i])
		n := &f.n[i]
		vx, vy := f.p[i].X-s.A.X, f.p[i].Y-s.A.Y
		// The foot is off by that to the left, and the normal leads away there.
		off, away := e.u.X*vy-e.u.Y*vx, e.u.X*n.Y-e.u.Y*n.X
		if off < 0 {
			off, away = -off, -away
		}
		// The discs touch where off + h*away = h.
		if off < h*(1-away) {
			g := off / (1 - away)
			if x := e.u.X*(vx+g*n.X) + e.u.Y*(vy+g*n.Y); x > 0 && x < e.size {
				h = g
			}
		}
		at[i] = h
	}
	h := min(at[0], at[1], f.between(s.A), f.between(s.B))
	if f.kind == besideArc || f.kind == aboutCorner {
		// The point of the line that is nearest of all to the centre.
		vx, vy := f.c.X-s.A.X, f.c.Y-s.A.Y
		if x := e.u.X*vx + e.u.Y*vy; x > 0 && x < e.size {
			off := e.u.X*vy - e.u.Y*vx
			if f.holds(Point{e.u.Y * off, -e.u.X * off}) {
				h = min(h, f.gap(math.Abs(off)))
			}
		}
	}
	if f.rho > 0 {
		return contact{h, min(f.all(s.A, a[0], a[1]), f.all(s.B, b[0], b[1]))}
	}
	return contact{h, max(at[0], at[1])}
}

// contactArc is contact with an arc of no more than half a turn.
func (w *walls) contactArc(f *feet, j int32) contact {
	s, r := &w.segs[j], w.sides[j].size
	turn := float64(s.Turn)
	u, v := w.bends[j].from, w.bends[j].to
	u, v = Point{-u.Y * turn, u.X * turn}, Point{v.Y * turn, -v.X * turn}
	a0, a1, b0, b1 := f.touch(0, s.A, u), f.touch(1, s.A, u), f.touch(0, s.B, v), f.touch(1, s.B, v)
	last := min(f.all(s.A, a0, a1), f.all(s.B, b0, b1))
	h := min(a0, a1, b0, b1, f.between(s.A), f.between(s.B))
	for i := range f.p {
		n := &f.n[i]
		vx, vy := s.C.X-f.p[i].X, s.C.Y-f.p[i].Y
		y, v := n.X*vx+n.Y*vy, length(vx, vy)
		// |v - h n| is r + h from outside the circle, r - h from inside.
		q, den := (v-r)*(v+r), 2*(y+r)
		if q < 0 {
			q, den = -q, 2*(r-y)
		}
		if q < h*den {
			if g := q / den; w.fans(j, Point{n.X*g - vx, n.Y*g - vy}) {
				h = g
			}
		}
	}
	// The nearest point of all, where feet and arc face each other.
	if f.kind == besideLine {
		n := f.n[0]
		if w.fans(j, Point{-n.X, -n.Y}) {
			h = min(h, f.between(Point{s.C.X - r*n.X, s.C.Y - r*n.Y}))
		}
		return contact{h, last}
	}
	v = s.C.Sub(f.c)
	d := length(v.X, v.Y)
	near, back := d-r, v.Mul(-1) // how far it is from the centre of the feet; its direction from that of the arc
	switch {
	case f.kind == withinArc:
		near, back = d+r, v
	case near < 0:
		near, v = -near, back
	}
	if d <= r*1e-9 { // about one centre no direction is told, and all are alike
		h = min(h, f.gap(near))
	} else if f.holds(v) && w.fans(j, back) {
		h = min(h, f.gap(near))
	}
	return contact{h, last}
}
