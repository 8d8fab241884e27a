package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// mustPath reads a path in its textual form.
func mustPath(t testing.TB, text string) Path {
	t.Helper()
	p, err := ParsePath(text)
	require.NoError(t, err)
	return p
}

// mustRegion reads a region in its textual form.
func mustRegion(t testing.TB, text string) Region {
	t.Helper()
	r, err := ParseRegion(text)
	require.NoError(t, err)
	return r
}

// genPoint draws a point of a part: often on a coarse grid, so that
// coincidences happen, else anywhere.
func genPoint(t *rapid.T, label string) Point {
	if rapid.Bool().Draw(t, label+" on grid") {
		return Pt(float64(rapid.IntRange(-4, 4).Draw(t, label+" x")), float64(rapid.IntRange(-4, 4).Draw(t, label+" y")))
	}
	return Pt(rapid.Float64Range(-5, 5).Draw(t, label+" x"), rapid.Float64Range(-5, 5).Draw(t, label+" y"))
}

// genSeg draws a line, an arc or a full circle, also without length.
func genSeg(t *rapid.T, label string) Seg {
	switch rapid.IntRange(0, 3).Draw(t, label+" kind") {
	case 0, 1:
		return Line(genPoint(t, label+" a"), genPoint(t, label+" b"))
	case 2:
		c, a := genPoint(t, label+" c"), genPoint(t, label+" a")
		if a.Dist(c) < 0.2 { // almost full circles of less would be refused
			a = c.Add(Pt(1, 0))
		}
		turn := CCW
		if rapid.Bool().Draw(t, label+" cw") {
			turn = CW
		}
		sweep := rapid.SampledFrom([]float64{1e-5, 0.001, 0.5, 1, math.Pi / 2, math.Pi, 4, 3 * math.Pi / 2, 6.2, 2*math.Pi - 1e-5}).Draw(t, label+" sweep")
		b := Arc(a, a, c, turn).At(sweep / (2 * math.Pi))
		return Arc(a, b, c, turn)
	default:
		return Circle(genPoint(t, label+" c"), rapid.Float64Range(0.01, 6).Draw(t, label+" r"))[0]
	}
}

// samples returns n+1 points of the segment at even distances.
func samples(s Seg, n int) []Point {
	pts := make([]Point, n+1)
	for i := range pts {
		pts[i] = s.At(float64(i) / float64(n))
	}
	return pts
}
