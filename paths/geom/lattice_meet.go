package geom

import (
	"errors"
	"math"
)

// How chords and the arcs that they stand for are brought into agreement.
//
// A chord may stand for its arc as long as nothing comes between the two. Where
// the triangles of two chords (ends and apex) keep apart, that is certain;
// where they do not, the true curves are cut where they meet. Curves that do not
// meet may run side by side (see lattice_beside.go); other arcs are halved until
// the triangles keep apart or the arc is flat on the scale of the lattice.
// Straight and flat chords are cut where they cross exactly and where a vertex
// lies on them, both on the lattice. What results is a plane graph of straight
// lattice segments with the topology of the curves.
const (
	// flatSteps is the height, in lattice steps, below which an arc is its chord.
	flatSteps = 1. / 4
	// reachSteps is the distance within which a crossing is an existing vertex
	// and a vertex lies on a curve: the diagonal of a lattice cell.
	reachSteps = 1.5
	// apartSteps is the overlap that rounding may show between triangles that
	// only touch. It is far below the lattice pitch.
	apartSteps = 1. / 64
	// maxPasses bounds the refinement. An arc as large as latticeReach is flat
	// after 35 halvings; snapping settles in a few passes more.
	maxPasses = 100
)

var errUnsettled = errors.New("the arrangement of the contours did not settle on the lattice")

// settle splits the edges until they form a plane graph.
func (l *lattice) settle() error {
	l.sortRuns()
	for pass := 0; ; pass++ {
		l.cuts = l.cuts[:0]
		t := newChordTree(l.edges)
		t.pairs(func(i, j int32) { l.meet(i, j) })
		for i := range l.edges {
			l.edges[i].dirty = false
		}
		again := l.applyCuts()
		if l.mergeTwins() {
			again = true
		}
		if !again {
			return nil
		}
		if pass == maxPasses {
			return errUnsettled
		}
	}
}

// meet compares two edges and asks for the splits that they need.
func (l *lattice) meet(i, j int32) {
	e, f := &l.edges[i], &l.edges[j]
	ei, fi := e.sag > l.flat, f.sag > l.flat
	if !ei && !fi {
		l.meetFlat(i, j)
		return
	}
	if e.circ >= 0 && e.circ == f.circ {
		l.meetSameCircle(i, j)
		return
	}
	if l.trianglesApart(e, f) {
		if l.chordsConflict(e, f) || ei && l.turnsOver(e, f) || fi && l.turnsOver(f, e) {
			l.halveRound(i, j)
		}
		return
	}
	if l.meetCurves(i, j) {
		return
	}
	if l.beside(e, f) {
		return
	}
	if cut := l.cutBeside(i, f); l.cutBeside(j, e) || cut {
		return
	}
	// They overlap as triangles and do not meet as curves: look closer.
	if e.sag >= f.sag {
		l.halve(i)
	} else {
		l.halve(j)
	}
}

// meetSameCircle splits pieces of one circle at each other's ends.
func (l *lattice) meetSameCircle(i, j int32) {
	e, f := &l.edges[i], &l.edges[j]
	split := false
	for _, v := range [2]int32{f.v0, f.v1} {
		split = l.onCurve(e, v) && l.askNear(i, v) || split
	}
	for _, v := range [2]int32{e.v0, e.v1} {
		split = l.onCurve(f, v) && l.askNear(j, v) || split
	}
	if !split && (e.v0 != f.v0 || e.v1 != f.v1) && l.chordsConflict(e, f) {
		l.halveRound(i, j)
	}
}

// meetCurves splits two edges, at least one of them an arc, where the true
// curves meet and where an end of one lies on the other.
func (l *lattice) meetCurves(i, j int32) bool {
	e, f := &l.edges[i], &l.edges[j]
	split := false
	for _, v := range [2]int32{f.v0, f.v1} {
		split = l.onCurve(e, v) && l.askNear(i, v) || split
	}
	for _, v := range [2]int32{e.v0, e.v1} {
		split = l.onCurve(f, v) && l.askNear(j, v) || split
	}
	pts, n := l.carriers(e.curve, f.curve)
	for _, p := range pts[:n] {
		if !l.spans(e, p) || !l.spans(f, p) {
			continue
		}
		v := int32(-1)
		for _, w := range [4]int32{e.v0, e.v1, f.v0, f.v1} {
			if l.pos[w].Dist(p) <= l.reach {
				v = w
				break
			}
		}
		if v < 0 {
			v = l.vertex(p)
		}
		split = l.askNear(i, v) || split
		split = l.askNear(j, v) || split
	}
	return split
}

// carriers returns where two circles, or a circle and a line, cross or touch.
func (l *lattice) carriers(e, f curve) (pts [2]Point, n int) {
	if e.circ >= 0 && f.circ >= 0 {
		o, q := l.circles[e.circ], l.circles[f.circ]
		if o.r > q.r {
			o, q = q, o // seen from the smaller circle the places are sharper
		}
		if pts, n = circlesCross(o.c, o.r, q.c, q.r); n > 0 {
			return pts, n
		}
		d := o.c.Dist(q.c)
		u := q.c.Sub(o.c).Unit()
		switch {
		case d == 0:
		case d >= o.r+q.r && d-(o.r+q.r) <= l.step:
			return [2]Point{o.c.Add(u.Mul((o.r + d - q.r) / 2))}, 1
		case d <= q.r-o.r && q.r-o.r-d <= l.step:
			return [2]Point{o.c.Add(u.Mul((d - q.r - o.r) / 2))}, 1
		}
		return pts, 0
	}
	if f.circ < 0 {
		e, f = f, e
	}
	s, o := l.lines[e.line], l.circles[f.circ]
	d := s.B.Sub(s.A)
	l2 := d.Dot(d)
	if l2 == 0 {
		return pts, 0
	}
	v := o.c.Sub(s.A)
	foot := s.A.Add(d.Mul(d.Dot(v) / l2))
	h := math.Abs(d.Cross(v)) / math.Sqrt(l2)
	switch {
	case h > o.r+l.step:
		return pts, 0
	case h >= o.r:
		return [2]Point{foot}, 1
	}
	half := d.Mul(math.Sqrt((o.r - h) * (o.r + h) / l2))
	return [2]Point{foot.Sub(half), foot.Add(half)}, 2
}

