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
	keep   [][2]float64 // what is left of the span at hand
	swap   [][2]float64
	ts     []float64
	target          // what segments must reach to matter to what is left
	ahead  float64  // the greatest distance to come
	own    [6]int32 // the segments of the span and their neighbours
	before [][2]float64
	touch  bool // a span of some length runs at just d from a segment not its own
}

// trim returns what is left of s at the distance, from where to where, in memory
// that the next call uses again.
func (t *trimmer) trim(s *span) [][2]float64 {
	k, ok := t.w.curve(s.item, t.d)
	if !ok {
		return nil
	}
	t.keep = append(t.keep[:0], [2]float64{s.lo, s.hi})
	seg := s.item >> 1
	// The segments at hand cannot come nearer than the foot, but for arcs that
	// curl back to the corner at one of their ends.
	i, j := t.w.prev[seg], t.w.next[seg]
	also := seg
	if s.item&1 == 1 {
		also = j
		if t.w.segs[seg].IsArc() {
			t.cover(&k, seg, true)
		}
		if t.w.segs[also].IsArc() {
			t.cover(&k, also, true)
		}
		j = t.w.next[j]
	}
	// Neighbours along the contour first: where a shape is narrow they suffice.
	if i != seg && i != also && !t.w.smooth(i, t.d) {
		t.cover(&k, i, true)
	}
	if j != seg && j != also && !t.w.smooth(also, t.d) {
		t.cover(&k, j, true)
	}
	if len(t.keep) == 0 {
		return nil
	}
	t.aim(&k)
	t.own = [6]int32{seg, also, i, j, t.w.prev[i], t.w.next[j]}
	for _, o := range t.own[4:] {
		if o == seg || o == also {
			continue
		}
		if p := t.w.hull(o); t.passes(&k, &t.w.segs[o], &p) || !t.cover(&k, o, false) {
			continue
		}
		if len(t.keep) == 0 {
			return nil
		}
		t.aim(&k)
	}
	if calm := float64(s.calm); calm < t.d {
		if t.ahead > t.d && -calm <= t.d {
			t.ask(s)
		}
		if float64(s.calm) < t.d {
			t.aim(&k)
			t.others(&k, false)
		}
	}
	return t.keep
}

// ask looks ahead: what does not come near the span at a greater distance does
// not at any less.
func (t *trimmer) ask(s *span) {
	d, touch := t.d, t.touch
	t.d = min(1.6*d, t.ahead)
	k, ok := t.w.curve(s.item, t.d)
	if ok {
		t.aim(&k)
	}
	if ok && t.others(&k, true) {
		s.calm = math.Nextafter32(float32(t.d), 0)
	} else {
		s.calm = -float32(t.d)
	}
	t.d, t.touch = d, touch
}

// others covers what is left of the curve with the segments that are not its
// neighbours. Asked only whether none comes near, it leaves all as it is.
func (t *trimmer) others(k *curveAt, asked bool) (calm bool) {
	calm = true
	before := t.before[:0]
	if asked {
		before = append(before, t.keep...)
		t.before = before
	}
	t.tree.visit(&t.target, func(j int32) bool {
		if slices.Contains(t.own[:], j) ||
			t.w.twin != nil && (t.w.twin[t.own[0]] == j || t.w.twin[t.own[1]] == j) {
			return true
		}
		s, p := &t.w.segs[j], t.w.hull(j)
		if t.misses(&p) || k.clears(&p, t.d) || t.passes(k, s, &p) || s.Distance(t.mid) > t.far {
			return true
		}
		if !t.cover(k, j, false) {
			return true
		}
		calm = false
		if asked || len(t.keep) == 0 {
			return false
		}
		t.aim(k)
		return true
	})
	if asked && !calm {
		t.keep = append(t.keep[:0], before...)
	}
	return calm
}

