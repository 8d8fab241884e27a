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
	ahead  float64  // the greatest distance to come
	own    [6]int32 // the segments of the span and their neighbours
	before [][2]float64
	touch  bool // a span of some length runs at just d from a segment not its own
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
	for n := range 2 {
		if i != seg && i != also && !(i == before && smoothB) {
			t.cover(&k, i, n == 0)
		}
		if j != seg && j != also && !(j == after && smoothA) {
			t.cover(&k, j, n == 0)
		}
		if len(t.keep) == 0 {
			return out
		}
		i, j = t.w.prev[i], t.w.next[j]
	}
	t.own = [6]int32{seg, also, before, after, t.w.prev[before], t.w.next[after]}
	if calm := float64(s.calm); calm < t.d {
		if t.ahead > t.d && -calm <= t.d {
			t.ask(&s)
		}
		if float64(s.calm) < t.d {
			t.others(&k, false)
		}
	}
	for _, v := range t.keep {
		out = append(out, span{s.item, s.calm, v[0], v[1]})
	}
	return out
}

// ask looks ahead: what does not come near the span at a greater distance does
// not at any less.
func (t *trimmer) ask(s *span) {
	d, touch := t.d, t.touch
	t.d = min(1.6*d, t.ahead)
	k, ok := t.w.curve(s.item, t.d)
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
	t.aim(k)
	before := t.before[:0]
	if asked {
		before = append(before, t.keep...)
		t.before = before
	}
	t.tree.visit(t.box, t.mid, t.far, func(j int32) bool {
		s := &t.w.segs[j]
		p := t.w.hull(j)
		if k.clears(&p, t.d) || t.passes(k, s, &p) || s.Distance(t.mid) > t.far {
			return true
		}
		if slices.Contains(t.own[:], j) ||
			t.w.twin != nil && (t.w.twin[t.own[0]] == j || t.w.twin[t.own[1]] == j) {
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
		t.tree.box, t.tree.mid, t.tree.far = t.box, t.mid, t.far
		return true
	})
	if asked && !calm {
		t.keep = append(t.keep[:0], before...)
	}
	return calm
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

// passes reports whether a segment in the triangle p certainly keeps d from what
// is left of the curve because it keeps d from both ends and lies beside: no
// point of it is nearest to a place between the ends.
func (t *trimmer) passes(k *curveAt, s *Seg, p *[3]Point) bool {
	if !t.narrow {
		return false
	}
	below, above := true, true
	if k.arc {
		// Counter-clockwise from ends[0] to ends[1], seen from the centre.
		u, v := t.ends[0].Sub(k.c), t.ends[1].Sub(k.c)
		for _, q := range p {
			q = q.Sub(k.c)
			below = below && u.Cross(q) <= 0
			above = above && v.Cross(q) >= 0
		}
	} else {
		lo, hi := k.dir.Dot(t.ends[0]), k.dir.Dot(t.ends[1])
		for _, q := range p {
			x := k.dir.Dot(q)
			below = below && x <= lo
			above = above && x >= hi
		}
	}
	if !below && !above {
		return false
	}
	d := t.d - depth/2
	return s.Distance(t.ends[0]) >= d && s.Distance(t.ends[1]) >= d
}

// hull returns a triangle that holds segment j.
func (w *walls) hull(j int32) [3]Point { return [3]Point{w.segs[j].A, w.segs[j].B, w.apex[j]} }

// cover takes from the spans at hand what lies nearer than d to segment j, and
// reports whether that was anything.
func (t *trimmer) cover(k *curveAt, j int32, neighbour bool) bool {
	s := &t.w.segs[j]
	d := t.d
	if p := t.w.hull(j); k.clears(&p, d) {
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
