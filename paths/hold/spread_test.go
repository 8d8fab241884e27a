package hold

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
)

func rect(w, h float64) geom.Region { return geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(w, h), 0)) }

func measured(t require.TestingT, slab geom.Region, places ...geom.Point) Spread {
	c, err := newCover(slab)
	require.NoError(t, err)
	s, err := c.spread(places)
	require.NoError(t, err)
	return s
}

func TestSpreadClosedForms(t *testing.T) {
	ring := append(geom.RegionOf(geom.Circle(geom.Pt(0, 0), 20)), geom.Circle(geom.Pt(0, 0), 5).Reverse())
	for _, c := range []struct {
		name            string
		slab            geom.Region
		places          []geom.Point
		reach, overhang float64
	}{
		{"one in the middle of a rectangle: half its diagonal", rect(60, 40), []geom.Point{geom.Pt(30, 20)}, math.Hypot(30, 20), math.Hypot(30, 20)},
		{"one in a corner: the diagonal", rect(60, 40), []geom.Point{geom.Pt(0, 0)}, math.Hypot(60, 40), math.Hypot(60, 40)},
		{"two on the middle line: the corner from the nearer", rect(60, 40), []geom.Point{geom.Pt(10, 20), geom.Pt(50, 20)}, math.Hypot(10, 20), math.Hypot(10, 20)},
		{"two on the ends: half the width, all along", rect(60, 40), []geom.Point{geom.Pt(0, 20), geom.Pt(60, 20)}, 20, 20},
		{"four in the corners: all lines meet in the middle; between side and diagonals lies the inscribed disc of a triangle", rect(60, 60),
			[]geom.Point{geom.Pt(0, 0), geom.Pt(60, 0), geom.Pt(60, 60), geom.Pt(0, 60)}, 30 / (1 + math.Sqrt2), 0},
		{"three: the inscribed disc of their triangle (6, 8, 10: radius 2)", geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(8, 0), geom.Pt(0, 6))),
			[]geom.Point{geom.Pt(0, 0), geom.Pt(8, 0), geom.Pt(0, 6)}, 2, 0},
		{"one beside the middle of a disc", geom.RegionOf(geom.Circle(geom.Pt(3, 4), 25)), []geom.Point{geom.Pt(0, 0)}, 30, 30},
		{"one in the hole of a ring", ring, []geom.Point{geom.Pt(2, 0)}, 22, 22},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := measured(t, c.slab, c.places...)
			assert.GreaterOrEqual(t, s.Reach, c.reach-1e-9)
			assert.LessOrEqual(t, s.Reach, c.reach+SpreadTol+1e-6)
			assert.GreaterOrEqual(t, s.Overhang, c.overhang-1e-9)
			assert.LessOrEqual(t, s.Overhang, c.overhang+SpreadTol+1e-6)
		})
	}
}

// drawSlab draws a star-shaped slab, every third time with a round hole.
func drawSlab(t *rapid.T) geom.Region {
	n := rapid.IntRange(5, 12).Draw(t, "corners")
	pts := make([]geom.Point, n)
	for i := range pts {
		pts[i] = geom.Polar(rapid.Float64Range(18, 32).Draw(t, "radius"), 2*math.Pi*float64(i)/float64(n))
	}
	r := geom.RegionOf(geom.Polygon(pts...))
	if rapid.IntRange(0, 2).Draw(t, "hole") == 0 {
		r = append(r, geom.Circle(geom.Pt(2, 1), rapid.Float64Range(1, 5).Draw(t, "hole radius")).Reverse())
	}
	return r
}

func drawPlace(t *rapid.T) geom.Point {
	return geom.Pt(rapid.Float64Range(-20, 20).Draw(t, "x"), rapid.Float64Range(-20, 20).Draw(t, "y"))
}

// The spread is never less than what a dense sampling of the slab finds, and not
// more than what the sampling can miss.
func TestSpreadAgainstSampling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slab := drawSlab(t)
		places := rapid.SliceOfN(rapid.Custom(drawPlace), 1, 5).Draw(t, "places")
		s := measured(t, slab, places...)
		const step = 0.5
		list, reach, over := spans(places), 0.0, 0.0
		hull := geom.ConvexHull(places)
		see := func(q geom.Point) {
			reach = math.Max(reach, nearestSpan(list, q))
			over = math.Max(over, hullDistance(hull, q))
		}
		for y := -32.0; y <= 32; y += step {
			for x := -32.0; x <= 32; x += step {
				if q := geom.Pt(x, y); slab.Contains(q) != geom.Outside {
					see(q)
				}
			}
		}
		for _, q := range geom.Flatten(slab[0], 1e-3) {
			see(q)
		}
		require.GreaterOrEqual(t, s.Reach, reach-1e-9)
		require.LessOrEqual(t, s.Reach, reach+step)
		require.GreaterOrEqual(t, s.Overhang, over-1e-9)
		require.LessOrEqual(t, s.Overhang, over+SpreadTol+1e-6)
		// The point that is named is of the slab and at about that distance.
		require.LessOrEqual(t, slab.Distance(s.ReachAt), geom.Tol)
		require.InDelta(t, s.Reach, nearestSpan(list, s.ReachAt), SpreadTol+1e-9)
	})
}
