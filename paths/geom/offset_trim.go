package geom

import (
	"math"
	"slices"
)

const (
	// depth is how much nearer than d a segment must come to a point of an
	// offset curve for the point to be dropped. It is a thousandth of Tol: far
	// under the nanometre that an offset may err, far above rounding.
	depth = 1e-9
	// sliver is the length in mm below which a span is dropped.
	sliver = 1e-8
	// doubt is how near to d a whole span may run to another segment before the
	// result is looked over for parts without width.
	doubt = 1e-7
)

// trimmer cuts spans back to what no segment comes too near to.
type trimmer struct {
	w      *walls
	d      float64
	tree   wallTree
	k      curveAt      // of the span at hand
	keep   [][2]float64 // what is left of it
	swap   [][2]float64
	x      crossings
	feet   feet     // of what is left of the span at hand
	target          // what segments must reach to matter to what is left
	next   float64  // the next distance to come, or less where there is none
	ahead  float64  // the greatest
	own    [4]int32 // the segments of the span and their neighbours
	done   []int32  // segments that need not be looked at any more, the first fixed at no distance
	fixed  int
	rivals [][rivalsMost]rival
	hint   [rivalsMost + 1]int32 // what the last look found
	hints  int                   // how many they are
	sooner []int32               // what a look begins with
	seen   []uint32              // of each segment, the last look that asked for it
	round  uint32                // the number of the look at hand
	touch  bool                  // a span of some length runs at just d from a segment not its own
}

// trim returns what is left of s at the distance, from where to where, in memory
// that the next call uses again.
func (t *trimmer) trim(s *span) [][2]float64 {
	k := &t.k
	if !t.w.curve(k, s.item, t.d) {
		return nil
	}
	t.keep = append(t.keep[:0], [2]float64{s.lo, s.hi})
	seg := s.item >> 1
	i, j, also := t.w.prev[seg], t.w.next[seg], seg
	if s.item&1 == 1 {
		also = j
		j = t.w.next[j]
	}
	t.own = [4]int32{seg, also, i, j}
	// The segments at hand cannot come nearer than the foot, but for arcs that
	// curl back to the corner at one of their ends; nor can their other runs.
	t.done = t.done[:0]
	for _, k := range t.own[:2] {
		if s.item&1 == 0 || !t.w.segs[k].IsArc() {
			t.done = append(t.done, k)
		}
		if t.w.twin != nil {
			if k = t.w.twin[k]; k != i && k != j {
				t.done = append(t.done, k)
			}
		}
	}
	t.fixed = len(t.done)
	if s.rivals != nobody {
		t.face(s)
	}
	if float64(s.calm) >= t.d || len(t.keep) == 0 {
		return t.keep
	}
	if s.rivals == nobody {
		// Neighbours along the contour first: where a shape is narrow they suffice.
		t.against(i)
		t.against(j)
	}
	if len(t.keep) == 0 {
		return nil
	}
	if t.next > t.d && float64(-s.calm) <= t.d && t.look(s) {
		if s.rivals != nobody {
			t.face(s)
		}
		return t.keep
	}
	t.aim()
	t.others()
	return t.keep
}

// against covers the span with segment j unless that was done or it runs into
// the span's own without a corner, and reports whether it took anything.
func (t *trimmer) against(j int32) bool {
	if len(t.keep) == 0 || slices.Contains(t.done, j) {
		return false
	}
	t.done = append(t.done, j)
	next, smooth := t.neighbours(j)
	if smooth {
		return false
	}
	if took, ok := t.bisect(j); ok {
		return took
	}
	return t.cover(j, next)
}

// bisect is cover with the next line of a line that turns towards the offset,
// which takes all beyond where their offsets meet. ok is false for all others
// and where the lines are not well longer than that.
func (t *trimmer) bisect(j int32) (took, ok bool) {
	k := t.own[0]
	if t.k.kind != besideLine || t.w.segs[j].Turn != Straight || t.own[2] == t.own[3] || j != t.own[2] && j != t.own[3] {
		return false, false
	}
	corner := k
	if j == t.own[2] {
		corner = j
	}
	// From the tangent of a quarter of the turn to that of half of it.
	q := -t.w.corners[corner]
	x := t.d * 2 * q / (1 - q*q)
	const steep = 0.4 // a turn of less than a right angle
	if !(q > 0 && q < steep && 2*x < t.w.sides[j].size && x < t.w.sides[k].size) {
		return false, false
	}
	lo, hi := 0.0, 1-x/t.k.size
	if j == t.own[2] {
		lo, hi = x/t.k.size, 1
	}
	small := sliver / t.k.size
	n := 0
	for _, v := range t.keep {
		v, took = [2]float64{max(v[0], lo), min(v[1], hi)}, took || v[0] < lo || v[1] > hi
		if v[1]-v[0] > small {
			t.keep[n] = v
			n++
		}
	}
	t.keep = t.keep[:n]
	return took, true
}

