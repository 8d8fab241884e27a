package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestSegMeasures(t *testing.T) {
	quarter := Arc(Pt(5, 0), Pt(0, 5), Pt(0, 0), CCW)
	for _, c := range []struct {
		name          string
		s             Seg
		length, sweep float64
		box           Box
	}{
		{"line", Line(Pt(0, 0), Pt(3, 4)), 5, 0, Box{Pt(0, 0), Pt(3, 4)}},
		{"no length", Line(Pt(1, 1), Pt(1, 1)), 0, 0, Box{Pt(1, 1), Pt(1, 1)}},
		{"quarter", quarter, 5 * math.Pi / 2, math.Pi / 2, Box{Pt(0, 0), Pt(5, 5)}},
		{"three quarters", Arc(Pt(0, 5), Pt(5, 0), Pt(0, 0), CCW), 15 * math.Pi / 2, 3 * math.Pi / 2, Box{Pt(-5, -5), Pt(5, 5)}},
		{"clockwise quarter", quarter.Reverse(), 5 * math.Pi / 2, -math.Pi / 2, Box{Pt(0, 0), Pt(5, 5)}},
		{"half, upper", Arc(Pt(5, 0), Pt(-5, 0), Pt(0, 0), CCW), 5 * math.Pi, math.Pi, Box{Pt(-5, 0), Pt(5, 5)}},
		{"half, lower", Arc(Pt(5, 0), Pt(-5, 0), Pt(0, 0), CW), 5 * math.Pi, -math.Pi, Box{Pt(-5, -5), Pt(5, 0)}},
		{"circle", Circle(Pt(1, 2), 5)[0], 10 * math.Pi, 2 * math.Pi, Box{Pt(-4, -3), Pt(6, 7)}},
		{"clockwise circle", Circle(Pt(1, 2), 5)[0].Reverse(), 10 * math.Pi, -2 * math.Pi, Box{Pt(-4, -3), Pt(6, 7)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.InDelta(t, c.length, c.s.Length(), 1e-12)
			assert.InDelta(t, c.sweep, c.s.Sweep(), 1e-12)
			b := c.s.Bounds()
			for _, pair := range [][2]Point{{c.box.Min, b.Min}, {c.box.Max, b.Max}} {
				assert.InDelta(t, 0, pair[0].Dist(pair[1]), 1e-12, "bounds %v", b)
			}
			require.NoError(t, c.s.Validate())
		})
	}
}

// A short arc of huge radius keeps its length and its sagitta: nothing is lost
// in the difference of two large numbers.
func TestHugeRadius(t *testing.T) {
	const r = 1e6
	a, b := Pt(-0.5, 0), Pt(0.5, 0)
	c := Pt(0, -math.Sqrt(r*r-0.25))
	s := Arc(a, b, c, CW)
	require.NoError(t, s.Validate())
	assert.InDelta(t, 1, s.Length(), 1e-9)
	assert.InDelta(t, 0.125/r, s.At(0.5).Y, 1e-9) // chord^2/(8 r)
	assert.InDelta(t, 1, s.Distance(Pt(0, 1)), 1e-6)
	assert.InDelta(t, 0.5, s.Distance(Pt(1, 0)), 1e-9)
}

// The gap of an almost full circle and the sweep of an almost empty arc: seen
// from the far side their two ends are one, and what lies there must not be
// taken for the gap, nor for the arc.
func TestAlmostFullAndAlmostEmpty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := genPoint(t, "c")
		r := rapid.Float64Range(0.1, 50).Draw(t, "r")
		from := rapid.Float64Range(0, 7).Draw(t, "from")
		gap := math.Pow(10, rapid.Float64Range(-16, -2).Draw(t, "gap"))
		a, b := c.Add(Polar(r, from)), c.Add(Polar(r, from+gap))
		if a == b {
			return
		}
		short, long := Arc(a, b, c, CCW), Arc(a, b, c, CW)
		if short.Sweep() > 1 {
			return // rounding took b behind a
		}
		far := c.Add(Polar(r, from+math.Pi+rapid.SampledFrom([]float64{0, 1e-16, -1e-15, 1e-9, gap, gap / 2, 0.5}).Draw(t, "beside")))
		require.InDelta(t, 0, long.Distance(far), 1e-12)
		require.InDelta(t, far.Dist(a), short.Distance(far), gap*r+1e-12)
		cross := Line(far.Lerp(c, 0.5), far.Add(far.Sub(c)))
		require.InDelta(t, 0, long.DistanceTo(cross), 1e-12)
		require.Greater(t, short.DistanceTo(cross), 0.9*r)
		require.Len(t, long.Intersect(cross), 1)
		require.Empty(t, short.Intersect(cross))
		require.Equal(t, long.Reverse().Bounds(), long.Bounds())
		require.InDelta(t, 2*r, long.Bounds().Size().X, 0.02*r)
	})
}

