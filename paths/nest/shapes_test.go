package nest

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
)

func rectangle(w, h, corner float64) geom.Region {
	return geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(w, h), corner))
}

// shieldOutline is a name plate: straight head, sides that round into a point.
func shieldOutline() geom.Region {
	return geom.RegionOf(geom.Polygon(geom.Pt(-9, 10), geom.Pt(-9, -2), geom.Pt(-7, -8), geom.Pt(0, -13),
		geom.Pt(7, -8), geom.Pt(9, -2), geom.Pt(9, 10)))
}

// angleOutline is hollow on one side: two of them interlock.
func angleOutline() geom.Region {
	return geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(20, 0), geom.Pt(20, 6), geom.Pt(6, 6), geom.Pt(6, 20), geom.Pt(0, 20)))
}

func nestShapes(t require.TestingT, m ShapeMix) *ShapeLayout {
	l, err := Shapes(context.Background(), m)
	require.NoError(t, err)
	require.NoError(t, m.Check(*l))
	for k, n := range l.Counts {
		require.LessOrEqual(t, n, l.Bounds[k])
	}
	return l
}

func TestShapesThatFitExactly(t *testing.T) {
	for _, c := range []struct {
		name    string
		stock   geom.Region
		shape   geom.Region
		turning Turning
		gap     float64
		want    int
	}{
		{"rectangles in rows", rectangle(66, 34, 0), rectangle(20, 10, 0), Turning{}, 2, 6},
		{"rectangles, turned too", rectangle(66, 34, 0), rectangle(20, 10, 0), Turning{Free: true}, 2, 8},
		{"one that fills the stock", rectangle(22, 12, 0), rectangle(20, 10, 0), Turning{}, 2, 1},
		{"squares with round corners", rectangle(35, 24, 0), rectangle(10, 10, 3), Turning{}, 1.5, 6},
		{"turned by a right angle", rectangle(12, 22, 0), rectangle(20, 10, 0), Turning{Angle: math.Pi / 2}, 2, 1},
		{"may not be turned", rectangle(12, 22, 0), rectangle(20, 10, 0), Turning{}, 2, 0},
		{"discs in the corners", rectangle(22, 22, 0), geom.RegionOf(geom.Circle(geom.Pt(5, 5), 5)), Turning{}, 0, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := ShapeMix{Stock: c.stock, Shapes: []Shape{{Outline: c.shape, Turning: c.turning}}, Gap: c.gap, Edge: 1, Effort: 0.1}
			l := nestShapes(t, m)
			require.Equal(t, c.want, l.Counts[0])
			// The same with neighbours that touch.
			m.Touch = true
			l = nestShapes(t, m)
			require.Equal(t, c.want, l.Counts[0])
		})
	}
}

func TestShapesAmongScrews(t *testing.T) {
	slab := screwed(1, 118, 90, 34, 6)
	for _, c := range []struct {
		name   string
		shapes []Shape
		least  []int
	}{
		{"shields along the grain", []Shape{{Outline: shieldOutline(), Turning: Turning{Angle: 0.3, Tolerance: 0.05, HalfTurn: true}}}, []int{10}},
		{"angles, any way", []Shape{{Outline: angleOutline(), Turning: Turning{Free: true}}}, []int{14}},
		{"a mix", []Shape{
			{Outline: angleOutline(), Count: 4, Turning: Turning{Free: true}},
			{Outline: rectangle(30, 8, 2), Count: 3, Turning: Turning{Free: true}},
			{Outline: geom.RegionOf(geom.Circle(geom.Pt(3, 3), 5))},
		}, []int{4, 3, 18}},
		{"discs", []Shape{{Outline: geom.RegionOf(geom.Circle(geom.Pt(0, 0), slab.Diameter/2))}}, []int{29}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := ShapeMix{Stock: slab.Stock, Keepouts: slab.Keepouts, Shapes: c.shapes, Gap: 1.8, Edge: 1, Effort: 0.2}
			l := nestShapes(t, m)
			for k, n := range c.least {
				require.GreaterOrEqual(t, l.Counts[k], n, "shape %d", k)
			}
			require.Empty(t, l.Short)
			for _, p := range l.Places {
				require.True(t, c.shapes[p.Kind].Turning.allows(p.Angle))
			}
		})
	}
}

// A wanted count that cannot be met is reported, and earlier kinds come first.
func TestShapesShort(t *testing.T) {
	m := ShapeMix{Stock: rectangle(50, 22, 0), Gap: 2, Edge: 1, Effort: 0.2, Shapes: []Shape{
		{Outline: rectangle(20, 20, 0), Count: 3},
		{Outline: rectangle(4, 20, 0), Count: 2},
	}}
	l := nestShapes(t, m)
	require.Equal(t, []int{2, 1}, l.Counts)
	require.Equal(t, []int{0, 1}, l.Short)
}

