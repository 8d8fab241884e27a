package geom

import (
	"math"
	"slices"
)

// exact is how far in mm a vertex may lie from the curves that meet at it and
// pass for their crossing, beside what rounding its coordinates allows: so
// little that along the edges of a part as thin as a needle it is not a 1e-9th
// of the area.
const exact = 2e-12

// ulps is the error, as a part of the coordinates, of a crossing computed
// from them: a few units in the last place of a float64.
const ulps = 0x1p-50

// sharpen moves the vertices of c that were placed on the lattice, where curves
// run within a step of each other, to where the curves themselves meet, so that
// the segments lie on their curves exactly. It returns for each vertex whether
// it moved.
func (l *lattice) sharpen(c Contour, on []curve) []bool {
	n := len(c)
	var moved []bool
	old := c
	for i := range c {
		k := (i + n - 1) % n
		p := c[i].A
		if n == 1 || !l.strays(on[i], p) && !l.strays(on[k], p) {
			continue
		}
		q, ok := l.meeting(on[k], on[i], p)
		if !ok || q.Dist(p) > math.Min(c[i].Length(), c[k].Length())/4 {
			continue
		}
		if moved == nil {
			moved = make([]bool, n)
			old = append(Contour{}, c...)
		}
		moved[i] = true
		c[i].A, c[k].B = q, q
	}
	if moved == nil {
		return nil
	}
	// A move is along the curves; where it changes how far an arc turns by more
	// than that, the vertices go back.
	for i, s := range c {
		o := old[i]
		if s.Turn == Straight || s == o {
			continue
		}
		m := s.A.Dist(o.A) + s.B.Dist(o.B)
		if math.Abs(s.Sweep()-o.Sweep())*s.Radius() <= 2*m+l.step {
			continue
		}
		k, j := (i+n-1)%n, (i+1)%n
		c[i].A, c[k].B = o.A, o.A
		c[i].B, c[j].A = o.B, o.B
		moved[i], moved[j] = false, false
	}
	return moved
}

// collapse takes out segments of a few steps, which the lattice leaves where
// several curves meet in nearly one point; sharpen then finds the point.
func (l *lattice) collapse(c Contour, on []curve) (Contour, []curve) {
	few := 4 * l.step
	if len(c) < 4 || Contour(c).Length() < 100*few {
		return c, on
	}
	for i := 0; i < len(c) && len(c) > 3; {
		s := c[i]
		if s.IsCircle() || s.A.Dist(s.B) > few || math.Abs(s.Sweep()) > math.Pi {
			i++
			continue
		}
		next := c[(i+1)%len(c)]
		next.A = s.A
		if !l.keepsLength(next, c[(i+1)%len(c)].Length(), s.Length()) {
			i++
			continue
		}
		c[(i+1)%len(c)] = next
		c, on = slices.Delete(c, i, i+1), slices.Delete(on, i, i+1)
	}
	return l.heal(c, on)
}

// keepsLength reports whether a segment, an end of which was moved by so much, has
// about the length that it had. An arc shorter than the move may else have become
// all the rest of its circle.
func (l *lattice) keepsLength(s Seg, had, moved float64) bool {
	return s.Turn == Straight || math.Abs(s.Length()-had) <= 2*moved+l.step
}

// absorb takes out what the lattice leaves where two curves touch and run along
// each other within a step: a piece of a circle that runs back over the one
// before, and a segment that a neighbour's curve covers, where the vertex between
// them lies off the curves and the one beyond does not.
func (l *lattice) absorb(c Contour, on []curve) (Contour, []curve) {
	length := c.Length()
	drop := func(i int) { c, on = slices.Delete(c, i, i+1), slices.Delete(on, i, i+1) }
	for i := 0; i < len(c) && len(c) > 3; {
		k := (i + len(c) - 1) % len(c)
		s, o := c[i], c[k]
		small := s.Length() < length/100
		switch {
		case on[i].circ >= 0 && on[i].circ == on[k].circ && on[i].turn == -on[k].turn &&
			small && o.Length() < length/100:
			if o.Length() > s.Length() {
				on[i], s.Turn = on[k], o.Turn
			}
			left := math.Abs(s.Length() - o.Length())
			s.A = o.A
			if s.IsCircle() || !l.keepsLength(s, left, 0) {
				break
			}
			c[i] = s
			drop(k)
			i = max(i-2, 0)
			continue
		case !l.strays(on[i], s.A) && !l.strays(on[k], s.A):
		case small && l.covers(on[k], s) && !l.strays(on[k], s.B) && l.goesOn(o, Seg{o.A, s.B, o.C, o.Turn}, s):
			c[k].B = s.B
			drop(i)
			i = max(i-2, 0)
			continue
		case o.Length() < length/100 && l.covers(on[i], o) && !l.strays(on[i], o.A) && l.goesOn(s, Seg{o.A, s.B, s.C, s.Turn}, o):
			c[i].A = o.A
			drop(k)
			i = max(i-2, 0)
			continue
		}
		i++
	}
	return l.heal(c, on)
}

