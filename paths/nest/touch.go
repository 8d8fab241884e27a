package nest

import (
	"container/heap"
	"math"

	"proofcut/paths/geom"
)

// Places at which a shape of a given turn touches two things at once are the
// crossings of the outlines within which its pivot may not lie: the Minkowski
// sums of what it meets with the shape mirrored at its pivot, grown by the
// distance to keep (the no-fit polygons of the cutting-stock literature). They
// are in closed form, so that shapes laid against each other lie exactly so.

// barrier is where a pivot may not lie: a convex polygon grown by a radius.
type barrier struct {
	solid
	box geom.Box
}

// Units of work: for making a rim, and for a crossing of two.
const (
	rimWork   = 50
	crossWork = 30
)

// rim is a piece of the outline of a barrier: a line, or an arc about a corner.
type rim struct {
	owner  int // barrier, or -1-k for half-plane k
	a, b   geom.Point
	c      geom.Point
	r      float64 // 0 for a line
	lo, hi geom.Point
}

// toucher finds touching places for one kind of shape at one turn. Shapes that
// are laid later are added to it; what they cover never gets free again.
type toucher struct {
	c        *cluster
	turned   []solid        // the shape about its pivot
	mirrored [][]geom.Point // their points, mirrored
	barriers []barrier
	outside  []halfPlane // pivots lie at n.p <= c
	rims     []rim
	area     geom.Box // where the pivot may lie
	score    func(geom.Point) float64
	queue    candidates
	known    int // members of the cluster that are among the barriers
}

// candidate is a place where rims cross.
type candidate struct {
	at    geom.Point
	score float64
}

// candidates is a heap with the least score on top.
type candidates []candidate

func (q candidates) Len() int { return len(q) }
func (q candidates) Less(i, j int) bool {
	if q[i].score != q[j].score {
		return q[i].score < q[j].score
	}
	return compare(q[i].at.X, q[j].at.X, q[i].at.Y, q[j].at.Y) < 0
}
func (q candidates) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *candidates) Push(x any)   { *q = append(*q, x.(candidate)) }
func (q *candidates) Pop() any {
	old := *q
	c := old[len(old)-1]
	*q = old[:len(old)-1]
	return c
}

// newToucher prepares the barriers of a kind turned by angle among what
// surrounds a cluster; places with a low score are better.
func newToucher(c *cluster, kind int, angle float64, score func(geom.Point) float64) *toucher {
	k := &c.kinds[kind]
	t := &toucher{c: c, score: score, area: c.round.box,
		turned: make([]solid, len(k.parts)), mirrored: make([][]geom.Point, len(k.parts))}
	sin, cos := math.Sincos(angle)
	for i := range k.parts {
		k.parts[i].put(&t.turned[i], cos, sin, geom.Point{})
		for _, p := range t.turned[i].pts {
			t.mirrored[i] = append(t.mirrored[i], p.Mul(-1))
		}
	}
	size := 2 * t.area.Size().Len()
	for k, h := range c.round.outside {
		far := math.Inf(-1)
		for i := range t.turned {
			for _, p := range t.turned[i].pts {
				far = math.Max(far, h.n.Dot(p)+t.turned[i].r)
			}
		}
		h.c -= c.round.edge + c.ease + far
		t.outside = append(t.outside, h)
		foot := t.area.Center()
		foot = foot.Add(h.n.Mul(h.c - h.n.Dot(foot)))
		along := h.n.Left().Mul(size)
		t.line(-1-k, foot.Sub(along), foot.Add(along))
	}
	for i := range c.round.solids {
		t.block(&c.round.solids[i].solid, c.round.solids[i].need+c.ease)
	}
	return t
}

// block adds the barriers of a solid that the shape has to keep need from.
func (t *toucher) block(s *solid, need float64) {
	for i := range t.turned {
		b := barrier{solid: newSolid(sumOf(s.pts, t.mirrored[i]), s.r+t.turned[i].r+need)}
		b.box = geom.Box{Min: b.mid, Max: b.mid}.Grow(b.reach)
		if !b.box.Overlaps(t.area) {
			continue
		}
		owner := len(t.barriers)
		t.barriers = append(t.barriers, b)
		for k, p := range b.pts {
			if len(b.pts) > 1 {
				out := b.normal[k].Mul(b.r)
				t.line(owner, p.Add(out), b.pts[(k+1)%len(b.pts)].Add(out))
			}
			if b.r > 0 {
				d := geom.Pt(b.r, b.r)
				t.rim(rim{owner: owner, c: p, r: b.r, lo: p.Sub(d), hi: p.Add(d)})
			}
		}
	}
}