func TestTinyRadius(t *testing.T) {
	c := Circle(Pt(100, -50), 1e-6)[0]
	require.NoError(t, c.Validate())
	assert.InDelta(t, 1-1e-6, c.Distance(Pt(101, -50)), 1e-12)
	assert.InDelta(t, 3-1e-6, c.DistanceTo(Line(Pt(0, -47), Pt(200, -47))), 1e-12)
}

func TestSegProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := genSeg(t, "s")
		require.NoError(t, s.Validate())
		l := s.Length()
		box := s.Bounds().Grow(1e-9)
		for _, p := range samples(s, 16) {
			require.True(t, box.Contains(p), "bounds hold %v", p)
			require.Less(t, s.Distance(p), 1e-12)
			require.Less(t, s.Closest(p).Dist(p), 1e-12)
		}
		require.Equal(t, s.A, s.At(0))
		require.Equal(t, s.B, s.At(1))
		rev := s.Reverse()
		require.InDelta(t, l, rev.Length(), 1e-9)
		require.InDelta(t, -s.Sweep(), rev.Sweep(), 1e-9)

		at := rapid.Float64Range(0, 1).Draw(t, "t")
		require.Less(t, rev.At(1-at).Dist(s.At(at)), 1e-9)
		if l > 1e-3 {
			// The tangent is the derivative; the parameter is found again.
			h := 1e-7
			v := s.At(at + h).Sub(s.At(at - h)).Unit()
			require.Less(t, v.Dist(s.Tangent(at)), 1e-4)
			if !s.IsCircle() {
				require.InDelta(t, at, s.param(s.At(at)), 1e-9)
			}
		}
		parts := s.Split(at, 0.25, 0.5, 0.5, -1, 2)
		sum := 0.0
		for i, q := range parts {
			sum += q.Length()
			if i > 0 {
				require.Equal(t, parts[i-1].B, q.A)
			}
		}
		require.Equal(t, s.A, parts[0].A)
		require.Equal(t, s.B, parts[len(parts)-1].B)
		require.InDelta(t, l, sum, 1e-9)
	})
}

// The closed forms against dense samples of one or both segments: a sample is
// never nearer, and the nearest sample is not much farther.
func TestDistanceAgainstSamples(t *testing.T) {
	const n = 400
	rapid.Check(t, func(t *rapid.T) {
		s, o, p := genSeg(t, "s"), genSeg(t, "o"), genPoint(t, "p")
		got, near := s.Distance(p), math.Inf(1)
		pts := samples(s, n)
		for _, q := range pts {
			near = math.Min(near, q.Dist(p))
		}
		step := s.Length() / n
		require.LessOrEqual(t, got, near+1e-12)
		require.GreaterOrEqual(t, got, near-step/2-1e-12)
		require.InDelta(t, got, s.Closest(p).Dist(p), 1e-9)

		d, near := s.DistanceTo(o), math.Inf(1)
		for _, q := range pts {
			near = math.Min(near, o.Distance(q))
		}
		require.LessOrEqual(t, d, near+1e-12, "%v to %v", s, o)
		require.GreaterOrEqual(t, d, near-step/2-1e-12, "%v to %v", s, o)
		require.InDelta(t, d, o.DistanceTo(s), 1e-9)
		require.InDelta(t, d, s.Reverse().DistanceTo(o), 1e-9)

		// What meets has distance 0, and what has not, does not meet.
		hits := s.Intersect(o)
		for _, h := range hits {
			require.LessOrEqual(t, s.Distance(h), 1.01*Tol)
			require.LessOrEqual(t, o.Distance(h), 1.01*Tol)
		}
		if len(hits) > 0 {
			require.LessOrEqual(t, d, 2*Tol)
		} else {
			require.Greater(t, d, 0.0, "%v and %v", s, o)
		}
	})
}

