package geom

import "math"

// Nodes of the diagram in float64, each with a bound of its error: what
// kernel[ball, field64] computes, written out. Nearly all nodes are computed
// here and nowhere else, and the bookkeeping of a bound for each operation
// costs more than the operations.
//
// The bounds are worked out by hand, to first order in the unit roundoff u of
// float64: 7u stands for a relative error of at most 7*u. Constants are rounded
// up by far more than the second order, which is some 1e-14 of the first.
// Inputs are whole numbers below 2^37, so that differences are exact, nothing
// over- or underflows, and cross64 is within 4u. Where a divisor is zero the
// bound comes out infinite or not a number, which asks for better numbers.

// pair holds what the nodes of two segments m and n need of them: sine and
// 1 - cosine of the angle from the normal of m to that of n, and the difference
// of the unit normals n - m.
type pair struct {
	sin    float64 // 12u
	one    float64 // 39u
	dx, dy float64 // each within 66u of tan
	tan    float64 // tangent of half the angle where that is below 45 degrees, else 1
}

// normal returns the unit normal of s on a side, each component within 3u.
func (s *vseg) normal(side float64) (x, y float64) {
	return -side * s.uy, side * s.ux
}

// height64 returns the distance of (x, y) from the line of s, positive on the
// given side, within 8u.
func (s *vseg) height64(side, x, y float64) float64 {
	return side * cross64(s.dx, s.dy, x-s.ax, y-s.ay) / s.length
}

// pairOf computes the pair of segments m and n with the node on the given sides.
func pairOf(m, n *vseg, sideM, sideN float64) pair {
	mx, my := m.normal(sideM)
	nx, ny := n.normal(sideN)
	l := sideM * sideN * (m.length * n.length) // 5u
	sin := cross64(m.dx, m.dy, n.dx, n.dy) / l
	cos := cross64(m.dx, m.dy, -n.dy, n.dx) / l // 10u
	if !(cos > 0) {
		return pair{sin, 1 - cos, nx - mx, ny - my, 1}
	}
	t := sin / (1 + cos) // 26u
	return pair{sin, sin * t, -t * (my + ny), t * (mx + nx), math.Abs(t)}
}

// put stores a node with error bounds eu and er in units of u, of which the
// larger will do for both.
func (g *vgeo) put(ox, oy, ux, uy, r, eu, er float64) {
	*g = vgeo{ox, oy, ux, uy, r, bound32(math.Max(eu, er) * eps64), 0}
}

// place computes the node of a triangle.
func (v *voronoi) place(t int32) {
	h := 3 * t
	np := int32(len(v.px))
	a, b, c := h, h+1, h+2
	segments := 0
	for i := h; i < h+3; i++ {
		if v.he[i].site >= np {
			segments++
		}
	}
	placed := false
	switch segments {
	case 0:
		placed = v.placePPP(t, v.he[a].site, v.he[b].site, v.he[c].site)
	case 1:
		// The segment last.
		for v.he[c].site < np {
			a, b, c = b, c, a
		}
		p, q := v.he[a].site, v.he[b].site
		s := &v.segs[v.he[c].site-np]
		switch side := float64(v.he[c].side); {
		case p == s.a || p == s.b:
			placed = v.placePPS0(t, p, q, s, side)
		case q == s.a || q == s.b:
			placed = v.placePPS0(t, q, p, s, side)
		default:
			placed = v.placePPS(t, p, q, s, side)
		}
	case 2:
		// The point last.
		for v.he[c].site >= np {
			a, b, c = b, c, a
		}
		m, n := &v.segs[v.he[a].site-np], &v.segs[v.he[b].site-np]
		placed = v.placePSS(t, v.he[c].site, m, n, float64(v.he[a].side), float64(v.he[b].side))
	default:
		s := [3]*vseg{&v.segs[v.he[a].site-np], &v.segs[v.he[b].site-np], &v.segs[v.he[c].site-np]}
		placed = v.placeSSS(t, s, [3]float64{float64(v.he[a].side), float64(v.he[b].side), float64(v.he[c].side)})
	}
	if placed {
		return
	}
	g := kernel[ball, field64]{}.node(v.corners(t))
	v.geo[t] = vgeo{g.ox, g.oy, g.ux.v, g.uy.v, g.r.v, bound32(math.Max(math.Max(g.ux.e, g.uy.e), g.r.e)), 0}
}

