package geom

import (
	"math"
	"math/big"
)

// The predicates of the Voronoi diagram are written once, over numbers that
// carry a proven bound of their own error (balls: every true value lies within
// e of the stored one). They run first in float64, then in double-double
// (about 100 bits), then in big.Float with bigBits bits; the next kind is
// asked only where the one before cannot tell the sign.

const (
	// eps64 is the unit roundoff of float64.
	eps64 = 1.0 / (1 << 53)
	// slack64 inflates a computed error bound for the rounding of the bound itself.
	slack64 = 1 + 8*eps64
	// epsDD bounds the relative rounding of one double-double operation:
	// Joldes, Muller and Popescu, "Tight and rigorous error bounds for basic
	// building blocks of double-word arithmetic" (2017) prove less than 2^-101
	// for every operation used here.
	epsDD = 1.0 / (1 << 50) / (1 << 50)
	// bigBits is the precision of the last resort. A sign that 448 bits do not
	// show is a tie: the Voronoi edge that hangs on it is shorter than 1e-80 mm,
	// and either answer gives a valid diagram.
	bigBits = 448
)

// num is a number with a proven error bound.
type num[T any] interface {
	add(T) T
	sub(T) T
	mul(T) T
	div(T) T
	sqrt() T
	// sign returns the sign, and whether the error bound leaves no doubt.
	sign() (int, bool)
}

// field makes numbers out of exact float64 values.
type field[T any] interface {
	num(float64) T
	// cross returns a*d - b*c without cancellation.
	cross(a, b, c, d float64) T
}

// cross64 returns a*d - b*c within 2 ulp; its sign, zero included, is exact
// as long as nothing over- or underflows. Kahan's algorithm, analysed by
// Jeannerod, Louvet and Muller, "Further analysis of Kahan's algorithm for the
// accurate computation of 2 x 2 determinants" (2013).
func cross64(a, b, c, d float64) float64 {
	w := b * c
	e := math.FMA(-b, c, w)
	f := math.FMA(a, d, -w)
	return f + e
}

// ball is a float64 with an error bound.
type ball struct{ v, e float64 }

func (a ball) add(b ball) ball {
	v := a.v + b.v
	return ball{v, (a.e + b.e + math.Abs(v)*eps64) * slack64}
}

func (a ball) sub(b ball) ball {
	v := a.v - b.v
	return ball{v, (a.e + b.e + math.Abs(v)*eps64) * slack64}
}

func (a ball) mul(b ball) ball {
	v := a.v * b.v
	return ball{v, (math.Abs(a.v)*b.e + a.e*(math.Abs(b.v)+b.e) + math.Abs(v)*eps64) * slack64}
}

func (a ball) div(b ball) ball {
	v := a.v / b.v
	den := math.Abs(b.v) - b.e
	if !(den > 0) {
		return ball{0, math.Inf(1)}
	}
	return ball{v, ((a.e+math.Abs(v)*b.e)/den + math.Abs(v)*eps64) * slack64}
}

func (a ball) sqrt() ball {
	if a.v <= a.e {
		// Everything from 0 to the upper end is possible.
		m := math.Sqrt(math.Max(0, a.v) + a.e)
		return ball{m / 2, m * 0.51}
	}
	v := math.Sqrt(a.v)
	return ball{v, (a.e/v + v*eps64) * slack64}
}

func (a ball) sign() (int, bool) {
	switch {
	case a.v > a.e:
		return 1, true
	case a.v < -a.e:
		return -1, true
	}
	return 0, a.v == 0 && a.e == 0
}

type field64 struct{}

func (field64) num(x float64) ball { return ball{x, 0} }

func (field64) cross(a, b, c, d float64) ball {
	v := cross64(a, b, c, d)
	return ball{v, 4 * eps64 * math.Abs(v)}
}

// ddBall is a double-double h+l with an error bound. Operations that round
// nothing add nothing to the bound: that settles the ties between axis-parallel
// segments, the commonest there are, without the help of big numbers.
type ddBall struct{ h, l, e float64 }

func twoSum(a, b float64) (s, t float64) {
	s = a + b
	bb := s - a
	return s, (a - (s - bb)) + (b - bb)
}

func fastTwoSum(a, b float64) (s, t float64) {
	s = a + b
	return s, b - (s - a)
}

func twoProd(a, b float64) (p, t float64) {
	p = a * b
	return p, math.FMA(a, b, -p)
}

func (a ddBall) add(b ddBall) ddBall {
	sh, sl := twoSum(a.h, b.h)
	th, tl := twoSum(a.l, b.l)
	c, e1 := twoSum(sl, th)
	sh, sl = fastTwoSum(sh, c)
	w, e2 := twoSum(tl, sl)
	sh, sl = fastTwoSum(sh, w)
	if e1 == 0 && e2 == 0 {
		return ddBall{sh, sl, (a.e + b.e) * slack64} // nothing was rounded
	}
	return ddBall{sh, sl, (a.e + b.e + math.Abs(sh)*epsDD) * slack64}
}

func (a ddBall) sub(b ddBall) ddBall { return a.add(ddBall{-b.h, -b.l, b.e}) }

func (a ddBall) mul(b ddBall) ddBall {
	ph, pl := twoProd(a.h, b.h)
	if a.l == 0 && b.l == 0 && a.e == 0 && b.e == 0 {
		return ddBall{ph, pl, 0}
	}
	pl += a.h*b.l + a.l*b.h
	ph, pl = fastTwoSum(ph, pl)
	e := math.Abs(a.h)*b.e + a.e*(math.Abs(b.h)+b.e) + math.Abs(ph)*epsDD
	return ddBall{ph, pl, e * (1 + 1e-12)}
}