// line adds a rim that is a line.
func (t *toucher) line(owner int, a, b geom.Point) {
	t.rim(rim{owner: owner, a: a, b: b,
		lo: geom.Pt(math.Min(a.X, b.X), math.Min(a.Y, b.Y)), hi: geom.Pt(math.Max(a.X, b.X), math.Max(a.Y, b.Y))})
	if owner >= 0 {
		t.offer(a) // a corner, or where the round of one begins
	}
}

// rim adds a rim and the places where it crosses those before.
func (t *toucher) rim(a rim) {
	for i := range t.rims {
		b := &t.rims[i]
		if b.owner != a.owner && a.lo.X <= b.hi.X+Rounding && b.lo.X <= a.hi.X+Rounding &&
			a.lo.Y <= b.hi.Y+Rounding && b.lo.Y <= a.hi.Y+Rounding {
			t.c.work += crossWork
			crossings(b, &a, t.offer)
		}
	}
	t.c.work += int64(rimWork + len(t.rims))
	t.rims = append(t.rims, a)
}

// offer adds a candidate, if it can be one.
func (t *toucher) offer(q geom.Point) {
	if !q.Finite() || !t.area.Grow(Rounding).Contains(q) {
		return
	}
	for _, h := range t.outside {
		if h.n.Dot(q) > h.c+Rounding/4 {
			return
		}
	}
	heap.Push(&t.queue, candidate{q, t.score(q)})
}

// free reports whether a pivot may lie at q.
func (t *toucher) free(q geom.Point) bool {
	for _, h := range t.outside {
		if h.n.Dot(q) > h.c+Rounding/4 {
			return false
		}
	}
	t.c.work += int64(pairWork * len(t.barriers) / 2)
	at := solid{pts: []geom.Point{q}, mid: q}
	for i := range t.barriers {
		b := &t.barriers[i]
		if d := q.Sub(b.mid); d.Dot(d) >= b.reach*b.reach {
			continue
		}
		t.c.work += int64(solidWork + cornerWork*len(b.pts))
		if _, near := meet(&b.solid, &at, -Rounding/4); near {
			return false
		}
	}
	return true
}

// best returns the free touching place with the least score.
func (t *toucher) best() (geom.Point, bool) {
	for ; t.known < len(t.c.members); t.known++ {
		for j := range t.c.members[t.known].solids {
			t.block(&t.c.members[t.known].solids[j], t.c.gap+t.c.ease)
		}
	}
	for len(t.queue) > 0 {
		if q := t.queue[0].at; t.free(q) {
			return q, true
		}
		heap.Pop(&t.queue)
	}
	return geom.Point{}, false
}

// crossings offers the places where two rims cross.
func crossings(a, b *rim, offer func(geom.Point)) {
	switch {
	case a.r == 0 && b.r == 0:
		u, v := a.b.Sub(a.a), b.b.Sub(b.a)
		det := u.Cross(v)
		if math.Abs(det) <= 1e-12*u.Len()*v.Len() {
			return
		}
		d := b.a.Sub(a.a)
		s, w := d.Cross(v)/det, d.Cross(u)/det
		if s < -rimSlack || s > 1+rimSlack || w < -rimSlack || w > 1+rimSlack {
			return
		}
		offer(a.a.Add(u.Mul(s)))
	case a.r == 0:
		lineArc(a, b, offer)
	case b.r == 0:
		lineArc(b, a, offer)
	default:
		d := b.c.Sub(a.c)
		l := d.Len()
		if l == 0 || l > a.r+b.r || l < math.Abs(a.r-b.r) {
			return
		}
		s := (l*l + a.r*a.r - b.r*b.r) / (2 * l)
		h := math.Sqrt(math.Max(0, a.r*a.r-s*s))
		e := d.Mul(1 / l)
		foot := a.c.Add(e.Mul(s))
		offer(foot.Add(e.Left().Mul(h)))
		offer(foot.Sub(e.Left().Mul(h)))
	}
}

// rimSlack is by what share of its length a crossing may miss a line's end.
const rimSlack = 1e-9

func lineArc(l, c *rim, offer func(geom.Point)) {
	u := l.b.Sub(l.a)
	length := u.Len()
	if length == 0 {
		return
	}
	e := u.Mul(1 / length)
	s := c.c.Sub(l.a).Dot(e)
	foot := l.a.Add(e.Mul(s))
	h2 := c.r*c.r - foot.Sub(c.c).Dot(foot.Sub(c.c))
	if h2 < 0 {
		if h2 < -2*c.r*Rounding {
			return
		}
		h2 = 0
	}
	h := math.Sqrt(h2)
	for _, w := range [2]float64{s - h, s + h} {
		if w >= -rimSlack*length && w <= length*(1+rimSlack) {
			offer(l.a.Add(e.Mul(w)))
		}
	}
}
