package geom

import (
	"math"
	"math/big"
	"math/bits"
)

// conflict reports whether the node of triangle t is strictly nearer to the
// open segment s than to its own sites. The ends of s are sites already, so a
// node outside the strip over s is never in conflict.
func (v *voronoi) conflict(t int32, s *vseg) bool {
	g := &v.geo[t]
	h := 3 * t
	atA, atB, pt := int32(-1), int32(-1), int32(-1)
	for i := h; i < h+3; i++ {
		switch id := v.he[i].site; {
		case id == s.a:
			atA = i
		case id == s.b:
			atB = i
		case int(id) < len(v.px):
			pt = i
		}
	}
	if g.r == 0 && g.e == 0 {
		// A node at a common end of two segments is in conflict with a third
		// segment there that leaves between them.
		end := max(atA, atB)
		if end < 0 || pt >= 0 {
			return false
		}
		return v.parts(hnext(end), hprev(end), v.he[end].site, s)
	}
	if atA >= 0 && atB >= 0 {
		// Equally far from both ends: the foot is the middle of s.
		return true
	}
	if end := max(atA, atB); end >= 0 {
		return v.ahead(t, end, s)
	}
	// Float filter.
	wx, wy := g.ox-s.ax, g.oy-s.ay
	l := s.length
	nx, ny := -s.uy, s.ux
	h1 := cross64(s.dx, s.dy, wx, wy) / l
	d := h1 + (nx*g.ux + ny*g.uy)
	size := math.Abs(g.ux) + math.Abs(g.uy)
	eg := float64(g.e)
	e := 2*eg + (math.Abs(h1)+size)*(12*eps64)
	turned := d
	d = math.Abs(d)
	if d-e > g.r+eg {
		return false
	}
	along := s.ux*wx + s.uy*wy + (s.ux*g.ux + s.uy*g.uy)
	ea := 2*eg + (math.Abs(wx)+math.Abs(wy)+size)*(16*eps64)
	if along < -ea || along > l+ea {
		return false
	}
	if d+e < g.r-eg && along > ea && along < l-ea {
		return true
	}
	v.exact++
	c := v.corners(t)
	if r, ok := (kernel[ddBall, fieldDD]{}).conflict(c, s); ok {
		return r
	}
	if !c[0].point && !c[1].point && !c[2].point && fourLines(c, vcorner{seg: s, side: math.Copysign(1, turned)}) {
		return false
	}
	v.last++
	r, _ := (kernel[bigBall, fieldBig]{}).conflict(c, s)
	return r
}

// conflict decides |distance to the line| < clearance and foot on the segment;
// ok tells whether it could. What is left open counts as a tie: no conflict.
func (k kernel[T, F]) conflict(c [3]vcorner, s *vseg) (yes, ok bool) {
	g := k.node(c)
	l := k.length(s)
	wx, wy := g.ox-s.ax, g.oy-s.ay
	d := k.f.cross(s.dx, s.dy, wx, wy).add(k.f.num(s.dx).mul(g.uy)).sub(k.f.num(s.dy).mul(g.ux))
	lr := l.mul(g.r)
	up, ok1 := lr.sub(d).sign()
	dn, ok2 := lr.add(d).sign()
	if ok1 && up <= 0 || ok2 && dn <= 0 {
		return false, true
	}
	a := k.f.cross(s.dx, s.dy, -wy, wx).add(k.f.num(s.dx).mul(g.ux)).add(k.f.num(s.dy).mul(g.uy))
	lo, ok3 := a.sign()
	if ok3 && lo <= 0 {
		return false, true
	}
	hi, ok4 := k.f.cross(s.dx, s.dy, -s.dy, s.dx).sub(a).sign()
	if ok4 && hi <= 0 {
		return false, true
	}
	return ok1 && ok2 && ok3 && ok4, ok1 && ok2 && ok3 && ok4
}

