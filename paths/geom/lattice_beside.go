package geom

import "math"

// Curves that run side by side: without what follows, arcs that are a gap g apart
// would be halved until none rises over its chord by more than g, which takes
// 1/sqrt(g) pieces for circles that nearly coincide.
//
// As graphs over one axis, two curves that do not meet keep their order all along
// what they have in common, and so do their chords. Where the two orders are the
// same, both curves turn into their chords without passing through each other: at a
// part t of the way they are (1-t) times the one gap and t times the other apart.
// The orders are the same unless an end of one lies between the other and its chord.

// besideShare is the part of the height of an arc over its chord up to which it is
// cut beside the ends of its neighbour: farther off halving leads there as soon.
const besideShare = 1. / 8

// beside reports whether two edges that do not meet may stand for their curves as
// they are.
func (l *lattice) beside(e, f *chord) bool {
	d, u := l.pos[e.v1].Sub(l.pos[e.v0]), l.pos[f.v1].Sub(l.pos[f.v0])
	// No piece turns by more than an eighth, unless it is but a few steps long, so
	// that both are graphs over either chord where these differ by less than 60 degrees.
	const steep = 1. / 8
	if e.sag*e.sag > steep*steep*d.Dot(d) || f.sag*f.sag > steep*steep*u.Dot(u) {
		return false
	}
	if x := d.Dot(u); !(4*x*x > d.Dot(d)*u.Dot(u)) || l.chordsConflict(e, f) {
		return false
	}
	return l.clears(e, f.v0) && l.clears(e, f.v1) && l.clears(f, e.v0) && l.clears(f, e.v1)
}

// clears reports whether vertex v certainly does not lie between e and its chord,
// and to the same side of both.
func (l *lattice) clears(e *chord, v int32) bool {
	if v == e.v0 || v == e.v1 || e.sag <= l.flat {
		return true
	}
	a, d, p := l.pos[e.v0], l.pos[e.v1].Sub(l.pos[e.v0]), l.pos[v]
	n := d.Len()
	if t := d.Dot(p.Sub(a)) / n; t < -l.reach || t > n+l.reach {
		return true
	}
	over := l.over(e, p)
	near := l.step + ulps*(l.circles[e.circ].r+math.Abs(p.X)+math.Abs(p.Y))
	if orient(l.pts[e.v0], l.pts[e.v1], l.pts[v])*int(-e.turn) > 0 {
		return over > near
	}
	return over < -near
}

// over returns how far p lies beyond the circle of e.
func (l *lattice) over(e *chord, p Point) float64 {
	o := l.circles[e.circ]
	return p.Dist(o.c) - o.r
}

// cutBeside asks for edge i to be cut beside the ends of f that lie between it and
// its chord and near it, and reports whether there are any.
func (l *lattice) cutBeside(i int32, f *chord) bool {
	e := &l.edges[i]
	if e.sag <= l.flat {
		return false
	}
	split := false
	for _, v := range [2]int32{f.v0, f.v1} {
		p := l.pos[v]
		gap := -l.over(e, p)
		if !(gap > l.step && gap <= e.sag*besideShare) || orient(l.pts[e.v0], l.pts[e.v1], l.pts[v])*int(-e.turn) <= 0 {
			continue
		}
		foot := p.Add(p.Sub(l.circles[e.circ].c).Unit().Mul(gap))
		if l.spans(e, foot) {
			split = l.ask(i, l.vertex(foot)) || split
		}
	}
	return split
}
