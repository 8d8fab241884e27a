package geom

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// allNear proves that no point of s lies farther than tol from a chain: it holds
// s against the nearest segment of the chain, in closed form, and halves it where
// one segment does not answer for all of it. One of the two must be straight.
func allNear(s Seg, chain Path, x *Index, tol float64) bool {
	m := s.At(0.5)
	at, d := x.Nearest(Line(m, m))
	switch o := chain[at.Seg]; {
	case s.Turn == Straight && farthestOnLine(s, o) <= tol:
		return true
	case s.Turn != Straight && farthestOnArc(s, o) <= tol:
		return true
	case d > tol || s.Length() < tol*1e-6:
		return false
	}
	for _, half := range s.Split(0.5) {
		if !allNear(half, chain, x, tol) {
			return false
		}
	}
	return true
}

// checkCurve proves that a chain and the curve at(0..1) lie within tol of each
// other. The second derivative is bounded by second, so that n chords of the
// curve stray from it by second/(8 n^2) and no more; chords and chain are held
// against each other in closed form, with that much less allowed.
func checkCurve(t require.TestingT, at func(float64) Point, second, tol float64, chain Path) {
	require.NoError(t, chain.Validate())
	require.NotEmpty(t, chain)
	require.Less(t, chain.Start().Dist(at(0)), 1e-9)
	require.Less(t, chain.End().Dist(at(1)), 1e-9)
	chords := tol / 50
	n := int(math.Sqrt(second/(8*chords))) + 10
	pts := make([]Point, n+1)
	for i := range pts {
		pts[i] = at(float64(i) / float64(n))
	}
	poly := Polyline(pts...)
	x, y := NewPathIndex([]Path{chain}), NewPathIndex([]Path{poly})
	for _, l := range poly {
		require.True(t, allNear(l, chain, x, tol-chords), "the curve strays from the chain near %v", l.A)
	}
	for i, s := range chain {
		require.True(t, allNear(s, poly, y, tol-chords), "segment %d of the chain strays from the curve", i)
	}
}

// worstCorner returns the greatest change of direction between neighbours.
func worstCorner(chain Path) float64 {
	worst := 0.0
	for i := 1; i < len(chain); i++ {
		u, v := chain[i-1].Tangent(1), chain[i].Tangent(0)
		worst = math.Max(worst, math.Abs(math.Atan2(u.Cross(v), u.Dot(v))))
	}
	return worst
}

func TestCubicTable(t *testing.T) {
	const k = 0.5522847498 // a quarter circle within 0.03 % of its radius
	for _, c := range []struct {
		name           string
		p0, p1, p2, p3 Point
		most           int // segments at 0.01 mm
		smooth         bool
	}{
		{"line", Pt(0, 0), Pt(1, 1), Pt(2, 2), Pt(3, 3), 1, true},
		{"quarter circle", Pt(10, 0), Pt(10, 10*k), Pt(10*k, 10), Pt(0, 10), 2, true},
		{"S", Pt(0, 0), Pt(10, 0), Pt(0, 10), Pt(10, 10), 16, true},
		{"loop", Pt(0, 0), Pt(20, 10), Pt(-10, 10), Pt(10, 0), 24, true},
		{"cusp", Pt(0, 0), Pt(10, 10), Pt(0, 10), Pt(10, 0), 40, false},
		{"first handle without length", Pt(0, 0), Pt(0, 0), Pt(5, 10), Pt(10, 0), 16, true},
		{"no handles", Pt(0, 0), Pt(0, 0), Pt(10, 5), Pt(10, 5), 2, true},
		{"there and back", Pt(0, 0), Pt(10, 0), Pt(10, 0), Pt(0, 0), 2, false},
		{"closed drop", Pt(0, 0), Pt(10, 10), Pt(-10, 10), Pt(0, 0), 20, true},
		{"smaller than the tolerance", Pt(0, 0), Pt(1e-3, 0), Pt(1e-3, 1e-3), Pt(2e-3, 0), 1, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := &cubic{p0: c.p0, p1: c.p1, p2: c.p2, p3: c.p3}
			for _, tol := range []float64{0.1, 0.01, 1e-3, 1e-4} {
				chain := Cubic(c.p0, c.p1, c.p2, c.p3, tol)
				checkCurve(t, b.at, b.maxSecond(0, 1), tol, chain)
				if c.smooth {
					assert.Less(t, worstCorner(chain), 1e-6, "tol %g", tol)
				}
				if tol == 0.01 {
					assert.LessOrEqual(t, len(chain), c.most)
				}
			}
		})
	}
}

