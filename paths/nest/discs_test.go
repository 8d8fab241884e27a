package nest

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
)

// slab returns an irregular outline of n points about w by h, as a measured
// offcut has it.
func slab(seed uint64, n int, w, h float64) geom.Region {
	rng := rand.New(rand.NewPCG(seed, 1))
	ps := make([]geom.Point, n)
	for i := range ps {
		a := 2 * math.Pi * (float64(i) + 0.6*rng.Float64()) / float64(n)
		c, s := math.Cos(a), math.Sin(a)
		k := (0.8 + 0.2*rng.Float64()) / math.Pow(math.Pow(math.Abs(c), 4)+math.Pow(math.Abs(s), 4), 0.25)
		ps[i] = geom.Pt(w/2*c*k, h/2*s*k)
	}
	return geom.RegionOf(geom.Polygon(ps...))
}

// screwed returns a slab with screws on a circle about its middle, as the
// inlay job has it: 12.7 mm discs cut 0.127 mm oversize with a 1/16 in cutter.
func screwed(seed uint64, w, h, circle float64, screws int) Problem {
	p := Problem{Stock: slab(seed, 18, w, h), Diameter: 12.827, Gap: 1.5875 + 0.2, Edge: 1}
	for i := range screws {
		q := geom.Polar(circle, float64(i)*2*math.Pi/float64(screws)+0.2)
		p.Keepouts = append(p.Keepouts, Keepout{geom.RegionOf(geom.Circle(q, 2.5)), 0.6 + 1.5875})
	}
	return p
}

// naiveHexagonal counts the best of a grid of hexagonal lattices with geom
// alone.
func naiveHexagonal(p Problem, angles, shifts int) int {
	box := p.Stock.Bounds()
	s, best := p.spacing(), 0
	free := map[geom.Point]bool{}
	reach := int(box.Size().Len()/s) + 2
	for a := range angles {
		for u := range shifts {
			for v := range shifts {
				angle := math.Pi / 3 * float64(a) / float64(angles)
				e1, e2 := geom.Polar(s, angle), geom.Polar(s, angle+math.Pi/3)
				count := 0
				for i := -reach; i <= reach; i++ {
					for j := -reach; j <= reach; j++ {
						q := box.Center().Add(e1.Mul(float64(i) + float64(u)/float64(shifts))).
							Add(e2.Mul(float64(j) + float64(v)/float64(shifts)))
						if !box.Contains(q) {
							continue
						}
						ok, seen := free[q]
						if !seen {
							_, err := p.slack([]geom.Point{q})
							ok = err == nil
							free[q] = ok
						}
						if ok {
							count++
						}
					}
				}
				best = max(best, count)
			}
		}
	}
	return best
}

func TestDiscsNeverFewerThanHexagonal(t *testing.T) {
	seeds := 4
	if long() {
		seeds = 60
	}
	better := 0
	for seed := range uint64(seeds) {
		p := screwed(seed, 60+3*float64(seed%5), 45+2*float64(seed%7), 18, 3)
		p.Effort = 0.3
		l, err := Discs(context.Background(), p)
		require.NoError(t, err)
		require.NoError(t, p.Check(*l))
		naive := naiveHexagonal(p, 12, 8)
		require.GreaterOrEqual(t, l.Hexagonal, naive, "slab %d", seed)
		require.GreaterOrEqual(t, len(l.Centres), l.Hexagonal, "slab %d", seed)
		require.LessOrEqual(t, len(l.Centres), l.Bound, "slab %d", seed)
		if len(l.Centres) > l.Hexagonal {
			better++
		}
	}
	require.Greater(t, 2*better, seeds, "better than hexagonal on most slabs")
}

func TestThirtyDiscsAmongSixScrews(t *testing.T) {
	p := screwed(1, 118, 90, 34, 6)
	p.Effort = 0.4
	l, err := Discs(context.Background(), p)
	require.NoError(t, err)
	require.NoError(t, p.Check(*l))
	require.GreaterOrEqual(t, len(l.Centres), 30)
	require.Greater(t, len(l.Centres), l.Hexagonal)
}

func TestSameSeedSameBytes(t *testing.T) {
	p := screwed(2, 70, 50, 20, 3)
	p.Effort, p.Seed = 0.2, 7
	var first []byte
	for range 3 {
		l, err := Discs(context.Background(), p)
		require.NoError(t, err)
		text, err := json.Marshal(l)
		require.NoError(t, err)
		if first == nil {
			first = text
		}
		require.Equal(t, string(first), string(text))
	}
}

func TestMoreEffortIsNeverWorse(t *testing.T) {
	p := screwed(3, 90, 70, 26, 4)
	last := 0
	for _, e := range []float64{0.02, 0.1, 0.3} {
		p.Effort = e
		l, err := Discs(context.Background(), p)
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(l.Centres), last)
		last = len(l.Centres)
	}
}

