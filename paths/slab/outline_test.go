package slab

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
)

// offcut is a laminated offcut as measured with a caliper, in order round the
// edge.
var offcut = []geom.Point{
	{X: 1.2, Y: 3.1}, {X: 9.8, Y: 0.4}, {X: 21.5, Y: 0.9}, {X: 33.0, Y: 0.2}, {X: 44.7, Y: 1.6},
	{X: 55.3, Y: 0.8}, {X: 60.1, Y: 6.4}, {X: 59.2, Y: 15.7}, {X: 60.4, Y: 25.9}, {X: 57.1, Y: 35.2},
	{X: 51.6, Y: 41.8}, {X: 41.9, Y: 44.6}, {X: 31.3, Y: 43.7}, {X: 20.8, Y: 45.1}, {X: 10.6, Y: 43.2},
	{X: 3.4, Y: 38.5}, {X: 0.3, Y: 28.8}, {X: 1.7, Y: 17.4}, {X: 0.1, Y: 9.6},
}

// notched is the offcut with a wide notch where a clamp broke a piece out.
var notched = append(append([]geom.Point{}, offcut[:11]...),
	geom.Pt(44, 44), geom.Pt(40, 38), geom.Pt(36, 32), geom.Pt(31, 30), geom.Pt(26, 33), geom.Pt(22, 38), geom.Pt(19, 44.9),
	geom.Pt(10.6, 43.2), geom.Pt(3.4, 38.5), geom.Pt(0.3, 28.8), geom.Pt(1.7, 17.4), geom.Pt(0.1, 9.6))

func shuffled(points []geom.Point, seed uint64) []geom.Point {
	out := append([]geom.Point{}, points...)
	rand.New(rand.NewPCG(seed, 7)).Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

func scaled(points []geom.Point, k float64) []geom.Point {
	out := make([]geom.Point, len(points))
	for i, p := range points {
		out[i] = p.Mul(k)
	}
	return out
}

// neck is a dumbbell whose neck is as narrow as its points lie apart.
var neck = []geom.Point{
	{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 20, Y: 8}, {X: 24, Y: 8}, {X: 28, Y: 8}, {X: 32, Y: 8}, {X: 42, Y: 0}, {X: 52, Y: 0}, {X: 52, Y: 10},
	{X: 52, Y: 20}, {X: 42, Y: 20}, {X: 32, Y: 12}, {X: 28, Y: 12}, {X: 24, Y: 12}, {X: 20, Y: 12}, {X: 10, Y: 20}, {X: 0, Y: 20}, {X: 0, Y: 10},
}

func TestOutlineOrdersShuffledPoints(t *testing.T) {
	for _, c := range []struct {
		name   string
		points []geom.Point
	}{
		{"offcut", offcut},
		{"offcut in tenths of an inch", scaled(offcut, 25.4/10)},
		{"notched offcut", notched},
		{"dumbbell", neck},
		{"triangle", []geom.Point{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 10, Y: 20}}},
		{"square", []geom.Point{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 30}, {X: 0, Y: 30}}},
		{"points on straight edges", []geom.Point{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 20, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 10}, {X: 30, Y: 20}, {X: 15, Y: 20}, {X: 0, Y: 20}, {X: 0, Y: 10}}},
		{"two points close together on an uneven edge", []geom.Point{{X: 0, Y: 0}, {X: 10, Y: -0.1}, {X: 10.5, Y: 0.1}, {X: 20.5, Y: 0}, {X: 20, Y: 15}, {X: 0, Y: 15}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			want, err := Outline(c.points, Options{Ordered: true})
			require.NoError(t, err)
			for seed := range uint64(8) {
				got, err := Outline(shuffled(c.points, seed), Options{})
				require.NoError(t, err)
				require.Len(t, got, len(c.points))
				assert.InDelta(t, want.Area(), got.Area(), 1e-9)
				assert.InDelta(t, want.Length(), got.Length(), 1e-9)
				assert.NoError(t, got.Validate())
			}
		})
	}
}