func TestDistanceTable(t *testing.T) {
	unit := Circle(Pt(0, 0), 1)[0]
	upper := Arc(Pt(1, 0), Pt(-1, 0), Pt(0, 0), CCW)
	for _, c := range []struct {
		name string
		s, o Seg
		want float64
	}{
		{"parallel lines", Line(Pt(0, 0), Pt(4, 0)), Line(Pt(1, 2), Pt(9, 2)), 2},
		{"crossing lines", Line(Pt(0, 0), Pt(4, 4)), Line(Pt(0, 4), Pt(4, 0)), 0},
		{"collinear, apart", Line(Pt(0, 0), Pt(1, 0)), Line(Pt(3, 0), Pt(2, 0)), 1},
		{"collinear, over each other", Line(Pt(0, 0), Pt(3, 0)), Line(Pt(2, 0), Pt(5, 0)), 0},
		{"T", Line(Pt(0, 0), Pt(4, 0)), Line(Pt(2, 1), Pt(2, 5)), 1},
		{"two points", Line(Pt(0, 0), Pt(0, 0)), Line(Pt(3, 4), Pt(3, 4)), 5},
		{"point on a line", Line(Pt(0, 0), Pt(4, 0)), Line(Pt(3, 0), Pt(3, 0)), 0},
		{"line over a circle", unit, Line(Pt(-5, 3), Pt(5, 3)), 2},
		{"line through a circle", unit, Line(Pt(-5, 0.5), Pt(5, 0.5)), 0},
		{"line within a circle", unit, Line(Pt(-0.5, 0), Pt(0.5, 0)), 0.5},
		{"tangent line", unit, Line(Pt(-5, 1), Pt(5, 1)), 0},
		{"line under an upper half", upper, Line(Pt(-5, -2), Pt(5, -2)), 2},
		{"line through the missing half", upper, Line(Pt(-5, -0.5), Pt(5, -0.5)), 0.5},
		{"line out of the open side", upper, Line(Pt(0, 0.25), Pt(0, -9)), 0.75},
		{"circles apart", unit, Circle(Pt(5, 0), 2)[0], 2},
		{"circles nested", unit, Circle(Pt(0.5, 0), 3)[0], 1.5},
		{"circles concentric", unit, Circle(Pt(0, 0), 3)[0], 2},
		{"circles equal", unit, unit.Reverse(), 0},
		{"circles touching", unit, Circle(Pt(3, 0), 2)[0], 0},
		{"circles touching within", Circle(Pt(0, 0), 3)[0], Circle(Pt(1, 0), 2)[0], 0},
		{"circles crossing", unit, Circle(Pt(1, 0), 1)[0], 0},
		{"half circles, concentric, facing away", upper, Arc(Pt(-3, 0), Pt(3, 0), Pt(0, 0), CCW), 2},
		{"crossing only where an arc is missing", upper, Arc(Pt(-2, -1), Pt(2, -1), Pt(0, -1), CW), 0},
		{"half over half", upper, Arc(Pt(1, 5), Pt(-1, 5), Pt(0, 5), CW), 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.InDelta(t, c.want, c.s.DistanceTo(c.o), 1e-12)
			assert.InDelta(t, c.want, c.o.DistanceTo(c.s), 1e-12)
			assert.InDelta(t, c.want, c.s.Reverse().DistanceTo(c.o.Reverse()), 1e-12)
			far := Translate(Pt(1e4, -3e4))
			assert.InDelta(t, c.want, c.s.Transform(far).DistanceTo(c.o.Transform(far)), 1e-9)
		})
	}
}

