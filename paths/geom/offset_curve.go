package geom

import "math"

// curveKind tells where the source of a curve lies.
type curveKind uint8

const (
	besideLine curveKind = iota
	besideArc            // the curve runs about it
	withinArc            // the curve runs inside it
	aboutCorner
)

// curveAt is the curve of an item at distance d.
//
// Fractions t of an arc of no more than half a turn are those of the tangent of
// a quarter of the angle from its middle: z = (2t-1) tan(sweep/4) is at the unit
// vector (1-z2, 2z)/(1+z2) from the middle. That takes no trigonometry in either
// direction, and sweep apart it is the same at all distances. On wider arcs t is
// the fraction of the sweep.
type curveAt struct {
	kind    curveKind
	arc     bool
	wide    bool
	a, b    Point   // ends of a line
	dir     Point   // unit direction of a line, of an arc the unit vector to its middle
	left    Point   // of an arc, the unit vector across dir in the sense of travel
	from    Point   // of an arc, the unit vectors to its ends
	to      Point   //
	size    float64 // the length, or somewhat more
	c       Point
	r       float64
	quarter float64 // tangent of a quarter of the sweep
	turn    float64 // sense of travel, 1 or -1
	sweep   float64 // of a wide arc, signed
}

// curve sets k to the curve of an item at distance d. It returns false where it
// has none: at corners that turn right and beside arcs that curl up within d.
func (w *walls) curve(k *curveAt, item int32, d float64) bool {
	j := item >> 1
	s := &w.segs[j]
	if item&1 == 1 {
		q := w.corners[j]
		if !(q > 0) {
			return false
		}
		*k = curveAt{kind: aboutCorner, arc: true, c: s.B, r: d, quarter: q, turn: 1}
		if q > 1 {
			// A single point.
			k.wide, k.sweep, k.from, k.to, k.size = true, 2*math.Pi, Pt(1, 0), Pt(1, 0), d*2*math.Pi
			return true
		}
		_, k.from = w.normals(j)
		k.to, _ = w.normals(w.next[j])
		k.dir = midway(k.from, k.to, 1)
		k.left = k.dir.Left()
		k.size = 4 * d * q
		return true
	}
	e := &w.sides[j]
	if s.Turn == Straight {
		n := Point{e.u.Y * d, -e.u.X * d}
		*k = curveAt{a: s.A.Add(n), b: s.B.Add(n), dir: e.u, size: e.size}
		return true
	}
	b := &w.bends[j]
	turn := float64(s.Turn)
	r := e.size + turn*d
	if !(r > 0) {
		return false
	}
	*k = curveAt{kind: besideArc, arc: true, c: s.C, r: r, dir: e.u, left: Point{-e.u.Y * turn, e.u.X * turn},
		from: b.from, to: b.to, quarter: b.quarter, turn: turn, size: 4 * r * b.quarter}
	if s.Turn == CW {
		k.kind = withinArc
	}
	if b.quarter > 1 {
		k.wide, k.sweep, k.size = true, b.sweep, r*math.Abs(b.sweep)
	}
	return true
}

// clears reports whether what three points span certainly keeps d from the whole
// curve because it lies behind its source: behind the line, within the circle,
// or behind both normals of the corner.
func (k *curveAt) clears(p *[3]Point, d float64) bool {
	const e = depth / 2
	switch k.kind {
	case besideLine:
		for i := range p {
			if !(k.dir.X*(p[i].Y-k.a.Y)-k.dir.Y*(p[i].X-k.a.X) >= d-e) {
				return false
			}
		}
		return true
	case besideArc:
		r := k.r - d + e
		for i := range p {
			if v := p[i].Sub(k.c); !(v.Dot(v) <= r*r) {
				return false
			}
		}
		return true
	case aboutCorner:
		if k.quarter > 0.854 { // 0.9 of half a turn
			return false // what lies behind both is next to nothing
		}
		for i := range p {
			if v := p[i].Sub(k.c); !(v.Dot(k.from) <= e && v.Dot(k.to) <= e) {
				return false
			}
		}
		return true
	}
	return false
}

// direction returns the unit vector from the centre of an arc at fraction t.
func (k *curveAt) direction(t float64) Point {
	switch {
	case t == 0:
		return k.from
	case t == 1:
		return k.to
	case k.wide:
		sin, cos := math.Sincos(t * k.sweep)
		return Point{k.from.X*cos - k.from.Y*sin, k.from.X*sin + k.from.Y*cos}
	}
	z := k.quarter * (2*t - 1)
	inv := 1 / (1 + z*z)
	x, y := (1-z*z)*inv, 2*z*inv
	return Point{k.dir.X*x + k.left.X*y, k.dir.Y*x + k.left.Y*y}
}

// at returns the point at fraction t.
func (k *curveAt) at(t float64) Point {
	if !k.arc {
		if t == 1 {
			return k.b
		}
		return Point{k.a.X + t*(k.b.X-k.a.X), k.a.Y + t*(k.b.Y-k.a.Y)}
	}
	v := k.direction(t)
	return Point{k.c.X + k.r*v.X, k.c.Y + k.r*v.Y}
}

