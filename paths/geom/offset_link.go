package geom

import (
	"cmp"
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

// meets reports whether the end of s and the start of t are where their curves
// cross, as well as that can be told.
func (w *walls) meets(s, t span, d float64) bool {
	a, _ := w.curve(s.item, d)
	b, _ := w.curve(t.item, d)
	e := a.at(s.hi).Dist(b.at(t.lo))
	if e <= linkTol {
		return true
	}
	if e > linkReach {
		return false
	}
	u, v := a.tangent(s.hi), b.tangent(t.lo)
	return u.Dot(v) > 0 && e*math.Abs(u.Cross(v)) <= 64*depth
}

// link joins spans end to start into contours. It reports false where an end
// finds no start, and whether any end had a choice, so that the contours may
// touch.
func (w *walls) link(spans []span, d float64) (r Region, choice, ok bool) {
	n := len(spans)
	follow := make([]int32, n)
	taken := make([]bool, n)
	for i := range follow {
		follow[i] = -1
	}
	// Along the source: spans are in the order of their items, so that the one
	// that follows is found by its number.
	starts := startsByItem(spans)
	for i, s := range spans {
		if i+1 < n && spans[i+1].item == s.item {
			continue
		}
		item, smooth := w.after(s.item, d)
		j := starts.find(item)
		if j < 0 || taken[j] {
			continue
		}
		if smooth && s.hi == 1 && spans[j].lo == 0 || w.meets(s, spans[j], d) {
			follow[i], taken[j] = j, true
		}
	}
	// The others by place.
	var loose []place
	for j, s := range spans {
		if !taken[j] {
			loose = append(loose, placeOf(w.point(s.item, d, s.lo), int32(j)))
		}
	}
	slices.SortFunc(loose, place.compare)
	for i, s := range spans {
		if follow[i] >= 0 {
			continue
		}
		p := w.point(s.item, d, s.hi)
		best, dist, found := int32(-1), math.Inf(1), 0
		c := placeOf(p, 0)
		for dx := int64(-1); dx <= 1; dx++ {
			k, _ := slices.BinarySearchFunc(loose, place{c.x + dx, c.y - 1, -1, Point{}}, place.compare)
			for ; k < len(loose) && loose[k].x == c.x+dx && loose[k].y <= c.y+1; k++ {
				j, e := loose[k].span, loose[k].p.Dist(p)
				if e <= linkTol {
					found++
				}
				if !taken[j] && e < dist && w.meets(s, spans[j], d) {
					best, dist = j, e
				}
			}
		}
		if best < 0 {
			return nil, false, false
		}
		choice = choice || found > 1
		follow[i], taken[best] = best, true
	}
	return w.contours(spans, d, follow), choice, true
}

// point returns the point of an item's curve at fraction t.
func (w *walls) point(item int32, d, t float64) Point {
	k, _ := w.curve(item, d)
	return k.at(t)
}

// after returns the item that follows one along the source, and whether it does
// so without a gap.
func (w *walls) after(item int32, d float64) (int32, bool) {
	k := item >> 1
	if item&1 == 1 {
		return 2 * w.next[k], true
	}
	c := &w.corners[k]
	if c.sweep > 0 {
		return item + 1, true
	}
	return 2 * w.next[k], w.smooth(k, d)
}

// startIndex finds the first span of an item.
type startIndex struct{ first []int32 }

func startsByItem(spans []span) startIndex {
	if len(spans) == 0 {
		return startIndex{}
	}
	first := make([]int32, spans[len(spans)-1].item+1)
	for i := range first {
		first[i] = -1
	}
	for i := len(spans) - 1; i >= 0; i-- {
		first[spans[i].item] = int32(i)
	}
	return startIndex{first}
}

func (x startIndex) find(item int32) int32 {
	if int(item) >= len(x.first) {
		return -1
	}
	return x.first[item]
}

// place is the start of a span in a grid of cells as wide as linkReach.
type place struct {
	x, y int64
	span int32
	p    Point
}

func placeOf(p Point, i int32) place {
	const cell = linkReach
	return place{int64(p.X / cell), int64(p.Y / cell), i, p}
}

func (a place) compare(b place) int {
	if a.x != b.x {
		return cmp.Compare(a.x, b.x)
	}
	if a.y != b.y {
		return cmp.Compare(a.y, b.y)
	}
	return cmp.Compare(a.span, b.span)
}

// contours walks the links. Each segment ends where the next starts.
func (w *walls) contours(spans []span, d float64, follow []int32) Region {
	var out Region
	seen := make([]bool, len(spans))
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
			k, _ := w.curve(spans[j].item, d)
			c = append(c, k.seg(spans[j].lo, spans[j].hi))
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
		out = append(out, c)
	}
	return out
}

// seg returns the part of a curve as a segment.
func (k *curveAt) seg(lo, hi float64) Seg {
	a, b := k.at(lo), k.at(hi)
	if lo == 0 && hi == 1 && math.Abs(k.sweep) == 2*math.Pi {
		b = a
	}
	switch {
	case !k.arc:
		return Line(a, b)
	case k.sweep > 0:
		return Arc(a, b, k.c, CCW)
	default:
		return Arc(a, b, k.c, CW)
	}
}