func TestShapesSameSeedSameBytes(t *testing.T) {
	slab := screwed(2, 70, 50, 20, 3)
	m := ShapeMix{Stock: slab.Stock, Keepouts: slab.Keepouts, Gap: 1.8, Edge: 1, Effort: 0.1, Seed: 5,
		Shapes: []Shape{{Outline: angleOutline(), Turning: Turning{Free: true}}}}
	var first string
	for range 2 {
		text, err := json.Marshal(nestShapes(t, m))
		require.NoError(t, err)
		if first == "" {
			first = string(text)
		}
		require.Equal(t, first, string(text))
	}
}

func TestShapesMoreEffortIsNeverWorse(t *testing.T) {
	slab := screwed(4, 70, 50, 20, 3)
	m := ShapeMix{Stock: slab.Stock, Keepouts: slab.Keepouts, Gap: 1.8, Edge: 1, Shapes: []Shape{
		{Outline: angleOutline(), Count: 3, Turning: Turning{Free: true}},
		{Outline: rectangle(9, 4, 1), Turning: Turning{Free: true}},
	}}
	var last []int
	for _, e := range []float64{0.01, 0.05, 0.1, 0.16} {
		m.Effort = e
		l := nestShapes(t, m)
		require.GreaterOrEqual(t, slices.Compare(l.Counts, last), 0)
		last = l.Counts
	}
}

func TestShapesInterrupted(t *testing.T) {
	slab := screwed(1, 118, 90, 34, 6)
	ctx, cancel := context.WithCancel(context.Background())
	m := ShapeMix{Stock: slab.Stock, Keepouts: slab.Keepouts, Gap: 1.8, Edge: 1, Effort: 1e6,
		Shapes:   []Shape{{Outline: angleOutline(), Turning: Turning{Free: true}}},
		Progress: func(p Progress) { cancel() }}
	l, err := Shapes(ctx, m)
	require.NoError(t, err)
	require.True(t, l.Interrupted)
	require.NotEmpty(t, l.Places)
	require.NoError(t, m.Check(*l))
}

func TestShapesCheckRefuses(t *testing.T) {
	m := ShapeMix{
		Stock:    geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(60, 40), 0), geom.Circle(geom.Pt(45, 20), 3)),
		Keepouts: []Keepout{{geom.RegionOf(geom.Circle(geom.Pt(10, 30), 2)), 1}},
		Shapes:   []Shape{{Outline: rectangle(10, 10, 0), Count: 2}, {Outline: rectangle(14, 14, 0)}},
		Gap:      2, Edge: 1,
	}
	good := []PlacedShape{{0, geom.Pt(1, 1), 0}, {0, geom.Pt(13, 1), 0}}
	require.NoError(t, m.Check(ShapeLayout{Places: good}))
	for _, c := range []struct {
		name   string
		places []PlacedShape
		text   string
	}{
		{"too near each other", []PlacedShape{good[0], {0, geom.Pt(12.9, 1), 0}}, "place 0 to place 1"},
		{"one upon the other", []PlacedShape{good[0], good[0]}, "place 0 to place 1"},
		{"too near the edge", []PlacedShape{{0, geom.Pt(0.9, 1), 0}}, "edge of the stock"},
		{"off the stock", []PlacedShape{{0, geom.Pt(200, 1), 0}}, "not on the stock"},
		{"on a keep-out", []PlacedShape{{0, geom.Pt(5, 25), 0}}, "keep-out 0"},
		{"near a keep-out", []PlacedShape{{0, geom.Pt(12.5, 25), 0}}, "keep-out 0"},
		{"over a hole", []PlacedShape{{1, geom.Pt(38, 13), 0}}, "edge of the stock"},
		{"turned", []PlacedShape{{0, geom.Pt(20, 20), 0.1}}, "turned by"},
		{"too many", append(good, PlacedShape{0, geom.Pt(25, 1), 0}), "more than the 2 wanted"},
		{"no such shape", []PlacedShape{{2, geom.Pt(1, 1), 0}}, "no shape 2"},
		{"not a number", []PlacedShape{{0, geom.Pt(math.NaN(), 1), 0}}, "not a finite number"},
	} {
		require.ErrorContains(t, m.Check(ShapeLayout{Places: c.places}), c.text, c.name)
	}
}