// covers reports whether a segment lies within a step of a carrier.
func (l *lattice) covers(k curve, s Seg) bool {
	for _, t := range [3]float64{0, 0.5, 1} {
		p := s.At(t)
		if k.circ >= 0 {
			o := l.circles[k.circ]
			if math.Abs(p.Dist(o.c)-o.r) > l.step {
				return false
			}
			continue
		}
		line := l.lines[k.line]
		u := line.B.Sub(line.A)
		if math.Abs(u.Cross(p.Sub(line.A))) > l.step*u.Len() {
			return false
		}
	}
	return true
}

// goesOn reports whether s, prolonged or shortened by part to what it becomes,
// still runs the same way.
func (l *lattice) goesOn(s, becomes, part Seg) bool {
	if s.Turn == Straight {
		return s.B.Sub(s.A).Dot(becomes.B.Sub(becomes.A)) > 0
	}
	return !becomes.IsCircle() && l.keepsLength(becomes, s.Length(), part.Length())
}

// strays reports whether p lies off a carrier by more than rounding explains.
func (l *lattice) strays(k curve, p Point) bool {
	if k.circ >= 0 {
		o := l.circles[k.circ]
		return math.Abs(p.Dist(o.c)-o.r) > exact+ulps*(o.r+math.Abs(p.X)+math.Abs(p.Y))
	}
	s := l.lines[k.line]
	u := s.B.Sub(s.A)
	return math.Abs(u.Cross(p.Sub(s.A))) > (exact+ulps*(math.Abs(p.X)+math.Abs(p.Y)))*u.Len()
}

// meeting returns the place nearest to p where two carriers meet.
func (l *lattice) meeting(a, b curve, p Point) (Point, bool) {
	if a.circ < 0 && b.circ < 0 {
		return linesMeet(l.lines[a.line], l.lines[b.line])
	}
	if a.circ > b.circ || a.circ == b.circ {
		a, b = b, a // the same bits whichever comes first
	}
	pts, n := l.carriers(a, b)
	if n == 2 && pts[1].Dist(p) < pts[0].Dist(p) {
		return pts[1], true
	}
	return pts[0], n > 0
}

// splitTouching splits a contour that moves have brought to touch itself. The
// curves run beside c and moved.
func (l *lattice) splitTouching(c Contour, on []curve, moved []bool) (cs []Contour, ons [][]curve) {
	for i, m := range moved {
		if !m {
			continue
		}
		for j := range c {
			if j == i || c[j].A != c[i].A {
				continue
			}
			a, b := min(i, j), max(i, j)
			cs, ons = l.splitTouching(slices.Clone(c[a:b]), slices.Clone(on[a:b]), slices.Clone(moved[a:b]))
			c = slices.Delete(slices.Clone(c), a, b)
			on = slices.Delete(slices.Clone(on), a, b)
			moved = slices.Delete(slices.Clone(moved), a, b)
			ds, dons := l.splitTouching(c, on, moved)
			return append(cs, ds...), append(ons, dons...)
		}
	}
	c, on = l.heal(c, on)
	return []Contour{c}, [][]curve{on}
}

