package paths_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// TestGolden holds whole plans of small operations; read a file before
// accepting a change of it.
func TestGolden(t *testing.T) {
	letters := []geom.Path{
		geom.Polyline(geom.Pt(0, 0), geom.Pt(0, 3)),
		geom.Polyline(geom.Pt(2, 0), geom.Pt(0, 1.5)),
		geom.Polyline(geom.Pt(0, 1.5), geom.Pt(2, 3)),
		geom.Circle(geom.Pt(4, 1), 1).Path(),
	}
	for _, tc := range []struct {
		name string
		plan paths.Strategy
	}{
		{"engrave", paths.Engrave{Op: with(op("name", -0.12, 0), vee), Lines: letters}},
		{"engrave-passes", paths.Engrave{Op: with(op("name", -0.3, 0.15), vee), Lines: letters}},
		{"engrave-ramp", paths.Engrave{Op: with(op("name", -0.1, 0), ball), Lines: letters[:2], Ramp: 5 * deg}},
		{"profile-disc", paths.Profile{Op: op("disc", -2.9, 1), Shape: disc(20, 20, 6.4135)}},
		{"profile-rect-bridges", paths.Profile{Op: op("tag", -3.1, 1.6), Shape: rect(10, 10, 30, 20), Bridges: paths.Bridges{Count: 2, Width: 1.5, Height: 0.6}}},
		{"profile-bridge-slopes", paths.Profile{Op: op("tag", -3.1, 1.6), Shape: rect(10, 10, 30, 20), Bridges: paths.Bridges{Count: 2, Width: 1.5, Height: 0.6, Angle: 15 * deg}}},
		{"profile-lead", paths.Profile{Op: op("disc", -2, 1), Shape: disc(20, 20, 6.4135), Lead: 1}},
		{"profile-finish", paths.Profile{Op: op("disc", -2, 1), Shape: disc(20, 20, 6.4135), Finish: 0.1}},
		{"profile-inside", paths.Profile{Op: op("window", -1, 0), Side: paths.Inside, Shape: rect(10, 10, 20, 16), Lead: 0.5}},
		{"profile-conventional", paths.Profile{Op: op("disc", -1, 0), Shape: disc(20, 20, 5), Conventional: true, Allowance: 0.1}},
		{"pocket", paths.Pocket{Op: op("pocket", -0.5, 0), Shape: geom.RegionOf(geom.Rect(geom.Pt(5, 5), geom.Pt(15, 11), 1), geom.Circle(geom.Pt(10, 8), 1).Reverse())}},
		{"pocket-wide-steps", paths.Pocket{Op: op("pocket", -0.5, 0), Shape: rect(5, 5, 13, 11), StepOver: 0.9}},
		{"slot", paths.Slot{Op: op("slot", -1, 0.5), From: geom.Pt(5, 5), To: geom.Pt(15, 5), Width: 1.5875}},
		{"bore", paths.Bore{Op: op("bore", -1, 0.5), At: geom.Pt(5, 5), Diameter: 2.5}},
		{"drill", paths.Drill{Op: with(op("holes", -3.4, 0), drill2), At: []geom.Point{{X: 5, Y: 5}, {X: 30, Y: 5}, {X: 7, Y: 6}}, Peck: 1.5, Dwell: 0.2}},
		{"drill-chips", paths.Drill{Op: with(op("holes", -3.4, 0), drill2), At: []geom.Point{{X: 5, Y: 5}}, Peck: 1.5, BackOff: 0.6}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			golden(t, tc.name, dump(mustPlan(t, world(), tc.plan)))
		})
	}
}