func (a ddBall) div(b ddBall) ddBall {
	den := math.Abs(b.h)*(1-2*eps64) - b.e
	if !(den > 0) {
		return ddBall{0, 0, math.Inf(1)}
	}
	// One Newton correction of the float64 quotient.
	q := a.h / b.h
	ph, pl := twoProd(q, b.h)
	pl += q * b.l
	ph, pl = fastTwoSum(ph, pl)
	rh, rl := twoSum(a.h, -ph)
	q2 := (rh + (rl + (a.l - pl))) / b.h
	if rh == 0 && rl == 0 && a.l == pl && b.l == 0 && a.e == 0 && b.e == 0 {
		return ddBall{q, 0, 0} // divides evenly
	}
	qh, ql := fastTwoSum(q, q2)
	e := (a.e+math.Abs(qh)*b.e)/den + 4*math.Abs(qh)*epsDD
	return ddBall{qh, ql, e * (1 + 1e-12)}
}

func (a ddBall) sqrt() ddBall {
	if a.h <= a.e*(1+1e-12) {
		m := math.Sqrt(math.Max(0, a.h) + a.e)
		return ddBall{m / 2, 0, m * 0.51}
	}
	q := math.Sqrt(a.h)
	ph, pl := twoProd(q, q)
	rh, rl := twoSum(a.h, -ph)
	if rh == 0 && rl == 0 && a.l == pl && a.e == 0 {
		return ddBall{q, 0, 0} // a square
	}
	q2 := (rh + (rl + (a.l - pl))) / (2 * q)
	qh, ql := fastTwoSum(q, q2)
	return ddBall{qh, ql, (a.e/qh + 4*qh*epsDD) * (1 + 1e-12)}
}

func (a ddBall) sign() (int, bool) {
	// |h| bounds h+l to within an ulp of h; the slack in e covers it.
	switch {
	case a.h > a.e*(1+1e-12):
		return 1, true
	case a.h < -a.e*(1+1e-12):
		return -1, true
	}
	return 0, a.h == 0 && a.e == 0
}

type fieldDD struct{}

func (fieldDD) num(x float64) ddBall { return ddBall{x, 0, 0} }

func (fieldDD) cross(a, b, c, d float64) ddBall {
	ph, pl := twoProd(a, d)
	qh, ql := twoProd(b, c)
	// The sum of two exact double-doubles can cancel; the accurate addition
	// keeps the relative error (Joldes et al., theorem 3.1).
	return ddBall{ph, pl, 0}.add(ddBall{-qh, -ql, 0})
}

// bigBall is a big.Float with an error bound; bounds stay far above the least
// float64 because bigBits is far below 1000 and values are at least 1e-40.
type bigBall struct {
	f *big.Float
	e float64
}

// epsBig bounds the relative rounding of one big.Float operation.
var epsBig = math.Ldexp(1, -bigBits)

func newBig() *big.Float { return new(big.Float).SetPrec(bigBits) }

func absBig(f *big.Float) float64 {
	v, _ := f.Float64()
	return math.Abs(v) * (1 + 1e-12)
}

func (a bigBall) add(b bigBall) bigBall {
	z := newBig().Add(a.f, b.f)
	return bigBall{z, (a.e + b.e + absBig(z)*epsBig) * (1 + 1e-12)}
}

func (a bigBall) sub(b bigBall) bigBall {
	z := newBig().Sub(a.f, b.f)
	return bigBall{z, (a.e + b.e + absBig(z)*epsBig) * (1 + 1e-12)}
}

func (a bigBall) mul(b bigBall) bigBall {
	z := newBig().Mul(a.f, b.f)
	e := absBig(a.f)*b.e + a.e*(absBig(b.f)+b.e) + absBig(z)*epsBig
	return bigBall{z, e * (1 + 1e-12)}
}

func (a bigBall) div(b bigBall) bigBall {
	den := absBig(b.f)*(1-1e-11) - b.e
	if !(den > 0) || b.f.Sign() == 0 {
		return bigBall{newBig(), math.Inf(1)}
	}
	z := newBig().Quo(a.f, b.f)
	return bigBall{z, ((a.e+absBig(z)*b.e)/den + absBig(z)*epsBig) * (1 + 1e-12)}
}

func (a bigBall) sqrt() bigBall {
	if a.f.Sign() <= 0 || absBig(a.f) <= a.e*(1+1e-11) {
		m := math.Sqrt(a.e)
		if a.f.Sign() > 0 {
			m = math.Sqrt(absBig(a.f) + a.e)
		}
		return bigBall{newBig().SetFloat64(m / 2), m * 0.51}
	}
	z := newBig().Sqrt(a.f)
	v := absBig(z) * (1 - 1e-11)
	return bigBall{z, (a.e/v + v*2*epsBig) * (1 + 1e-11)}
}

func (a bigBall) sign() (int, bool) {
	s := a.f.Sign()
	if absBig(a.f)*(1-1e-11) > a.e {
		return s, true
	}
	return 0, s == 0 && a.e == 0
}

type fieldBig struct{}

func (fieldBig) num(x float64) bigBall { return bigBall{newBig().SetFloat64(x), 0} }

func (f fieldBig) cross(a, b, c, d float64) bigBall {
	// Products of two float64 and their difference are exact at this precision.
	p := newBig().Mul(f.num(a).f, f.num(d).f)
	q := newBig().Mul(f.num(b).f, f.num(c).f)
	return bigBall{p.Sub(p, q), 0}
}