// fourLines reports that a node of three lines touches a fourth as well. With
// Ax+By+C the distance times the length l from each, the four rows (A, B, C, l)
// are then linearly dependent. The determinant is a sum of whole numbers times
// lengths, and zero when it is so for each group of equal lengths, as it is in
// shapes with mirror images. False leaves the question open.
func fourLines(c [3]vcorner, s vcorner) bool {
	rows := [4]vcorner{c[0], c[1], c[2], s}
	var m [4][3]*big.Int // A, B, C, from the first point of the first line
	var l [4]*big.Int    // l squared
	o := c[0].seg
	whole := func(x float64) *big.Int { return big.NewInt(int64(x)) }
	cross := func(a, b, c, d *big.Int) *big.Int {
		z := new(big.Int).Mul(a, d)
		return z.Sub(z, new(big.Int).Mul(b, c))
	}
	for i, r := range rows {
		dx, dy := whole(r.side*r.seg.dx), whole(r.side*r.seg.dy)
		a := new(big.Int).Neg(dy)
		m[i] = [3]*big.Int{a, dx, cross(whole(r.seg.ax-o.ax), whole(r.seg.ay-o.ay), dx, dy)}
		l[i] = cross(dx, dy, a, dx)
	}
	var minor [4]*big.Int
	for i := range minor {
		var k [3][3]*big.Int
		for n := range k {
			k[n] = m[(i+1+n)%4]
		}
		z := new(big.Int).Mul(k[0][0], cross(k[1][1], k[1][2], k[2][1], k[2][2]))
		z.Sub(z, new(big.Int).Mul(k[0][1], cross(k[1][0], k[1][2], k[2][0], k[2][2])))
		z.Add(z, new(big.Int).Mul(k[0][2], cross(k[1][0], k[1][1], k[2][0], k[2][1])))
		if i%2 == 1 {
			z.Neg(z) // the rows stand in cyclic order
		}
		minor[i] = z
	}
	for i := range minor {
		sum := new(big.Int)
		for j := range minor {
			if l[i].Cmp(l[j]) == 0 {
				sum.Add(sum, minor[j])
			}
		}
		if sum.Sign() != 0 {
			return false
		}
	}
	return true
}

// outward returns the direction of segment s seen from its end p.
func outward(s *vseg, p int32) (x, y float64) {
	if s.a == p {
		return s.dx, s.dy
	}
	return -s.dx, -s.dy
}

// parts reports whether s leaves p strictly between the segments at
// half-edges h and k, counter-clockwise. The angle between them is below pi.
func (v *voronoi) parts(h, k, p int32, s *vseg) bool {
	ax, ay := outward(v.segment(v.he[h].site), p)
	bx, by := outward(v.segment(v.he[k].site), p)
	sx, sy := outward(s, p)
	return cross64(ax, ay, sx, sy) > 0 && cross64(sx, sy, bx, by) > 0
}

// ahead reports whether node t, which touches the end of s at half-edge end,
// lies strictly on the side of that end to which s leaves.
func (v *voronoi) ahead(t, end int32, s *vseg) bool {
	p := v.he[end].site
	sx, sy := outward(s, p)
	for _, h := range [2]int32{hnext(end), hprev(end)} {
		o := v.segment(v.he[h].site)
		if o != nil && (o.a == p || o.b == p) {
			// The node lies on the normal of o at p.
			g := float64(v.he[h].side)
			return cross64(g*o.dx, g*o.dy, sx, sy) > 0
		}
	}
	g := &v.geo[t]
	wx, wy := g.ox-v.px[p], g.oy-v.py[p]
	d := sx*(wx+g.ux) + sy*(wy+g.uy)
	e := (math.Abs(sx) + math.Abs(sy)) * (float64(g.e) + (math.Abs(wx)+math.Abs(wy)+math.Abs(g.ux)+math.Abs(g.uy))*(8*eps64))
	if d > e || d < -e {
		return d > 0
	}
	v.exact++
	c := v.corners(t)
	if q, o, ok := onNormal(c, p); ok {
		return aheadOnNormal(v.px[p], v.py[p], q, o, sx, sy)
	}
	if r, ok := (kernel[ddBall, fieldDD]{}).ahead(c, v.px[p], v.py[p], sx, sy); ok {
		return r > 0
	}
	v.last++
	r, _ := (kernel[bigBall, fieldBig]{}).ahead(c, v.px[p], v.py[p], sx, sy)
	return r > 0
}

// onNormal returns the other point q and the segment o of a node at point p
// where the node lies on the normal of o at q.
func onNormal(c [3]vcorner, p int32) (q, o vcorner, ok bool) {
	for _, x := range c {
		switch {
		case !x.point:
			o = x
		case x.id != p:
			q = x
		}
	}
	return q, o, o.seg != nil && q.point && (q.id == o.seg.a || q.id == o.seg.b)
}

