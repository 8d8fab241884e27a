package geom

import (
	"fmt"
	"math"
	"math/big"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"
)

// The least distance of two segments in 400 bits, straight from its definition.

// bigPt is a point or vector in 400 bits.
type bigPt struct{ x, y *big.Float }

func bigPoint(p Point) bigPt            { return bigPt{bigOf(p.X), bigOf(p.Y)} }
func bigAdd(a, b *big.Float) *big.Float { return bigOf(0).Add(a, b) }
func bigDiv(a, b *big.Float) *big.Float { return bigOf(0).Quo(a, b) }
func bigNeg(a *big.Float) *big.Float    { return bigOf(0).Neg(a) }
func (a bigPt) sub(b bigPt) bigPt       { return bigPt{bigSub(a.x, b.x), bigSub(a.y, b.y)} }
func (a bigPt) add(b bigPt) bigPt       { return bigPt{bigAdd(a.x, b.x), bigAdd(a.y, b.y)} }
func (a bigPt) mul(f *big.Float) bigPt  { return bigPt{bigMul(a.x, f), bigMul(a.y, f)} }
func (a bigPt) left() bigPt             { return bigPt{bigNeg(a.y), a.x} }
func (a bigPt) dot(b bigPt) *big.Float  { return bigAdd(bigMul(a.x, b.x), bigMul(a.y, b.y)) }
func (a bigPt) cross(b bigPt) *big.Float {
	return bigSub(bigMul(a.x, b.y), bigMul(a.y, b.x))
}
func (a bigPt) len() *big.Float { return bigRoot(a.dot(a)) }

func bigRoot(a *big.Float) *big.Float {
	if a.Sign() <= 0 {
		return bigOf(0)
	}
	return bigOf(0).Sqrt(a)
}

func bigLeast(a *big.Float, more ...*big.Float) *big.Float {
	for _, b := range more {
		if b.Cmp(a) < 0 {
			a = b
		}
	}
	return a
}

// bigSeg is a segment in 400 bits; an arc has the mean radius of its ends.
type bigSeg struct {
	Seg
	a, b, c bigPt
	r       *big.Float
}

func bigSegOf(s Seg) bigSeg {
	q := bigSeg{Seg: s, a: bigPoint(s.A), b: bigPoint(s.B)}
	if s.IsArc() {
		q.c = bigPoint(s.C)
		q.r = bigMul(bigAdd(q.a.sub(q.c).len(), q.b.sub(q.c).len()), bigOf(0.5))
	}
	return q
}

// faces reports whether an arc meets the ray from its centre along v.
func (s bigSeg) faces(v bigPt) bool {
	if s.A == s.B {
		return true
	}
	a, b := s.a.sub(s.c), s.b.sub(s.c)
	if s.Turn == CW {
		a, b = b, a
	}
	fromA, toB := a.cross(v).Sign() >= 0, v.cross(b).Sign() >= 0
	switch a.cross(b).Sign() {
	case 1:
		return fromA && toB
	case -1:
		return fromA || toB
	}
	if a.dot(b).Sign() > 0 {
		return fromA && toB && a.dot(v).Sign() > 0
	}
	return fromA
}

// from returns the distance of p.
func (s bigSeg) from(p bigPt) *big.Float {
	d := bigLeast(p.sub(s.a).len(), p.sub(s.b).len())
	if s.IsArc() {
		if v := p.sub(s.c); s.faces(v) {
			off := bigSub(v.len(), s.r)
			d = bigLeast(d, off.Abs(off))
		}
		return d
	}
	u, v := s.b.sub(s.a), p.sub(s.a)
	if t := u.dot(v); t.Sign() > 0 && t.Cmp(u.dot(u)) < 0 {
		off := bigDiv(u.cross(v), u.len())
		d = bigLeast(d, off.Abs(off))
	}
	return d
}

