package post_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode/post"
	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// TestArcsRoundTrip writes random chains of lines, arcs, helices and circles,
// tiny ones among them, and holds what a control makes of them against the plan.
// The interpreter refuses arcs whose radii do not agree.
func TestArcsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := world()
		s.Zones = nil
		if rapid.Bool().Draw(t, "inch") {
			s.Unit = setup.Inch
		}
		num := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
		at := geom.Pt3(num(0, 50, "x"), num(0, 40, "y"), 10)
		tp := paths.Toolpath{Name: "chain", Tool: endMill, Speed: 10000, Moves: []paths.Move{
			{Rapid: true, To: at}, {To: at.XY().At(0), Feed: 60},
		}}
		at.Z = 0
		for range rapid.IntRange(1, 12).Draw(t, "moves") {
			m := paths.Move{Feed: num(1, 400, "feed")}
			z := num(-3, 0, "z")
			if rapid.Bool().Draw(t, "level") {
				z = at.Z
			}
			size := math.Pow(10, num(-4, 1.5, "size"))
			switch rapid.IntRange(0, 4).Draw(t, "kind") {
			case 0:
				m.To = at.XY().Add(geom.Polar(size, num(-4, 4, "angle"))).At(z)
			case 1:
				m.Rapid, m.Feed = true, 0
				m.To = at.XY().Add(geom.Polar(size, num(-4, 4, "angle"))).At(10)
			default:
				m.C = at.XY().Add(geom.Polar(size, num(-4, 4, "angle")))
				m.Turn = rapid.SampledFrom([]geom.Turn{geom.CCW, geom.CW}).Draw(t, "turn")
				sweep := num(0.001, 2*math.Pi-1e-4, "sweep")
				if rapid.IntRange(0, 3).Draw(t, "whole") == 0 {
					m.To = at.XY().At(z)
				} else {
					v := at.XY().Sub(m.C)
					m.To = m.C.Add(geom.Polar(v.Len(), v.Angle()+float64(m.Turn)*sweep)).At(z)
				}
			}
			tp.Moves = append(tp.Moves, m)
			at = m.To
		}
		tp.Moves = append(tp.Moves, paths.Move{Rapid: true, To: at.XY().At(10)})
		s.Machine.PlungeMax = 1000
		checkRoundTrip(t, s, tp)
	})
}

// TestWholeCircles: a circle on the grid stays one block.
func TestWholeCircles(t *testing.T) {
	s := world()
	a := geom.Pt(20+6.4135, 12.5)
	tp := paths.Toolpath{Name: "circle", Tool: endMill, Speed: 10000, Moves: []paths.Move{
		{Rapid: true, To: a.At(10)}, {To: a.At(-1), Feed: 60},
		{To: a.At(-1), C: geom.Pt(20, 12.5), Turn: geom.CW, Feed: 200},
		{To: a.At(-2), C: geom.Pt(20, 12.5), Turn: geom.CW, Feed: 200},
		{Rapid: true, To: a.At(10)},
	}}
	var b bytes.Buffer
	require.NoError(t, post.Write(&b, s, post.Header{}, []paths.Toolpath{tp}))
	require.Contains(t, b.String(), "G2 X26.414 Y12.5 I-6.414 J0.0 F200\nX26.414 Y12.5 Z-2.0 I-6.414 J0.0\n")
	require.Equal(t, 2, strings.Count(b.String(), " I-6.414"))
}