// spans reports whether p, a point of the carrier of e, lies between its ends
// or within reach of them.
func (l *lattice) spans(e *chord, p Point) bool {
	a, b := l.pos[e.v0], l.pos[e.v1]
	d := b.Sub(a)
	n := d.Len()
	t := d.Dot(p.Sub(a)) / n
	if t < -l.reach || t > n+l.reach {
		return false
	}
	if e.circ < 0 {
		return true
	}
	// The far side of the circle projects between the ends too.
	side := d.Cross(p.Sub(a)) / n * float64(-e.turn)
	return side >= -e.sag-2*l.reach-n/8
}

// onCurve reports whether vertex v lies on e, strictly between its ends.
func (l *lattice) onCurve(e *chord, v int32) bool {
	if v == e.v0 || v == e.v1 {
		return false
	}
	a, b, p := l.pos[e.v0], l.pos[e.v1], l.pos[v]
	if !e.box.Contains(p) {
		return false
	}
	d := b.Sub(a)
	if d.Dot(p.Sub(a)) <= 0 || d.Dot(p.Sub(b)) >= 0 {
		return false
	}
	if e.circ >= 0 {
		o := l.circles[e.circ]
		return math.Abs(p.Dist(o.c)-o.r) <= l.step && l.spans(e, p)
	}
	return math.Abs(d.Cross(p.Sub(a))) <= l.step*d.Len()
}

// trianglesApart reports whether the triangles of ends and apex of two edges
// have no more than a side or a corner in common.
func (l *lattice) trianglesApart(e, f *chord) bool {
	p := [3]Point{l.pos[e.v0], l.pos[e.v1], e.apex}
	q := [3]Point{l.pos[f.v0], l.pos[f.v1], f.apex}
	if e.sag == 0 {
		p[2] = p[1]
	}
	if f.sag == 0 {
		q[2] = q[1]
	}
	return sideApart(&p, &q, l.apart) || sideApart(&q, &p, l.apart)
}

// sideApart reports whether q lies beyond a side of triangle p, or beyond an
// end of it where p is a line.
func sideApart(p, q *[3]Point, apart float64) bool {
	for k := range p {
		a, b, c := p[k], p[(k+1)%3], p[(k+2)%3]
		d := b.Sub(a)
		n := d.Len()
		if n == 0 {
			continue
		}
		d = d.Mul(1 / n)
		// The range of p across and q across.
		own := d.Cross(c.Sub(a))
		lo, hi := math.Min(0, own), math.Max(0, own)
		qlo, qhi := math.Inf(1), math.Inf(-1)
		for _, v := range q {
			w := d.Cross(v.Sub(a))
			qlo, qhi = math.Min(qlo, w), math.Max(qhi, w)
		}
		if qlo >= hi-apart || qhi <= lo+apart {
			return true
		}
	}
	return false
}

// turnsOver reports whether an end of f lies on one side of the chord of the arc
// e, and on the other side on the lattice. What runs along the chord would come
// to lie between it and its arc.
func (l *lattice) turnsOver(e, f *chord) bool {
	a, b := l.pos[e.v0], l.pos[e.v1]
	d := b.Sub(a)
	n2 := d.Dot(d)
	joined := f.v0 == e.v0 || f.v0 == e.v1 || f.v1 == e.v0 || f.v1 == e.v1
	for _, v := range [2]int32{f.v0, f.v1} {
		if v == e.v0 || v == e.v1 {
			continue
		}
		p := l.pos[v].Sub(a)
		h := d.Cross(p)
		if h*h > 4*l.step*l.step*n2 {
			continue // too far off to be taken for the other side
		}
		if t := d.Dot(p); !joined && (t < 0 || t > n2) {
			continue
		}
		// Arcs bulge to the right of their chord where they turn left.
		side := -float64(e.turn)
		beyond := h*side > l.apart*math.Sqrt(n2)
		if beyond != (orient(l.pts[e.v0], l.pts[e.v1], l.pts[v])*int(side) > 0) {
			return true
		}
	}
	return false
}

// chordsConflict reports whether the chords of two edges cross, or touch
// anywhere but at an end of both, on the lattice.
func (l *lattice) chordsConflict(e, f *chord) bool {
	a, b, c, d := l.pts[e.v0], l.pts[e.v1], l.pts[f.v0], l.pts[f.v1]
	if max(a.x, b.x) < min(c.x, d.x) || max(c.x, d.x) < min(a.x, b.x) ||
		max(a.y, b.y) < min(c.y, d.y) || max(c.y, d.y) < min(a.y, b.y) {
		return false
	}
	if a == c && b == d {
		return true
	}
	oc, od := orient(a, b, c), orient(a, b, d)
	if oc*od > 0 {
		return false
	}
	oa, ob := orient(c, d, a), orient(c, d, b)
	if oa*ob > 0 {
		return false
	}
	if oc*od < 0 && oa*ob < 0 {
		return true
	}
	return oc == 0 && between(a, b, c) || od == 0 && between(a, b, d) ||
		oa == 0 && between(c, d, a) || ob == 0 && between(c, d, b)
}
