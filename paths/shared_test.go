package paths_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths"
	"proofcut/paths/geom"
)

// side by side: two plates whose edges lie one cutter and two reserves apart.
func sideBySide(gap float64) geom.Region {
	return geom.Region{
		geom.Rect(geom.Pt(8, 8), geom.Pt(18, 16), 0),
		geom.Rect(geom.Pt(18+gap, 8), geom.Pt(28+gap, 16), 0),
	}
}

// between is how far the tool runs at the bottom of a plan between the two
// plates, along the middle six millimetres of their sides.
func between(p paths.Plan, gap float64) float64 {
	lane := geom.RegionOf(geom.Rect(geom.Pt(18, 9), geom.Pt(18+gap, 15), 0))
	sum := 0.0
	for _, c := range p.Cuts {
		at := c.Start
		for _, m := range c.Moves {
			if m.To.Z <= p.Bottom+geom.Tol && at.Z <= p.Bottom+geom.Tol {
				in, _, err := geom.Clip(geom.Path{{A: at.XY(), B: m.To.XY(), C: m.C, Turn: m.Turn}}, lane)
				if err != nil {
					panic(err)
				}
				for _, l := range in {
					sum += l.Length()
				}
			}
			at = m.To
		}
	}
	return sum
}

func TestCommonKerfIsCutOnce(t *testing.T) {
	s := world()
	gap := endMill.Diameter + 2*paths.Reserve(s)
	o := op("plates", -2.9, 0)
	apart := mustPlan(t, s, paths.Profile{Op: o, Shape: sideBySide(gap + 0.5), CommonKerf: true})
	plain := mustPlan(t, s, paths.Profile{Op: o, Shape: sideBySide(gap + 0.5)})
	require.InDelta(t, 12, between(plain, gap+0.5), 0.01)
	require.InDelta(t, 12, between(apart, gap+0.5), 0.01, "nothing is shared")
	together := mustPlan(t, s, paths.Profile{Op: o, Shape: sideBySide(gap), CommonKerf: true})
	require.InDelta(t, 6, between(together, gap), 0.01, "the side is cut once")

	// What has to go is the same on both sides of the common kerf.
	middle := geom.Pt(18+gap/2, 12)
	require.Equal(t, geom.Inside, together.Features[0].Must.Contains(middle))
	require.Equal(t, geom.Outside, together.Features[0].May.Contains(geom.Pt(17.9, 12)))

	// A neighbour that another operation has cut counts as well.
	two := sideBySide(gap)
	second := mustPlan(t, s, paths.Profile{Op: o, Shape: two[1:], Keep: two[:1], CommonKerf: true, Beside: two[:1]})
	require.InDelta(t, 0, between(second, gap), 0.01)
}

func TestCommonKerfRefusals(t *testing.T) {
	s := world()
	gap := endMill.Diameter + 2*paths.Reserve(s)
	o := op("plates", -2.9, 0)
	for _, c := range []struct {
		name, says string
		p          paths.Profile
	}{
		{"too near", "needs", paths.Profile{Op: o, Shape: sideBySide(gap - 0.05), CommonKerf: true}},
		{"bridges", "leave a skin", paths.Profile{Op: o, Shape: sideBySide(gap), CommonKerf: true, Bridges: paths.Bridges{Count: 2, Width: 1, Height: 0.5}}},
		{"finish", "leave a skin", paths.Profile{Op: o, Shape: sideBySide(gap), CommonKerf: true, Finish: 0.1}},
		{"inside", "leave a skin", paths.Profile{Op: o, Shape: sideBySide(gap), CommonKerf: true, Side: paths.Inside}},
		{"without it", "does not pass between", paths.Profile{Op: o, Shape: sideBySide(gap - 0.001)}},
	} {
		_, err := c.p.Plan(s)
		require.ErrorContains(t, err, c.says, c.name)
	}
}