// to returns the least distance to o.
func (s bigSeg) to(o bigSeg) *big.Float {
	d := bigLeast(s.from(o.a), s.from(o.b), o.from(s.a), o.from(s.b))
	switch {
	case s.IsArc() && o.IsArc():
		return bigLeast(d, s.toArc(o)...)
	case s.IsArc():
		return bigLeast(d, o.lineToArc(s)...)
	case o.IsArc():
		return bigLeast(d, s.lineToArc(o)...)
	}
	u, v := s.b.sub(s.a), o.b.sub(o.a)
	if u.cross(o.a.sub(s.a)).Sign()*u.cross(o.b.sub(s.a)).Sign() < 0 &&
		v.cross(s.a.sub(o.a)).Sign()*v.cross(s.b.sub(o.a)).Sign() < 0 {
		return bigOf(0)
	}
	return d
}

// lineToArc returns the distances at the places between the ends of a line and an arc
// where it may be least.
func (s bigSeg) lineToArc(o bigSeg) []*big.Float {
	u := s.b.sub(s.a)
	l2 := u.dot(u)
	if l2.Sign() == 0 {
		return nil
	}
	within := func(t *big.Float) bool {
		return t.Sign() >= 0 && t.Cmp(bigOf(1)) <= 0 && o.faces(s.a.add(u.mul(t)).sub(o.c))
	}
	t := bigDiv(u.dot(o.c.sub(s.a)), l2)
	v := s.a.add(u.mul(t)).sub(o.c)
	left := bigSub(bigMul(o.r, o.r), v.dot(v))
	if left.Sign() < 0 {
		if within(t) {
			return []*big.Float{bigSub(v.len(), o.r)}
		}
		return nil
	}
	half := bigRoot(bigDiv(left, l2))
	if within(bigAdd(t, half)) || within(bigSub(t, half)) {
		return []*big.Float{bigOf(0)}
	}
	return nil
}

// toArc does so for two arcs.
func (s bigSeg) toArc(o bigSeg) (ds []*big.Float) {
	w := o.c.sub(s.c)
	d := w.len()
	if d.Sign() == 0 {
		return nil
	}
	u := w.mul(bigDiv(bigOf(1), d))
	// Crossings lie x along the line of centres from that of s, and y aside.
	x := bigDiv(bigAdd(bigMul(d, d), bigSub(bigMul(s.r, s.r), bigMul(o.r, o.r))), bigMul(bigOf(2), d))
	if y2 := bigSub(bigMul(s.r, s.r), bigMul(x, x)); y2.Sign() >= 0 {
		y := bigRoot(y2)
		for _, aside := range [2]*big.Float{y, bigNeg(y)} {
			v := u.mul(x).add(u.left().mul(aside))
			if s.faces(v) && o.faces(v.sub(w)) {
				return []*big.Float{bigOf(0)}
			}
		}
	}
	for _, a := range [2]float64{1, -1} {
		for _, b := range [2]float64{1, -1} {
			if s.faces(w.mul(bigOf(a))) && o.faces(w.mul(bigOf(b))) {
				gap := bigSub(bigAdd(d, bigMul(o.r, bigOf(b))), bigMul(s.r, bigOf(a)))
				ds = append(ds, gap.Abs(gap))
			}
		}
	}
	return ds
}