// aheadOnNormal decides ahead for such a node in whole numbers: mirror images
// of each other, of which workpieces are full, tie here. With w = p - q, the
// normal n of o towards the node, of the length of o, and h = n.w the node is
// q + n w.w/2h.
func aheadOnNormal(px, py float64, q, o vcorner, sx, sy float64) bool {
	wx, wy := px-q.x, py-q.y
	nx, ny := -o.side*o.seg.dy, o.side*o.seg.dx
	// s.(n w.w/2h - w) times 2h, which is positive.
	size := math.Max(math.Abs(wx), math.Abs(wy))
	size = math.Max(size, math.Max(math.Abs(nx), math.Abs(ny)))
	if size = math.Max(size, math.Max(math.Abs(sx), math.Abs(sy))); size < 1<<30 {
		dot := func(ax, ay, bx, by float64) int64 { return int64(ax)*int64(bx) + int64(ay)*int64(by) }
		ah, al := product(dot(sx, sy, nx, ny), dot(wx, wy, wx, wy))
		bh, bl := product(dot(sx, sy, wx, wy), 2*dot(nx, ny, wx, wy))
		return ah > bh || ah == bh && al > bl
	}
	dot := func(ax, ay, bx, by float64) *big.Int {
		z := big.NewInt(int64(ax))
		z.Mul(z, big.NewInt(int64(bx)))
		y := big.NewInt(int64(ay))
		return z.Add(z, y.Mul(y, big.NewInt(int64(by))))
	}
	z := dot(sx, sy, nx, ny)
	z.Mul(z, dot(wx, wy, wx, wy))
	y := dot(sx, sy, wx, wy)
	y.Mul(y, dot(nx, ny, wx, wy))
	return z.Cmp(y.Lsh(y, 1)) > 0
}

// product returns a*b in 128 bits.
func product(a, b int64) (hi int64, lo uint64) {
	h, lo := bits.Mul64(uint64(a), uint64(b))
	return int64(h) - a>>63&b - b>>63&a, lo
}

func (k kernel[T, F]) ahead(c [3]vcorner, px, py, sx, sy float64) (int, bool) {
	g := k.node(c)
	wx, wy := g.ox-px, g.oy-py
	return k.f.cross(sx, sy, -wy, wx).add(k.f.num(sx).mul(g.ux)).add(k.f.num(sy).mul(g.uy)).sign()
}

// keeps reports whether some of the edge at half-edge h, both nodes of which
// are in conflict with s, is not: then s cuts it twice and it stays.
func (v *voronoi) keeps(h int32, s *vseg) bool {
	o := v.he[h].twin
	c, d := v.corner(h), v.corner(hnext(h))
	if !c.point {
		c, d = d, c
	}
	if !c.point {
		return false // between two lines the excess of clearance is convex
	}
	if !d.point && (c.id == d.seg.a || c.id == d.seg.b) {
		// The normal at an end of a segment; the end itself stays.
		dh, do := h, hnext(o)
		if v.segment(v.he[dh].site) == nil {
			dh, do = hnext(h), o
		}
		return v.he[dh].side != v.he[do].side
	}
	e := vedge{p: c, q: d, s: s}
	if !e.possible() {
		return false
	}
	if yes, ok := e.parted(&v.geo[h/3], &v.geo[o/3]); ok {
		return yes
	}
	v.exact++
	e.a, e.b = v.corners(h/3), v.corners(o/3)
	kd := kernel[ddBall, fieldDD]{}
	if sa, ok := kd.beyond(&e, kd.node(e.a)); ok {
		if sb, ok := kd.beyond(&e, kd.node(e.b)); ok {
			return sa*sb < 0
		}
	}
	v.last++
	kb := kernel[bigBall, fieldBig]{}
	sa, _ := kb.beyond(&e, kb.node(e.a))
	sb, _ := kb.beyond(&e, kb.node(e.b))
	return sa*sb < 0
}

func nodeOf(g *vgeo) vnode[ball] {
	e := float64(g.e)
	return vnode[ball]{g.ox, g.oy, ball{g.ux, e}, ball{g.uy, e}, ball{g.r, e}}
}

// vedge is an edge between point p and site q, with its end nodes a and b, and
// a segment s that conflicts with both.
type vedge struct {
	p, q vcorner
	s    *vseg
	a, b [3]vcorner
}

