package paths_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

var (
	faceMill = setup.Tool{Number: 21, Name: "end mill", Shape: setup.Flat, Diameter: 6, Flutes: 2, FluteLength: 15, Shank: 6, StickOut: 25}
	spotter  = setup.Tool{Number: 22, Name: "spot drill", Shape: setup.Drill, Diameter: 6, Angle: 90 * deg, Flutes: 2, FluteLength: 15, Shank: 6, StickOut: 25, CentreCuts: true}
	tapM3    = setup.Tool{Number: 23, Name: "tap", Shape: setup.Tap, Diameter: 3, Pitch: 0.5, Lead: 1, Flutes: 3, FluteLength: 12, Shank: 3, StickOut: 25}
)

func plateSetup() *setup.Setup {
	return &setup.Setup{
		Machine: setup.Machine{Name: "bench mill", Envelope: geom.Box3{Min: geom.Pt3(-60, -60, -30), Max: geom.Pt3(120, 120, 60)},
			SpindleMin: 50, SpindleMax: 24000, FeedMax: 1000, PlungeMax: 300, Rapid: 1500, ToolChange: setup.ManualToolChange},
		Stock:  setup.Stock{Outline: rect(0, 0, 50, 30), Top: 0.5, Thickness: 12},
		ClearZ: 10, Approach: 0.5,
	}
}

func plateOp(t setup.Tool, bottom float64) paths.Op {
	return paths.Op{Name: "plate", Tool: t, Top: 0, Bottom: bottom, Feed: 300, Plunge: 100, Speed: 400}
}

// On any outline and in any direction the passes sweep the whole face, and every
// cut starts beside the stock.
func TestFaceSweepsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := plateSetup()
		s.Stock.Outline = drawPart(t)
		f := paths.Face{Op: plateOp(faceMill, 0), StepOver: rapid.Float64Range(0.1, 0.95).Draw(t, "step"),
			Along: rapid.Float64Range(-4, 4).Draw(t, "along")}
		f.Top, f.MaxStep = 0.5, 0.3
		p, err := f.Plan(s)
		require.NoError(t, err)
		require.Len(t, p.Cuts, 2)
		for _, c := range p.Cuts {
			var lines []geom.Path
			from := c.Start
			require.GreaterOrEqual(t, s.Stock.Outline.Distance(from.XY()), faceMill.Diameter/2)
			for _, m := range c.Moves {
				require.Equal(t, c.Start.Z, m.To.Z)
				lines = append(lines, geom.Polyline(from.XY(), m.To.XY()))
				from = m.To
			}
			swept, err := geom.OffsetPath(lines, faceMill.Diameter/2, geom.OffsetOptions{})
			require.NoError(t, err)
			left, err := geom.Difference(s.Stock.Outline, swept)
			require.NoError(t, err)
			require.Less(t, left.Area(), 1e-6)
		}
		require.Equal(t, 0.0, p.Cuts[1].Start.Z)
	})
}

// A spot is as deep as its mouth asks for, and a tap feeds a pitch a turn, comes
// back to where it started and leaves room under it.
func TestSpotAndTap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := plateSetup()
		at := []geom.Point{geom.Pt(rapid.Float64Range(5, 20).Draw(t, "x"), 10), geom.Pt(40, rapid.Float64Range(5, 25).Draw(t, "y"))}
		mouth := rapid.Float64Range(0.2, 6).Draw(t, "mouth")
		p, err := paths.Spot{Op: plateOp(spotter, 0), At: at, Mouth: mouth}.Plan(s)
		require.NoError(t, err)
		require.Len(t, p.Cuts, 2)
		for _, c := range p.Cuts {
			require.InDelta(t, -mouth/2, c.End().Z, 1e-9) // of 90 degrees
		}
		bottom := rapid.Float64Range(-8, -1.5).Draw(t, "bottom")
		speed := rapid.Float64Range(60, 600).Draw(t, "speed")
		op := plateOp(tapM3, bottom)
		op.Speed = speed
		p, err = paths.Tap{Op: op, At: at, HoleFloor: bottom - 1}.Plan(s)
		require.NoError(t, err)
		require.Equal(t, math.Round(speed), p.Speed)
		for _, c := range p.Cuts {
			require.Len(t, c.Moves, 2)
			require.True(t, c.Moves[0].Tap && c.Moves[1].Tap)
			require.Equal(t, 0.5*p.Speed, c.Moves[0].Feed)
			require.Equal(t, bottom, c.Moves[0].To.Z)
			require.GreaterOrEqual(t, c.Moves[1].To.Z, 2*0.5-1e-9)
			require.Equal(t, c.Start.Z+s.Approach, c.Moves[1].To.Z)
		}
	})
}

func TestPlateRefused(t *testing.T) {
	one := []geom.Point{geom.Pt(10, 10)}
	fast := plateOp(tapM3, -5)
	fast.Speed = 700
	for _, c := range []struct {
		name string
		plan paths.Strategy
		says string
	}{
		{"face with a drill", paths.Face{Op: func() paths.Op { o := plateOp(spotter, 0); o.Top = 0.5; return o }()}, "no flat end"},
		{"face in steps of the whole tool", paths.Face{Op: func() paths.Op { o := plateOp(faceMill, 0); o.Top = 0.5; return o }(), StepOver: 1}, "step-over"},
		{"spot with an end mill", paths.Spot{Op: plateOp(faceMill, 0), At: one, Mouth: 2}, "no point"},
		{"spot wider than the tool", paths.Spot{Op: plateOp(spotter, 0), At: one, Mouth: 7}, "no wider than the tool"},
		{"spot nowhere", paths.Spot{Op: plateOp(spotter, 0), Mouth: 2}, "there is no hole"},
		{"spots on each other", paths.Spot{Op: plateOp(spotter, 0), At: []geom.Point{geom.Pt(1, 1), geom.Pt(2, 1)}, Mouth: 2}, "run into each other"},
		{"spot not a number", paths.Spot{Op: plateOp(spotter, 0), At: []geom.Point{geom.Pt(math.NaN(), 1)}, Mouth: 2}, "not an ordinary number"},
		{"tap with a drill", paths.Tap{Op: plateOp(spotter, -5), At: one, HoleFloor: -9}, "is no tap"},
		{"tap without room", paths.Tap{Op: plateOp(tapM3, -5), At: one, HoleFloor: -5.9}, "1.000 mm have to be free"},
		{"tap with lead only", paths.Tap{Op: plateOp(tapM3, -0.9), At: one, HoleFloor: -5.9}, "no full thread"},
		{"tap too fast", paths.Tap{Op: fast, At: one, HoleFloor: -9}, "350 mm/min downward, the machine's limit is 300"},
		{"tap not a number", paths.Tap{Op: plateOp(tapM3, -5), At: one, HoleFloor: math.NaN()}, "have to be free"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := c.plan.Plan(plateSetup())
			require.ErrorContains(t, err, c.says)
		})
	}
	s := plateSetup()
	s.Zones = []setup.Zone{{Name: "clamp", Area: rect(-5, 10, 4, 20), Bottom: -10, Top: 6, Clearance: 1}}
	face := paths.Face{Op: plateOp(faceMill, 0)}
	face.Top = 0.5
	_, err := face.Plan(s)
	require.ErrorContains(t, err, "clamp")
	face.OnZone = paths.Shorten
	_, err = face.Plan(s)
	assert.ErrorContains(t, err, "clamp from beside or below")
}
