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
	tree   *wallTree
	keep   [][2]float64 // what is left of the span at hand
	swap   [][2]float64
	ts     []float64
	box    Box   // what segments must reach to matter to the span
	mid    Point // and the disc that they must reach
	far    float64
	ends   [2]Point // of what is left, counter-clockwise on an arc
	narrow bool     // it turns by less than a quarter
	touch  bool     // a span of some length runs at just d from a segment not its own
}

// trim returns what is left of s at the distance, appended to out.
func (t *trimmer) trim(s span, out []span) []span {
	k, ok := t.w.curve(s.item, t.d)
	if !ok {
		return out
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
	before, after := i, j
	smoothB, smoothA := t.w.smooth(before, t.d), t.w.smooth(also, t.d)
	for range 2 {
		if i != seg && i != also && !(i == before && smoothB) {
			t.cover(&k, i, true)
		}
		if j != seg && j != also && !(j == after && smoothA) {
			t.cover(&k, j, true)
		}
		if len(t.keep) == 0 {
			return out
		}
		i, j = t.w.prev[i], t.w.next[j]
	}
	t.aim(&k)
	t.tree.visit(t.box, t.mid, t.far, func(j int32) bool {
		if j == seg || j == also || j == before || j == after ||
			t.w.twin != nil && (t.w.twin[seg] == j || t.w.twin[also] == j) {
			return true
		}
		if s := &t.w.segs[j]; s.Distance(t.mid) > t.far || t.passes(&k, s) {
			return true
		}
		if t.cover(&k, j, false) {
			if len(t.keep) == 0 {
				return false
			}
			t.aim(&k)
			t.tree.box, t.tree.mid, t.tree.far = t.box, t.mid, t.far
		}
		return true
	})
	for _, v := range t.keep {
		out = append(out, span{s.item, v[0], v[1]})
	}
	return out
}

// aim finds the box and the disc that segments must reach to come too near to
// what is left of the curve, and its ends.
func (t *trimmer) aim(k *curveAt) {
	lo, hi := t.keep[0][0], t.keep[len(t.keep)-1][1]
	t.box = k.box(lo, hi).Grow(t.d)
	t.mid = k.at((lo + hi) / 2)
	t.far = t.d + k.size*(hi-lo)/2
	t.ends = [2]Point{k.at(lo), k.at(hi)}
	t.narrow = !k.arc || math.Abs(k.sweep)*(hi-lo) < math.Pi/2
	if k.sweep < 0 {
		t.ends[0], t.ends[1] = t.ends[1], t.ends[0]
	}
}

// passes reports whether a straight segment certainly keeps d from what is left
// of the curve because it keeps d from both ends and lies beside: no point of it
// is nearest to a place between the ends.
func (t *trimmer) passes(k *curveAt, s *Seg) bool {
	if s.Turn != Straight || !t.narrow {
		return false
	}
	if k.arc {
		// Counter-clockwise from ends[0] to ends[1], seen from the centre.
		u, v := t.ends[0].Sub(k.c), t.ends[1].Sub(k.c)
		a, b := s.A.Sub(k.c), s.B.Sub(k.c)
		if !(u.Cross(a) <= 0 && u.Cross(b) <= 0 || v.Cross(a) >= 0 && v.Cross(b) >= 0) {
			return false
		}
	} else {
		lo, hi := k.dir.Dot(t.ends[0]), k.dir.Dot(t.ends[1])
		a, b := k.dir.Dot(s.A), k.dir.Dot(s.B)
		if !(a <= lo && b <= lo || a >= hi && b >= hi) {
			return false
		}
	}
	d := t.d - depth/2
	return s.Distance(t.ends[0]) >= d && s.Distance(t.ends[1]) >= d
}

// cover takes from the spans at hand what lies nearer than d to segment j, and
// reports whether that was anything.
func (t *trimmer) cover(k *curveAt, j int32, neighbour bool) bool {
	s := &t.w.segs[j]
	d := t.d
	if s.Turn == Straight && k.clears(s, d) {
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
			off := s.Distance(k.at((at+end)/2)) - d
			if off < -depth || off < depth && !neighbour && t.w.behind(j, k.at((at+end)/2)) {
				flush(at)
				changed = true
			} else {
				if off < doubt && !neighbour && end-at > 100*small {
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

// wallTree is a binary tree of boxes over segments in an order that keeps
// neighbours together.
type wallTree struct {
	items  []int32
	own    []Box
	leaves int
	boxes  []Box
	// The visit under way.
	box Box
	mid Point
	far float64
}

func newWallTree(segs []Seg, items []int32) *wallTree {
	t := &wallTree{items: items, own: make([]Box, len(items)), leaves: 1}
	for t.leaves*leafSize < len(items) {
		t.leaves *= 2
	}
	t.boxes = make([]Box, 2*t.leaves)
	for i := range t.boxes {
		t.boxes[i] = EmptyBox()
	}
	for i, j := range items {
		s := &segs[j]
		b := Box{Point{min(s.A.X, s.B.X), min(s.A.Y, s.B.Y)}, Point{max(s.A.X, s.B.X), max(s.A.Y, s.B.Y)}}
		if s.Turn != Straight {
			b = s.Bounds()
		}
		t.own[i] = b
		k := t.leaves + i/leafSize
		t.boxes[k] = unite(t.boxes[k], b)
	}
	for k := t.leaves - 1; k > 0; k-- {
		t.boxes[k] = unite(t.boxes[2*k], t.boxes[2*k+1])
	}
	return t
}

// visit calls f for the segments whose boxes overlap box and come within far of
// mid, until it returns false. f may shrink the three on the way.
func (t *wallTree) visit(box Box, mid Point, far float64, f func(j int32) bool) {
	if len(t.items) == 0 {
		return
	}
	t.box, t.mid, t.far = box, mid, far
	t.down(1, f)
}

func (t *wallTree) near(b *Box) bool {
	if b.Min.X > t.box.Max.X || b.Max.X < t.box.Min.X || b.Min.Y > t.box.Max.Y || b.Max.Y < t.box.Min.Y {
		return false
	}
	dx := max(b.Min.X-t.mid.X, t.mid.X-b.Max.X, 0)
	dy := max(b.Min.Y-t.mid.Y, t.mid.Y-b.Max.Y, 0)
	return dx*dx+dy*dy <= t.far*t.far
}

func (t *wallTree) down(k int, f func(j int32) bool) bool {
	if !t.near(&t.boxes[k]) {
		return true
	}
	if k >= t.leaves {
		from := (k - t.leaves) * leafSize
		for i := from; i < min(from+leafSize, len(t.items)); i++ {
			if t.near(&t.own[i]) && !f(t.items[i]) {
				return false
			}
		}
		return true
	}
	return t.down(2*k, f) && t.down(2*k+1, f)
}
