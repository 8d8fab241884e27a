package geom

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Arithmetic in 400 bits, against which the closed forms in float64 are held.

func bigOf(v float64) *big.Float        { return new(big.Float).SetPrec(400).SetFloat64(v) }
func bigSub(a, b *big.Float) *big.Float { return bigOf(0).Sub(a, b) }
func bigMul(a, b *big.Float) *big.Float { return bigOf(0).Mul(a, b) }

func bigDist(p, q Point) *big.Float {
	dx, dy := bigSub(bigOf(p.X), bigOf(q.X)), bigSub(bigOf(p.Y), bigOf(q.Y))
	sum := bigOf(0).Add(bigMul(dx, dx), bigMul(dy, dy))
	return bigOf(0).Sqrt(sum)
}

// bigLineDistance is the distance from p to the carrier of a-b.
func bigLineDistance(a, b, p Point) *big.Float {
	ux, uy := bigSub(bigOf(b.X), bigOf(a.X)), bigSub(bigOf(b.Y), bigOf(a.Y))
	vx, vy := bigSub(bigOf(p.X), bigOf(a.X)), bigSub(bigOf(p.Y), bigOf(a.Y))
	cross := bigSub(bigMul(ux, vy), bigMul(uy, vx))
	return bigOf(0).Quo(cross.Abs(cross), bigDist(a, b))
}

func bigFloat(b *big.Float) float64 { f, _ := b.Float64(); return f }

// rounding is what a distance may be off, relative to the greatest coordinate or
// radius that takes part: about ten roundings.
const rounding = 10 * 0x1p-52

func TestDistanceRounding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.SampledFrom([]float64{1e-6, 1, 300, 1e6}).Draw(t, "scale")
		shift := Pt(rapid.SampledFrom([]float64{0, 0.1, 1e4, 1e6}).Draw(t, "shift"), -7.7)
		place := func(p Point) Point { return p.Mul(scale / 3).Add(shift) }
		a, b, p := place(genPoint(t, "a")), place(genPoint(t, "b")), place(genPoint(t, "p"))
		size := math.Max(scale*5, 2*shift.Len())

		want := math.Min(bigFloat(bigDist(a, p)), bigFloat(bigDist(b, p)))
		u := b.Sub(a)
		if s, e := u.Dot(p.Sub(a)), u.Dot(p.Sub(b)); s > 0 && e < 0 {
			want = bigFloat(bigLineDistance(a, b, p))
		}
		require.InDelta(t, want, Line(a, b).Distance(p), rounding*size)

		// A full circle through a about b; a second one through p about a.
		if a == b || a == p {
			return
		}
		one, two := Arc(a, a, b, CCW), Arc(p, p, a, CW)
		r, q := bigDist(a, b), bigDist(p, a)
		gap := func(d, r *big.Float) float64 { return math.Abs(bigFloat(bigSub(d, r))) }
		require.InDelta(t, gap(bigDist(p, b), r), one.Distance(p), rounding*size)

		d := bigDist(b, a) // between the centres: that of two lies on one
		want = 0
		sum, diff := bigOf(0).Add(r, q), bigSub(r, q)
		if d.Cmp(sum) > 0 {
			want = gap(d, sum)
		} else if diff.Abs(diff); d.Cmp(diff) < 0 {
			want = gap(diff, d)
		}
		require.InDelta(t, want, one.DistanceTo(two), 2*rounding*size)

		// A line across the circle, long enough to have the foot inside.
		w := p.Sub(a)
		if w.Len() < 1e-3*scale {
			return
		}
		long := Line(a.Sub(w.Mul(1000)), a.Add(w.Mul(1000)))
		h := bigLineDistance(long.A, long.B, place(Pt(3, 3)))
		ring := Arc(place(Pt(4, 3)), place(Pt(4, 3)), place(Pt(3, 3)), CCW)
		reach := bigDist(place(Pt(4, 3)), place(Pt(3, 3)))
		want = 0
		if h.Cmp(reach) > 0 {
			want = gap(h, reach)
		}
		require.InDelta(t, want, ring.DistanceTo(long), rounding*(size+long.Length()))
	})
}
