package geom

import "math"

// Nodes of the diagram: the centre of the circle that touches three sites.
//
// A node is computed relative to an origin o, one of the lattice points of its
// sites, so that its error is measured by its clearance and not by its place.
// For segments the node lies on a known side, told by a sign from the topology,
// and the three sites stand in the counter-clockwise order of their contacts;
// the two together leave exactly one solution. The formulas are arranged so
// that near-parallel sites cancel as little as possible.

// vseg is a segment site: the open segment from point a to point b.
type vseg struct {
	a, b   int32
	src    int32   // the input segment that it is, or is a part of
	ax, ay float64 // coordinates of a
	dx, dy float64 // b - a, exact

	length float64 // of the segment, within 2 unit roundoffs
	ux, uy float64 // (dx, dy)/length, within 3
}

// newSeg returns the segment from point a at (ax, ay) to point b at (ax+dx, ay+dy).
func newSeg(a, b, src int32, ax, ay, dx, dy float64) vseg {
	l := math.Sqrt(dx*dx + dy*dy)
	return vseg{a, b, src, ax, ay, dx, dy, l, dx / l, dy / l}
}

// vnode is a node relative to the origin (ox, oy): centre (ux, uy), clearance r.
type vnode[T any] struct {
	ox, oy    float64
	ux, uy, r T
}

// vcorner is a site of a node: a point, or a segment with the side on which
// the node lies.
type vcorner struct {
	point bool
	id    int32   // index of the point
	x, y  float64 // the point
	seg   *vseg
	side  float64 // +1 left of the segment, -1 right of it
}

// unit is a direction with the quantities that belong to it.
type vunit[T any] struct {
	c    vcorner
	x, y T // unit normal towards the node
	l    T // length of the segment
}

// kernel computes nodes over one kind of number.
type kernel[T num[T], F field[T]] struct{ f F }

func (k kernel[T, F]) length(s *vseg) T { return k.f.cross(s.dx, s.dy, -s.dy, s.dx).sqrt() }

func (k kernel[T, F]) unit(c vcorner) vunit[T] {
	l := k.length(c.seg)
	return vunit[T]{c, k.f.num(-c.side * c.seg.dy).div(l), k.f.num(c.side * c.seg.dx).div(l), l}
}

// height returns the distance of the point (x, y) from the line, positive on
// the side of the node.
func (k kernel[T, F]) height(m vunit[T], x, y float64) T {
	s := m.c.seg
	return k.f.cross(m.c.side*s.dx, m.c.side*s.dy, x-s.ax, y-s.ay).div(m.l)
}

// turn returns sine and cosine of the angle from m to n, and 1 - cosine.
func (k kernel[T, F]) turn(m, n vunit[T]) (sin, cos, one T) {
	a, b := m.c.seg, n.c.seg
	g := m.c.side * n.c.side
	l := m.l.mul(n.l)
	sin = k.f.cross(g*a.dx, g*a.dy, b.dx, b.dy).div(l)
	cos = k.f.cross(g*a.dx, g*a.dy, -b.dy, b.dx).div(l)
	if s, _ := cos.sign(); s > 0 {
		one = sin.mul(sin).div(k.f.num(1).add(cos))
	} else {
		one = k.f.num(1).sub(cos)
	}
	return sin, cos, one
}

// diff returns n - m, given sine, cosine and 1 - cosine of the angle from m to n.
func (k kernel[T, F]) diff(m, n vunit[T], sin, cos, one T) (x, y T) {
	if s, _ := cos.sign(); s <= 0 {
		return n.x.sub(m.x), n.y.sub(m.y)
	}
	// n - m = 2 sin(h) J(m+n)/|m+n| with h half the angle, |m+n| = 2 cos(h),
	// and tan(h) = sin/(1+cos).
	t := sin.div(k.f.num(1).add(cos))
	return t.mul(k.f.num(0).sub(m.y.add(n.y))), t.mul(m.x.add(n.x))
}

// node returns the node of three corners in counter-clockwise order.
func (k kernel[T, F]) node(c [3]vcorner) vnode[T] {
	n := 0
	for i := range c {
		if c[i].point {
			n++
		}
	}
	switch n {
	case 3:
		return k.ppp(c[0], c[1], c[2])
	case 2:
		for c[2].point {
			c[0], c[1], c[2] = c[1], c[2], c[0]
		}
		s := c[2].seg
		if c[0].id == s.a || c[0].id == s.b {
			return k.pps0(c[0], c[1], c[2])
		}
		if c[1].id == s.a || c[1].id == s.b {
			return k.pps0(c[1], c[0], c[2])
		}
		return k.pps(c[0], c[1], c[2])
	case 1:
		for !c[2].point {
			c[0], c[1], c[2] = c[1], c[2], c[0]
		}
		p := c[2]
		on0 := p.id == c[0].seg.a || p.id == c[0].seg.b
		on1 := p.id == c[1].seg.a || p.id == c[1].seg.b
		switch {
		case on0 && on1:
			z := k.f.num(0)
			return vnode[T]{p.x, p.y, z, z, z}
		case on0:
			return k.pss0(p, c[0], c[1])
		case on1:
			return k.pss0(p, c[1], c[0])
		}
		return k.pss(p, c[0], c[1])
	}
	return k.sss(c)
}

// ppp is the circumcentre.
func (k kernel[T, F]) ppp(a, b, c vcorner) vnode[T] {
	bx, by, cx, cy := b.x-a.x, b.y-a.y, c.x-a.x, c.y-a.y
	d := k.f.cross(bx, by, cx, cy)
	d = d.add(d)
	bb, cc := k.f.cross(bx, by, -by, bx), k.f.cross(cx, cy, -cy, cx)
	ux := k.f.num(cy).mul(bb).sub(k.f.num(by).mul(cc)).div(d)
	uy := k.f.num(bx).mul(cc).sub(k.f.num(cx).mul(bb)).div(d)
	return vnode[T]{a.x, a.y, ux, uy, ux.mul(ux).add(uy.mul(uy)).sqrt()}
}