// TestRefusals lists what is not planned and how that is said.
func TestRefusals(t *testing.T) {
	side := endMill
	side.CentreCuts = false
	for _, tc := range []struct {
		name, says string
		plan       paths.Strategy
	}{
		{"floor under backing", "may be cut to -3.500 mm only", paths.Profile{Op: op("x", -3.6, 1), Shape: disc(20, 20, 5)}},
		{"bottom above top", "has to lie below top", paths.Profile{Op: op("x", 0.1, 1), Shape: disc(20, 20, 5)}},
		{"top above stock", "above the stock's top", paths.Profile{Op: paths.Op{Name: "x", Tool: endMill, Top: 1, Bottom: -1, Feed: 1, Plunge: 1, Speed: 1}, Shape: disc(20, 20, 5)}},
		{"not a number", "not an ordinary number", paths.Profile{Op: op("x", math.NaN(), 1), Shape: disc(20, 20, 5)}},
		{"no feed", "feed has to be positive", paths.Profile{Op: paths.Op{Name: "x", Tool: endMill, Bottom: -1, Plunge: 1, Speed: 1}, Shape: disc(20, 20, 5)}},
		{"passes", "more than 10000 passes", paths.Profile{Op: op("x", -1, 1e-6), Shape: disc(20, 20, 5)}},
		{"short flutes", "flutes are 4.000 mm long", paths.Engrave{Op: func() paths.Op { o := with(op("x", -4.2, 0), ball); return o }(), Lines: []geom.Path{{geom.Line(geom.Pt(0, 0), geom.Pt(1, 1))}}}},
		{"steep ramp", "at most 45 degrees", paths.Profile{Op: op("x", -1, 1), Shape: disc(20, 20, 5), Ramp: 50 * deg}},
		{"steep ramp without centre teeth", "at most 20 degrees", paths.Profile{Op: with(op("x", -1, 1), side), Shape: disc(20, 20, 5), Ramp: 30 * deg}},
		{"bridges without centre teeth", "need a slope", paths.Profile{Op: with(op("x", -1, 1), side), Shape: disc(20, 20, 5), Bridges: paths.Bridges{Count: 2, Width: 1, Height: 0.3}}},
		{"too many bridges", "make them fewer", paths.Profile{Op: op("x", -1, 1), Shape: disc(20, 20, 2), Bridges: paths.Bridges{Count: 9, Width: 1, Height: 0.3}}},
		{"high bridges", "less than the cut's depth", paths.Profile{Op: op("x", -1, 1), Shape: disc(20, 20, 5), Bridges: paths.Bridges{Count: 2, Width: 1, Height: 1}}},
		{"vee profile", "needs an end mill", paths.Profile{Op: with(op("x", -1, 1), vee), Shape: disc(20, 20, 5)}},
		{"small opening", "does not fit", paths.Profile{Op: op("x", -1, 1), Side: paths.Inside, Shape: disc(20, 20, 0.7)}},
		{"parts too near", "further apart", paths.Profile{Op: op("x", -1, 1), Shape: append(disc(20, 20, 5), disc(31, 20, 5)...)}},
		{"small hole", "into all of the holes", paths.Profile{Op: op("x", -1, 1), Shape: geom.RegionOf(geom.Circle(geom.Pt(20, 20), 5), geom.Circle(geom.Pt(20, 20), 0.5).Reverse())}},
		{"neighbour", "neighbouring part", paths.Profile{Op: op("x", -1, 1), Shape: disc(20, 20, 5), Keep: disc(31.5, 20, 5)}},
		{"narrow pocket", "does not fit into the pocket", paths.Pocket{Op: op("x", -1, 1), Shape: rect(5, 5, 15, 6.5)}},
		{"step over", "between 0 and 1", paths.Pocket{Op: op("x", -1, 1), Shape: rect(5, 5, 15, 15), StepOver: 1}},
		{"narrow slot", "mm wide", paths.Slot{Op: op("x", -1, 1), From: geom.Pt(5, 5), To: geom.Pt(15, 5), Width: 1.5}},
		{"point slot", "one place", paths.Slot{Op: op("x", -1, 1), From: geom.Pt(5, 5), To: geom.Pt(5, 5), Width: 2}},
		{"tight bore", "no room for a helix", paths.Bore{Op: op("x", -1, 1), At: geom.Pt(5, 5), Diameter: 1.5875}},
		{"drill as deep as its point", "no hole of the full diameter", paths.Drill{Op: with(op("x", -0.5, 1), drill2), At: []geom.Point{{X: 5, Y: 5}}}},
		{"drilling with side teeth", "take a drill", paths.Drill{Op: with(op("x", -1, 1), side), At: []geom.Point{{X: 5, Y: 5}}}},
		{"tight opening", "more than 1000 times", paths.Profile{Op: op("x", -3, 1), Side: paths.Inside, Shape: disc(20, 20, 0.8)}},
		{"no holes", "no hole to drill", paths.Drill{Op: with(op("x", -1, 1), drill2)}},
		{"holes in each other", "run into each other", paths.Drill{Op: with(op("x", -1, 1), drill2), At: []geom.Point{{X: 5, Y: 5}, {X: 6.9, Y: 5}}}},
		{"no lines", "no line", paths.Engrave{Op: with(op("x", -1, 1), vee)}},
		{"engraving with side teeth", "give the engraving a ramp", paths.Engrave{Op: with(op("x", -1, 1), side), Lines: []geom.Path{{geom.Line(geom.Pt(0, 0), geom.Pt(1, 1))}}}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, err := tc.plan.Plan(world())
			require.ErrorContains(t, err, tc.says)
		})
	}
}

func TestThroughFloor(t *testing.T) {
	s := world()
	for _, tc := range []struct{ skin, below, want float64 }{{0.1, 0, -2.9}, {0, 0.2, -3.2}, {0, 0, -3}} {
		z, err := paths.ThroughFloor(s, tc.skin, tc.below)
		require.NoError(t, err)
		assert.InDelta(t, tc.want, z, 1e-12)
	}
	for _, tc := range [][2]float64{{3, 0}, {-1, 0}, {0.1, 0.1}, {0, 0.6}, {math.NaN(), 0}} {
		_, err := paths.ThroughFloor(s, tc[0], tc[1])
		assert.Error(t, err)
	}
	s.Stock.Backing = setup.Backing{}
	_, err := paths.ThroughFloor(s, 0, 0.1)
	assert.ErrorContains(t, err, "no backing")
}

