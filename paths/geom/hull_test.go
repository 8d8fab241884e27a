package geom

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestConvexHull(t *testing.T) {
	square := []Point{{0, 0}, {4, 0}, {4, 4}, {0, 4}}
	for name, c := range map[string]struct{ in, want []Point }{
		"inner and double points": {[]Point{{4, 4}, {1, 2}, {0, 0}, {4, 0}, {0, 4}, {0, 0}}, square},
		"points along the sides":  {[]Point{{0, 0}, {2, 0}, {4, 0}, {4, 4}, {2, 4}, {0, 4}, {0, 2}}, square},
		"on a line":               {[]Point{{3, 3}, {0, 0}, {1, 1}}, []Point{{0, 0}, {3, 3}}},
		"one place":               {[]Point{{1, 2}, {1, 2}}, []Point{{1, 2}}},
		"none":                    {nil, nil},
	} {
		assert.Equal(t, c.want, ConvexHull(c.in), name)
	}
}

// TestConvexHullHolds: every point lies on the left of every side, and the corners
// are points that were given.
func TestConvexHullHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Point {
			return Pt(float64(rapid.IntRange(-9, 9).Draw(t, "x")), float64(rapid.IntRange(-9, 9).Draw(t, "y")))
		}), 0, 30).Draw(t, "points")
		hull := ConvexHull(pts)
		for i, a := range hull {
			assert.Contains(t, pts, a)
			side := hull[(i+1)%len(hull)].Sub(a)
			for _, p := range pts {
				assert.GreaterOrEqual(t, side.Cross(p.Sub(a)), 0.0)
			}
		}
	})
}
