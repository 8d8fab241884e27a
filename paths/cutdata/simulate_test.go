package cutdata

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/setup"
)

// simulated turns a cutter with straight teeth through the material in small
// steps, its edge cut into thin discs, and returns the greatest tangential force,
// torque about the axis and chip thickness that it meets. It knows nothing of the
// closed forms: a disc of radius r cuts where it reaches beyond the plane that
// leaves the cut's width, and its chip is the feed's share across the edge.
func simulated(tool setup.Tool, m Material, c Cut) (force, torque, chip float64) {
	const discs, steps = 60, 240
	rim := tool.CutRadius(c.Depth)
	wall := rim - math.Min(c.Width, 2*rim)
	fz := c.Feed / c.Speed / float64(tool.Flutes)
	for s := range steps {
		turn := 2 * math.Pi * float64(s) / steps / float64(tool.Flutes)
		f, tq := 0.0, 0.0
		for i := range discs {
			z0, z1 := c.Depth*float64(i)/discs, c.Depth*float64(i+1)/discs
			r0, r1 := tool.CutRadius(z0), tool.CutRadius(z1)
			if i == 0 && tool.Shape == setup.Ball {
				r0 = 0
			}
			edge := math.Hypot(z1-z0, r1-r0)
			r, slant := (r0+r1)/2, (z1-z0)/edge
			for k := range tool.Flutes {
				a := turn + 2*math.Pi*float64(k)/float64(tool.Flutes)
				h := fz * math.Sin(a) * slant
				if h <= 0 || r*math.Cos(a) < wall { // behind the cutter, or beside the cut
					continue
				}
				chip = math.Max(chip, h)
				one := m.SpecificForce(h) * SizeEffect(h) * edge * h
				f += one
				tq += one * r / 1000
			}
		}
		force, torque = math.Max(force, f), math.Max(torque, tq)
	}
	return force, torque, chip
}

// TestLoadBoundsTheSimulatedCut: no turn of the cutter presses more than Assess
// says, and Assess says no more than a few times of it in a cut with one tooth.
func TestLoadBoundsTheSimulatedCut(t *testing.T) {
	all, err := All()
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		tool := drawTool(t)
		c := drawCut(t, tool)
		c.Runout = 0
		m := rapid.SampledFrom(all).Draw(t, "material")
		l, err := Assess(tool, m, c)
		require.NoError(t, err)
		// A disc's chord is a little steeper than the arc's rim: half a percent.
		const slack = 1.005
		force, torque, chip := simulated(tool, m, c)
		if force > l.Force*slack || torque > l.Torque*slack || chip > l.ChipMax*slack {
			t.Fatalf("simulated force %g N, torque %g N·m, chip %g mm; reckoned %g, %g, %g", force, torque, chip, l.Force, l.Torque, l.ChipMax)
		}
		if tool.Shape == setup.Flat && tool.Flutes == 1 && l.ChipMax > LeastChip && c.Width > 0.05*tool.Diameter && force < 0.5*l.Force {
			t.Fatalf("reckoned %g N for a simulated %g N", l.Force, force)
		}
	})
}
