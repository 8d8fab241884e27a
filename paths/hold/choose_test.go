package hold

import (
	"context"
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
	"proofcut/paths/nest"
)

// strip is a slab just long and wide enough for a row of discs of 10 mm, with
// 2 mm between them and 1 mm to the edge, and one head of 4 mm that keeps 2 mm
// from a disc: along the row a screw needs 18 mm from disc to disc, not 12 mm.
func strip(length, width float64) Problem {
	return Problem{
		Slab:  rect(length, width),
		Plate: Plate{Region: geom.RegionOf(geom.Rect(geom.Pt(-5, -5), geom.Pt(length+5, width+5), 0))},
		Count: 1, Screw: Screw{Head: 4, Hole: 2}, Wall: 1, Grip: 0.5, Reach: 2 * length, Overhang: 2 * length,
		Parts:  Discs{Problem: nest.Problem{Stock: rect(length, width), Diameter: 10, Gap: 2, Edge: 1, Effort: 0.05}, Head: 4, Margin: 2},
		Effort: 0.2,
	}
}

// Two discs, the screw, two discs: 1+5+12+9 mm from either end. With a tenth of
// a millimetre to spare on each side the screw has to stand in the middle, where
// also the slab is held best.
func TestOneScrewInAStrip(t *testing.T) {
	p := strip(54.2, 12)
	p.Reach = math.Hypot(27.5, 6) // not at an end, and not beside the first disc
	p.Overhang = p.Reach
	c, err := Choose(context.Background(), p)
	require.NoError(t, err)
	assert.Equal(t, 4, c.Parts)
	assert.Equal(t, 4, c.Free)
	assert.InDelta(t, 27.1, c.Places[0].X, 0.02)
	assert.InDelta(t, 6, c.Places[0].Y, 0.02)
	assert.InDelta(t, math.Hypot(27.1, 6), c.Spread.Reach, 0.02)
}

// Without a limit on the reach a strip that is too short for the screw between
// the discs but long enough for it at an end keeps all discs.
func TestOneScrewAtTheEnd(t *testing.T) {
	// 1+5+3*12+9 mm to the axis, then hole radius and wall: 53 mm.
	p := strip(53.2, 12)
	c, err := Choose(context.Background(), p)
	require.NoError(t, err)
	assert.Equal(t, 4, c.Parts)
	// From the axis of the row, or down to 4 mm off it, where it comes nearer.
	x := math.Min(c.Places[0].X, 53.2-c.Places[0].X)
	assert.GreaterOrEqual(t, x, 2.0)
	assert.LessOrEqual(t, x, 53.2-(1+5+3*12)-math.Sqrt(9*9-4*4))

	// In the middle, and not far off the axis, it costs one.
	p.Reach = math.Hypot(27.2, 6)
	p.Overhang = p.Reach
	c, err = Choose(context.Background(), p)
	require.NoError(t, err)
	assert.Equal(t, 3, c.Parts)
	assert.InDelta(t, 26.6, c.Places[0].X, 0.61)
}

// Two screws hold a rectangle best from the middles of its short sides, as far
// out as hole and wall allow.
func TestTwoScrewsSymmetric(t *testing.T) {
	p := strip(100, 20)
	p.Count = 2
	p.Reach, p.Overhang = 15, 15
	d := p.Parts.(Discs)
	d.Problem.Diameter = 25 // no part fits: only holding counts
	p.Parts = d
	c, err := Choose(context.Background(), p)
	require.NoError(t, err)
	assert.Zero(t, c.Parts)
	assert.InDelta(t, math.Hypot(2, 10), c.Spread.Reach, 0.02)
	for i, x := range []float64{2, 98} {
		assert.InDelta(t, x, c.Places[i].X, 0.05)
		assert.InDelta(t, 10, c.Places[i].Y, 0.05)
	}
}

// A grid of tapped holes leaves only its own places.
func TestHolesOfThePlate(t *testing.T) {
	p := strip(54.2, 12)
	p.Plate = Plate{Places: []geom.Point{geom.Pt(6, 3), geom.Pt(27.1, 6), geom.Pt(40, 6)}}
	c, err := Choose(context.Background(), p)
	require.NoError(t, err)
	assert.Equal(t, []geom.Point{geom.Pt(27.1, 6)}, c.Places)
	assert.Equal(t, 4, c.Parts)
}