// closeSeg returns a segment of radius 1e-6 to 1e6 that is likely to touch, to
// continue or to miss near by as little as 1e-14 mm.
func closeSeg(rng *rand.Rand, near *Seg) Seg {
	tiny := func() float64 { return math.Pow(10, -14*rng.Float64()) }
	away := func() Point { return Polar(tiny(), 7*rng.Float64()) }
	a := Pt(3*rng.NormFloat64(), 3*rng.NormFloat64())
	if rng.Intn(3) == 0 {
		a = Pt(float64(rng.Intn(9)-4), float64(rng.Intn(9)-4))
	}
	along := Point{1, 0}
	if near != nil {
		if rng.Intn(2) == 0 {
			a = near.At(rng.Float64())
		}
		along = near.Tangent(near.param(a))
		if rng.Intn(2) == 0 {
			a = a.Add(away())
		}
	}
	turn := Turn(rng.Intn(3) - 1)
	if turn == Straight {
		b := a.Add(Pt(3*rng.NormFloat64(), 3*rng.NormFloat64()))
		if rng.Intn(3) == 0 {
			b = a.Add(along.Mul(math.Pow(10, 3-9*rng.Float64())))
			a = a.Sub(along.Mul(math.Pow(10, 3-9*rng.Float64())))
		}
		return Line(a, b)
	}
	r := 0.5 + 4*rng.Float64()
	if rng.Intn(2) == 0 {
		r = math.Pow(10, 12*rng.Float64()-6)
	}
	c := a.Add(Polar(r, 7*rng.Float64()))
	switch rng.Intn(4) {
	case 0: // a tangent
		c = a.Add(along.Left().Mul(r * float64(1-2*rng.Intn(2))))
	case 1: // concentric, or nearly so
		if near != nil && near.IsArc() {
			c = near.C.Add(away().Mul(float64(rng.Intn(2))))
		}
	}
	all := Arc(a, a, c, turn)
	if rng.Intn(5) == 0 {
		return all
	}
	sweep := 2 * math.Pi * rng.Float64()
	switch rng.Intn(4) {
	case 0:
		sweep = math.Pow(10, -9*rng.Float64())
	case 1:
		sweep = 2*math.Pi - math.Pow(10, -9*rng.Float64())
	case 2:
		sweep = math.Pi + (rng.Float64()-0.5)*tiny()
	}
	sweep *= float64(turn)
	if rng.Intn(2) == 0 { // the place is within the arc
		a = all.swing(a, -sweep*rng.Float64(), 0)
		all = Arc(a, a, c, turn)
	}
	return Arc(a, all.swing(a, sweep, 0), c, turn)
}

// checkLeast compares the distance of two segments, both ways round, with that in
// 400 bits. It may be off by a millionth of a millionth of the largest number that
// takes part, and by what an arc's ends differ in radius.
func checkLeast(seed int64) error {
	rng := rand.New(rand.NewSource(seed))
	s := closeSeg(rng, nil)
	o := closeSeg(rng, &s)
	if rng.Intn(3) == 0 {
		far := func() float64 { return rng.NormFloat64() * math.Pow(10, 6*rng.Float64()) }
		by := Translate(Pt(far(), far()))
		s, o = s.Transform(by), o.Transform(by)
	}
	if s.Validate() != nil || o.Validate() != nil {
		return nil
	}
	tol := 0.0
	for _, q := range [2]Seg{s, o} {
		size := max(math.Abs(q.A.X), math.Abs(q.A.Y), math.Abs(q.B.X), math.Abs(q.B.Y))
		if q.IsArc() {
			size = max(size, math.Abs(q.C.X), math.Abs(q.C.Y), q.Radius())
			lo, hi := q.band()
			tol += 2 * (hi - lo)
		}
		tol += 1e-12 * size
	}
	want := bigFloat(bigSegOf(s).to(bigSegOf(o)))
	for _, got := range [2]float64{s.DistanceTo(o), o.DistanceTo(s)} {
		if !(math.Abs(got-want) <= tol) {
			return fmt.Errorf("%v and %v: %.17g mm apart, not %.17g", s, o, got, want)
		}
	}
	return nil
}

func TestLeastDistanceIsExact(t *testing.T) {
	for k := range 10 * randoms() {
		seed := *randomSeed + int64(k)
		require.NoError(t, checkLeast(seed), "seed %d", seed)
	}
}

// TestTinyArcAcrossHugeCircle: seen from the centre of the huge one, the places where
// they cross would be off by more than the tiny one is long.
func TestTinyArcAcrossHugeCircle(t *testing.T) {
	tiny := Arc(Pt(-3.0009956146689007, -3.9999995719613572), Pt(-2.999998786720567, -3.99717792115195), Pt(-3.000497200694734, -3.9985887465566536), CCW)
	huge := Arc(Pt(-71732.35844177059, 240037.98096169168), Pt(-71732.35807327264, 240037.98709366165), Pt(292527.21258590446, 218147.97086100906), CCW)
	require.Zero(t, tiny.DistanceTo(huge))
	require.Zero(t, huge.DistanceTo(tiny))
}
