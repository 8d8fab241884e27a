package paths

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

func TestLevels(t *testing.T) {
	for _, tc := range []struct {
		top, bottom, step float64
		want              []float64
	}{
		{0, -1, 0, []float64{-1}},
		{0, -1, 0.5, []float64{-0.5, -1}},
		{0, -1, 0.4, []float64{-1. / 3, -2. / 3, -1}},
		{0, -0.3, 0.1, []float64{-0.1, -0.2, -0.3}},
		{-1, -1.5, 2, []float64{-1.5}},
	} {
		assert.InDeltaSlice(t, tc.want, levels(tc.top, tc.bottom, tc.step), 1e-12)
	}
}

// TestAssemblyEncloses: the outline is nowhere thinner than the tool, and what
// height and radius say fits together.
func TestAssemblyEncloses(t *testing.T) {
	for _, tool := range []setup.Tool{
		{Diameter: 1.5875, FluteLength: 5, Shank: 3.175, StickOut: 15},
		{Diameter: 6, FluteLength: 5, Shank: 3, StickOut: 15},
		{Shape: setup.Vee, Diameter: 3.175, TipDiameter: 0.1, Angle: math.Pi / 3, FluteLength: 6, Shank: 3.175, StickOut: 15},
		{Shape: setup.Drill, Diameter: 2, Angle: 2, FluteLength: 12, Shank: 2, StickOut: 20, Holder: []setup.Section{{Z0: 20, R0: 4, Z1: 22, R1: 8}, {Z0: 22, R0: 8, Z1: 40, R1: 8}}},
		{Shape: setup.Ball, Diameter: 1, FluteLength: 4, Shank: 3, StickOut: 15},
	} {
		a := newAssembly(tool)
		for z := 0.0; z < 50; z += 0.01 {
			r := a.radius(z)
			assert.GreaterOrEqual(t, r, tool.MaxRadius(0, z)-1e-12)
			assert.GreaterOrEqual(t, r, a.radius(z*0.9)-1e-12)
			h := a.height(r - 1e-9)
			assert.LessOrEqual(t, h, z+1e-6)
		}
		assert.Equal(t, math.Inf(1), a.height(100))
		assert.Zero(t, a.height(-1))
	}
}

// TestFollow: the moves join, keep to the path and the heights, and are as long.
func TestFollow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := geom.Rect(geom.Pt(0, 0), geom.Pt(8, 5), rapid.SampledFrom([]float64{0, 1}).Draw(t, "corner")).Path()
		r := newRail(repeat(line, 4))
		at := rapid.Float64Range(0, 10).Draw(t, "from")
		knots := []knot{{at, 0}}
		for range rapid.IntRange(1, 8).Draw(t, "knots") {
			at += rapid.Float64Range(0, 8).Draw(t, "step")
			knots = append(knots, knot{at, rapid.Float64Range(-3, 0).Draw(t, "z")})
		}
		c := follow(r, knots, 200, 50)
		from, s := c.Start, knots[0].s
		for _, m := range c.Moves {
			g := segOf(from, m)
			s += g.Length()
			assert.InDelta(t, 0, m.To.XY().Dist(r.point(s)), 1e-6)
			down := (from.Z - m.To.Z) / from.Dist(m.To)
			if g.IsArc() {
				down = (from.Z - m.To.Z) / math.Hypot(g.Length(), from.Z-m.To.Z)
			}
			assert.LessOrEqual(t, m.Feed*down, 50*(1+1e-6))
			assert.LessOrEqual(t, m.Feed, 200.0)
			from = m.To
		}
		last := knots[len(knots)-1]
		assert.InDelta(t, last.s, s, 1e-6)
		assert.InDelta(t, last.z, c.End().Z, 1e-6)
	})
}

// TestOver: lifted heights are the higher of path and ridge everywhere.
func TestOver(t *testing.T) {
	knots := []knot{{0, 0}, {4, -2}, {20, -2}}
	ridges := []ridge{{2, 3, -1.5, 0.5}, {8, 9, -1, 0}}
	out := over(knots, ridges, -2)
	height := func(list []knot, s float64) float64 {
		for i := 1; i < len(list); i++ {
			if a, b := list[i-1], list[i]; s >= a.s && s <= b.s && b.s > a.s {
				return a.z + (b.z-a.z)*(s-a.s)/(b.s-a.s)
			}
		}
		return math.NaN()
	}
	for s := 0.005; s < 20; s += 0.01 {
		want := height(knots, s)
		if s > 2 && s < 3 {
			want = math.Max(want, -1.5)
		}
		if s > 8 && s < 9 {
			want = -1
		}
		if s >= 3 && s <= 3.5 {
			want = math.Max(want, -1.5-(s-3))
		}
		if s >= 1.5 && s <= 2 {
			want = math.Max(want, -1.5-(2-s))
		}
		assert.InDelta(t, want, height(out, s), 1e-6, "at %g", s)
	}
}

func TestOrder(t *testing.T) {
	line := func(a, b float64) geom.Path { return geom.Path{geom.Line(geom.Pt(a, 0), geom.Pt(b, 0))} }
	got := order([]geom.Path{line(0, 1), line(9, 8), line(3, 2), line(4, 5)})
	var at []float64
	for _, p := range got {
		at = append(at, p.Start().X, p.End().X)
	}
	assert.Equal(t, []float64{0, 1, 2, 3, 4, 5, 8, 9}, at)
	points := orderPoints([]geom.Point{{X: 0}, {X: 5}, {X: 1}, {X: 3}})
	assert.Equal(t, []geom.Point{{X: 0}, {X: 1}, {X: 3}, {X: 5}}, points)
}

// TestPole finds the middle of shapes whose middle is known.
func TestPole(t *testing.T) {
	for _, tc := range []struct {
		shape geom.Region
		depth float64
	}{
		{geom.RegionOf(geom.Circle(geom.Pt(3, 4), 2)), 2},
		{geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(30, 2), 0)), 1},
		{geom.RegionOf(geom.Circle(geom.Pt(0, 0), 5), geom.Circle(geom.Pt(0, 0), 3).Reverse()), 1},
		{geom.RegionOf(geom.RegularPolygon(geom.Pt(0, 0), 2, 3, 0)), 1},
	} {
		i := geom.NewIndex(tc.shape)
		q := pole(tc.shape, i, 0.01)
		assert.InDelta(t, tc.depth, i.BoundaryDistance(geom.Line(q, q)), 0.01)
		assert.Equal(t, geom.Inside, i.Contains(q))
	}
}
