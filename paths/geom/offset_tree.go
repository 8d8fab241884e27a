package geom

import "math"

// wallLeaf is the number of segments in a leaf of a wallTree.
const wallLeaf = 6

// tilted is a box along a direction of its own, which makes it a close fit for a
// run of neighbouring segments: of a smooth curve it stands off by the square of
// the length of the run, of which an upright box stands off by a part.
type tilted struct {
	u    Point // unit vector along it
	c, h Point // its centre and half its size, along u and to its left
}

// local returns p in the box's coordinates.
func (b *tilted) local(p Point) Point {
	return Point{b.u.X*p.X + b.u.Y*p.Y, b.u.X*p.Y - b.u.Y*p.X}
}

// within reports whether the box comes as near to p as the root of far2.
func (b *tilted) within(p Point, far2 float64) bool {
	q := b.local(p)
	x, y := math.Abs(q.X-b.c.X)-b.h.X, math.Abs(q.Y-b.c.Y)-b.h.Y
	if x < 0 {
		x = 0
	}
	if y < 0 {
		y = 0
	}
	return x*x+y*y <= far2
}

// span returns the least and the greatest product of v with points of the box.
func (b *tilted) span(v Point) (lo, hi float64) {
	w := b.local(v)
	m, h := w.X*b.c.X+w.Y*b.c.Y, math.Abs(w.X)*b.h.X+math.Abs(w.Y)*b.h.Y
	return m - h, m + h
}

// extent is what a tilted box must hold, collected both along u and upright.
type extent struct {
	u          Point
	lo, hi     Point // along u and to its left
	upLo, upHi Point
}

func newExtent(u Point) extent {
	inf := math.Inf(1)
	return extent{u, Point{inf, inf}, Point{-inf, -inf}, Point{inf, inf}, Point{-inf, -inf}}
}

func (e *extent) add(p Point) {
	q := Point{e.u.Dot(p), e.u.Cross(p)}
	e.lo, e.hi = Point{min(e.lo.X, q.X), min(e.lo.Y, q.Y)}, Point{max(e.hi.X, q.X), max(e.hi.Y, q.Y)}
	e.upLo, e.upHi = Point{min(e.upLo.X, p.X), min(e.upLo.Y, p.Y)}, Point{max(e.upHi.X, p.X), max(e.upHi.Y, p.Y)}
}

func (e *extent) addBox(b *tilted) {
	left := b.u.Left()
	for _, x := range [2]float64{b.c.X - b.h.X, b.c.X + b.h.X} {
		for _, y := range [2]float64{b.c.Y - b.h.Y, b.c.Y + b.h.Y} {
			e.add(Point{b.u.X*x + left.X*y, b.u.Y*x + left.Y*y})
		}
	}
}

// addSeg adds segment j of w with its apex.
func (e *extent) addSeg(w *walls, j int32) {
	s := &w.segs[j]
	e.add(s.A)
	e.add(s.B)
	if s.Turn == Straight {
		return
	}
	if p := w.bends[j].apex; !math.IsNaN(p.X) {
		e.add(p)
		return
	}
	b := s.Bounds()
	e.add(b.Min)
	e.add(b.Max)
	e.add(Point{b.Min.X, b.Max.Y})
	e.add(Point{b.Max.X, b.Min.Y})
}

// box returns the lesser of the two boxes, widened by more than rounding takes.
func (e *extent) box() tilted {
	u, lo, hi := e.u, e.lo, e.hi
	if e.upHi.X-e.upLo.X+e.upHi.Y-e.upLo.Y < hi.X-lo.X+hi.Y-lo.Y {
		u, lo, hi = Point{1, 0}, e.upLo, e.upHi
	}
	const ulps = 1e-15
	g := depth/4 + ulps*max(math.Abs(lo.X), math.Abs(lo.Y), math.Abs(hi.X), math.Abs(hi.Y))
	return tilted{u, lo.Lerp(hi, 0.5), Point{(hi.X-lo.X)/2 + g, (hi.Y-lo.Y)/2 + g}}
}

// target is what segments must reach to come nearer than d to a part of a curve:
// the disc about its middle that holds all that, and where the part is narrow,
// the discs about its ends or the normals between them.
type target struct {
	d      float64
	arc    bool
	c      Point // centre of an arc
	dir    Point // direction of a line
	mid    Point
	far    float64
	narrow bool
	ends   [2]Point   // counter-clockwise on an arc
	rays   [2]Point   // from the centre of an arc to the ends
	along  [2]float64 // of a line, the ends' places along its direction
}