// neighbours reports whether segment j is next to those of the span, and whether
// it runs into that of a side without a corner. Then no part of it but its other
// end, which the next one has too, may come near, unless it curls by more than
// half a turn.
func (t *trimmer) neighbours(j int32) (next, smooth bool) {
	if j != t.own[2] && j != t.own[3] {
		return j == t.own[0] || j == t.own[1], false
	}
	if t.own[0] != t.own[1] || t.w.segs[j].IsArc() && t.w.bends[j].quarter > 1 {
		return true, false
	}
	return true, j == t.own[2] && t.w.smooth(j, t.d) || j == t.own[3] && t.w.smooth(t.own[0], t.d)
}

// others covers what is left of the curve with the segments that are not its
// neighbours.
func (t *trimmer) others() {
	t.tree.visit(&t.target, func(j int32) bool {
		if slices.Contains(t.done, j) {
			return true
		}
		p := t.w.hull(j)
		if t.misses(&p) || t.k.clears(&p, t.d) || t.passes(j, &p) || t.w.off(j, t.mid) > t.far {
			return true
		}
		if next, smooth := t.neighbours(j); smooth || !t.cover(j, next) {
			return true
		}
		if len(t.keep) == 0 {
			return false
		}
		t.aim()
		return true
	})
}

// aim finds what segments must reach to come too near to what is left of the
// curve.
func (t *trimmer) aim() {
	k := &t.k
	lo, hi := t.keep[0][0], t.keep[len(t.keep)-1][1]
	r := &t.target
	r.d, r.arc, r.c, r.dir = t.d, k.arc, k.c, k.dir
	r.ends = [2]Point{k.at(lo), k.at(hi)}
	r.mid = k.at((lo + hi) / 2)
	r.far = t.d + k.reach(lo, hi, r.mid, r.ends[0], r.ends[1])
	// It turns by less than a quarter: 4 atan(q x) is at most 4 q x.
	r.narrow = !k.arc || !k.wide && k.quarter*(hi-lo) < math.Pi/8
	if k.turn < 0 {
		r.ends[0], r.ends[1] = r.ends[1], r.ends[0]
	}
	if k.arc {
		r.rays = [2]Point{r.ends[0].Sub(k.c), r.ends[1].Sub(k.c)}
	} else {
		r.along = [2]float64{k.dir.Dot(r.ends[0]), k.dir.Dot(r.ends[1])}
	}
}

// beyond reports whether segment j certainly does not come within reach of the
// middle of what is left of the curve.
func (t *trimmer) beyond(j int32) bool {
	s := &t.w.segs[j]
	centre, half := Point{(s.A.X + s.B.X) / 2, (s.A.Y + s.B.Y) / 2}, t.w.sides[j].size/2
	if s.Turn != Straight {
		if t.w.bends[j].quarter > 1 {
			return false
		}
		// No point of up to half a turn is farther from its start than its end is.
		centre, half = s.A, length(s.B.X-s.A.X, s.B.Y-s.A.Y)
	}
	x, y, r := centre.X-t.mid.X, centre.Y-t.mid.Y, t.far+half
	return x*x+y*y > r*r
}

// passes reports whether segment j in the triangle p certainly keeps d from what
// is left of the curve because it keeps d from both ends and lies beside: no
// point of it is nearest to a place between the ends.
func (t *trimmer) passes(j int32, p *[3]Point) bool {
	if !t.narrow {
		return false
	}
	below, above := true, true
	if t.k.arc {
		for i := range p {
			q := p[i].Sub(t.k.c)
			below = below && t.rays[0].Cross(q) <= 0
			above = above && t.rays[1].Cross(q) >= 0
		}
	} else {
		for i := range p {
			x := t.k.dir.Dot(p[i])
			below = below && x <= t.along[0]
			above = above && x >= t.along[1]
		}
	}
	if !below && !above {
		return false
	}
	d := t.d - depth/2
	return t.w.off(j, t.ends[0]) >= d && t.w.off(j, t.ends[1]) >= d
}

// hull returns a triangle that holds segment j; not numbers where nobody does.
func (w *walls) hull(j int32) [3]Point {
	s := &w.segs[j]
	if s.Turn == Straight {
		return [3]Point{s.A, s.B, s.B}
	}
	return [3]Point{s.A, s.B, w.bends[j].apex}
}