func TestNothingHolds(t *testing.T) {
	p := strip(100, 20)
	p.Reach, p.Overhang = 30, 30
	_, err := Choose(context.Background(), p)
	require.ErrorIs(t, err, ErrNoPlaces)
	assert.ErrorContains(t, err, "more screws")
	// Half the diagonal is the least that one screw can do.
	p.Reach, p.Overhang = math.Hypot(50, 10), math.Hypot(50, 10)
	_, err = Choose(context.Background(), p)
	require.NoError(t, err)
	// No room for even one.
	p.Wall = 11
	_, err = Choose(context.Background(), p)
	require.ErrorIs(t, err, ErrNoPlaces)
	assert.ErrorContains(t, err, "no place on the slab or the plate for even one")
}

// offcut is an irregular slab with a crack.
func offcut() Problem {
	slab := geom.RegionOf(geom.Polygon(
		geom.Pt(1.2, 3.1), geom.Pt(9.8, 0.4), geom.Pt(33, 0.2), geom.Pt(55.3, 0.8), geom.Pt(60.1, 6.4), geom.Pt(60.4, 25.9),
		geom.Pt(57.1, 35.2), geom.Pt(51.6, 41.8), geom.Pt(41.9, 44.6), geom.Pt(20.8, 45.1), geom.Pt(3.4, 38.5), geom.Pt(0.3, 28.8)))
	crack := geom.RegionOf(geom.Slot(geom.Pt(38.6, 0.5), geom.Pt(40.2, 5.2), 0.8))
	return Problem{
		Slab: slab, Defects: []geom.Region{crack},
		Plate: Plate{Region: geom.RegionOf(geom.Rect(geom.Pt(-10, -10), geom.Pt(75, 60), 0))},
		Count: 3, Screw: Screw{Head: 5.5, Hole: 3.4}, Wall: 0.7, Grip: 0.5, Reach: 24, Overhang: 24,
		Parts: Discs{Problem: nest.Problem{Stock: slab, Keepouts: []nest.Keepout{{Area: crack, Margin: 1.9}},
			Diameter: 12.827, Gap: 1.9, Edge: 0.3, Effort: 0.1, Seed: 1}, Head: 5.5, Margin: 2.1},
		Starts: [][]geom.Point{{geom.Pt(6, 8), geom.Pt(54, 9), geom.Pt(30, 39)}},
		Effort: 0.3, Seed: 1,
	}
}

// The same problem gives the same places; more effort never fewer parts.
func TestSameAgainAndNeverFewer(t *testing.T) {
	p := offcut()
	first, err := Choose(context.Background(), p)
	require.NoError(t, err)
	again, err := Choose(context.Background(), p)
	require.NoError(t, err)
	assert.Equal(t, first, again)
	p.Effort = 1
	more, err := Choose(context.Background(), p)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, more.Parts, first.Parts)
	assert.GreaterOrEqual(t, first.Parts, first.Starts[0].Parts)
	assert.Greater(t, more.Parts, more.Starts[0].Parts, "the places by hand cost a part here")
}

// An interrupt keeps the best so far; before there is any it is an error.
func TestInterrupt(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	p := offcut()
	p.Effort = 100
	p.Progress = func(Progress) { cancel() }
	c, err := Choose(ctx, p)
	require.NoError(t, err)
	assert.True(t, c.Interrupted)
	assert.Len(t, c.Places, 3)
	p.Starts = nil
	p.Reach, p.Overhang = 1, 1
	_, err = Choose(ctx, p)
	require.ErrorIs(t, err, context.Canceled)
}

// check measures a choice with nothing but geom and nest: distances of sample
// points, of heads and of discs.
func check(t require.TestingT, p Problem, c *Choice) {
	require.Len(t, c.Places, p.Count)
	for i, q := range c.Places {
		for _, o := range c.Places[:i] {
			require.GreaterOrEqual(t, q.Dist(o), p.Head-1e-6)
		}
		require.Equal(t, Through, c.Sites[i])
		require.Equal(t, geom.Inside, p.Slab.Contains(q))
		require.GreaterOrEqual(t, p.Slab.BoundaryDistance(q), p.Hole/2+p.Wall-1e-5)
		require.NotEqual(t, geom.Outside, p.Plate.Region.Contains(q))
	}
	for _, q := range geom.Flatten(p.Slab[0], 1e-3) {
		require.LessOrEqual(t, nearestSpan(spans(c.Places), q), p.Reach+2*SpreadTol)
	}
	d := p.Parts.(Discs)
	n := d.Problem
	for _, q := range c.Places {
		n.Keepouts = append(n.Keepouts, nest.Keepout{Area: geom.RegionOf(geom.Circle(q, p.Head/2)), Margin: d.Margin})
	}
	l, err := nest.Discs(context.Background(), n)
	require.NoError(t, err)
	require.NoError(t, n.Check(*l))
	require.Equal(t, c.Parts, len(l.Centres))
}