// meets reports whether a box may hold anything within reach.
func (r *target) meets(b *tilted) bool {
	if !b.within(r.mid, r.far*r.far) {
		return false
	}
	if !r.narrow {
		return true
	}
	d := r.d - depth/4
	if b.within(r.ends[0], d*d) || b.within(r.ends[1], d*d) {
		return true
	}
	// Between the normals at the ends?
	if !r.arc {
		lo, hi := b.span(r.dir)
		return hi >= r.along[0] && lo <= r.along[1]
	}
	// The product of the left of a ray with q-c is their cross product.
	n := r.rays[0].Left()
	if _, hi := b.span(n); hi < n.Dot(r.c) {
		return false
	}
	n = r.rays[1].Left()
	lo, _ := b.span(n)
	return lo <= n.Dot(r.c)
}

// misses reports whether three points lie all to one side of the disc.
func (r *target) misses(p *[3]Point) bool {
	x, y := r.mid.X-r.far, r.mid.Y-r.far
	if p[0].X < x && p[1].X < x && p[2].X < x || p[0].Y < y && p[1].Y < y && p[2].Y < y {
		return true
	}
	x, y = r.mid.X+r.far, r.mid.Y+r.far
	return p[0].X > x && p[1].X > x && p[2].X > x || p[0].Y > y && p[1].Y > y && p[2].Y > y
}

// wallTree is a binary tree of boxes over segments in an order that keeps
// neighbours together.
type wallTree struct {
	items  []int32
	leaves int
	boxes  []tilted // node k is above 2k and 2k+1; leaf i is node leaves+i
}

// plant makes the tree anew over items, whose memory it keeps.
func (t *wallTree) plant(w *walls, items []int32) {
	t.items = items
	t.leaves = (len(items) + wallLeaf - 1) / wallLeaf
	if n := 2 * t.leaves; cap(t.boxes) < n {
		t.boxes = make([]tilted, n)
	} else {
		t.boxes = t.boxes[:n]
	}
	for i := range t.leaves {
		from, to := t.leaf(t.leaves + i)
		e := newExtent(w.heading(items[from], items[to-1]))
		for _, j := range items[from:to] {
			e.addSeg(w, j)
		}
		t.boxes[t.leaves+i] = e.box()
	}
	for k := t.leaves - 1; k > 0; k-- {
		first, last := 2*k, 2*k+1
		for first < t.leaves {
			first *= 2
		}
		for last < t.leaves {
			last = 2*last + 1
		}
		from, _ := t.leaf(first)
		_, to := t.leaf(last)
		e := newExtent(w.heading(items[from], items[to-1]))
		e.addBox(&t.boxes[2*k])
		e.addBox(&t.boxes[2*k+1])
		t.boxes[k] = e.box()
	}
}

// leaf returns the range of items in the leaf at node k.
func (t *wallTree) leaf(k int) (from, to int) {
	from = (k - t.leaves) * wallLeaf
	return from, min(from+wallLeaf, len(t.items))
}

// heading returns the direction from the middle of segment i to that of j, or
// that of i where they are the same.
func (w *walls) heading(i, j int32) Point {
	s, t := &w.segs[i], &w.segs[j]
	v := t.A.Add(t.B).Sub(s.A.Add(s.B))
	if v == (Point{}) {
		if v = s.B.Sub(s.A); v == (Point{}) {
			return Point{1, 0}
		}
	}
	return v.Unit()
}

// visit calls f for the segments that may come within reach, until it returns
// false. f may shrink the reach on the way.
func (t *wallTree) visit(r *target, f func(j int32) bool) {
	if t.leaves > 0 {
		t.down(1, r, f)
	}
}

func (t *wallTree) down(k int, r *target, f func(j int32) bool) bool {
	if !r.meets(&t.boxes[k]) {
		return true
	}
	if k >= t.leaves {
		from, to := t.leaf(k)
		for _, j := range t.items[from:to] {
			if !f(j) {
				return false
			}
		}
		return true
	}
	return t.down(2*k, r, f) && t.down(2*k+1, r, f)
}
