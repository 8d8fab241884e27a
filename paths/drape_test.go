package paths

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// ramp is a face that rises along X, for tests.
type ramp float64

func (r ramp) Height(p geom.Point) float64       { return float64(r) * p.X }
func (r ramp) Lipschitz() float64                { return math.Abs(float64(r)) }
func (r ramp) Range(b geom.Box) (lo, hi float64) { return r.Height(b.Min), r.Height(b.Max) }
func (r ramp) Kinks(geom.Seg) []float64          { return nil }
func (r ramp) Bend() float64                     { return 0 }
func (r ramp) stock(t float64, parallel bool) setup.Stock {
	box := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(50, 20), 0))
	lo, hi := r.Range(box.Bounds())
	return setup.Stock{
		Outline: box, Top: hi, Thickness: t,
		Face: &setup.Face{Surface: r, Parallel: parallel, Lowest: lo, Highest: hi},
	}
}

func drapeOp(s *setup.Setup, shape setup.Shape, depth float64) Op {
	t := setup.Tool{Number: 1, Shape: shape, Diameter: 2, Flutes: 2, FluteLength: 5, Shank: 3, StickOut: 15, CentreCuts: true}
	if shape == setup.Vee {
		t.Angle, t.TipDiameter = math.Pi/3, 0.1
	}
	return Op{Name: "cut", Tool: t, Top: s.Stock.Top, Bottom: s.Stock.Top - depth, Feed: 200, Plunge: 60, Speed: 9000}
}

func TestDrapeKeepsArcsAndLines(t *testing.T) {
	s := &setup.Setup{Stock: ramp(0.02).stock(2, true), ClearZ: 10, Approach: 0.5}
	c := geom.Pt(25, 10)
	plan, err := Engrave{Op: drapeOp(s, setup.Vee, 0.2), Lines: []geom.Path{
		geom.Polyline(geom.Pt(2, 3), geom.Pt(48, 17)), geom.Circle(c, 6).Path(),
	}}.Plan(s)
	require.NoError(t, err)
	out, err := Drape(s, plan)
	require.NoError(t, err)
	require.Len(t, out.Cuts, 2)
	// A line on a plane stays one move; a circle becomes helices of one centre.
	assert.Len(t, out.Cuts[0].Moves, 2)
	assert.InDelta(t, 0.02*48-0.2, out.Cuts[0].End().Z, 1e-12)
	var arcs int
	from := out.Cuts[1].Start
	for _, m := range out.Cuts[1].Moves {
		if m.Turn != geom.Straight {
			arcs++
			assert.InDelta(t, 6, m.To.XY().Dist(c), 1e-9)
			assert.Equal(t, c, m.C)
			assert.InDelta(t, 0.02*m.To.X-0.2, m.To.Z, 1e-12)
			g := geom.Seg{A: from.XY(), B: m.To.XY(), C: m.C, Turn: m.Turn}
			for i := range 11 {
				u := float64(i) / 10
				z := from.Z + u*(m.To.Z-from.Z)
				assert.InDelta(t, 0.02*g.At(u).X-0.2, z, cutTol)
			}
		}
		from = m.To
	}
	assert.Greater(t, arcs, 8)
	require.Len(t, out.Features, 1)
	assert.True(t, out.Features[0].Follows)
	assert.Equal(t, plan.Features[0].Floor, out.Features[0].Floor)
	assert.Greater(t, out.Features[0].Reach, plan.Features[0].Reach)
	assert.False(t, plan.Features[0].Follows, "the plan given is not changed")
}

func TestDrapeLiftsALevelEnd(t *testing.T) {
	// Under a 2 mm end mill a slope of 0.02 rises by 0.02 mm from the axis to the
	// edge: so much higher it has to go for no place of the floor to be cut deeper.
	s := &setup.Setup{Stock: ramp(0.02).stock(2, true), ClearZ: 10, Approach: 0.5}
	plan, err := Pocket{Op: drapeOp(s, setup.Flat, 0.5), Shape: geom.RegionOf(geom.Rect(geom.Pt(10, 4), geom.Pt(30, 16), 1)), StepOver: 0.4}.Plan(s)
	require.NoError(t, err)
	out, err := Drape(s, plan)
	require.NoError(t, err)
	least := math.Inf(1)
	for _, c := range out.Cuts {
		for _, m := range c.Moves {
			if m.Rapid {
				continue
			}
			least = math.Min(least, m.To.Z-(0.02*(m.To.X+1)-0.5))
		}
	}
	assert.InDelta(t, cutTol, least, 1e-9)
	for _, f := range out.Features {
		assert.InDelta(t, 0.04+2*cutTol, f.Lift, 1e-9)
	}
}

func TestDrapeKeepsThePlungeFeed(t *testing.T) {
	s := &setup.Setup{Stock: ramp(-0.2).stock(12, true), ClearZ: 10, Approach: 0.5}
	o := drapeOp(s, setup.Vee, 0.2)
	o.Feed = 1000
	plan, err := Engrave{Op: o, Lines: []geom.Path{geom.Polyline(geom.Pt(2, 3), geom.Pt(48, 3))}, InOrder: true}.Plan(s)
	require.NoError(t, err)
	out, err := Drape(s, plan)
	require.NoError(t, err)
	m := out.Cuts[0].Moves[len(out.Cuts[0].Moves)-1]
	assert.InDelta(t, 60*math.Hypot(46, 9.2)/9.2, m.Feed, 1e-9)
}

func TestDrapeErrors(t *testing.T) {
	// Flat below: where the face is low the same depth goes through.
	s := &setup.Setup{Stock: ramp(0.02).stock(2, false), ClearZ: 10, Approach: 0.5}
	plan, err := Engrave{Op: drapeOp(s, setup.Vee, 1.5), Lines: []geom.Path{geom.Polyline(geom.Pt(2, 3), geom.Pt(48, 3))}}.Plan(s)
	require.NoError(t, err)
	_, err = Drape(s, plan)
	require.ErrorContains(t, err, "where the face is low, near x")
	s.Stock.Backing = setup.Backing{Present: true, Depth: 0.5}
	_, err = Drape(s, plan)
	require.NoError(t, err)

	s.Stock.Face = nil
	same, err := Drape(s, plan)
	require.NoError(t, err)
	assert.Equal(t, plan, same)
}
