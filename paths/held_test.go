package paths_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths"
	"proofcut/paths/geom"
)

// Parts are cut from the one farthest from what holds the stock to the nearest,
// and the same parts are cut as without it.
func TestHeldOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := plateSetup()
		var shape geom.Region
		for i := range rapid.IntRange(2, 8).Draw(t, "parts") {
			at := geom.Pt(6+12*float64(i%4), 6+14*float64(i/4))
			shape = append(shape, geom.Circle(at, rapid.Float64Range(1, 3).Draw(t, "radius")))
		}
		var held geom.Region
		for range rapid.IntRange(1, 3).Draw(t, "screws") {
			held = append(held, geom.Circle(geom.Pt(rapid.Float64Range(-5, 55).Draw(t, "x"), rapid.Float64Range(-5, 35).Draw(t, "y")), 2))
		}
		p := paths.Profile{Op: plateOp(faceMill, -1), Shape: shape}
		p.Tool.CentreCuts, p.Tool.Diameter, p.Top = true, 2, 0.5
		usual, err := p.Plan(s)
		require.NoError(t, err)
		p.Held = held
		plan, err := p.Plan(s)
		require.NoError(t, err)
		require.Len(t, plan.Cuts, len(usual.Cuts))
		require.Equal(t, usual.Features, plan.Features)
		last := 1e9
		for _, c := range plan.Cuts {
			at := shape[0].Centroid()
			for _, d := range shape {
				if m := d.Centroid(); m.Dist(c.Start.XY()) < at.Dist(c.Start.XY()) {
					at = m
				}
			}
			d := held.Distance(at)
			require.LessOrEqual(t, d, last+1e-6)
			last = d
		}
	})
}