// tangent returns the unit direction of travel at fraction t.
func (k *curveAt) tangent(t float64) Point {
	if !k.arc {
		return k.dir
	}
	return k.direction(t).Left().Mul(k.turn)
}

// reach returns how far from at((lo+hi)/2) = mid points between lo and hi lie at
// the most; a and b are at(lo) and at(hi).
func (k *curveAt) reach(lo, hi float64, mid, a, b Point) float64 {
	if k.wide {
		return k.size * (hi - lo) / 2
	}
	v, w := a.Sub(mid), b.Sub(mid)
	return math.Sqrt(max(v.Dot(v), w.Dot(w)))
}

// crossings are the places where a curve meets others, those between lo and hi.
type crossings struct {
	k      *curveAt
	lo, hi float64
	zlo    float64 // lo and hi as z of an arc, see curveAt
	zhi    float64
	n      int
	t      [8]float64 // two lines or circles and two ends, each met twice at most
}

// begin makes x empty, for crossings of k between lo and hi.
func (x *crossings) begin(k *curveAt, lo, hi float64) {
	x.k, x.lo, x.hi, x.n = k, lo, hi, 0
	x.zlo, x.zhi = k.quarter*(2*lo-1), k.quarter*(2*hi-1)
}

// place notes fraction t.
func (x *crossings) place(t float64) {
	if t > x.lo && t < x.hi {
		x.t[x.n] = t
		x.n++
	}
}

// point notes a point of an arc's circle, given from the centre.
func (x *crossings) point(vx, vy float64) {
	k := x.k
	if k.wide {
		// From the middle, so that points just before the start come out below 0.
		a := math.Atan2(k.from.X*vy-k.from.Y*vx, k.from.X*vx+k.from.Y*vy) * k.turn
		all := math.Abs(k.sweep)
		if a < 0 && a < (all-2*math.Pi)/2 {
			a += 2 * math.Pi
		}
		x.place(a / all)
		return
	}
	y, m := k.left.X*vx+k.left.Y*vy, k.r+k.dir.X*vx+k.dir.Y*vy
	if y > x.zlo*m && y < x.zhi*m {
		x.place((y/(m*k.quarter) + 1) / 2)
	}
}

// line notes where the curve meets the line through o along the unit vector u.
func (x *crossings) line(o, u Point) {
	k := x.k
	if !k.arc {
		if c := k.dir.X*u.Y - k.dir.Y*u.X; c != 0 {
			x.place(((o.X-k.a.X)*u.Y - (o.Y-k.a.Y)*u.X) / (c * k.size))
		}
		return
	}
	vx, vy := o.X-k.c.X, o.Y-k.c.Y
	h := vx*u.Y - vy*u.X
	q := (k.r - h) * (k.r + h)
	if q < 0 {
		return
	}
	// The foot of the centre is at h to the right of it.
	q = math.Sqrt(q)
	fx, fy := h*u.Y, -h*u.X
	x.point(fx-q*u.X, fy-q*u.Y)
	x.point(fx+q*u.X, fy+q*u.Y)
}

// circle notes where the curve meets the circle about o of radius r.
func (x *crossings) circle(o Point, r float64) {
	k := x.k
	if !(r > 0) {
		return
	}
	if !k.arc {
		vx, vy := o.X-k.a.X, o.Y-k.a.Y
		h := k.dir.X*vy - k.dir.Y*vx
		q := (r - h) * (r + h)
		if q < 0 {
			return
		}
		q = math.Sqrt(q)
		m := k.dir.X*vx + k.dir.Y*vy
		x.place((m - q) / k.size)
		x.place((m + q) / k.size)
		return
	}
	wx, wy := o.X-k.c.X, o.Y-k.c.Y
	sum, dif := k.r+r, k.r-r
	d2 := wx*wx + wy*wy
	if d2 == 0 || d2 > sum*sum || d2 < dif*dif {
		return
	}
	// The line through both points lies at m from the centre of the lesser
	// circle: from there least is lost.
	d := math.Sqrt(d2)
	ux, uy := wx/d, wy/d
	g := dif * (sum / d)
	var vx, vy, h float64
	if k.r <= r {
		m := (d + g) / 2
		h = math.Sqrt(max(0, (k.r-m)*(k.r+m)))
		vx, vy = ux*m, uy*m
	} else {
		m := (d - g) / 2
		h = math.Sqrt(max(0, (r-m)*(r+m)))
		vx, vy = wx-ux*m, wy-uy*m
	}
	x.point(vx-uy*h, vy+ux*h)
	x.point(vx+uy*h, vy-ux*h)
}

// sorted returns the places in order.
func (x *crossings) sorted() []float64 {
	ts := x.t[:x.n]
	for i := 1; i < len(ts); i++ {
		for j := i; j > 0 && ts[j] < ts[j-1]; j-- {
			ts[j], ts[j-1] = ts[j-1], ts[j]
		}
	}
	return ts
}
