package geom

import "math"

// meetFlat splits two straight or flat edges on the lattice: where a vertex of
// one lies on the other, or else where they cross.
func (l *lattice) meetFlat(i, j int32) {
	e, f := &l.edges[i], &l.edges[j]
	a, b, c, d := l.pts[e.v0], l.pts[e.v1], l.pts[f.v0], l.pts[f.v1]
	if b.x+1 < c.x || d.x+1 < a.x ||
		max(a.y, b.y)+1 < min(c.y, d.y) || max(c.y, d.y)+1 < min(a.y, b.y) {
		return
	}
	split := false
	for _, v := range [2]int32{f.v0, f.v1} {
		split = l.onChord(e, v) && l.ask(i, v) || split
	}
	for _, v := range [2]int32{e.v0, e.v1} {
		split = l.onChord(f, v) && l.ask(j, v) || split
	}
	if split || e.v0 == f.v0 || e.v1 == f.v1 || e.v0 == f.v1 || e.v1 == f.v0 {
		return
	}
	if orient(a, b, c)*orient(a, b, d) >= 0 || orient(c, d, a)*orient(c, d, b) >= 0 {
		return
	}
	v := l.crossing(e, f)
	l.ask(i, v)
	l.ask(j, v)
}

// onChord reports whether vertex v lies within half a step of the chord of e,
// between its ends. Any more would have the corners of a cell lie on its
// diagonal, and splits go round in circles.
func (l *lattice) onChord(e *chord, v int32) bool {
	if v == e.v0 || v == e.v1 {
		return false
	}
	a, b, p := l.pts[e.v0], l.pts[e.v1], l.pts[v]
	if p.x < a.x-1 || p.x > b.x+1 || p.y < min(a.y, b.y)-1 || p.y > max(a.y, b.y)+1 {
		return false
	}
	dx, dy := float64(b.x-a.x), float64(b.y-a.y)
	// From either end: a chord may be longer than a float64 counts steps.
	if dx*float64(p.x-a.x)+dy*float64(p.y-a.y) <= 0 || dx*float64(p.x-b.x)+dy*float64(p.y-b.y) >= 0 {
		return false
	}
	h := cross(a, b, p).float()
	return h*h <= 0.25*(dx*dx+dy*dy)
}

// crossing returns the vertex where the chords of e and f cross. Its place is
// where the input lines cross, unless these are so nearly parallel that the
// lattice knows better.
func (l *lattice) crossing(e, f *chord) int32 {
	a, b, c, d := l.pts[e.v0], l.pts[e.v1], l.pts[f.v0], l.pts[f.v1]
	ha, hb := cross(c, d, a).float(), cross(c, d, b).float()
	t := ha / (ha - hb)
	x, y := t*float64(b.x-a.x), t*float64(b.y-a.y)
	on := ipt{a.x + int64(math.Round(x)), a.y + int64(math.Round(y))}
	p := Point{(float64(a.x) + x) * l.step, (float64(a.y) + y) * l.step}
	if e.circ < 0 && f.circ < 0 {
		q, ok := linesMeet(l.lines[e.line], l.lines[f.line])
		if ok && q.Dist(p) <= 4*l.step {
			p = q
		}
	}
	return l.place(on, p)
}

// linesMeet returns where the lines that carry two segments cross.
func linesMeet(s, o Seg) (Point, bool) {
	u, w := s.B.Sub(s.A), o.B.Sub(o.A)
	k := u.Cross(w)
	if k == 0 {
		return Point{}, false
	}
	return s.A.Add(u.Mul(o.A.Sub(s.A).Cross(w) / k)), true
}
