package slab

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

func drawSurface(t *rapid.T) Surface {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	var points []geom.Point3
	nx, ny := rapid.IntRange(2, 6).Draw(t, "nx"), rapid.IntRange(2, 6).Draw(t, "ny")
	for j := range ny {
		for i := range nx {
			points = append(points, geom.Pt3(10*float64(i), 8*float64(j), num("z", -0.3, 0.3)))
		}
	}
	if rapid.Bool().Draw(t, "plane") {
		p, _, err := FitPlane(points, 0)
		require.NoError(t, err)
		return setup.Raised{Surface: p, By: num("by", 0, 1)}
	}
	m, _, err := FitMesh(points)
	require.NoError(t, err)
	return m
}

func drawSeg(t *rapid.T) geom.Seg {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	a := geom.Pt(num("x", -20, 70), num("y", -20, 60))
	switch rapid.IntRange(0, 2).Draw(t, "kind") {
	case 0:
		return geom.Line(a, a.Add(geom.Polar(num("length", 0.01, 60), num("angle", -4, 4))))
	case 1: // a whole turn
		return geom.Arc(a, a, a.Add(geom.Polar(num("radius", 0.05, 20), num("angle", -4, 4))), geom.CW)
	}
	r, from, sweep := num("radius", 0.05, 20), num("angle", -4, 4), num("sweep", 0.01, 6.2)
	turn := rapid.SampledFrom([]geom.Turn{geom.CCW, geom.CW}).Draw(t, "turn")
	c := a.Sub(geom.Polar(r, from))
	return geom.Arc(a, c.Add(geom.Polar(r, from+float64(turn)*sweep)), c, turn)
}

// TestKinksAndBend holds chords between kinks against the bound of how far the
// height leaves them.
func TestKinksAndBend(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, g := drawSurface(t), drawSeg(t)
		kinks := s.Kinks(g)
		bound, length := setup.Curvature(s, g), g.Length()
		from := 0.0
		for _, to := range append(kinks, 1) {
			require.GreaterOrEqual(t, to, from, "%v", kinks)
			z0, z1 := s.Height(g.At(from)), s.Height(g.At(to))
			most := bound*math.Pow((to-from)*length, 2)/8 + 1e-6
			for i := range 21 {
				u := float64(i) / 20
				at := s.Height(g.At(from + u*(to-from)))
				require.LessOrEqual(t, math.Abs(at-z0-u*(z1-z0)), most, "at %g of %g to %g", u, from, to)
			}
			from = to
		}
	})
}

func TestRangeOverARectangle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSurface(t)
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		a := geom.Pt(num("x", -20, 70), num("y", -20, 60))
		b := geom.Box{Min: a, Max: a.Add(geom.Pt(num("w", 0, 40), num("h", 0, 40)))}
		lo, hi := s.Range(b)
		least, most := math.Inf(1), math.Inf(-1)
		const n = 40
		for i := range n + 1 {
			for j := range n + 1 {
				h := s.Height(geom.Pt(a.X+b.Size().X*float64(i)/n, a.Y+b.Size().Y*float64(j)/n))
				least, most = math.Min(least, h), math.Max(most, h)
			}
		}
		require.LessOrEqual(t, lo, least+1e-12)
		require.GreaterOrEqual(t, hi, most-1e-12)
		// And it is no looser than the samples are apart.
		gap := s.Lipschitz() * b.Size().Len() / n
		require.GreaterOrEqual(t, lo, least-gap-1e-12)
		require.LessOrEqual(t, hi, most+gap+1e-12)
	})
}

func TestKinksOfALine(t *testing.T) {
	m, _, err := FitMesh([]geom.Point3{{X: 0, Y: 0}, {X: 10, Y: 0, Z: 0.1}, {X: 20, Y: 0}, {X: 0, Y: 10}, {X: 10, Y: 10}, {X: 20, Y: 10}})
	require.NoError(t, err)
	assert.Equal(t, []float64{0.25, 0.5, 0.75}, m.Kinks(geom.Line(geom.Pt(-10, 5), geom.Pt(30, 5))))
	assert.Len(t, m.Kinks(geom.Circle(geom.Pt(10, 5), 3)[0]), 2)
	assert.InDelta(t, 0.001, m.Bend(), 1e-8)
}
