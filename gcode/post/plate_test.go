package post_test

import (
	"bytes"
	"context"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode/post"
	"proofcut/gcode/proof"
	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
	"proofcut/paths/thread"
)

// plateWorld is a machine that taps, with a plate whose face is to lie at Z-3.
func plateWorld() *setup.Setup {
	s := world()
	s.Zones = nil
	s.Machine.Practice.RigidTapping = true
	s.Machine.ToolChange = setup.ManualToolChange
	s.Machine.SpindleMin, s.Machine.SpindleMax = 50, 24000
	s.Machine.Envelope = geom.Box3{Min: geom.Pt3(-40, -40, -60), Max: geom.Pt3(120, 120, 60)}
	s.Stock = setup.Stock{Outline: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(52, 20), 0)), Top: -2.7, Thickness: 30, Material: "aluminium"}
	return s
}

// plateTools returns face mill, spot drill, tap drill and tap of a thread.
func plateTools(th thread.Thread) (face, spot, drill, tap setup.Tool) {
	face = setup.Tool{Number: 1, Name: "end mill", Shape: setup.Flat, Diameter: 6, Flutes: 2, FluteLength: 15, Shank: 6, StickOut: 25}
	spot = setup.Tool{Number: 2, Name: "spot drill", Shape: setup.Drill, Diameter: 16, Angle: 90 * deg, Flutes: 2, FluteLength: 15, Shank: 16, StickOut: 25, CentreCuts: true}
	drill = setup.Tool{Number: 3, Name: "tap drill", Shape: setup.Drill, Diameter: th.Drill, Angle: 118 * deg, Flutes: 2, FluteLength: 10 + 6*th.Pitch + th.Drill, Shank: th.Drill, StickOut: 12 + 6*th.Pitch + th.Drill, CentreCuts: true}
	tap = setup.Tool{Number: 4, Name: "tap", Shape: setup.Tap, Diameter: th.Major, Pitch: th.Pitch, Lead: 2 * th.Pitch, Flutes: 3, FluteLength: 25, Shank: th.Major, StickOut: 40}
	return
}

// TestPlateIsProven plans the program of a plate for every thread of the table
// and places at random, in both units: what the strategies accept, the proof has
// to accept; and every depth is what was asked for.
func TestPlateIsProven(t *testing.T) {
	most, tried := 12, 0
	if os.Getenv("PROOFCUT_LONG") != "" {
		most = math.MaxInt
	}
	rapid.Check(t, func(t *rapid.T) {
		if tried++; tried > most { // each takes a while
			return
		}
		s := plateWorld()
		if rapid.Bool().Draw(t, "inch") {
			s.Unit = setup.Inch
		}
		th := rapid.SampledFrom(thread.Table()).Draw(t, "thread")
		face, spot, drill, tap := plateTools(th)
		s.Tools = []setup.Tool{face, spot, drill, tap}
		num := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
		var at []geom.Point
		for i := range rapid.IntRange(1, 2).Draw(t, "holes") {
			at = append(at, geom.Pt(10+float64(i)*30+num(-2, 2, "x"), num(8, 12, "y")))
		}
		depth := num(2, 6, "depth")
		const top = -3.0
		op := func(name string, tool setup.Tool, bottom, speed float64) paths.Op {
			return paths.Op{Name: name, Tool: tool, Top: top, Bottom: bottom, Feed: 300, Plunge: 100, Speed: speed}
		}
		facing := paths.Face{Op: op("face", face, top, 6000), StepOver: num(0.2, 0.9, "step"), Along: num(0, 3, "along")}
		facing.Top = s.Stock.Top
		bottom := top - depth - tap.Lead
		floor := bottom - paths.TapRoom*th.Pitch
		drilling := op("drill", drill, floor-drill.ConeHeight(), 4000)
		drilling.Plunge = 20 * drill.Diameter // a chip of 0.0025 of the diameter an edge
		var plans []paths.Plan
		for _, st := range []paths.Strategy{
			facing,
			paths.Spot{Op: op("spot", spot, 0, 3000), At: at, Mouth: th.Major},
			paths.Drill{Op: drilling, At: at, Peck: num(1, 4, "peck")},
			paths.Tap{Op: op("tap", tap, bottom, float64(rapid.IntRange(100, 300).Draw(t, "speed"))), At: at, HoleFloor: floor},
		} {
			p, err := st.Plan(s)
			require.NoError(t, err)
			plans = append(plans, p)
			s.Features = append(s.Features, p.Features...)
		}
		list, err := paths.Link(s, plans...)
		require.NoError(t, err)
		var text bytes.Buffer
		require.NoError(t, post.Write(&text, s, post.Header{}, list))
		r, err := proof.Check(context.Background(), s, "plate.nc", bytes.NewReader(text.Bytes()), proof.Options{})
		require.NoError(t, err)
		if !r.Proven {
			t.Fatalf("not proven: %+v\n%s", r.Findings, text.String())
		}
		require.Equal(t, len(at), strings.Count(text.String(), "G84"))
	})
}

// A tap is refused where it cannot be: on a machine without, with another tool,
// at another feed, sideways, one way only.
func TestTapRefused(t *testing.T) {
	th, err := thread.Find("M3")
	require.NoError(t, err)
	for _, c := range []struct {
		name string
		do   func(*setup.Setup, *paths.Toolpath)
		says string
	}{
		{"machine without", func(s *setup.Setup, _ *paths.Toolpath) { s.Machine.Practice.RigidTapping = false }, "the machine cannot tap"},
		{"no tap", func(_ *setup.Setup, p *paths.Toolpath) { p.Tool.Shape = setup.Drill }, "is no tap"},
		{"another feed", func(_ *setup.Setup, p *paths.Toolpath) { p.Moves[2].Feed = 210 }, "makes 200"},
		{"sideways", func(_ *setup.Setup, p *paths.Toolpath) { p.Moves[2].To.X++ }, "straight down and up"},
		{"not back", func(_ *setup.Setup, p *paths.Toolpath) { p.Moves[3].Tap = false }, "comes back"},
		{"up alone", func(_ *setup.Setup, p *paths.Toolpath) { p.Moves[2].Tap = false }, "goes down before"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := plateWorld()
			_, _, _, tap := plateTools(th)
			s.Tools = []setup.Tool{tap}
			down, up := geom.Pt3(5, 5, -9), geom.Pt3(5, 5, -2)
			p := paths.Toolpath{Name: "tap", Tool: tap, Speed: 400, Moves: []paths.Move{
				{Rapid: true, To: geom.Pt3(5, 5, s.ClearZ)}, {Rapid: true, To: up},
				{To: down, Feed: 200, Tap: true}, {To: up, Feed: 200, Tap: true}, {Rapid: true, To: geom.Pt3(5, 5, s.ClearZ)}}}
			require.NoError(t, post.Write(&bytes.Buffer{}, s, post.Header{}, []paths.Toolpath{p}))
			c.do(s, &p)
			require.ErrorContains(t, post.Write(&bytes.Buffer{}, s, post.Header{}, []paths.Toolpath{p}), c.says)
		})
	}
}