// heal makes one segment of neighbours that are one curve.
func (l *lattice) heal(c Contour, on []curve) (Contour, []curve) {
	for i := 0; i < len(c) && len(c) > 1; {
		k := (i + len(c) - 1) % len(c)
		both, ok := l.sameCarrier(on[k], on[i])
		one := c[k]
		one.B = c[i].B
		if !ok || !l.keepsLength(one, c[k].Length()+c[i].Length(), 0) || both.circ < 0 && c[i].B.Sub(c[i].A).Dot(c[k].B.Sub(c[k].A)) <= 0 && on[i] != on[k] {
			i++
			continue
		}
		c[k], on[k] = one, both
		c, on = slices.Delete(c, i, i+1), slices.Delete(on, i, i+1)
	}
	return c, on
}

// sameCarrier returns the curve that two curves, which run one after the other,
// both are.
func (l *lattice) sameCarrier(a, b curve) (curve, bool) {
	if a == b {
		return a, true
	}
	if a.circ >= 0 || b.circ >= 0 {
		return none, false
	}
	i, ok := l.oneLine(a.line, b.line)
	return curve{circ: -1, line: i}, ok
}

// bridge returns c with every vertex that lies off a curve that meets there, by
// less than the lattice can show, replaced by a segment between the curves. It
// is what is left where curves run apart by such a gap: without it the arcs
// would take up the gap and change their radius.
func (l *lattice) bridge(c Contour, on []curve) Contour {
	n := len(c)
	if n == 1 {
		if p := c[0].A; l.strays(on[0], p) {
			p = l.onto(on[0], p)
			return Contour{Arc(p, p, c[0].C, c[0].Turn)}
		}
		return c
	}
	var out Contour
	for i := range c {
		k := (i + n - 1) % n
		p := c[i].A
		if !l.strays(on[k], p) && !l.strays(on[i], p) {
			continue
		}
		if out == nil {
			out = slices.Clone(c)
		}
		out[k].B, out[i].A = l.onto(on[k], p), l.onto(on[i], p)
	}
	if out == nil {
		return c
	}
	bridged := make(Contour, 0, n+2)
	for i, s := range out {
		switch old := c[i]; {
		case l.keepsLength(s, old.Length(), s.A.Dist(old.A)+s.B.Dist(old.B)):
			bridged = append(bridged, s)
		case math.Abs(old.Sweep()) > math.Pi: // all but a full circle, and its ends passed each other
			m := old.At(0.5)
			bridged = append(bridged, Arc(s.A, m, s.C, s.Turn), Arc(m, s.B, s.C, s.Turn))
		case s.A != s.B: // next to nothing, and it ran backward
			bridged = append(bridged, Line(s.A, s.B))
		}
		if next := out[(i+1)%n].A; s.B != next {
			bridged = append(bridged, Line(s.B, next))
		}
	}
	return bridged
}

// oneLine returns the longer of two input lines where both lie on one line: the
// line through it is the sharper one. Two lines that only the lattice cannot tell
// apart are not one: where an edge is a step long, any two are.
func (l *lattice) oneLine(i, j int32) (int32, bool) {
	if i == j {
		return i, true
	}
	if l.lines[i].Length() < l.lines[j].Length() {
		i, j = j, i
	}
	k := curve{circ: -1, line: i}
	return i, !l.strays(k, l.lines[j].A) && !l.strays(k, l.lines[j].B)
}

// onto returns the point of a carrier nearest to p; p itself for a line.
func (l *lattice) onto(k curve, p Point) Point {
	if k.circ < 0 {
		return p
	}
	o := l.circles[k.circ]
	return o.c.Add(p.Sub(o.c).Unit().Mul(o.r))
}

