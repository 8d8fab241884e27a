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

// latticePatch returns the hexagonal lattice points of unit spacing within a box
// about the origin.
func latticePatch(n int) []geom.Point {
	var ps []geom.Point
	for i := -n; i <= n; i++ {
		for j := -n; j <= n; j++ {
			if i+j >= -n && i+j <= n {
				ps = append(ps, geom.Pt(float64(i)+float64(j)/2, float64(j)*math.Sqrt(3)/2))
			}
		}
	}
	return ps
}

// TestAreaBoundsAreNeverTooLow takes hexagonal patches, which no arrangement
// beats, and makes of every kind of neighbourhood of their points a stock for
// discs of diameter 1: the bounds may not fall below the number of points.
func TestAreaBoundsAreNeverTooLow(t *testing.T) {
	for _, c := range []struct {
		name string
		keep func(geom.Point) bool
		wide float64 // radius of what is left about every point
	}{
		{"all, as one", func(geom.Point) bool { return true }, 0.62},
		{"all, apart", func(geom.Point) bool { return true }, 0.501},
		{"a hole of one", func(p geom.Point) bool { return p.Len() > 0.5 }, 0.6},
		{"a hole of seven", func(p geom.Point) bool { return p.Len() > 1.2 }, 0.6},
		{"a hole of nineteen", func(p geom.Point) bool { return p.Len() > 2.1 }, 0.6},
		{"a bay", func(p geom.Point) bool { return p.X < 0 || math.Abs(p.Y) > 1 }, 0.6},
		{"a ring", func(p geom.Point) bool { return p.Len() > 2.9 }, 0.55},
		{"a row", func(p geom.Point) bool { return math.Abs(p.Y) < 0.1 }, 0.55},
	} {
		var contours []geom.Contour
		count := 0
		for _, p := range latticePatch(4) {
			if c.keep(p) {
				contours = append(contours, geom.Circle(p, c.wide))
				count++
			}
		}
		stock, err := geom.Resolve(contours, geom.NonZero)
		require.NoError(t, err)
		p := Problem{Stock: stock, Diameter: 1}
		free, err := freeRegion(p)
		require.NoError(t, err, c.name)
		n, err := cellBound(free, 1)
		require.NoError(t, err)
		require.GreaterOrEqual(t, n, count, c.name)
		n, name := areaBounds(p, newField(p.groups(), 1), math.MaxInt32, "")
		require.GreaterOrEqual(t, n, count, c.name)
		require.NotEmpty(t, name)
		require.LessOrEqual(t, n, 2*count+5, c.name)
	}
}

// TestAreaBoundsHelp where there is a large hole: the hull alone proves little.
func TestAreaBoundsHelp(t *testing.T) {
	ring := Problem{Stock: geom.RegionOf(geom.Circle(geom.Pt(0, 0), 50), geom.Circle(geom.Pt(0, 0), 18)), Diameter: 10, Gap: 1.8, Edge: 1}
	f := newField(ring.groups(), 12)
	hull, _ := hullBound(f, 5, 11.8)
	n, name := areaBounds(ring, f, hull, boundOler)
	require.Equal(t, boundFilled, name)
	require.LessOrEqual(t, n, hull-7, "seven points fit into the hole")

	corner := Problem{Stock: geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(150, 0), geom.Pt(150, 30), geom.Pt(30, 30), geom.Pt(30, 150), geom.Pt(0, 150))), Diameter: 10, Gap: 2}
	f = newField(corner.groups(), 12)
	hull, _ = hullBound(f, 5, 12)
	n, _ = areaBounds(corner, f, hull, boundOler)
	require.Less(t, 3*n, 2*hull)
}