// possible tells whether the bisector has a stretch nearer to p than to s at
// all between two conflicts; beyond then tells on which side of it a node lies.
func (e *vedge) possible() bool {
	s := e.s
	atP := e.p.id == s.a || e.p.id == s.b
	if e.q.point {
		if atP || e.q.id == s.a || e.q.id == s.b {
			return false // the condition is linear along a straight edge
		}
		hp := cross64(s.dx, s.dy, e.p.x-s.ax, e.p.y-s.ay)
		hq := cross64(s.dx, s.dy, e.q.x-s.ax, e.q.y-s.ay)
		if !(hp > 0 && hq > 0 || hp < 0 && hq < 0) {
			return false
		}
		return cross64(s.dx, s.dy, e.q.x-e.p.x, e.q.y-e.p.y) != 0
	}
	t := e.q.seg
	if atP {
		// s leaves p away from the line of t.
		sx, sy := outward(s, e.p.id)
		return cross64(e.q.side*t.dx, e.q.side*t.dy, sx, sy) > 0
	}
	hp := cross64(s.dx, s.dy, e.p.x-s.ax, e.p.y-s.ay)
	if hp == 0 {
		return false
	}
	// Parallel and on the same side: the condition is linear.
	if cross64(s.dx, s.dy, t.dx, t.dy) == 0 {
		dot := cross64(s.dx, s.dy, -t.dy, t.dx)
		return dot*hp*e.q.side < 0
	}
	return true
}

// beyond returns the side of a node on the edge, as seen along the edge, of the
// middle of the stretch that is nearer to p.
func (k kernel[T, F]) beyond(e *vedge, g vnode[T]) (int, bool) {
	s := e.s
	ox, oy := k.f.num(g.ox-e.p.x), k.f.num(g.oy-e.p.y)
	ux, uy := ox.add(g.ux), oy.add(g.uy) // node relative to p
	if e.q.point {
		// Along J(w), w = q - p, in units of |w|: t0 = (hp+hq)/2 * (d.w) / (d x w)^2.
		wx, wy := e.q.x-e.p.x, e.q.y-e.p.y
		hp := k.f.cross(s.dx, s.dy, e.p.x-s.ax, e.p.y-s.ay)
		hq := k.f.cross(s.dx, s.dy, e.q.x-s.ax, e.q.y-s.ay)
		dot := k.f.cross(s.dx, s.dy, -wy, wx)
		cr := k.f.cross(s.dx, s.dy, wx, wy)
		ww := k.f.cross(wx, wy, -wy, wx)
		t := uy.mul(k.f.num(wx)).sub(ux.mul(k.f.num(wy))).mul(cr).mul(cr)
		return t.sub(hp.add(hq).mul(k.f.num(0.5)).mul(dot).mul(ww)).sign()
	}
	// Along the line of q, turned so that the normal towards the edge is J of it.
	t := e.q.seg
	dx, dy := e.q.side*t.dx, e.q.side*t.dy
	l := k.length(t)
	h := k.f.cross(dx, dy, e.p.x-t.ax, e.p.y-t.ay)    // height of p times l
	x := k.f.num(dx).mul(ux).add(k.f.num(dy).mul(uy)) // place times l
	if e.p.id == s.a || e.p.id == s.b {
		sx, sy := outward(s, e.p.id)
		along, up := k.f.cross(dx, dy, -sy, sx), k.f.cross(dx, dy, sx, sy) // both times l
		return x.mul(up).add(along.mul(h)).sign()
	}
	// x0 (1-C) = -S h, with S, C of the angle from the normal of q to that of s
	// on the side of p.
	g2 := 1.0
	if cross64(s.dx, s.dy, e.p.x-s.ax, e.p.y-s.ay) < 0 {
		g2 = -1
	}
	ls := k.length(s)
	ll := l.mul(ls)
	sin := k.f.cross(dx, dy, g2*s.dx, g2*s.dy) // times ll
	cos := k.f.cross(dx, dy, -g2*s.dy, g2*s.dx)
	if c, _ := cos.sign(); c > 0 {
		// 1-C = S^2/(1+C); the common factor S changes the sign for both nodes alike.
		return x.mul(sin).add(h.mul(ll.add(cos))).sign()
	}
	return x.mul(ll.sub(cos)).add(sin.mul(h)).sign()
}
