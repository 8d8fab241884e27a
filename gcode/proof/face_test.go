package proof

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
	"proofcut/paths/slab"
)

func drawFace(t *rapid.T) *face {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	var points []geom.Point3
	for j := range 4 {
		for i := range 5 {
			points = append(points, geom.Pt3(12*float64(i), 10*float64(j), num("z", -0.3, 0.3)))
		}
	}
	m, _, err := slab.FitMesh(points)
	require.NoError(t, err)
	_, hi := m.Range(m.Bounds())
	return &face{m, hi + num("above", 0, 0.1), m.Lipschitz()}
}

// TestOverIsABound holds the least height over the face against samples of the
// motion: never above them, and not far below.
func TestOverIsABound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFace(t)
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		e := interp.Event{Kind: interp.Feed, From: geom.Pt3(num("x", -5, 55), num("y", -5, 35), num("z0", -1, 1)), State: &interp.State{}}
		tight := 5e-4
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0: // straight down
			e.To = e.From.XY().At(num("z1", -1, 1))
		case 1:
			e.To = geom.Pt3(num("x1", -5, 55), num("y1", -5, 35), num("z1", -1, 1))
		case 2: // helix
			r, a, sweep := num("radius", 0.1, 15), num("angle", -3, 3), num("sweep", 0.01, 2*math.Pi)
			e.Kind, e.Turn, e.Sweep = interp.Arc, rapid.SampledFrom([]geom.Turn{geom.CCW, geom.CW}).Draw(t, "turn"), sweep
			c := e.From.XY().Sub(geom.Polar(r, a))
			e.Centre = c.At(e.From.Z)
			e.To = c.Add(geom.Polar(r, a+float64(e.Turn)*sweep)).At(num("z1", -1, 1))
		default: // on edge
			r, a, sweep := num("radius", 0.1, 5), num("angle", -3, 3), num("sweep", 0.01, 6)
			e.Kind, e.Plane, e.Turn, e.Sweep = interp.Arc, interp.YZ, geom.CCW, sweep
			e.Centre = geom.Pt3(e.From.X, e.From.Y-r*math.Cos(a), e.From.Z-r*math.Sin(a))
			e.To = geom.Pt3(e.From.X, e.Centre.Y+r*math.Cos(a+sweep), e.Centre.Z+r*math.Sin(a+sweep))
			tight = math.Inf(1)
		}
		var m motion
		m.set(&e, nil)
		t0 := num("t0", 0, 1)
		t1 := t0 + num("share", 0, 1)*(1-t0)
		low := f.over(&m, t0, t1)
		least := math.Inf(1)
		const n = 400
		for i := range n + 1 {
			p := m.at(t0 + (t1-t0)*float64(i)/n)
			least = math.Min(least, p.Z+f.under(p.XY()))
		}
		require.LessOrEqual(t, low, least+1e-9)
		gap := (f.slope + 1) * m.length * (t1 - t0) / n // what the samples may miss
		require.GreaterOrEqual(t, low, least-tight-gap)
	})
}

// TestReachOnASlope holds the footprint on a slope against the tool's outline in
// small steps.
func TestReachOnASlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		tool := setup.Tool{Diameter: num("diameter", 0.5, 4), FluteLength: 5, StickOut: 15, Flutes: 2,
			Shape: rapid.SampledFrom([]setup.Shape{setup.Flat, setup.Ball, setup.Vee, setup.Drill}).Draw(t, "shape")}
		tool.Shank, tool.Angle = tool.Diameter, num("angle", 0.4, 2)
		if tool.Shape == setup.Vee {
			tool.TipDiameter = 0.1
		}
		a := newAssembly(tool)
		slope, h := num("slope", 0, 0.2), num("h", -0.5, 2)
		got, rise := a.reachOn(h, slope), a.rise(slope)
		worst := 0.0
		const n = 2000
		for i := range n + 1 {
			up := 3 * float64(i) / n
			r := tool.CutRadius(up)
			if up < h+slope*r-1e-9 {
				require.GreaterOrEqual(t, got, r-1e-6, "at %g above the tip", up)
			}
			worst = math.Max(worst, slope*r-up)
		}
		require.GreaterOrEqual(t, rise, worst-1e-9)
	})
}