// aim finds what segments must reach to come too near to what is left of the
// curve.
func (t *trimmer) aim(k *curveAt) {
	lo, hi := t.keep[0][0], t.keep[len(t.keep)-1][1]
	t.target = target{
		d:    t.d,
		arc:  k.arc,
		c:    k.c,
		dir:  k.dir,
		mid:  k.at((lo + hi) / 2),
		far:  t.d + k.size*(hi-lo)/2,
		ends: [2]Point{k.at(lo), k.at(hi)},
		// It turns by less than a quarter.
		narrow: !k.arc || math.Abs(k.sweep)*(hi-lo) < math.Pi/2,
	}
	if k.sweep < 0 {
		t.ends[0], t.ends[1] = t.ends[1], t.ends[0]
	}
	if k.arc {
		t.rays = [2]Point{t.ends[0].Sub(k.c), t.ends[1].Sub(k.c)}
	} else {
		t.along = [2]float64{k.dir.Dot(t.ends[0]), k.dir.Dot(t.ends[1])}
	}
}

// passes reports whether a segment in the triangle p certainly keeps d from what
// is left of the curve because it keeps d from both ends and lies beside: no
// point of it is nearest to a place between the ends.
func (t *trimmer) passes(k *curveAt, s *Seg, p *[3]Point) bool {
	if !t.narrow {
		return false
	}
	below, above := true, true
	if k.arc {
		for _, q := range p {
			q = q.Sub(k.c)
			below = below && t.rays[0].Cross(q) <= 0
			above = above && t.rays[1].Cross(q) >= 0
		}
	} else {
		for _, q := range p {
			x := k.dir.Dot(q)
			below = below && x <= t.along[0]
			above = above && x >= t.along[1]
		}
	}
	if !below && !above {
		return false
	}
	d := t.d - depth/2
	return s.Distance(t.ends[0]) >= d && s.Distance(t.ends[1]) >= d
}

// hull returns a triangle that holds segment j; not numbers where none does.
func (w *walls) hull(j int32) [3]Point {
	s := &w.segs[j]
	if s.Turn == Straight {
		return [3]Point{s.A, s.B, s.B}
	}
	return [3]Point{s.A, s.B, w.bends[j].apex}
}

// cover takes from the spans at hand what lies nearer than d to segment j, and
// reports whether that was anything.
func (t *trimmer) cover(k *curveAt, j int32, neighbour bool) bool {
	s := &t.w.segs[j]
	d := t.d
	if p := t.w.hull(j); len(t.keep) == 0 || k.clears(&p, d) {
		return false
	}
	ts := t.ts[:0]
	if s.Turn == Straight && s.A != s.B {
		v := s.B.Sub(s.A)
		u := v.Mul(1 / v.Len())
		n := u.Left().Mul(d)
		ts = k.meetLine(s.A.Add(n), u, ts)
		ts = k.meetLine(s.A.Sub(n), u, ts)
	} else if s.Turn != Straight {
		r := s.Radius()
		ts = k.meetCircle(s.C, r+d, ts)
		ts = k.meetCircle(s.C, math.Abs(r-d), ts)
	}
	ts = k.meetCircle(s.A, d, ts)
	if s.B != s.A {
		ts = k.meetCircle(s.B, d, ts)
	}
	// Only those within what is left matter.
	lo, hi := t.keep[0][0], t.keep[len(t.keep)-1][1]
	in := ts[:0]
	for _, v := range ts {
		if v > lo && v < hi {
			in = append(in, v)
		}
	}
	ts = in
	slices.Sort(ts)
	t.ts = ts
	t.swap = t.swap[:0]
	small := sliver / k.size
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
			off := s.Distance(mid) - d
			// A span that runs along at d, and does not only touch there.
			along := off < doubt && off >= -depth && !neighbour && end-at > small &&
				s.Distance(k.at(at+(end-at)/4))-d < doubt && s.Distance(k.at(end-(end-at)/4))-d < doubt
			if off < -depth || along && off < depth && t.w.behind(j, mid) {
				flush(at)
				changed = true
			} else {
				if along && end-at > 100*small {
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