// placePPP is kernel.ppp.
func (v *voronoi) placePPP(t, a, b, c int32) bool {
	ax, ay := v.px[a], v.py[a]
	bx, by, cx, cy := v.px[b]-ax, v.py[b]-ay, v.px[c]-ax, v.py[c]-ay
	d := 2 * cross64(bx, by, cx, cy)             // 4u
	bb, cc := bx*bx+by*by, cx*cx+cy*cy           // 2u
	cb, bc, xb, xc := cy*bb, by*cc, bx*cc, cx*bb // 3u
	ux, uy := (cb-bc)/d, (xb-xc)/d               // the sum within 3u of its terms, and 6u
	eu := math.Max(math.Abs(cb)+math.Abs(bc), math.Abs(xb)+math.Abs(xc)) / math.Abs(d)
	eu = 4*eu + 7*math.Max(math.Abs(ux), math.Abs(uy))
	r := math.Sqrt(ux*ux + uy*uy) // 2u, and no farther off than the centre
	v.geo[t].put(ax, ay, ux, uy, r, eu, 1.5*eu+3*r)
	return true
}

// placePPS0 is kernel.pps0.
func (v *voronoi) placePPS0(t, p, q int32, s *vseg, side float64) bool {
	x, y := v.px[p], v.py[p]
	wx, wy := v.px[q]-x, v.py[q]-y
	g := 0.5 * (wx*wx + wy*wy) / (side * cross64(s.dx, s.dy, wx, wy)) // 7u
	ux, uy, r := -side*s.dy*g, side*s.dx*g, s.length*g
	v.geo[t].put(x, y, ux, uy, r, 9*math.Max(math.Abs(ux), math.Abs(uy)), 11*math.Abs(r))
	return true
}

// placePPS is kernel.pps.
func (v *voronoi) placePPS(t, p, q int32, s *vseg, side float64) bool {
	x, y := v.px[p], v.py[p]
	wx, wy := v.px[q]-x, v.py[q]-y
	hp, hq := s.height64(side, x, y), s.height64(side, v.px[q], v.py[q]) // 8u
	if hp < 0 || hq < 0 {
		return false
	}
	ww := wx*wx + wy*wy                                 // 2u
	a := 0.5 * (hp + hq)                                // 9u
	b := side * cross64(s.dx, s.dy, -wy, wx) / s.length // 8u
	g := math.Sqrt(ww * hp * hq)                        // 11u
	ab := a * b                                         // 18u
	var at, et float64
	if ab >= 0 {
		d := side * cross64(s.dx, s.dy, wx, wy) / s.length // 8u
		at = (ab + g) / (d * d)
		et = 37 * math.Abs(at)
	} else {
		den := ab - g // 19u
		at = (0.25*ww - a*a) / den
		et = (0.75*ww+20*a*a)/math.Abs(den) + 21*math.Abs(at)
	}
	ux, uy, r := 0.5*wx-at*wy, 0.5*wy+at*wx, a+b*at
	bt := math.Abs(b * at)
	eu := (et + 2*math.Abs(at) + 1) * math.Max(math.Abs(wx), math.Abs(wy))
	v.geo[t].put(x, y, ux, uy, r, eu*1.01, (10*a+11*bt+math.Abs(b)*et)*1.01)
	return true
}

// placePSS is kernel.pss0 and kernel.pss.
func (v *voronoi) placePSS(t, p int32, m, n *vseg, sideM, sideN float64) bool {
	x, y := v.px[p], v.py[p]
	onM, onN := p == m.a || p == m.b, p == n.a || p == n.b
	if onM && onN {
		v.geo[t].put(x, y, 0, 0, 0, 0, 0)
		return true
	}
	k := pairOf(m, n, sideM, sideN)
	if onM || onN {
		if onN {
			m, n, sideM, sideN = n, m, sideN, sideM
		}
		r := n.height64(sideN, x, y) / k.one // 48u
		nx, ny := m.normal(sideM)
		v.geo[t].put(x, y, nx*r, ny*r, r, 54*math.Abs(r), 50*math.Abs(r))
		return true
	}
	c, d := m.height64(sideM, x, y), n.height64(sideN, x, y)
	if c < 0 || d < 0 {
		return false
	}
	w := math.Sqrt(2 * k.one)  // 21u
	g := 2 * math.Sqrt(c*d)    // 10u
	h, sum := k.sin/w, c+d     // 34u, 9u
	gh, hs := g*h, h*sum       // 45u, 44u
	r := (sum - gh) / k.one    // terms and 40u
	along := (hs - g) / k.one  // terms and 40u
	across := (d - c) / w      // terms and 22u
	ex, ey := -k.dx/w, -k.dy/w // 72u of 1: |dx| <= w and tan <= w/sqrt(2)
	ux, uy := ex*across-ey*along, ey*across+ex*along
	er := (10*sum+47*math.Abs(gh))/k.one + 41*math.Abs(r)
	eu := 10*sum/w + 98*math.Abs(across) + (47*math.Abs(hs)+13*g)/k.one + 116*math.Abs(along)
	v.geo[t].put(x, y, ux, uy, r, eu, er)
	return true
}