// On random slabs the chosen places hold, and never leave fewer parts than
// places by hand that hold.
func TestNeverFewerThanByHand(t *testing.T) {
	tried, held := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if tried++; tried > 6 { // each takes a while
			return
		}
		p := offcut()
		p.Slab, p.Defects = drawSlab(t), nil
		p.Plate.Region = geom.RegionOf(geom.Rect(geom.Pt(-40, -40), geom.Pt(40, 40), 0))
		p.Count = rapid.IntRange(2, 4).Draw(t, "screws")
		p.Reach, p.Overhang = 30, 30
		p.Seed = rapid.Uint64().Draw(t, "seed")
		p.Effort = 0.1
		p.Parts = Discs{Problem: nest.Problem{Stock: p.Slab, Diameter: 9, Gap: 2, Edge: 0.5, Effort: 0.05}, Head: p.Head, Margin: 2}
		p.Starts = [][]geom.Point{rapid.SliceOfN(rapid.Custom(drawPlace), p.Count, p.Count).Draw(t, "by hand")}
		c, err := Choose(context.Background(), p)
		if errors.Is(err, ErrNoPlaces) {
			return
		}
		require.NoError(t, err)
		if s := c.Starts[0]; s.Err == nil {
			held++
			require.GreaterOrEqual(t, c.Parts, s.Parts)
		}
		for _, s := range c.Sites {
			if s != Through {
				return
			}
		}
		check(t, p, c)
	})
	require.Positive(t, held, "no start by hand held its slab: the test says nothing")
}

func TestChoiceAgainstMeasuring(t *testing.T) {
	p := offcut()
	c, err := Choose(context.Background(), p)
	require.NoError(t, err)
	check(t, p, c)
}

func ExampleChoose() {
	slab := geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(58, 2), geom.Pt(60, 30), geom.Pt(40, 41), geom.Pt(3, 38)))
	c, err := Choose(context.Background(), Problem{
		Slab:  slab,
		Plate: Plate{Region: geom.RegionOf(geom.Rect(geom.Pt(-5, -5), geom.Pt(65, 45), 0))},
		Count: 2, Screw: Screw{Head: 5.5, Hole: 3.4}, Wall: 1, Reach: 28, Overhang: 28,
		Parts: Discs{
			Problem: nest.Problem{Stock: slab, Diameter: 12.8, Gap: 1.9, Edge: 0.5, Effort: 0.1},
			Head:    5.5, Margin: 2.1,
		},
		Starts: [][]geom.Point{{geom.Pt(15, 19), geom.Pt(45, 19)}}, // by hand, on the middle line
		Effort: 0.3,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("by hand", c.Starts[0].Parts, "chosen", c.Parts, "without screws", c.Free)
	// Output: by hand 7 chosen 8 without screws 9
}

// BenchmarkChoose is the quality of the choice against effort.
func BenchmarkChoose(b *testing.B) {
	for _, effort := range []float64{0.2, 1, 4} {
		b.Run(fmt.Sprintf("effort=%g", effort), func(b *testing.B) {
			parts := 0
			for range b.N {
				p := offcut()
				p.Effort = effort
				c, err := Choose(context.Background(), p)
				if err != nil {
					b.Fatal(err)
				}
				parts = c.Parts
			}
			b.ReportMetric(float64(parts), "parts")
		})
	}
}

// BenchmarkSpread is the time of one exact measure of a set.
func BenchmarkSpread(b *testing.B) {
	p := offcut()
	j, err := NewJudge(p)
	if err != nil {
		b.Fatal(err)
	}
	for range b.N {
		if _, err := j.Spread(p.Starts[0]); err != nil {
			b.Fatal(err)
		}
	}
}