// Near a tangency the crossings are ill placed, the distance is not: it grows
// and shrinks by what the circle is moved.
func TestNearTangent(t *testing.T) {
	line := Line(Pt(-100, 0), Pt(100, 0))
	for _, r := range []float64{1e-3, 1, 1e3, 1e6} {
		for gap := 1e-3; gap > 1e-13; gap /= 10 {
			slack := 4e-16 * r
			c := Circle(Pt(0, r+gap), r)[0]
			assert.InDelta(t, gap, c.DistanceTo(line), slack+1e-15, "r %g gap %g", r, gap)
			c = Circle(Pt(0, r-gap/2), r)[0]
			assert.LessOrEqual(t, c.DistanceTo(line), slack, "r %g, %g deep", r, gap)
			o := Circle(Pt(0, -2-gap), 2)[0]
			assert.InDelta(t, gap, Circle(Pt(0, r), r)[0].DistanceTo(o), slack+1e-15, "r %g gap %g", r, gap)
		}
	}
}

// Ends that lie at different radii within Tol: the distance is to the nearer.
func TestDistanceIsOneSided(t *testing.T) {
	s := Arc(Pt(1, 0), Pt(0, 1+Tol), Pt(0, 0), CCW)
	require.NoError(t, s.Validate())
	assert.InDelta(t, 1, s.Distance(Pt(0, 0)), 1e-15)
	assert.Zero(t, s.Distance(Polar(1+Tol/2, 0.3)))
	assert.InDelta(t, 1-Tol, s.Distance(Polar(2, 0.3)), 1e-15)
}

func TestIntersectTable(t *testing.T) {
	unit := Circle(Pt(0, 0), 1)[0]
	for _, c := range []struct {
		name string
		s, o Seg
		want []Point
	}{
		{"cross", Line(Pt(0, 0), Pt(4, 4)), Line(Pt(0, 4), Pt(4, 0)), []Point{{2, 2}}},
		{"miss", Line(Pt(0, 0), Pt(1, 1)), Line(Pt(0, 4), Pt(4, 0)), nil},
		{"corner", Line(Pt(0, 0), Pt(1, 1)), Line(Pt(1, 1), Pt(4, 0)), []Point{{1, 1}}},
		{"T", Line(Pt(0, 0), Pt(4, 0)), Line(Pt(2, 0), Pt(2, 5)), []Point{{2, 0}}},
		{"overlap", Line(Pt(0, 0), Pt(3, 0)), Line(Pt(5, 0), Pt(2, 0)), []Point{{2, 0}, {3, 0}}},
		{"contained", Line(Pt(0, 0), Pt(9, 0)), Line(Pt(5, 0), Pt(2, 0)), []Point{{2, 0}, {5, 0}}},
		{"parallel", Line(Pt(0, 0), Pt(9, 0)), Line(Pt(0, 1), Pt(9, 1)), nil},
		{"line and circle", Line(Pt(-2, 0), Pt(2, 0)), unit, []Point{{-1, 0}, {1, 0}}},
		{"tangent", Line(Pt(-2, 1), Pt(2, 1)), unit, []Point{{0, 1}}},
		{"circle and circle", unit, Circle(Pt(1, 0), 1)[0], []Point{Polar(1, math.Pi/3), Polar(1, -math.Pi/3)}},
		{"circles touching", unit, Circle(Pt(3, 0), 2)[0], []Point{{1, 0}}},
		{"circle within, touching", Circle(Pt(0, 0), 3)[0], Circle(Pt(0, 1), 2)[0], []Point{{0, 3}}},
		{"arcs of one circle", Arc(Pt(1, 0), Pt(-1, 0), Pt(0, 0), CCW), Arc(Pt(0, -1), Pt(0, 1), Pt(0, 0), CCW), []Point{{1, 0}, {0, 1}}},
		{"concentric", unit, Circle(Pt(0, 0), 2)[0], nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := c.s.Intersect(c.o)
			require.Len(t, got, len(c.want), "%v", got)
			for i, p := range c.want {
				assert.Less(t, p.Dist(got[i]), 1e-9, "%v", got)
			}
			require.Len(t, c.o.Intersect(c.s), len(c.want))
		})
	}
}