// pps0: p is an end of s, so the node lies on the normal there. Its place is
// rational in the coordinates; only the clearance needs the length of s.
func (k kernel[T, F]) pps0(p, q, s vcorner) vnode[T] {
	wx, wy := q.x-p.x, q.y-p.y
	ww := k.f.cross(wx, wy, -wy, wx)
	h := k.f.cross(s.side*s.seg.dx, s.side*s.seg.dy, wx, wy)
	g := ww.div(h.add(h))
	nx, ny := -s.side*s.seg.dy, s.side*s.seg.dx
	return vnode[T]{p.x, p.y, k.f.num(nx).mul(g), k.f.num(ny).mul(g), k.length(s.seg).mul(g)}
}

// pps: p and q anywhere. On the bisector w/2 + t J(w) of w = q - p the
// condition is (|w|^2-b^2) t^2 - 2ab t + |w|^2/4 - a^2 = 0 with a and b the
// height and slope of the line over it; for p, q, s counter-clockwise the node
// is the larger root.
func (k kernel[T, F]) pps(p, q, s vcorner) vnode[T] {
	m := k.unit(s)
	wx, wy := q.x-p.x, q.y-p.y
	ww := k.f.cross(wx, wy, -wy, wx)
	hp, hq := k.height(m, p.x, p.y), k.height(m, q.x, q.y)
	half := k.f.num(0.5)
	a := hp.add(hq).mul(half)
	sx, sy := s.side*s.seg.dx, s.side*s.seg.dy
	b := k.f.cross(sx, sy, -wy, wx).div(m.l)
	g := ww.mul(hp).mul(hq).sqrt()
	ab := a.mul(b)
	var t T
	if sg, _ := ab.sign(); sg >= 0 {
		d := k.f.cross(sx, sy, wx, wy).div(m.l)
		t = ab.add(g).div(d.mul(d))
	} else {
		t = ww.mul(k.f.num(0.25)).sub(a.mul(a)).div(ab.sub(g))
	}
	ux := k.f.num(wx).mul(half).sub(t.mul(k.f.num(wy)))
	uy := k.f.num(wy).mul(half).add(t.mul(k.f.num(wx)))
	return vnode[T]{p.x, p.y, ux, uy, a.add(b.mul(t))}
}

// pss0: p is an end of s, t is any other segment.
func (k kernel[T, F]) pss0(p, s, t vcorner) vnode[T] {
	m, n := k.unit(s), k.unit(t)
	_, _, one := k.turn(m, n)
	r := k.height(n, p.x, p.y).div(one)
	return vnode[T]{p.x, p.y, m.x.mul(r), m.y.mul(r), r}
}

// pss: p lies on neither segment. With c, d the heights of p over the lines,
// C and S the cosine and sine between the normals, the node has
// (1-C) r = c + d - 2 sqrt(cd) S/sqrt(2(1-C)) for s, t, p counter-clockwise.
func (k kernel[T, F]) pss(p, s, t vcorner) vnode[T] {
	m, n := k.unit(s), k.unit(t)
	sin, cos, one := k.turn(m, n)
	c, d := k.height(m, p.x, p.y), k.height(n, p.x, p.y)
	w := one.add(one).sqrt()
	g := c.mul(d).sqrt()
	g = g.add(g)
	sum, h := c.add(d), sin.div(w)
	r := sum.sub(g.mul(h)).div(one)
	along := h.mul(sum).sub(g).div(one)
	across := d.sub(c).div(w)
	// Unit vector e along m - n; J(e) carries the rest.
	ex, ey := k.diff(n, m, k.f.num(0).sub(sin), cos, one)
	ex, ey = ex.div(w), ey.div(w)
	ux := ex.mul(across).sub(ey.mul(along))
	uy := ey.mul(across).add(ex.mul(along))
	return vnode[T]{p.x, p.y, ux, uy, r}
}

// halfSin returns |sin| of half the angle.
func (k kernel[T, F]) halfSin(sin, cos, one T) T {
	if s, _ := cos.sign(); s > 0 {
		one1 := k.f.num(1).add(cos)
		v := sin.div(one1.add(one1).sqrt())
		if g, _ := v.sign(); g < 0 {
			return k.f.num(0).sub(v)
		}
		return v
	}
	return one.mul(k.f.num(0.5)).sqrt()
}

// sss: heights c_i of the origin over the lines; Cramer's rule with the
// determinant as a product of half-angle sines, which does not cancel.
func (k kernel[T, F]) sss(c [3]vcorner) vnode[T] {
	ox, oy := commonEnd([3]*vseg{c[0].seg, c[1].seg, c[2].seg})
	var m [3]vunit[T]
	var h [3]T
	for i := range c {
		m[i] = k.unit(c[i])
		h[i] = k.height(m[i], ox, oy)
	}
	zero := k.f.num(0)
	r, ux, uy := zero, zero, zero
	det := k.f.num(4)
	for i := range c {
		j, l := (i+1)%3, (i+2)%3
		sin, cos, one := k.turn(m[j], m[l])
		det = det.mul(k.halfSin(sin, cos, one))
		dx, dy := k.diff(m[j], m[l], sin, cos, one)
		r = r.add(h[i].mul(sin))
		ux = ux.add(h[i].mul(dy))
		uy = uy.sub(h[i].mul(dx))
	}
	return vnode[T]{ox, oy, ux.div(det), uy.div(det), r.div(det)}
}
