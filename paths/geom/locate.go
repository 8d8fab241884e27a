package geom

import (
	"math"
	"math/big"
)

// orientFilter bounds the relative rounding error of the plain determinant of
// Orient: (3 + 16 u) u with u = 2^-53 (J. R. Shewchuk, Adaptive Precision
// Floating-Point Arithmetic and Fast Robust Geometric Predicates, 1997).
const orientFilter = (3 + 16*0x1p-53) * 0x1p-53

// Orient returns the side of the directed line a-b on which c lies: CCW to the
// left, CW to the right, Straight exactly on it. The sign is exact for finite
// coordinates below 1e150: a plain determinant decides where its error bound
// allows, exact arithmetic elsewhere. Points that are not finite give Straight.
func Orient(a, b, c Point) Turn {
	l := (a.X - c.X) * (b.Y - c.Y)
	r := (a.Y - c.Y) * (b.X - c.X)
	det := l - r
	bound := orientFilter * (math.Abs(l) + math.Abs(r))
	switch {
	case det > bound:
		return CCW
	case -det > bound:
		return CW
	}
	return orientExact(a, b, c)
}

// orientExact decides in binary numbers long enough to hold every product of
// two differences of float64 without rounding (2 x 2098 bits and a carry).
func orientExact(a, b, c Point) Turn {
	if !a.Finite() || !b.Finite() || !c.Finite() {
		return Straight
	}
	num := func(v float64) *big.Float { return new(big.Float).SetPrec(4224).SetFloat64(v) }
	sub := func(v, w float64) *big.Float { return num(v).Sub(num(v), num(w)) }
	mul := func(v, w *big.Float) *big.Float { return num(0).Mul(v, w) }
	l := mul(sub(a.X, c.X), sub(b.Y, c.Y))
	r := mul(sub(a.Y, c.Y), sub(b.X, c.X))
	return Turn(l.Cmp(r))
}

// windingOrOn returns the winding number of the contour about p, and whether p
// lies on the curve. It counts crossings of the ray from p to the right: each
// segment owns the heights from its lower end, included, to its upper, left out,
// so a vertex on the ray counts once however the curve passes it.
func windingOrOn(c Contour, p Point) (w int, on bool) {
	if len(c) == 0 {
		return 0, false
	}
	last := c[len(c)-1].B
	for _, s := range c {
		if last != s.A { // a gap within Tol must not let the ray through
			n, hit := lineCrossing(last, s.A, p)
			if hit {
				return 0, true
			}
			w += n
		}
		last = s.B
		n, hit := s.crossing(p)
		if hit {
			return 0, true
		}
		w += n
	}
	return w, false
}

// crossing returns how the segment crosses the ray from p to the right: +1
// upward, -1 downward, 0 not or both ways, and whether p lies on the segment.
func (s Seg) crossing(p Point) (n int, on bool) {
	if s.Turn == Straight {
		return lineCrossing(s.A, s.B, p)
	}
	return s.arcCrossing(p)
}

// rises returns the net crossing of the height y from a to b: +1 up, -1 down.
func rises(a, b, y float64) int {
	switch {
	case a <= y && y < b:
		return 1
	case b <= y && y < a:
		return -1
	}
	return 0
}

func lineCrossing(a, b, p Point) (n int, on bool) {
	if p.Y < math.Min(a.Y, b.Y) || p.Y > math.Max(a.Y, b.Y) || p.X > math.Max(a.X, b.X) {
		return 0, false
	}
	n = rises(a.Y, b.Y, p.Y)
	if p.X < math.Min(a.X, b.X) {
		return n, false
	}
	// p lies in the box of the line.
	switch Orient(a, b, p) {
	case Straight:
		return 0, true
	case CCW:
		if n > 0 {
			return n, false
		}
	case CW:
		if n < 0 {
			return n, false
		}
	}
	return 0, false
}

// arcSlack is how far, relative to the radius, a point may be off a circle and
// still lie on it as far as a float64 tells: a few roundings of the radius.
const arcSlack = 4 * 0x1p-52

// arcCrossing counts the crossings of the ray from p by where p lies: inside
// the circle only the right flank lies on the ray; outside, to the left, the
// whole arc; outside, to the right, nothing. The counts depend on the heights of
// the ends alone, which the neighbours share, so the sum over a closed chain is
// whole however the circle itself is rounded.
func (s Seg) arcCrossing(p Point) (n int, on bool) {
	if p == s.A || p == s.B {
		return 0, true
	}
	lo, hi := s.band()
	v := p.Sub(s.C)
	d := length(v.X, v.Y)
	if d >= lo*(1-arcSlack) && d <= hi*(1+arcSlack) && s.spans(v) {
		return 0, true
	}
	if 2*d > lo+hi {
		if v.X < 0 {
			return rises(s.A.Y, s.B.Y, p.Y), false
		}
		return 0, false
	}
	// The right flank runs up on a counter-clockwise arc, down on a clockwise
	// one. It is entered and left beyond the height of p, which is inside.
	turn := float64(s.Turn)
	entry, exit := math.Inf(-int(s.Turn)), math.Inf(int(s.Turn))
	// An end at the very top or bottom may count to either flank.
	fromRight, toRight := s.A.X > s.C.X, s.B.X > s.C.X
	switch {
	case fromRight && !toRight:
		return rises(s.A.Y, exit, p.Y), false
	case !fromRight && toRight:
		return rises(entry, s.B.Y, p.Y), false
	}
	gain := turn * (s.B.Y - s.A.Y) // positive: straight along the right flank
	if !fromRight {
		gain = -gain
	}
	direct := gain > 0 || gain == 0 && s.A != s.B && math.Abs(s.Sweep()) < math.Pi
	switch {
	case fromRight && direct:
		return rises(s.A.Y, s.B.Y, p.Y), false
	case fromRight:
		return rises(s.A.Y, exit, p.Y) + rises(entry, s.B.Y, p.Y), false
	case direct:
		return 0, false
	}
	return rises(entry, exit, p.Y), false
}