func TestOutlineRefuses(t *testing.T) {
	square := []geom.Point{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 30}, {X: 0, Y: 30}}
	with := func(p ...geom.Point) []geom.Point { return append(append([]geom.Point{}, square...), p...) }
	circle := make([]geom.Point, maxOutlinePoints+1)
	for i := range circle {
		circle[i] = geom.Polar(100, float64(i)/200)
	}
	for _, c := range []struct {
		name   string
		points []geom.Point
		o      Options
		want   string
	}{
		{"none", nil, Options{}, "0 points: at least 3"},
		{"two", square[:2], Options{}, "2 points: at least 3"},
		{"too many", circle, Options{}, "at most 1000"},
		{"NaN", with(geom.Pt(math.NaN(), 1)), Options{}, "point 5: a coordinate is not a finite number"},
		{"infinite", with(geom.Pt(1, math.Inf(-1))), Options{}, "point 5: a coordinate"},
		{"far", with(geom.Pt(1, 2e4)), Options{}, "point 5: (1, 20000) is beyond 10 m"},
		{"twice", with(geom.Pt(30, 30.004)), Options{}, "points 3 and 5: the same place twice"},
		{"line", []geom.Point{{X: 0, Y: 0}, {X: 10, Y: 10}, {X: 5, Y: 5.001}, {X: -5, Y: -5}}, Options{}, "all 4 points lie in one line"},
		{"centre of a square", with(geom.Pt(15, 15)), Options{}, "the place on the edge is not clear: between points"},
		{"a deep notch with one point", []geom.Point{{X: 20, Y: 45}, {X: 28, Y: 45}, {X: 30, Y: 35}, {X: 32, Y: 45}, {X: 40, Y: 45}, {X: 60, Y: 45}, {X: 60, Y: 0}, {X: 0, Y: 0}, {X: 0, Y: 45}}, Options{}, "not clear"},
		{"crosses in the order given", []geom.Point{{X: 0, Y: 0}, {X: 30, Y: 30}, {X: 30, Y: 0}, {X: 0, Y: 30}}, Options{Ordered: true}, "points 1, 2, 3 and 4: the outline crosses or touches itself near (15.000, 15.000)"},
		{"touches", []geom.Point{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 30}, {X: 15, Y: 0}, {X: 0, Y: 30}}, Options{Ordered: true}, "crosses or touches"},
		{"spike", []geom.Point{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 30}, {X: 0, Y: 30}}, Options{Ordered: true}, "points 1, 2 and 3: the outline runs back along itself"},
		{"join", square, Options{Join: 7}, "unknown join"},
		{"corner", square, Options{Corner: 4}, "corner of 4 rad"},
		{"margin", square, Options{Margin: math.NaN()}, "margin NaN"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Outline(c.points, c.o)
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

func TestOutlineSmoothCircle(t *testing.T) {
	// Points on a circle give that circle, whatever their spacing.
	var pts []geom.Point
	for _, a := range []float64{0.1, 0.9, 1.5, 2.6, 3.3, 4.0, 5.2, 5.9} {
		pts = append(pts, geom.Pt(30, 20).Add(geom.Polar(18, a)))
	}
	c, err := Outline(shuffled(pts, 3), Options{Join: SmoothJoin})
	require.NoError(t, err)
	assert.InDelta(t, math.Pi*18*18, c.Area(), 1e-9)
	for _, s := range c {
		for _, f := range []float64{0, 0.3, 0.7} {
			assert.InDelta(t, 18, s.At(f).Dist(geom.Pt(30, 20)), 1e-9)
		}
	}
}

func TestOutlineSmoothKeepsCorners(t *testing.T) {
	square := []geom.Point{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 30}, {X: 0, Y: 30}}
	c, err := Outline(square, Options{Join: SmoothJoin})
	require.NoError(t, err)
	assert.InDelta(t, 900, c.Area(), 1e-9)
	c, err = Outline(square, Options{Join: SmoothJoin, Corner: math.Pi})
	require.NoError(t, err)
	assert.InDelta(t, math.Pi*450, c.Area(), 1e-9) // the circle through the corners
}

func TestOutlineSmoothCrossing(t *testing.T) {
	// A slit so narrow that the round joins of its sides would cross.
	pts := []geom.Point{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 30}, {X: 20.4, Y: 30}, {X: 20.2, Y: 12}, {X: 20, Y: 11.8}, {X: 19.8, Y: 12}, {X: 19.6, Y: 30}, {X: 0, Y: 30}}
	_, err := Outline(pts, Options{Ordered: true})
	require.NoError(t, err)
	_, err = Outline(pts, Options{Ordered: true, Join: SmoothJoin, Corner: math.Pi})
	var e *PointError
	require.ErrorAs(t, err, &e)
}

// blob draws an outline without corners about a middle, its points evenly apart
// enough that the order is plain.
func blob(t *rapid.T) []geom.Point {
	n := rapid.IntRange(16, 36).Draw(t, "n")
	r := rapid.Float64Range(15, 200).Draw(t, "r")
	wave := rapid.Float64Range(0, 0.25).Draw(t, "wave")
	lobes := rapid.IntRange(1, 4).Draw(t, "lobes")
	phase := rapid.Float64Range(0, 6).Draw(t, "phase")
	pts := make([]geom.Point, n)
	for i := range pts {
		a := 2 * math.Pi * float64(i) / float64(n)
		pts[i] = geom.Pt(50, -20).Add(geom.Polar(r*(1+wave*math.Sin(float64(lobes)*a+phase)), a))
	}
	return pts
}

func TestOutlineProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := blob(t)
		join := Join(rapid.IntRange(0, 1).Draw(t, "join"))
		inOrder, err := Outline(pts, Options{Ordered: true, Join: join, Corner: math.Pi})
		require.NoError(t, err)
		mixed := rapid.Permutation(pts).Draw(t, "mixed")
		c, err := Outline(mixed, Options{Join: join, Corner: math.Pi})
		require.NoError(t, err)
		// (1) It is the outline that was measured, counter-clockwise, and a region.
		assert.InDelta(t, inOrder.Area(), c.Area(), 1e-9*c.Area())
		assert.NoError(t, geom.Region{c}.Validate())
		// (2) It goes through every point.
		for _, p := range pts {
			assert.LessOrEqual(t, c.Distance(p), geom.Tol)
		}
		// (3) The order of the list means nothing.
		again, err := Outline(rapid.Permutation(pts).Draw(t, "again"), Options{Join: join, Corner: math.Pi})
		require.NoError(t, err)
		assert.Equal(t, c, again)
		// (4) Smooth joins meet with one tangent.
		if join == SmoothJoin {
			for i, s := range c {
				next := c[(i+1)%len(c)]
				assert.Less(t, s.Tangent(1).Sub(next.Tangent(0)).Len(), 1e-4)
			}
		}
	})
}

func TestOutlineAnyPoints(t *testing.T) {
	// Points anywhere: an outline without a fault, or a reason.
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 14).Draw(t, "n")
		var pts []geom.Point
		for range n {
			pts = append(pts, geom.Pt(float64(rapid.IntRange(0, 9).Draw(t, "x")), float64(rapid.IntRange(0, 9).Draw(t, "y"))))
		}
		o := Options{Join: Join(rapid.IntRange(0, 1).Draw(t, "join")), Ordered: rapid.Bool().Draw(t, "ordered"), Corner: rapid.Float64Range(0.1, math.Pi).Draw(t, "corner")}
		c, err := Outline(pts, o)
		if err != nil {
			return
		}
		require.NoError(t, geom.Region{c}.Validate())
		require.Greater(t, c.Area(), 0.0)
	})
}

// TestTourIsShortest compares the search with all orders of few points.
func TestTourIsShortest(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 30 {
		n := 7
		pts := make([]geom.Point, n)
		for i := range pts {
			pts[i] = geom.Pt(rng.Float64()*50, rng.Float64()*50)
		}
		tr := newTour(pts)
		tr.search()
		least := math.Inf(1)
		var try func(order []int, k int)
		try = func(order []int, k int) {
			if k == n {
				least = math.Min(least, tr.length(order))
				return
			}
			for m := k; m < n; m++ {
				order[k], order[m] = order[m], order[k]
				try(order, k+1)
				order[k], order[m] = order[m], order[k]
			}
		}
		try([]int{0, 1, 2, 3, 4, 5, 6}, 1)
		assert.InDelta(t, least, tr.length(tr.best), 1e-9)
	}
}

func TestExchangeDelta(t *testing.T) {
	// The change announced is the change made, and never more than the most.
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 9).Draw(t, "n")
		pts := make([]geom.Point, n)
		order := make([]int, n)
		for i := range n {
			order[i] = i
			pts[i] = geom.Pt(rapid.Float64Range(0, 50).Draw(t, "x"), rapid.Float64Range(0, 50).Draw(t, "y"))
		}
		tr := newTour(pts)
		tr.exchanges(order, func(x exchange) verdict {
			other := append([]int{}, order...)
			x.apply(other)
			require.InDelta(t, x.delta, tr.length(other)-tr.length(order), 1e-9, "%+v", x)
			require.LessOrEqual(t, x.delta, x.most+1e-9)
			return passed
		})
	})
}

func BenchmarkOutline(b *testing.B) {
	for _, n := range []int{20, 100, 1000} {
		pts := make([]geom.Point, n)
		for i := range pts {
			a := 2 * math.Pi * float64(i) / float64(n)
			pts[i] = geom.Polar(100+10*math.Sin(3*a), a)
		}
		pts = shuffled(pts, 1)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Outline(pts, Options{Join: SmoothJoin}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Four corners of an offcut, touched off as they came.
func ExampleOutline() {
	points := []geom.Point{{X: 60, Y: 44}, {X: 0, Y: 0}, {X: 1, Y: 45}, {X: 58, Y: 2}}
	c, err := Outline(points, Options{})
	fmt.Println(c, err)

	_, err = Outline(append(points, geom.Pt(30, 22)), Options{})
	var e *PointError
	fmt.Println(errors.As(err, &e), err)
	// Output:
	// M 0 0 L 58 2 L 60 44 L 1 45 Z <nil>
	// true point 5: the place on the edge is not clear: between points 2 and 4 or, only 1.630 mm longer, between 1 and 3; measure more points there, or list all points in order
}
