package geom

import (
	"math"
	"slices"
)

// linkTol is how far apart in mm the end of one span and the start of the next
// may be computed: crossings of curves at a small angle are that uncertain.
const linkTol = Tol / 2

// linkReach is how far apart the two may be where the curves run on in nearly
// the same direction. Then trim cannot tell where they cross any better than
// that: neither is as much as depth inside the other.
const linkReach = 1e-3

// meets reports whether the end of span i and the start of span j are where their
// curves cross, as well as that can be told.
func (l *linker) meets(w *walls, spans []span, i, j int32, d float64) bool {
	p, q := l.ends[i][1], l.ends[j][0]
	e := length(p.X-q.X, p.Y-q.Y)
	if e <= linkTol {
		return true
	}
	if e > linkReach {
		return false
	}
	var a, b curveAt
	w.curve(&a, spans[i].item, d)
	w.curve(&b, spans[j].item, d)
	u, v := a.tangent(spans[i].hi), b.tangent(spans[j].lo)
	return u.Dot(v) > 0 && e*math.Abs(u.Cross(v)) <= 64*depth
}

// linker joins spans into contours; it keeps its memory from level to level.
type linker struct {
	follow []int32    // the span that follows each span, -1 while unknown
	first  []int32    // the first span of each item, -1 for none
	taken  []bool     // whether a span follows another; then whether its contour is made
	ends   [][2]Point // of each span
	starts startGrid
}

// link joins spans end to start into contours. It reports false where an end
// finds no start, and whether any end had a choice, so that the contours may
// touch.
func (l *linker) link(w *walls, spans []span, d float64) (r Region, choice, ok bool) {
	n := len(spans)
	l.follow = resized(l.follow, n)
	l.taken = resized(l.taken, n)
	l.ends = resized(l.ends, n)
	var k curveAt
	for i := range spans {
		s := &spans[i]
		l.follow[i], l.taken[i] = -1, false
		w.curve(&k, s.item, d)
		a, b := k.at(s.lo), k.at(s.hi)
		l.ends[i] = [2]Point{a, b}
	}
	follow, taken := l.follow, l.taken
	// Along the source: spans are in the order of their items, so that the one
	// that follows is found by its number.
	l.index(spans)
	for i, s := range spans {
		if i+1 < n && spans[i+1].item == s.item {
			continue
		}
		item, smooth := w.after(s.item, d)
		j := l.find(item)
		if j < 0 || taken[j] {
			continue
		}
		if smooth && s.hi == 1 && spans[j].lo == 0 || l.meets(w, spans, int32(i), j, d) {
			follow[i], taken[j] = j, true
		}
	}
	// The others by place.
	l.starts.build(l.ends, taken)
	for i := range spans {
		if follow[i] >= 0 {
			continue
		}
		p := l.ends[i][1]
		best, dist, found := int32(-1), math.Inf(1), 0
		l.starts.near(p, func(j int32) {
			q := l.ends[j][0]
			e := length(p.X-q.X, p.Y-q.Y)
			if e <= linkTol {
				found++
			}
			if !taken[j] && (e < dist || e == dist && j < best) && l.meets(w, spans, int32(i), j, d) {
				best, dist = j, e
			}
		})
		if best < 0 {
			return nil, false, false
		}
		choice = choice || found > 1
		follow[i], taken[best] = best, true
	}
	return l.contours(w, spans, d), choice, true
}

// index notes the first span of each item.
func (l *linker) index(spans []span) {
	n := 0
	if len(spans) > 0 {
		n = int(spans[len(spans)-1].item) + 1
	}
	l.first = resized(l.first, n)
	for i := range l.first {
		l.first[i] = -1
	}
	for i := len(spans) - 1; i >= 0; i-- {
		l.first[spans[i].item] = int32(i)
	}
}

// find returns the first span of an item, -1 for none.
func (l *linker) find(item int32) int32 {
	if int(item) >= len(l.first) {
		return -1
	}
	return l.first[item]
}

// resized returns a slice of n elements in the memory of s where that is enough.
// What they hold is not defined.
func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// after returns the item that follows one along the source, and whether it does
// so without a gap.
func (w *walls) after(item int32, d float64) (int32, bool) {
	k := item >> 1
	if item&1 == 1 {
		return 2 * w.next[k], true
	}
	if w.corners[k] > 0 {
		return item + 1, true
	}
	return 2 * w.next[k], w.smooth(k, d)
}

