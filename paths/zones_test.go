package paths_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths"
	"proofcut/paths/geom"
)

// TestZonesInTheWay puts a screw into every kind of cut: refused by default,
// shortened when asked, never nearer than clearance and radius.
func TestZonesInTheWay(t *testing.T) {
	shorten := func(o paths.Op) paths.Op { o.OnZone = paths.Shorten; return o }
	for _, tc := range []struct {
		name string
		make func(paths.Op) paths.Strategy
	}{
		{"engrave", func(o paths.Op) paths.Strategy {
			return paths.Engrave{Op: o, Lines: []geom.Path{{geom.Line(geom.Pt(10, 20), geom.Pt(40, 20))}}}
		}},
		{"profile", func(o paths.Op) paths.Strategy { return paths.Profile{Op: o, Shape: rect(22, 10, 40, 30)} }},
		{"profile inside", func(o paths.Op) paths.Strategy {
			return paths.Profile{Op: o, Shape: rect(18, 10, 40, 30), Side: paths.Inside}
		}},
		{"pocket", func(o paths.Op) paths.Strategy { return paths.Pocket{Op: o, Shape: rect(10, 10, 40, 30)} }},
		{"slot", func(o paths.Op) paths.Strategy {
			return paths.Slot{Op: o, From: geom.Pt(10, 20), To: geom.Pt(40, 20), Width: endMill.Diameter}
		}},
		{"wide slot", func(o paths.Op) paths.Strategy {
			return paths.Slot{Op: o, From: geom.Pt(10, 20), To: geom.Pt(40, 20), Width: 3}
		}},
		{"drill", func(o paths.Op) paths.Strategy {
			return paths.Drill{Op: o, At: []geom.Point{{X: 21, Y: 20}, {X: 40, Y: 20}}}
		}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := world()
			s.Zones = append(s.Zones, screw("screw 1", 20, 20))
			_, err := tc.make(op("x", -1, 0.5)).Plan(s)
			var ze *paths.ZoneError
			require.ErrorAs(t, err, &ze)
			assert.Equal(t, "screw 1", ze.Zone)
			assert.Less(t, ze.Distance, ze.Needed)

			plan, err := tc.make(shorten(op("x", -1, 0.5))).Plan(s)
			require.NoError(t, err)
			require.NotEmpty(t, plan.Findings)
			assert.Equal(t, "screw 1", plan.Findings[0].Zone)
			index := geom.NewIndex(s.Zones[0].Area)
			for _, m := range steps(plan) {
				assert.GreaterOrEqual(t, index.Distance(m.seg()), 0.5+endMill.Diameter/2)
			}
			_, err = paths.Link(s, plan)
			require.NoError(t, err)
		})
	}
	// A bore cannot be shortened.
	s := world()
	s.Zones = append(s.Zones, screw("screw 1", 20, 20))
	_, err := paths.Bore{Op: shorten(op("x", -1, 0.5)), At: geom.Pt(20, 20), Diameter: 2.5}.Plan(s)
	var ze *paths.ZoneError
	require.ErrorAs(t, err, &ze)
}

// TestShank: where the shank is thicker than the flutes and low enough, it is
// what needs the room.
func TestShank(t *testing.T) {
	s := world()
	z := screw("post", 20, 20)
	z.Top = 6
	s.Zones = append(s.Zones, z)
	o := op("x", -1, 0.5)
	// Flutes alone would pass at 2.75 + 0.5 + 0.79 = 4.04 mm; the shank is at
	// 4 mm and the post stands up to 6 mm.
	line := func(d float64) paths.Engrave {
		return paths.Engrave{Op: o, Lines: []geom.Path{{geom.Line(geom.Pt(20+d, 10), geom.Pt(20+d, 30))}}}
	}
	_, err := line(4.5).Plan(s)
	require.ErrorContains(t, err, "post")
	_, err = line(2.75 + 0.5 + 3.175/2 + 0.002).Plan(s)
	require.NoError(t, err)
}

// TestLinkHeights: the tool rises to the approach over the stock, and higher
// only over a zone.
func TestLinkHeights(t *testing.T) {
	s := world()
	z := screw("screw 1", 20, 20)
	s.Zones = append(s.Zones, z)
	o := with(op("dots", -0.9, 0), drill2)
	for _, tc := range []struct {
		name string
		to   geom.Point
		want float64
	}{
		{"past it", geom.Pt(10, 40), 0.5},
		{"over it", geom.Pt(30, 20), 3.5},
		{"beside it", geom.Pt(30, 40), 0.5},
	} {
		t.Run(tc.name, func(t *testing.T) {
			plan := mustPlan(t, s, paths.Drill{Op: o, At: []geom.Point{{X: 10, Y: 20}, tc.to}, InOrder: true})
			high := 0.0
			moves := mustLink(t, s, plan)[0].Moves
			for i, m := range moves[2 : len(moves)-1] {
				if m.Rapid && i > 0 {
					high = max(high, m.To.Z)
				}
			}
			assert.InDelta(t, tc.want, high, 0.001)
		})
	}
}

// TestDetour: round a post that is higher than the tool may rise.
func TestDetour(t *testing.T) {
	s := world()
	z := screw("post", 20, 20)
	z.Top = 60
	s.Zones = append(s.Zones, z)
	o := with(op("dots", -0.9, 0), drill2)
	drill := paths.Drill{Op: o, At: []geom.Point{{X: 10, Y: 20}, {X: 30, Y: 20}}, InOrder: true}
	for _, dogLeg := range []bool{false, true} {
		s.Machine.DogLegRapids = dogLeg
		out := mustLink(t, s, mustPlan(t, s, drill))
		index := geom.NewIndex(z.Area)
		from := out[0].Moves[0].To
		for _, m := range out[0].Moves {
			assert.GreaterOrEqual(t, index.Distance(geom.Line(from.XY(), m.To.XY())), 1.5)
			from = m.To
		}
	}
	// Walled in: no way over or round.
	s.Machine.DogLegRapids = false
	wall := z
	wall.Name, wall.Area = "wall", rect(19, -30, 21, 90)
	s.Zones = append(s.Zones[:0], wall)
	plan := mustPlan(t, s, drill)
	_, err := paths.Link(s, plan)
	var ze *paths.ZoneError
	require.True(t, errors.As(err, &ze), "%v", err)
	assert.Equal(t, "wall", ze.Zone)
	assert.Contains(t, err.Error(), "no way round")
}

func TestLinkRefusals(t *testing.T) {
	s := world()
	plan := mustPlan(t, s, paths.Profile{Op: op("x", -1, 1), Shape: disc(20, 20, 5)})
	_, err := paths.Link(s, paths.Plan{Op: op("x", -1, 1)})
	assert.ErrorContains(t, err, "nothing to cut")
	s.Machine.Envelope.Max.X = 20
	_, err = paths.Link(s, plan)
	assert.ErrorContains(t, err, "envelope")
	s = world()
	s.ClearZ = 0.2
	_, err = paths.Link(s, plan)
	assert.ErrorContains(t, err, "clear height")
	s = world()
	s.Zones = append(s.Zones, screw("screw 1", 26, 20))
	_, err = paths.Link(s, plan)
	var ze *paths.ZoneError
	require.ErrorAs(t, err, &ze)
}