// tightest returns a bound of the least radius of curvature, about 0 at a cusp.
func tightest(b *cubic) float64 {
	least := math.Inf(1)
	const n = 2000
	for i := range n + 1 {
		t := float64(i) / n
		d := b.p1.Sub(b.p0).Lerp(b.p2.Sub(b.p1), t).Lerp(b.p2.Sub(b.p1).Lerp(b.p3.Sub(b.p2), t), t).Mul(3)
		least = math.Min(least, d.Dot(d)/b.second(t).Len())
	}
	return least
}

func TestCurvesAtRandom(t *testing.T) {
	smooth := 0
	rapid.Check(t, func(t *rapid.T) {
		p := [4]Point{}
		for i := range p {
			p[i] = genPoint(t, fmt.Sprint("p", i))
		}
		tol := rapid.SampledFrom([]float64{0.1, 0.01, 1e-3}).Draw(t, "tol")
		b := &cubic{p0: p[0], p1: p[1], p2: p[2], p3: p[3]}
		chain := Cubic(p[0], p[1], p[2], p[3], tol)
		if chain == nil {
			require.True(t, p[0] == p[1] && p[1] == p[2] && p[2] == p[3])
			return
		}
		if p[0] == p[3] && b.at(0.5).Dist(p[0]) == 0 {
			return
		}
		checkCurve(t, b.at, b.maxSecond(0, 1), tol, chain)
		require.LessOrEqual(t, len(chain), 400)
		if tightest(b) > 10*tol {
			smooth++
			require.Less(t, worstCorner(chain), 1e-5) // rounding, where a piece is a nanometre long
		}

		q := Quadratic(p[0], p[1], p[2], tol)
		if q != nil {
			at := func(t float64) Point { return p[0].Lerp(p[1], t).Lerp(p[1].Lerp(p[2], t), t) }
			checkCurve(t, at, p[0].Add(p[2]).Sub(p[1].Mul(2)).Len()*2+1e-9, tol, q)
		}
	})
	require.Greater(t, smooth, 10)
}

func TestEllipticalArc(t *testing.T) {
	for _, c := range []struct {
		name                           string
		rx, ry, rotation, start, sweep float64
		most                           int // segments at 0.01 mm
	}{
		{"whole", 20, 10, 0, 0, 2 * math.Pi, 34},
		{"more than whole", 20, 10, 0.3, 1, -99, 40},
		{"quarter", 20, 10, 0, 0, math.Pi / 2, 8},
		{"clockwise part, turned", 20, 10, 1, 2, -3, 20},
		{"thin", 20, 0.1, 0, 0.5, 5, 60},
		{"flat", 20, 0, 0, 0.5, 5, 4},
		{"flat the other way", 0, 20, 0, 0.5, -5, 4},
		{"circle", 5, 5, 1, 1, 7, 1},
		{"part of a circle", 5, -5, 0, 1, -2, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			centre := Pt(3, 4)
			sweep := math.Max(-2*math.Pi, math.Min(2*math.Pi, c.sweep))
			at := func(t float64) Point {
				u := c.start + t*sweep
				p := Pt(math.Abs(c.rx)*math.Cos(u), math.Abs(c.ry)*math.Sin(u))
				return Rotate(c.rotation).Apply(p).Add(centre)
			}
			for _, tol := range []float64{0.1, 0.01, 1e-3, 1e-4} {
				chain := EllipticalArc(centre, c.rx, c.ry, c.rotation, c.start, c.sweep, tol)
				checkCurve(t, at, math.Max(math.Abs(c.rx), math.Abs(c.ry))*sweep*sweep, tol, chain)
				if c.rx*c.ry != 0 && tol < c.ry/50 {
					assert.Less(t, worstCorner(chain), 1e-6, "tol %g", tol)
				}
				if tol == 0.01 {
					assert.LessOrEqual(t, len(chain), c.most)
				}
				if math.Abs(c.sweep) >= 2*math.Pi {
					assert.Equal(t, chain.Start(), chain.End())
				}
			}
		})
	}
}

func TestCurvesRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	o, x := Pt(0, 0), Pt(1, 0)
	for name, p := range map[string]Path{
		"point":           Cubic(x, x, x, x, 0.01),
		"NaN":             Cubic(o, Pt(nan, 0), x, x, 0.01),
		"Inf":             Quadratic(o, Pt(inf, 0), x, 0.01),
		"too big":         Cubic(o, x, x, Pt(1e9, 0), 0.01),
		"no ellipse":      EllipticalArc(o, 0, 0, 0, 0, 1, 0.01),
		"no sweep":        EllipticalArc(o, 1, 2, 0, 0, 0, 0.01),
		"NaN axis":        EllipticalArc(o, nan, 2, 0, 0, 1, 0.01),
		"NaN second axis": EllipticalArc(o, 1, nan, 0, 0, 1, 0.01),
		"NaN start":       EllipticalArc(o, 1, 2, 0, nan, 1, 0.01),
		"infinite sweep":  EllipticalArc(o, 1, 2, 0, 0, inf, 0.01),
		"NaN centre":      EllipticalArc(Pt(nan, 0), 1, 2, 0, 0, 1, 0.01),
	} {
		assert.Nil(t, p, name)
	}
	assert.Equal(t, Cubic(o, x, Pt(1, 1), Pt(0, 1), Tol), Cubic(o, x, Pt(1, 1), Pt(0, 1), nan))
}

func TestFlatten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := genSeg(t, "s")
		chord := rapid.SampledFrom([]float64{1e-5, 1e-3, 0.1, 10}).Draw(t, "chord")
		pts := Flatten([]Seg{s}, chord)
		require.Equal(t, s.A, pts[0])
		require.Equal(t, s.B, pts[len(pts)-1])
		for i := 1; i < len(pts); i++ {
			// The sagitta in closed form: the foot of the centre on the chord.
			if l := Line(pts[i-1], pts[i]); s.IsArc() {
				require.LessOrEqual(t, farthestOnLine(l, s), chord*(1+1e-9)+1e-12)
				require.LessOrEqual(t, s.Radius()-l.Distance(s.C), math.Max(chord, s.Radius())*(1+1e-9))
			}
		}
		if s.IsArc() && chord < s.Radius()/2 && len(pts) > 2 {
			// One chord fewer would not do.
			step := math.Abs(s.Sweep()) / float64(len(pts)-2)
			require.Greater(t, s.Radius()*(1-math.Cos(step/2)), chord*(1-1e-6))
		}
	})
	assert.Nil(t, Flatten(nil, 1))
	assert.Equal(t, []Point{{0, 0}, {1, 0}, {1, 1}}, Flatten(mustPath(t, "M 0 0 L 1 0 L 1 1"), 0.1))
	assert.Equal(t, Flatten(Circle(Pt(0, 0), 1), Tol), Flatten(Circle(Pt(0, 0), 1), math.NaN()))
	assert.Len(t, Flatten(Circle(Pt(0, 0), 1), 99), 4)
}

func BenchmarkCubic(b *testing.B) {
	for b.Loop() {
		Cubic(Pt(0, 0), Pt(10, 0), Pt(0, 10), Pt(10, 10), 1e-3)
	}
}