func TestInterruptReturnsTheBestSoFar(t *testing.T) {
	p := screwed(1, 118, 90, 34, 6)
	p.Effort = 1e6 // far longer than any test
	ctx, cancel := context.WithCancel(context.Background())
	seen := 0
	p.Progress = func(g Progress) {
		if seen = max(seen, g.Placed); g.Placed > 0 && g.Trying > g.Placed {
			cancel()
		}
	}
	l, err := Discs(ctx, p)
	require.NoError(t, err)
	require.True(t, l.Interrupted)
	require.NoError(t, p.Check(*l))
	require.GreaterOrEqual(t, len(l.Centres), seen)
	require.Positive(t, seen)

	// Ended before it began: still an orderly layout.
	l, err = Discs(ctx, p)
	require.NoError(t, err)
	require.True(t, l.Interrupted)
	require.NoError(t, p.Check(*l))
}

func TestNothingFits(t *testing.T) {
	p := Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(20, 30), 0)), Diameter: 20.5}
	l, err := Discs(context.Background(), p)
	require.NoError(t, err)
	require.Empty(t, l.Centres)
	require.Zero(t, l.Bound)
	require.Contains(t, l.Reason, "20 mm")

	// A keep-out over everything.
	p.Diameter = 5
	p.Keepouts = []Keepout{{geom.RegionOf(geom.Circle(geom.Pt(10, 15), 60)), 1}}
	l, err = Discs(context.Background(), p)
	require.NoError(t, err)
	require.Empty(t, l.Centres)
	require.NotEmpty(t, l.Reason)
}

func TestExactFit(t *testing.T) {
	square := func(a, b float64) geom.Region { return geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(a, b), 0)) }
	for _, c := range []struct {
		name  string
		p     Problem
		count int
	}{
		{"one in its own circle", Problem{Stock: geom.RegionOf(geom.Circle(geom.Pt(1, 2), 6)), Diameter: 12}, 1},
		{"four in a square", Problem{Stock: square(20, 20), Diameter: 10}, 4},
		{"a row with gaps and edges", Problem{Stock: square(2+3*10+2*1.5, 14), Diameter: 10, Gap: 1.5, Edge: 1}, 3},
		{"a ring as wide as the disc", Problem{Stock: geom.RegionOf(geom.Circle(geom.Pt(0, 0), 16), geom.Circle(geom.Pt(0, 0), 10)), Diameter: 6}, 13},
		{"seven in a circle", Problem{Stock: geom.RegionOf(geom.Circle(geom.Pt(0, 0), 30)), Diameter: 20}, 7},
	} {
		c.p.Effort = 1
		l, err := Discs(context.Background(), c.p)
		require.NoError(t, err, c.name)
		require.NoError(t, c.p.Check(*l), c.name)
		require.Len(t, l.Centres, c.count, c.name)
		require.GreaterOrEqual(t, l.Slack, -Rounding, c.name)
		require.GreaterOrEqual(t, l.Bound, c.count, c.name)
	}
}

func TestMaxAndSpread(t *testing.T) {
	p := Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(100, 100), 0)), Diameter: 10, Gap: 2, Edge: 1, Max: 5, Effort: 0.1}
	near, err := Discs(context.Background(), p)
	require.NoError(t, err)
	require.NoError(t, p.Check(*near))
	require.Len(t, near.Centres, 5)
	require.Less(t, near.Slack, 4*Ease, "as near as allowed")

	p.Spread = true
	far, err := Discs(context.Background(), p)
	require.NoError(t, err)
	require.NoError(t, p.Check(*far))
	require.Len(t, far.Centres, 5)
	require.Greater(t, far.Slack, near.Slack)
}

func TestRowsFromTheBottomUp(t *testing.T) {
	p := screwed(1, 118, 90, 34, 6)
	p.Effort = 0.1
	l, err := Discs(context.Background(), p)
	require.NoError(t, err)
	for i := 1; i < len(l.Centres); i++ {
		a, b := l.Centres[i-1], l.Centres[i]
		require.True(t, b.X > a.X || b.Y > a.Y, "disc %d", i)
	}
}

func TestCheckFindsFaults(t *testing.T) {
	p := Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(60, 40), 0)), Diameter: 10, Gap: 2, Edge: 1,
		Keepouts: []Keepout{{geom.RegionOf(geom.Circle(geom.Pt(30, 20), 3)), 2}}}
	for _, c := range []struct {
		name    string
		centres []geom.Point
		fault   string
	}{
		{"good", []geom.Point{{X: 6, Y: 6}, {X: 18, Y: 6}}, ""},
		{"within rounding", []geom.Point{{X: 6, Y: 6}, {X: 18 - Rounding/2, Y: 6}}, ""},
		{"discs too near", []geom.Point{{X: 6, Y: 6}, {X: 50, Y: 30}, {X: 17.99, Y: 6}}, "disc 0 to disc 2"},
		{"same place twice", []geom.Point{{X: 6, Y: 6}, {X: 6, Y: 6}}, "disc 0 to disc 1"},
		{"edge", []geom.Point{{X: 5.99, Y: 6}}, "edge of the stock"},
		{"off the stock", []geom.Point{{X: -20, Y: 6}}, "not on the stock"},
		{"keep-out", []geom.Point{{X: 30, Y: 29.99}}, "keep-out 0"},
		{"in the keep-out", []geom.Point{{X: 30, Y: 20}}, "keep-out 0"},
		{"not a number", []geom.Point{{X: math.NaN(), Y: 6}}, "finite"},
	} {
		err := p.Check(Layout{Centres: c.centres, Diameter: 10})
		if c.fault == "" {
			require.NoError(t, err, c.name)
		} else {
			require.ErrorContains(t, err, c.fault, c.name)
		}
	}
	require.ErrorContains(t, p.Check(Layout{Diameter: 9}), "9 mm")
}