// TestRampSlope measures the slope of every descending move.
func TestRampSlope(t *testing.T) {
	for _, st := range []paths.Strategy{
		paths.Profile{Op: op("p", -2.9, 0.4), Shape: disc(20, 20, 2), Ramp: 2 * deg},
		paths.Profile{Op: op("p", -2.9, 0.4), Shape: rect(10, 10, 14, 12), Ramp: 2 * deg, Lead: 0.6},
		paths.Pocket{Op: op("p", -2.9, 0.4), Shape: rect(10, 10, 14, 12), Ramp: 2 * deg},
		paths.Slot{Op: op("p", -2.9, 0.4), From: geom.Pt(5, 5), To: geom.Pt(7, 5), Width: 1.5875, Ramp: 2 * deg},
		paths.Bore{Op: op("p", -2.9, 0.4), At: geom.Pt(5, 5), Diameter: 2.5, Ramp: 2 * deg},
	} {
		for _, m := range steps(mustPlan(t, world(), st)) {
			if down := m.from.Z - m.To.Z; down > 0 {
				assert.LessOrEqual(t, math.Atan2(down, m.seg().Length()), 2*deg*(1+1e-6))
			}
		}
	}
}

// TestBridges measures the material that stays under the bridges: every place
// within the tool's radius of a low move is gone.
func TestBridges(t *testing.T) {
	for _, shape := range []geom.Region{disc(20, 20, 6.4135), disc(20, 20, 3), rect(10, 10, 30, 20)} {
		for _, finish := range []float64{0, 0.1} {
			p := paths.Profile{Op: op("tag", -3.1, 1), Shape: shape, Finish: finish, Bridges: paths.Bridges{Count: 3, Width: 1.2, Height: 0.6}}
			plan := mustPlan(t, world(), p)
			var low []geom.Path
			for _, m := range steps(plan) {
				// The part of the move below the bridges' top.
				lo, hi := 0.0, 1.0
				switch drop := m.from.Z - m.To.Z; {
				case drop > 0:
					lo = math.Max(0, (m.from.Z+2.5+1e-9)/drop)
				case drop < 0:
					hi = math.Min(1, (m.from.Z+2.5+1e-9)/drop)
				case m.To.Z >= -2.5:
					continue
				}
				if g := m.seg(); lo < hi && g.Length() > 0 {
					for _, g := range g.Split(lo, hi) {
						if mid := g.At(0.5); m.seg().At((lo+hi)/2).Dist(mid) < 1e-6 {
							low = append(low, geom.Path{g})
						}
					}
				}
			}
			gone, err := geom.OffsetPath(low, endMill.Diameter/2, geom.OffsetOptions{})
			require.NoError(t, err)
			ring, err := geom.Offset(shape, endMill.Diameter, geom.OffsetOptions{})
			require.NoError(t, err)
			ring, err = geom.Difference(ring, shape)
			require.NoError(t, err)
			left, err := geom.Difference(ring, gone)
			require.NoError(t, err)
			// Without the reserve's sliver round the part, what is left in the
			// ring are the bridges, each at least as wide as asked.
			const sliver = 0.02
			left, err = geom.Offset(left, -sliver, geom.OffsetOptions{})
			require.NoError(t, err)
			bridges := 0
			for _, c := range left {
				bridges++
				assert.GreaterOrEqual(t, c.Area(), (1.2-2*sliver)*(endMill.Diameter-2*sliver)*0.999)
			}
			assert.Equal(t, 3, bridges)
		}
	}
}

// TestClimb checks the sense of travel from the side of the material that stays.
func TestClimb(t *testing.T) {
	area := func(st paths.Strategy) float64 {
		p := mustPlan(t, world(), st)
		c := p.Cuts[len(p.Cuts)-1]
		return geom.Path{geom.Arc(c.Moves[len(c.Moves)-2].To.XY(), c.End().XY(), c.Moves[len(c.Moves)-1].C, c.Moves[len(c.Moves)-1].Turn)}[0].Sweep()
	}
	out := paths.Profile{Op: op("p", -1, 0), Shape: disc(20, 20, 5)}
	assert.Negative(t, area(out), "clockwise round a part")
	out.Conventional = true
	assert.Positive(t, area(out))
	in := paths.Profile{Op: op("p", -1, 0), Shape: disc(20, 20, 5), Side: paths.Inside}
	assert.Positive(t, area(in), "counter-clockwise in an opening")
	in.Conventional = true
	assert.Negative(t, area(in))
}

// TestNarrowPlaces: where the tool does not pass, the plan says so.
func TestNarrowPlaces(t *testing.T) {
	waist, err := geom.Union(append(disc(15, 20, 5), disc(35, 20, 5)...), rect(15, 19.5, 35, 20.5))
	require.NoError(t, err)
	p := mustPlan(t, world(), paths.Profile{Op: op("window", -1, 1), Side: paths.Inside, Shape: waist})
	require.Len(t, p.Findings, 1)
	assert.Contains(t, p.Findings[0].String(), "does not pass the narrowest places")
	assert.Len(t, p.Cuts, 2)
}