// cross finds where the boundary of what lies nearer than d to segment j crosses
// the curve between lo and hi.
func (t *trimmer) cross(j int32, lo, hi float64) []float64 {
	s, e, d := &t.w.segs[j], &t.w.sides[j], t.d
	x := &t.x
	x.begin(&t.k, lo, hi)
	switch {
	case s.Turn != Straight:
		x.circle(s.C, e.size+d)
		x.circle(s.C, math.Abs(e.size-d))
	case e.size > 0:
		n := Point{-e.u.Y * d, e.u.X * d}
		x.line(s.A.Add(n), e.u)
		x.line(s.A.Sub(n), e.u)
	}
	x.circle(s.A, d)
	if s.B != s.A {
		x.circle(s.B, d)
	}
	return x.sorted()
}

// reaches reports whether segment j comes nearer than d to any of the span at
// hand, or nearly so.
func (t *trimmer) reaches(j int32) bool {
	lo, hi := t.keep[0][0], t.keep[len(t.keep)-1][1]
	return len(t.cross(j, lo, hi)) > 0 || t.w.off(j, t.k.at((lo+hi)/2)) < t.d+depth
}

// cover takes from the spans at hand what lies nearer than d to segment j, and
// reports whether that was anything.
func (t *trimmer) cover(j int32, neighbour bool) bool {
	k, d := &t.k, t.d
	if len(t.keep) == 0 {
		return false
	}
	if p := t.w.hull(j); k.clears(&p, d) {
		return false
	}
	small := sliver / k.size
	// Only crossings within what is left matter.
	ts := t.cross(j, t.keep[0][0]+small, t.keep[len(t.keep)-1][1]-small)
	if len(ts) == 0 && len(t.keep) == 1 {
		// All or nothing.
		lo, hi := t.keep[0][0], t.keep[0][1]
		if off := t.w.off(j, k.at((lo+hi)/2)) - d; off >= doubt || off >= -depth && neighbour {
			return false
		} else if off < -depth {
			t.keep = t.keep[:0]
			return true
		}
	}
	t.swap = t.swap[:0]
	changed := false
	for _, v := range t.keep {
		lo, hi := v[0], v[1]
		// Walk the pieces between crossings; runs that stay are joined.
		start, open := lo, false
		at := lo
		flush := func(end float64) {
			if open && end-start > small {
				t.swap = append(t.swap, [2]float64{start, end})
			}
			open = false
		}
		for i := 0; i <= len(ts); i++ {
			end := hi
			if i < len(ts) {
				if !(ts[i] > at) {
					continue
				}
				end = min(ts[i], hi)
			}
			if end <= at {
				break
			}
			mid := k.at((at + end) / 2)
			off := t.w.off(j, mid) - d
			// A span that runs along at d, and does not only touch there.
			along := off < doubt && off >= -depth && !neighbour && end-at > small &&
				t.w.off(j, k.at(at+(end-at)/4))-d < doubt && t.w.off(j, k.at(end-(end-at)/4))-d < doubt
			if off < -depth || along && off < depth && t.w.behind(j, mid) {
				flush(at)
				changed = true
			} else {
				if along && end-at > 100*small && !t.beside(j, (at+end)/2, mid) {
					t.touch = true
				}
				if !open {
					start, open = at, true
				}
			}
			at = end
		}
		flush(hi)
	}
	if changed {
		t.keep, t.swap = t.swap, t.keep
	}
	return changed
}

// beside reports whether the place p of the curve at fraction f and its place beside
// segment j have feet that are apart but in about the same direction: the curves
// cross at a small angle then, and what lies between them has width.
func (t *trimmer) beside(j int32, f float64, p Point) bool {
	k := &t.k
	n := Point{k.dir.Y, -k.dir.X}
	if k.arc {
		n = k.direction(f).Mul(k.turn)
	}
	foot := t.w.segs[j].Closest(p)
	return n.Dot(p.Sub(foot)) > 0 && foot.Dist(p.Sub(n.Mul(t.d))) > linkReach
}

// behind reports whether p, about as far from segment j as from the segment
// that it belongs to, lies on the source's side of j. That is so where two parts
// of the source touch with no gap between, which leaves nothing to offset.
func (w *walls) behind(j int32, p Point) bool {
	if w.twin != nil {
		return false
	}
	s := &w.segs[j]
	f := s.Closest(p)
	if f == s.A || f == s.B {
		return false
	}
	if s.Turn == Straight {
		return s.B.Sub(s.A).Cross(p.Sub(f)) > 0
	}
	return (p.Dist(s.C) < f.Dist(s.C)) == (s.Turn == CCW)
}
