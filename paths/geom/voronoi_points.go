package geom

import (
	"math"
	"math/big"
	"math/bits"
)

// addPoint inserts point p, which differs from all points before it.
func (v *voronoi) addPoint(p int32) error {
	v.round++
	t := v.locate(p)
	if t < 0 {
		return errVoronoi
	}
	v.enter(t)
	for len(v.todo) > 0 {
		h := v.todo[len(v.todo)-1]
		v.todo = v.todo[:len(v.todo)-1]
		o := v.he[h].twin
		if o < 0 {
			v.cycle = append(v.cycle, h)
			continue
		}
		switch stamp := &v.geo[o/3].stamp; {
		case *stamp == v.taken():
			return errVoronoi
		case *stamp == v.spared():
			v.cycle = append(v.cycle, h)
		case v.inCircle(o/3, p):
			v.take(o)
		default:
			*stamp = v.spared()
			v.cycle = append(v.cycle, h)
		}
	}
	v.rimOf()
	if err := v.fill(p, nil); err != nil {
		return err
	}
	v.walk = v.hole[0]
	return nil
}

// locate walks to a triangle that contains p.
func (v *voronoi) locate(p int32) int32 {
	x, y := v.px[p], v.py[p]
	t := v.walk
	for steps := 0; steps < 4*len(v.geo)+16; steps++ {
		next := int32(-1)
		for i := int32(0); i < 3; i++ {
			// Start with another edge at each step, so that the walk cannot go
			// round in circles for long.
			h := 3*t + (i+int32(steps))%3
			a, b := v.he[h].site, v.he[hnext(h)].site
			if cross64(v.px[b]-v.px[a], v.py[b]-v.py[a], x-v.px[a], y-v.py[a]) < 0 {
				next = v.he[h].twin
				break
			}
		}
		if next < 0 {
			return t
		}
		t = next / 3
	}
	return -1
}

// inCircle reports whether point p lies strictly inside the circle through the
// three points of triangle t. The error bound of the float64 filter is from
// Shewchuk, "Adaptive precision floating-point arithmetic and fast robust
// geometric predicates" (1997), section 4.
func (v *voronoi) inCircle(t, p int32) bool {
	a, b, c := v.he[3*t].site, v.he[3*t+1].site, v.he[3*t+2].site
	x, y := v.px[p], v.py[p]
	ax, ay := v.px[a]-x, v.py[a]-y
	bx, by := v.px[b]-x, v.py[b]-y
	cx, cy := v.px[c]-x, v.py[c]-y
	bc, cb := bx*cy, cx*by
	ca, ac := cx*ay, ax*cy
	ab, ba := ax*by, bx*ay
	al, bl, cl := ax*ax+ay*ay, bx*bx+by*by, cx*cx+cy*cy
	det := al*(bc-cb) + bl*(ca-ac) + cl*(ab-ba)
	bound := (math.Abs(bc)+math.Abs(cb))*al + (math.Abs(ca)+math.Abs(ac))*bl + (math.Abs(ab)+math.Abs(ba))*cl
	const errorBound = (10 + 96*eps64) * eps64
	if bound *= errorBound; det > bound || det < -bound {
		return det > 0
	}
	v.exact++
	m := math.Max(math.Max(math.Abs(ax), math.Abs(ay)), math.Max(math.Abs(bx), math.Abs(by)))
	if m = math.Max(m, math.Max(math.Abs(cx), math.Abs(cy))); m < 1<<30 {
		return inCircle128(int64(ax), int64(ay), int64(bx), int64(by), int64(cx), int64(cy))
	}
	v.last++
	return inCircleBig(ax, ay, bx, by, cx, cy)
}

// inCircle128 works in 128-bit integers: coordinates below 2^30 give minors and
// squares of at most 2^61, products below 2^122 and a sum below 2^124.
func inCircle128(ax, ay, bx, by, cx, cy int64) bool {
	var hi, lo uint64
	term := func(l, m int64) {
		neg := m < 0
		if neg {
			m = -m
		}
		h, w := bits.Mul64(uint64(l), uint64(m))
		var c uint64
		if neg {
			lo, c = bits.Sub64(lo, w, 0)
			hi, _ = bits.Sub64(hi, h, c)
		} else {
			lo, c = bits.Add64(lo, w, 0)
			hi, _ = bits.Add64(hi, h, c)
		}
	}
	term(ax*ax+ay*ay, bx*cy-cx*by)
	term(bx*bx+by*by, cx*ay-ax*cy)
	term(cx*cx+cy*cy, ax*by-bx*ay)
	return int64(hi) > 0 || hi == 0 && lo != 0
}

func inCircleBig(ax, ay, bx, by, cx, cy float64) bool {
	n := func(x float64) *big.Int { return big.NewInt(int64(x)) }
	mul := func(a, b *big.Int) *big.Int { return new(big.Int).Mul(a, b) }
	lift := func(x, y float64) *big.Int { return new(big.Int).Add(mul(n(x), n(x)), mul(n(y), n(y))) }
	minor := func(ax, ay, bx, by float64) *big.Int {
		return new(big.Int).Sub(mul(n(ax), n(by)), mul(n(ay), n(bx)))
	}
	d := mul(lift(ax, ay), minor(bx, by, cx, cy))
	d.Add(d, mul(lift(bx, by), minor(cx, cy, ax, ay)))
	d.Add(d, mul(lift(cx, cy), minor(ax, ay, bx, by)))
	return d.Sign() > 0
}