func TestShapesValidate(t *testing.T) {
	good := func() ShapeMix {
		return ShapeMix{Stock: rectangle(50, 50, 0), Shapes: []Shape{{Outline: rectangle(10, 10, 0)}}}
	}
	for _, c := range []struct {
		name  string
		spoil func(*ShapeMix)
		text  string
	}{
		{"no shape", func(m *ShapeMix) { m.Shapes = nil }, "no shape"},
		{"empty outline", func(m *ShapeMix) { m.Shapes[0].Outline = nil }, "has one outline"},
		{"two outlines", func(m *ShapeMix) {
			m.Shapes[0].Outline = append(rectangle(10, 10, 0), geom.Rect(geom.Pt(20, 0), geom.Pt(30, 10), 0))
		}, "has one outline, this one has 2"},
		{"crossing", func(m *ShapeMix) {
			m.Shapes[0].Outline = geom.Region{geom.Polygon(geom.Pt(0, 0), geom.Pt(10, 10), geom.Pt(10, 0), geom.Pt(0, 10))}
		}, "shape 0"},
		{"NaN", func(m *ShapeMix) { m.Shapes[0].Outline[0][0].A.X = math.NaN() }, "not a finite"},
		{"negative gap", func(m *ShapeMix) { m.Gap = -1 }, "gap"},
		{"infinite angle", func(m *ShapeMix) { m.Shapes[0].Turning.Angle = math.Inf(1) }, "turning"},
		{"wide tolerance", func(m *ShapeMix) { m.Shapes[0].Turning.Tolerance = 4 }, "tolerance"},
		{"no stock", func(m *ShapeMix) { m.Stock = nil }, "no outline"},
	} {
		m := good()
		c.spoil(&m)
		_, err := Shapes(context.Background(), m)
		require.ErrorContains(t, err, c.text, c.name)
	}
	m := good()
	m.Stock = append(m.Stock, geom.Rect(geom.Pt(100, 0), geom.Pt(150, 50), 0))
	_, err := Shapes(context.Background(), m)
	require.ErrorContains(t, err, "several pieces")
	m = good()
	m.Shapes[0].Outline = rectangle(0.1, 0.1, 0)
	_, err = Shapes(context.Background(), m)
	require.ErrorContains(t, err, "ask for a count")
}

// starOutline is a star-shaped polygon: simple, mostly hollow in places.
func starOutline(rng *rand.Rand, n int, size float64) geom.Region {
	ps := make([]geom.Point, n)
	for i := range ps {
		ps[i] = geom.Polar(size*(0.35+0.65*rng.Float64()), 2*math.Pi*(float64(i)+0.8*rng.Float64())/float64(n))
	}
	return geom.RegionOf(geom.Polygon(ps...))
}

func TestShapesPropertyNothingOverlaps(t *testing.T) {
	cases := 8
	if long() {
		cases = 1000
	}
	for seed := range uint64(cases) {
		rng := rand.New(rand.NewPCG(seed, 7))
		p := screwed(rng.Uint64()%50, 60, 45, 18, 3)
		m := ShapeMix{Stock: p.Stock, Keepouts: p.Keepouts, Gap: 2 * rng.Float64(), Edge: rng.Float64(), Effort: 0.01, Touch: rng.IntN(2) == 0}
		for range 1 + rng.IntN(2) {
			s := Shape{Outline: starOutline(rng, 3+rng.IntN(7), 5+6*rng.Float64()), Count: rng.IntN(4)}
			s.Turning = []Turning{{}, {Free: true}, {Angle: 6 * rng.Float64(), Tolerance: rng.Float64(), HalfTurn: true}}[rng.IntN(3)]
			m.Shapes = append(m.Shapes, s)
		}
		if rng.IntN(3) == 0 {
			m.Shapes = append(m.Shapes, Shape{Outline: geom.RegionOf(geom.Slot(geom.Pt(0, 0), geom.Pt(6, 0), 3)), Turning: Turning{Free: true}, Count: 3})
		}
		l := nestShapes(t, m)
		// An independent look at it: no place of the plane lies in two shapes,
		// and every corner is on the stock.
		var shapes []geom.Region
		for _, q := range l.Places {
			r := m.Shapes[q.Kind].Outline.Transform(q.Move())
			for _, s := range r[0] {
				require.Equal(t, geom.Inside, m.Stock.Contains(s.A))
			}
			shapes = append(shapes, r)
		}
		for i := range shapes {
			for j := range i {
				common, err := geom.Intersection(shapes[i], shapes[j])
				require.NoError(t, err)
				require.Less(t, common.Area(), 1e-6)
			}
		}
	}
}