// placeSSS is kernel.sss.
func (v *voronoi) placeSSS(t int32, s [3]*vseg, side [3]float64) bool {
	ox, oy := commonEnd(s)
	var h [3]float64
	for i := range s {
		h[i] = s[i].height64(side[i], ox, oy)
	}
	det := 2.0 // 16 times the product of the squares of the half angles' sines
	r, ux, uy, er, eu := 0.0, 0.0, 0.0, 0.0, 0.0
	for i := range s {
		j, l := (i+1)%3, (i+2)%3
		k := pairOf(s[j], s[l], side[j], side[l])
		det *= k.one
		hs := h[i] * k.sin // 21u
		r += hs
		er += math.Abs(hs)
		ux += h[i] * k.dy // within 84u of |h| tan
		uy -= h[i] * k.dx
		eu += math.Abs(h[i]) * k.tan
	}
	det = math.Sqrt(det) // 62u
	ux, uy, r = ux/det, uy/det, r/det
	v.geo[t].put(ox, oy, ux, uy, r, 92*eu/det+66*math.Max(math.Abs(ux), math.Abs(uy)), 24*er/det+66*math.Abs(r))
	return true
}

// commonEnd returns an end that two of the segments share, so that two heights
// over it vanish, or else an end of the first.
func commonEnd(s [3]*vseg) (x, y float64) {
	for i := range s {
		m, n := s[i], s[(i+1)%3]
		if m.a == n.a || m.a == n.b {
			return m.ax, m.ay
		}
		if m.b == n.a || m.b == n.b {
			return m.ax + m.dx, m.ay + m.dy
		}
	}
	return s[0].ax, s[0].ay
}

// parted reports whether the nodes ga and gb at the ends of an edge lie on
// different sides of the middle of the stretch that is nearer to p, and whether
// float64 can tell: kernel.beyond for both, written out. What it looks at is
// linear in the place of the node: of either form k x + c with x the place along
// the edge times a length.
func (e *vedge) parted(ga, gb *vgeo) (yes, ok bool) {
	s := e.s
	var dx, dy, k, c float64 // the way along the edge; k within 9u, c within 16u
	if e.q.point {
		wx, wy := e.q.x-e.p.x, e.q.y-e.p.y
		dx, dy = -wy, wx
		hp := cross64(s.dx, s.dy, e.p.x-s.ax, e.p.y-s.ay)
		hq := cross64(s.dx, s.dy, e.q.x-s.ax, e.q.y-s.ay)
		dot := cross64(s.dx, s.dy, -wy, wx)
		cr := cross64(s.dx, s.dy, wx, wy)
		k = cr * cr
		c = -0.5 * (hp + hq) * dot * (wx*wx + wy*wy) // the heights have one sign
	} else {
		t := e.q.seg
		dx, dy = e.q.side*t.dx, e.q.side*t.dy
		h := cross64(dx, dy, e.p.x-t.ax, e.p.y-t.ay)
		if e.p.id == s.a || e.p.id == s.b {
			sx, sy := outward(s, e.p.id)
			k = cross64(dx, dy, sx, sy)
			c = h * cross64(dx, dy, -sy, sx)
		} else {
			g := 1.0
			if cross64(s.dx, s.dy, e.p.x-s.ax, e.p.y-s.ay) < 0 {
				g = -1
			}
			ll := t.length * s.length // 5u
			sin := cross64(dx, dy, g*s.dx, g*s.dy)
			if cos := cross64(dx, dy, -g*s.dy, g*s.dx); cos > 0 {
				k, c = sin, h*(ll+cos)
			} else {
				k, c = ll-cos, h*sin
			}
		}
	}
	side := func(g *vgeo) int {
		ux, uy := g.ox-e.p.x+g.ux, g.oy-e.p.y+g.uy
		a, b := dx*ux, dy*uy
		size := math.Abs(a) + math.Abs(b)
		// The node within e and a roundoff, the products and the sum another two.
		off := (math.Abs(dx)+math.Abs(dy))*float64(g.e) + 4*eps64*size
		f := k*(a+b) + c
		bound := math.Abs(k)*(off*(1+1e-12)+12*eps64*size) + 20*eps64*math.Abs(c)
		switch {
		case f > bound:
			return 1
		case f < -bound:
			return -1
		}
		return 0
	}
	a := side(ga)
	if a == 0 {
		return false, false
	}
	b := side(gb)
	return a != b, b != 0
}