func TestBadInput(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := func() Problem {
		return Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(60, 40), 0)), Diameter: 10}
	}
	clockwise := geom.Region{geom.Polygon(geom.Pt(0, 0), geom.Pt(0, 10), geom.Pt(10, 10), geom.Pt(10, 0))}
	for _, c := range []struct {
		name   string
		change func(*Problem)
		text   string
	}{
		{"diameter 0", func(p *Problem) { p.Diameter = 0 }, "diameter"},
		{"diameter -1", func(p *Problem) { p.Diameter = -1 }, "diameter"},
		{"diameter NaN", func(p *Problem) { p.Diameter = nan }, "diameter"},
		{"diameter infinite", func(p *Problem) { p.Diameter = inf }, "diameter"},
		{"gap", func(p *Problem) { p.Gap = -0.1 }, "gap"},
		{"edge", func(p *Problem) { p.Edge = nan }, "edge"},
		{"effort", func(p *Problem) { p.Effort = -1 }, "effort"},
		{"max", func(p *Problem) { p.Max = -1 }, "at most"},
		{"no stock", func(p *Problem) { p.Stock = nil }, "stock"},
		{"stock NaN", func(p *Problem) { p.Stock = geom.RegionOf(geom.Circle(geom.Pt(nan, 0), 5)) }, "stock"},
		{"crossing stock", func(p *Problem) {
			p.Stock = geom.Region{geom.Polygon(geom.Pt(0, 0), geom.Pt(10, 10), geom.Pt(10, 0), geom.Pt(0, 20))}
		}, "stock"},
		{"margin", func(p *Problem) { p.Keepouts = []Keepout{{geom.RegionOf(geom.Circle(geom.Pt(9, 9), 2)), -1}} }, "keep-out 0"},
		{"keep-out clockwise", func(p *Problem) { p.Keepouts = []Keepout{{}, {clockwise, 1}} }, "keep-out 1"},
		{"too many", func(p *Problem) { p.Diameter = 0.01 }, "limit"},
	} {
		p := good()
		c.change(&p)
		_, err := Discs(context.Background(), p)
		require.ErrorContains(t, err, c.text, c.name)
	}
	for _, n := range []int{-1, 0, MaxDiscs + 1} {
		_, err := MaxRadius(context.Background(), good().Stock, n, RadiusOptions{})
		require.Error(t, err)
	}
	_, err := MaxRadius(context.Background(), good().Stock, 3, RadiusOptions{Effort: nan})
	require.Error(t, err)
	_, err = MaxRadius(context.Background(), nil, 3, RadiusOptions{})
	require.Error(t, err)
}

// TestLayoutsAreSound draws slabs, screws and discs of all sizes and lets
// Check, which shares nothing with the search, judge.
func TestLayoutsAreSound(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := rapid.Float64Range(5, 150).Draw(r, "w")
		h := rapid.Float64Range(5, 150).Draw(r, "h")
		p := Problem{
			Stock:    slab(rapid.Uint64().Draw(r, "seed"), rapid.IntRange(5, 30).Draw(r, "points"), w, h),
			Diameter: rapid.Float64Range(0.2, 1.2).Draw(r, "d") * math.Min(w, h),
			Gap:      rapid.Float64Range(0, 4).Draw(r, "gap"),
			Edge:     rapid.Float64Range(0, 3).Draw(r, "edge"),
			Effort:   0.001,
		}
		for i := range rapid.IntRange(0, 5).Draw(r, "screws") {
			c := geom.Pt(rapid.Float64Range(-w/2, w/2).Draw(r, fmt.Sprint("x", i)), rapid.Float64Range(-h/2, h/2).Draw(r, fmt.Sprint("y", i)))
			p.Keepouts = append(p.Keepouts, Keepout{geom.RegionOf(geom.Circle(c, rapid.Float64Range(0.5, 5).Draw(r, "r"))),
				rapid.Float64Range(0, 3).Draw(r, "margin")})
		}
		l, err := Discs(context.Background(), p)
		if err != nil {
			r.Fatal(err)
		}
		if err := p.Check(*l); err != nil {
			r.Fatal(err)
		}
		if len(l.Centres) > l.Bound || len(l.Centres) < l.Hexagonal || len(l.Centres) < l.Square {
			r.Fatalf("placed %d, bound %d, hexagonal %d, square %d", len(l.Centres), l.Bound, l.Hexagonal, l.Square)
		}
	})
}