// startGrid finds the starts of spans by place, in a hashed grid of cells a few
// times as wide as linkReach.
type startGrid struct {
	ends  [][2]Point
	spans []start
	heads []int32 // the first start of a bucket, -1 for none
}

// start is the start of a span in the chain of a bucket.
type start struct {
	span int32
	next int32 // -1 for none
}

const gridCell = 8 * linkReach

func cellOf(x float64) int64 { return int64(math.Floor(x / gridCell)) }

// build notes the starts of all spans that are not taken, in each bucket in
// their order.
func (g *startGrid) build(ends [][2]Point, taken []bool) {
	m := 0
	for _, t := range taken {
		if !t {
			m++
		}
	}
	n := 1
	for n < m {
		n *= 2
	}
	g.ends, g.spans, g.heads = ends, resized(g.spans, m)[:0], resized(g.heads, n)
	for i := range g.heads {
		g.heads[i] = -1
	}
	for i := len(taken) - 1; i >= 0; i-- {
		if taken[i] {
			continue
		}
		b := g.bucket(cellOf(ends[i][0].X), cellOf(ends[i][0].Y))
		g.spans = append(g.spans, start{int32(i), g.heads[b]})
		g.heads[b] = int32(len(g.spans) - 1)
	}
}

func (g *startGrid) bucket(x, y int64) int {
	h := uint64(x)*0x9e3779b97f4a7c15 + uint64(y)*0xc2b2ae3d27d4eb4f
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	return int(h>>32) & (len(g.heads) - 1)
}

// near calls f for the spans that start within linkReach of p, and some more.
func (g *startGrid) near(p Point, f func(span int32)) {
	x0, x1 := cellOf(p.X-linkReach), cellOf(p.X+linkReach)
	y0, y1 := cellOf(p.Y-linkReach), cellOf(p.Y+linkReach)
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			for i := g.heads[g.bucket(x, y)]; i >= 0; i = g.spans[i].next {
				// Other cells share the bucket.
				if q := g.ends[g.spans[i].span][0]; cellOf(q.X) == x && cellOf(q.Y) == y {
					f(g.spans[i].span)
				}
			}
		}
	}
}

// contours walks the links. Each segment ends where the next starts.
func (l *linker) contours(w *walls, spans []span, d float64) Region {
	var out Region
	follow := l.follow
	seen := l.taken
	clear(seen)
	for i := range spans {
		if seen[i] {
			continue
		}
		n := 0
		for j := int32(i); !seen[j]; j = follow[j] {
			seen[j] = true
			n++
		}
		c := make(Contour, 0, n)
		for j := int32(i); len(c) < n; j = follow[j] {
			c = append(c, w.seg(spans[j].item, l.ends[j]))
		}
		if n == 1 {
			// One curve closes only as a full circle; a tip too small to tell its
			// two ends apart is nothing.
			if c[0].IsCircle() || math.Abs(c[0].Sweep()) > math.Pi {
				c[0].B = c[0].A
				out = append(out, c)
			}
			continue
		}
		// What is left of a gap or an overlap is shared out. An arc that is hardly
		// longer than that becomes a line, lest it turn inside out.
		for k := range c {
			n := (k + 1) % len(c)
			p, q := c[k].B, c[n].A
			if p == q {
				continue
			}
			if m := 2 * p.Dist(q); m > 0 {
				for _, s := range [2]*Seg{&c[k], &c[n]} {
					if s.IsArc() && !s.IsCircle() && s.A.Dist(s.B) < max(m, 8*linkTol) && math.Abs(s.Sweep()) < math.Pi {
						*s = Line(s.A, s.B)
					}
				}
			}
			switch {
			case c[k].IsCircle():
			case c[n].IsCircle():
				p = q
			default:
				p = p.Lerp(q, 0.5)
			}
			c[k].B, c[n].A = p, p
		}
		c = slices.DeleteFunc(c, func(s Seg) bool { return s.A == s.B && !s.IsArc() })
		out = append(out, halveNearCircles(c))
	}
	return out
}

// seg returns the part of an item's curve between two of its points.
func (w *walls) seg(item int32, ends [2]Point) Seg {
	s := &w.segs[item>>1]
	switch {
	case item&1 == 1:
		return Arc(ends[0], ends[1], s.B, CCW)
	case s.Turn == Straight:
		return Line(ends[0], ends[1])
	default:
		return Arc(ends[0], ends[1], s.C, s.Turn)
	}
}
