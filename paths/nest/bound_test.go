package nest

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

func never() bool { return false }

// TestOlerOnKnownShapes compares with the formula 2A/sqrt3 + P/2 + 1 (N. Oler,
// 1961) by hand: a square of side 10 holds at most 112 discs of diameter 1, and
// an equilateral triangle of side k exactly (k+1)(k+2)/2 points.
func TestOlerOnKnownShapes(t *testing.T) {
	f := newField(Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(10, 10), 0))}.groups(), 2)
	n, name := hullBound(f, 0.5, 1)
	require.Equal(t, 112, n)
	require.Equal(t, boundOler, name)
	for k := 1; k < 6; k++ {
		side := float64(k)
		hull := []geom.Point{{}, {X: side}, {X: side / 2, Y: side * math.Sqrt(3) / 2}}
		require.InDelta(t, float64((k+1)*(k+2)/2), olerBound(hull, 1), 1e-12)
	}
}

func TestHullBoundOfSmallSets(t *testing.T) {
	f := newField(Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(10, 10), 0))}.groups(), 8)
	n, name := hullBound(f, 4, 8)
	require.Equal(t, 1, n)
	require.Equal(t, boundOne, name)
	n, name = hullBound(f, 5.1, 8)
	require.Zero(t, n)
	require.Equal(t, boundNone, name)
}

// TestFreeHullContainsTheFreeSet and exceeds it by little: the centres of discs
// of radius 3 in a rectangle of 40 by 30 fill one of 34 by 24.
func TestFreeHullContainsTheFreeSet(t *testing.T) {
	f := newField(Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(40, 30), 0))}.groups(), 8)
	hull := f.freeHull(3)
	area := 0.0
	for i, a := range hull {
		area += a.Cross(hull[(i+1)%len(hull)]) / 2
	}
	require.GreaterOrEqual(t, area, 34.0*24)
	require.InDelta(t, 34.0*24, area, 5)
}

// TestCoverBoundOfLanes uses places for centres that are as good as lines, of
// which a length of k spacings and a bit holds k+1 discs: a straight lane, and
// one with a corner, whose hull proves little.
func TestCoverBoundOfLanes(t *testing.T) {
	lane := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(10+4.5*12, 10.1), 0))
	corner := geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(70, 0), geom.Pt(70, 10.1), geom.Pt(10.1, 10.1),
		geom.Pt(10.1, 70), geom.Pt(0, 70)))
	for _, c := range []struct {
		name  string
		stock geom.Region
		best  float64 // that many fit
		most  float64
	}{{"straight", lane, 5, 5.9}, {"corner", corner, 11, 11.9}} {
		f := newField(Problem{Stock: c.stock}.groups(), 8)
		var work int64
		v := coverBound(f, 5, 12, 1e7, &work, never)
		require.GreaterOrEqual(t, v, c.best, c.name)
		require.LessOrEqual(t, v, c.most, c.name)
		require.Positive(t, work)
	}
}

// TestCoverBoundIsNeverTooLow puts as many discs as the table knows to fit
// against the bound, with a solver that was stopped early and one that was not.
func TestCoverBoundIsNeverTooLow(t *testing.T) {
	for _, row := range records(t) {
		if row.n > 12 {
			continue
		}
		stock := row.region().Transform(geom.Scale(30))
		r := 30 * row.radius * (1 - 1e-6)
		f := newField(Problem{Stock: stock}.groups(), 2*r)
		for _, budget := range []int64{200_000, 1_000_000} {
			var work int64
			require.GreaterOrEqual(t, coverBound(f, r, 2*r, budget, &work, never), float64(row.n), "%s %d", row.container, row.n)
		}
	}
}
