package proof

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// drawCut returns a random motion at feed rate within a small block.
func drawCut(t *rapid.T, tool *assembly) *motion {
	f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	e := &interp.Event{Kind: interp.Feed, State: &interp.State{}}
	e.From = geom.Pt3(f(0, 8, "x"), f(0, 8, "y"), f(-1, 0.2, "z"))
	e.To = geom.Pt3(f(0, 8, "x'"), f(0, 8, "y'"), f(-1, 0.2, "z'"))
	switch rapid.IntRange(0, 3).Draw(t, "kind") {
	case 0:
		e.To.Z = e.From.Z
	case 1:
		e.To.X, e.To.Y = e.From.X, e.From.Y
	case 2:
		r, a, sweep := f(0.5, 3, "radius"), f(-3, 3, "angle"), f(0.1, 2*math.Pi, "sweep")
		e.Kind, e.Sweep, e.Turn = interp.Arc, sweep, geom.CCW
		c := e.From.XY().Sub(geom.Polar(r, a))
		e.Centre = c.At(e.From.Z)
		e.To = c.Add(geom.Polar(r, a+sweep)).At(e.To.Z)
	}
	m := &motion{}
	m.set(e, tool)
	return m
}

func drawCutter(t *rapid.T) *assembly {
	u := setup.Tool{Number: 1, Shape: setup.Shape(rapid.IntRange(0, 3).Draw(t, "shape")), Diameter: rapid.Float64Range(0.8, 3).Draw(t, "diameter"), Angle: rapid.Float64Range(0.6, 2.2).Draw(t, "angle")}
	if u.Shape == setup.Vee {
		u.TipDiameter = 0.1
	}
	u.FluteLength = u.ConeHeight() + u.Diameter
	u.Shank, u.StickOut = u.Diameter*0.8, u.FluteLength+5
	return newAssembly(u)
}

func smallBlock() *material {
	s := &setup.Setup{Stock: setup.Stock{Outline: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(8, 8), 0)), Thickness: 3}}
	return newMaterial(s, 0.1)
}

// surface returns the true height that remains at p after the motions, by
// sampling them.
func surface(p geom.Point, cuts []*motion) float64 {
	h := 0.0
	for _, m := range cuts {
		n := 200 + int(m.length/0.005)
		for i := range n + 1 {
			q := m.at(float64(i) / float64(n))
			if low := m.tool.body.lower(p.Dist(q.XY())); !math.IsInf(low, 1) {
				h = math.Min(h, q.Z+low)
			}
		}
	}
	return h
}

// TestMaterialIsBracketed checks that what truly remains at any place lies
// between the two heights of its cell.
func TestMaterialIsBracketed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tool := drawCutter(t)
		m := smallBlock()
		var cuts []*motion
		for range rapid.IntRange(1, 3).Draw(t, "cuts") {
			c := drawCut(t, tool)
			m.cut(c, nil)
			cuts = append(cuts, c)
		}
		for range 40 {
			p := geom.Pt(rapid.Float64Range(0.1, 7.9).Draw(t, "px"), rapid.Float64Range(0.1, 7.9).Draw(t, "py"))
			at := int((p.Y-m.y0)/m.res)*m.nx + int((p.X-m.x0)/m.res)
			h := surface(p, cuts)
			// Sampling may miss the lowest point by the slope of a step.
			require.LessOrEqual(t, h, float64(m.hi[at])+0.02)
			require.GreaterOrEqual(t, h, float64(m.lo[at])-1e-6)
		}
	})
}

// TestTouchAfterCut checks that no part of the map's coarseness calls material
// where the same motion has just cut, and that a lower one meets it.
func TestTouchAfterCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tool := drawCutter(t)
		m := smallBlock()
		c := drawCut(t, tool)
		m.cut(c, nil)
		require.False(t, m.touch(c, &tool.body, 0, nil).hit)
		up := *c
		up.from.Z, up.to.Z = up.from.Z+0.05, up.to.Z+0.05
		if !up.arc {
			require.False(t, m.touch(&up, &tool.body, 0, nil).hit)
		}
		// Half way along, deeper by a tenth: the tip is in material if it is
		// inside the block and below its top.
		p := c.at(0.5)
		p.Z = c.box.Min.Z - 0.1
		if p.Z < -0.02 && p.X > 0.2 && p.X < 7.8 && p.Y > 0.2 && p.Y < 7.8 {
			down := &motion{}
			down.set(&interp.Event{Kind: interp.Traverse, From: p, To: p, State: &interp.State{}}, tool)
			require.True(t, m.touch(down, &tool.body, 0, nil).hit)
		}
	})
}

// TestCoverMarks compares the marks of a mask with exact answers.
func TestCoverMarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRegion(t)
		g := newGrid(r.Bounds().Grow(1), rapid.Float64Range(0.05, 0.4).Draw(t, "res"))
		margin := rapid.Float64Range(0, 0.5).Draw(t, "margin")
		m := g.cover(r, margin)
		marked := 0
		g.each(r, margin, func(at int, mark uint8) {
			marked++
			require.Equal(t, m.bits[at], mark)
		})
		for _, b := range m.bits {
			if b != outside {
				marked--
			}
		}
		require.Zero(t, marked)
		for range 60 {
			i, j := rapid.IntRange(0, g.nx-1).Draw(t, "i"), rapid.IntRange(0, g.ny-1).Draw(t, "j")
			p := g.centre(i, j)
			d := r.BoundaryDistance(p)
			if math.Abs(d-margin) < g.res/16 {
				continue // the chords of arcs may decide either way
			}
			want := outside
			switch {
			case d < margin:
				want = edge
			case r.Contains(p) == geom.Inside:
				want = inside
			}
			require.Equal(t, want, m.bits[j*m.nx+i], "%v %v", p, d)
		}
	})
}
