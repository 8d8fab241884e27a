package paths_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths"
	"proofcut/paths/geom"
)

// TestFeatureAreas holds what operations may and must remove against closed
// forms: rings, discs, stadiums, rounded rectangles.
func TestFeatureAreas(t *testing.T) {
	s := world()
	r, res, tol := endMill.Diameter/2, paths.Reserve(s), 4*s.Unit.Resolution()
	ring := func(mid, half float64) float64 { return 4 * math.Pi * mid * half }
	rounded := func(w, h, corner float64) float64 { return w*h - (4-math.Pi)*corner*corner }
	square := func(x float64) float64 { return x * x }
	for _, tc := range []struct {
		name      string
		plan      paths.Strategy
		may, must float64
	}{
		{"profile", paths.Profile{Op: op("x", -1, 1), Shape: disc(20, 20, 6), Allowance: 0.1},
			(60+2*(2*r+5))*(45+2*(2*r+5)) - (4-math.Pi)*square(2*r+5) - math.Pi*square(6.1), ring(6.1+r+res, r-tol)},
		{"profile inside", paths.Profile{Op: op("x", -1, 1), Shape: disc(20, 20, 6), Allowance: 0.1, Side: paths.Inside},
			math.Pi * square(5.9), ring(5.9-r-res, r-tol)},
		{"two parts", paths.Profile{Op: op("x", -1, 1), Shape: append(disc(15, 20, 5), disc(40, 20, 5)...)},
			(60+2*(2*r+5))*(45+2*(2*r+5)) - (4-math.Pi)*square(2*r+5) - 2*math.Pi*25, 2 * ring(5+r+res, r-tol)},
		{"pocket", paths.Pocket{Op: op("x", -1, 1), Shape: rect(10, 10, 20, 16)},
			60, rounded(10-2*(res+tol), 6-2*(res+tol), r-tol)},
		{"slot", paths.Slot{Op: op("x", -1, 1), From: geom.Pt(5, 5), To: geom.Pt(15, 5), Width: 2 * r},
			20*r + math.Pi*r*r, 20*(r-tol) + math.Pi*square(r-tol)},
		{"bore", paths.Bore{Op: op("x", -1, 1), At: geom.Pt(5, 5), Diameter: 2.4},
			math.Pi * square(1.2), math.Pi * square(1.2-res-tol)},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := mustPlan(t, s, tc.plan).Features[0]
			assert.InDelta(t, tc.may, f.May.Area(), 1e-3, "may")
			assert.InDelta(t, tc.must, f.Must.Area(), 1e-3, "must")
			assert.InDelta(t, -1, f.Floor, 0)
		})
	}
	holes := mustPlan(t, s, paths.Drill{Op: with(op("x", -2, 0), drill2), At: []geom.Point{{X: 5, Y: 5}, {X: 9, Y: 5}}}).Features
	require.Len(t, holes, 2)
	assert.InDelta(t, 2*math.Pi, holes[0].May.Area(), 1e-6)
	assert.Empty(t, holes[0].Must)
	assert.InDelta(t, 2*math.Pi*square(1-tol), holes[1].Must.Area(), 1e-6)
	assert.InDelta(t, -2+1/math.Tan(59*deg), holes[1].Floor, 1e-9)

	lines := mustPlan(t, s, paths.Engrave{Op: with(op("x", -0.2, 0), vee), Lines: []geom.Path{{geom.Line(geom.Pt(5, 5), geom.Pt(9, 5))}}}).Features
	assert.InDelta(t, 0.05+0.2*math.Tan(30*deg), lines[0].Reach, 1e-9)
}