// contours makes segments of a closed walk. Consecutive pieces of one circle or
// of one input line become one segment again.
func (g *graph) contours(walk []int32) []Contour {
	n := len(walk)
	at := func(i int) int32 { return walk[i%n] }
	// Start with a piece that does not continue the one before it.
	var few [4]curve
	first := 0
	for first < n && len(g.common(g.curves(few[:0], at(first+n-1)), at(first+n-1), at(first))) > 0 {
		first++
	}
	var c Contour
	var on []curve
	for i := 0; i < n; {
		run := g.curves(few[:0], at(first+i))
		j := i + 1
		for ; j < n; j++ {
			both := g.common(run, at(first+j-1), at(first+j))
			if len(both) == 0 {
				break
			}
			run = both
		}
		s, k := g.segment(run, walk, first+i, first+j)
		if k.circ >= 0 && j-i >= 8 && 2*s.Length() < g.length(walk, first+i, first+j) {
			// All the way round and past the start by a step: in one it would be
			// no more than that step. Eighths of a turn are ends of chords.
			j = i + (j-i)/2
			s, k = g.segment(run, walk, first+i, first+j)
		}
		c, on = append(c, s), append(on, k)
		i = j
	}
	if len(c) == 1 && c[0].Turn == Straight {
		return nil
	}
	c, on = g.l.absorb(g.l.collapse(c, on))
	parts, curves := g.l.splitTouching(c, on, g.l.sharpen(c, on))
	out := parts[:0]
	for i, p := range parts {
		if len(p) == 1 && p[0].Turn == Straight {
			continue
		}
		if p = g.l.bridge(p, curves[i]); math.Abs(p.Area()) > exact*p.Length() {
			out = append(out, halveNearCircles(p))
		}
	}
	return out
}

// halveNearCircles cuts arcs in two that are full circles but for less than Tol,
// where a contour goes on through a gap so narrow: one segment could not be told
// from the circle (see Seg.Validate).
func halveNearCircles(c Contour) Contour {
	if !slices.ContainsFunc(c, Seg.nearCircle) {
		return c
	}
	out := make(Contour, 0, len(c)+1)
	for _, s := range c {
		if s.nearCircle() {
			out = append(out, s.Split(0.5)...)
		} else {
			out = append(out, s)
		}
	}
	return out
}

// segment returns what a closed walk runs along from one place to before another,
// as one segment of one of the curves, and its curve. A piece of a circle may be
// shorter than what its ends lie off it and run backward on it: as an arc it would
// be all the rest of the circle. It is the line between its ends then.
func (g *graph) segment(run []curve, walk []int32, from, to int) (Seg, curve) {
	l := g.l
	h, last := walk[from%len(walk)], walk[(to-1)%len(walk)]
	k := g.sharpest(run, h, last)
	a, b := l.pos[g.from(h)], l.pos[g.from(last^1)]
	if k.circ >= 0 {
		s := Arc(a, b, l.circles[k.circ].c, k.turn)
		if a == b || math.Abs(s.Sweep()) <= math.Pi || s.Length() < 2*g.length(walk, from, to) {
			return s, k
		}
		l.lines = append(l.lines, Line(a, b))
		k = curve{circ: -1, line: int32(len(l.lines) - 1)}
	}
	return Line(a, b), k
}

// sharpest returns the first of the curves, along which a walk runs from half-edge
// h to last, that the ends do not stray from, or else the first.
func (g *graph) sharpest(run []curve, h, last int32) curve {
	l := g.l
	if len(run) > 1 {
		a, b := l.pos[g.from(h)], l.pos[g.from(last^1)]
		for _, k := range run {
			if !l.strays(k, a) && !l.strays(k, b) {
				return k
			}
		}
	}
	return run[0]
}

// length returns the length of the chords of a part of a closed walk.
func (g *graph) length(walk []int32, from, to int) float64 {
	sum := 0.0
	for i := from; i < to; i++ {
		h := walk[i%len(walk)]
		sum += g.l.pos[g.from(h)].Dist(g.l.pos[g.from(h^1)])
	}
	return sum
}

// curves appends to dst the curves that a half-edge stands for, as it runs.
func (g *graph) curves(dst []curve, h int32) []curve {
	return g.l.curves(dst, &g.l.edges[h>>1], h&1 == 1)
}

// common keeps of the curves along which a run up to h goes those that k runs on
// along. Where there are none it leaves run as it is.
func (g *graph) common(run []curve, h, k int32) []curve {
	both := run[:0]
	if h == k {
		return both
	}
	var few [4]curve
	next := g.curves(few[:0], k)
	for _, a := range run {
		for _, b := range next {
			// Where a walk turns back on a line it is a new segment.
			if c, ok := g.l.sameCarrier(a, b); ok && (c.circ >= 0 || h&1 == k&1) {
				both = append(both, c)
				break
			}
		}
	}
	return both
}