func TestConvexPartsMakeUpThePolygon(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 8))
		r := starOutline(rng, 3+rng.IntN(30), 10)
		ps, err := outerPolygon(r[0])
		require.NoError(t, err)
		sum := 0.0
		for _, part := range convexParts(ps) {
			c := geom.Polygon(part...)
			require.Greater(t, c.Area(), 0.0)
			for i := range part {
				a, b, d := part[i], part[(i+1)%len(part)], part[(i+2)%len(part)]
				require.GreaterOrEqual(t, b.Sub(a).Cross(d.Sub(b)), 0.0)
			}
			sum += c.Area()
		}
		require.InDelta(t, r.Area(), sum, 1e-6)
	})
}

func TestOuterPolygonHoldsTheShape(t *testing.T) {
	bay := geom.RegionOf(geom.Contour{
		geom.Line(geom.Pt(0, 0), geom.Pt(20, 0)),
		geom.Line(geom.Pt(20, 0), geom.Pt(20, 10)),
		geom.Line(geom.Pt(20, 10), geom.Pt(15, 10)),
		geom.Arc(geom.Pt(15, 10), geom.Pt(5, 10), geom.Pt(10, 10), geom.CW),
		geom.Line(geom.Pt(5, 10), geom.Pt(0, 10)),
		geom.Line(geom.Pt(0, 10), geom.Pt(0, 0)),
	})
	for name, r := range map[string]geom.Region{
		"rounded": rectangle(20, 10, 3), "slot": geom.RegionOf(geom.Slot(geom.Pt(0, 0), geom.Pt(9, 4), 5)),
		"circle": geom.RegionOf(geom.Circle(geom.Pt(1, 2), 7)), "bay": bay,
	} {
		ps, err := outerPolygon(r[0])
		require.NoError(t, err)
		outer := geom.RegionOf(geom.Polygon(ps...))
		require.NoError(t, outer.Validate(), name)
		rest, err := geom.Difference(r, outer)
		require.NoError(t, err)
		require.Less(t, rest.Area(), 1e-6, name)
		for _, p := range ps {
			require.LessOrEqual(t, r.Distance(p), chordError+Rounding, name)
		}
	}
}

// meet against the distance of the outlines by package geom.
func TestMeetIsTheDistance(t *testing.T) {
	hullOf := func(rng *rand.Rand, at geom.Point) []geom.Point {
		var ps []geom.Point
		for range 1 + rng.IntN(9) {
			ps = append(ps, at.Add(geom.Polar(5*rng.Float64(), 7*rng.Float64())))
		}
		return geom.ConvexHull(ps)
	}
	outline := func(ps []geom.Point) geom.Region {
		if len(ps) == 1 {
			return geom.RegionOf(geom.Circle(ps[0], 1e-9))
		}
		if len(ps) == 2 {
			return geom.RegionOf(geom.Slot(ps[0], ps[1], 2e-9))
		}
		return geom.RegionOf(geom.Polygon(ps...))
	}
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 9))
		pa, pb := hullOf(rng, geom.Pt(0, 0)), hullOf(rng, geom.Pt(12*rng.Float64(), 6*rng.Float64()))
		a, b := newSolid(pa, rng.Float64()), newSolid(pb, 0)
		e, near := meet(&a, &b, 100)
		require.True(t, near)
		want := between(outline(pa), geom.NewIndex(outline(pb)))
		if want > 1e-6 {
			require.InDelta(t, want-a.r, e.d, 1e-6)
			require.InDelta(t, 1, e.n.Len(), 1e-9)
			require.InDelta(t, want, e.pb.Sub(e.pa).Dot(e.n), 1e-6)
			return
		}
		require.LessOrEqual(t, e.d, -a.r+1e-6)
		// Moving the second away by the overlap parts them.
		for i := range pb {
			pb[i] = pb[i].Add(e.n.Mul(-e.d - a.r + 1e-6))
		}
		require.GreaterOrEqual(t, between(outline(pa), geom.NewIndex(outline(pb))), 0.0)
		moved := newSolid(pb, 0)
		if e, near = meet(&a, &moved, 100); near {
			require.GreaterOrEqual(t, e.d, -a.r-1e-6)
		}
	})
}

func TestSumOfConvexPolygons(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 10))
		random := func() []geom.Point {
			var ps []geom.Point
			for range 1 + rng.IntN(9) {
				ps = append(ps, geom.Pt(math.Round(8*rng.Float64()), math.Round(8*rng.Float64())))
			}
			return geom.ConvexHull(ps)
		}
		a, b := random(), random()
		var all []geom.Point
		for _, p := range a {
			for _, q := range b {
				all = append(all, p.Add(q))
			}
		}
		require.Equal(t, geom.ConvexHull(all), geom.ConvexHull(sumOf(a, b)))
	})
}
