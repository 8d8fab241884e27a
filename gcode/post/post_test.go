package post_test

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/gcode"
	"proofcut/gcode/interp"
	"proofcut/gcode/post"
	"proofcut/gcode/proof"
	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

var update = flag.Bool("update", false, "write the golden files anew")

const deg = math.Pi / 180

var (
	endMill = setup.Tool{Number: 1, Substrate: setup.Carbide, Name: "end mill 1/16 in", Diameter: 1.5875, Flutes: 2, FluteLength: 5, Shank: 3.175, StickOut: 15, CentreCuts: true}
	vee     = setup.Tool{Number: 2, Substrate: setup.Carbide, Name: "vee 60", Shape: setup.Vee, Angle: 60 * deg, TipDiameter: 0.1, Diameter: 3.175, Flutes: 1, FluteLength: 6, Shank: 3.175, StickOut: 15, CentreCuts: true}
	drill2  = setup.Tool{Number: 3, Substrate: setup.Carbide, Name: "drill 2 mm", Shape: setup.Drill, Angle: 118 * deg, Diameter: 2, Flutes: 2, FluteLength: 12, Shank: 2, StickOut: 20, CentreCuts: true}
)

func world() *setup.Setup {
	return &setup.Setup{
		Name: "offcut", ClearZ: 10, Approach: 0.5,
		Machine: setup.Machine{
			Name: "bench mill", Envelope: geom.Box3{Min: geom.Pt3(-20, -20, -6), Max: geom.Pt3(90, 80, 40)},
			SpindleMin: 3000, SpindleMax: 24000, FeedMax: 1000, PlungeMax: 500, Rapid: 2000,
			ToolChange: setup.ManualToolChange, SpinUp: 2,
		},
		Stock: setup.Stock{
			Outline: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(60, 45), 0)), Thickness: 3, Material: "nickel silver",
			// The cuts of these tests are deeper than little tools stand in metal.
			Like:    setup.Like{Names: []string{"mdf"}},
			Backing: setup.Backing{Present: true, Material: "aluminium", Like: setup.Like{Names: []string{"mdf"}}, Depth: 0.5},
		},
		Zones: []setup.Zone{{Name: "screw 1", Area: geom.RegionOf(geom.Circle(geom.Pt(50, 38), 2.75)), Bottom: -3, Top: 3, Clearance: 0.5}},
		Tools: []setup.Tool{endMill, vee, drill2},
	}
}

// job plans a little of everything.
func job(t testing.TB, s *setup.Setup) []paths.Toolpath {
	t.Helper()
	o := paths.Op{Tool: endMill, MaxStep: 1.2, Feed: 200, Plunge: 60, Speed: 18000}
	op := func(name string, tool setup.Tool, bottom float64) paths.Op {
		o := o
		o.Name, o.Tool, o.Bottom = name, tool, bottom
		return o
	}
	var plans []paths.Plan
	for _, st := range []paths.Strategy{
		paths.Pocket{Op: op("pocket", endMill, -0.5), Shape: geom.RegionOf(geom.Rect(geom.Pt(30, 5), geom.Pt(45, 14), 1), geom.Circle(geom.Pt(40, 9.3333), 2).Reverse())},
		paths.Slot{Op: op("slot", endMill, -1), From: geom.Pt(50, 5), To: geom.Pt(54.1, 14.2), Width: 1.5875},
		paths.Bore{Op: op("bore", endMill, -1), At: geom.Pt(55.5, 25.25), Diameter: 2.5},
		paths.Engrave{Op: op("name", vee, -0.12), Lines: []geom.Path{
			geom.Polyline(geom.Pt(5, 30), geom.Pt(7, 34), geom.Pt(9, 30)),
			geom.Circle(geom.Pt(12.3456, 31.2345), 1.1111).Path(),
		}},
		paths.Drill{Op: op("holes", drill2, -3.4), At: []geom.Point{{X: 20, Y: 32}, {X: 26, Y: 32}}, Peck: 1.2, Dwell: 0.2},
		paths.Profile{Op: op("disc 1", endMill, -2.9), Shape: geom.RegionOf(geom.Circle(geom.Pt(10, 10), 6.4135)), Finish: 0.1},
		paths.Profile{Op: op("tag", endMill, -3.1), Shape: geom.RegionOf(geom.Rect(geom.Pt(28.6, 3), geom.Pt(46.2, 16), 2)), Bridges: paths.Bridges{Count: 2, Width: 1.5, Height: 0.6}},
	} {
		p, err := st.Plan(s)
		require.NoError(t, err)
		plans = append(plans, p)
		s.Features = append(s.Features, p.Features...)
	}
	out, err := paths.Link(s, plans...)
	require.NoError(t, err)
	return out
}

func write(t testing.TB, s *setup.Setup, tp []paths.Toolpath) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, post.Write(&b, s, post.Header{
		Job: "try-out", Row: "7, Ada Bell", Zero: "lower left corner of the slab, on its top face",
		Notes: []string{"the name (as written) is that of the player"},
	}, tp))
	return b.String()
}

// TestGolden holds whole programs; read one before accepting a change of it.
func TestGolden(t *testing.T) {
	inch := world()
	inch.Unit = setup.Inch
	inch.Machine.ToolChange, inch.Machine.LengthOffsets, inch.Machine.SpinUp = setup.AutoToolChange, true, 0
	for name, s := range map[string]*setup.Setup{"job-mm.nc": world(), "job-inch.nc": inch} {
		t.Run(name, func(t *testing.T) {
			got := write(t, s, job(t, s))
			file := filepath.Join("testdata", name)
			if *update {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err, "run with -update once")
			assert.Equal(t, string(want), got)
			assert.Equal(t, got, write(t, s, job(t, s)), "the same input gives the same bytes")
			for _, line := range strings.Split(got, "\n") {
				assert.LessOrEqual(t, len(line), 80)
			}
		})
	}
}

// TestProven hands the text to the proof.
func TestProven(t *testing.T) {
	for _, unit := range []setup.Unit{setup.MM, setup.Inch} {
		for _, change := range []setup.ToolChange{setup.ManualToolChange, setup.AutoToolChange} {
			s := world()
			s.Unit, s.Machine.ToolChange, s.Machine.LengthOffsets = unit, change, change == setup.AutoToolChange
			text := write(t, s, job(t, s))
			r, err := proof.Check(context.Background(), s, "job.nc", strings.NewReader(text), proof.Options{})
			require.NoError(t, err)
			assert.True(t, r.Proven, "%v: %+v", unit, r.Findings)
			assert.Empty(t, r.Findings)
		}
	}
}

// motion is one move as the control makes it.
type motion struct {
	rapid    bool
	from, to geom.Point3
	centre   geom.Point
	turn     geom.Turn
	feed     float64
}

func run(t require.TestingT, text string) []motion {
	p, err := gcode.Parse("t.nc", strings.NewReader(text), gcode.Options{})
	require.NoError(t, err)
	var out []motion
	_, err = interp.Run(p.Source(), interp.Options{}, func(e *interp.Event) error {
		switch e.Kind {
		case interp.Traverse, interp.Feed:
			out = append(out, motion{e.Kind == interp.Traverse, e.From, e.To, geom.Point{}, geom.Straight, e.State.FeedRate})
		case interp.Arc:
			out = append(out, motion{false, e.From, e.To, e.Centre.XY(), e.Turn, e.State.FeedRate})
		}
		return nil
	})
	require.NoError(t, err)
	return out
}

// checkRoundTrip compares what a control does with what was planned. Every move
// of the toolpath is followed by its share of the program's motions: they lie
// within a step of it in plan, are of its kind and length, and end within half
// a step in X and Y and not lower nor a step higher in Z.
func checkRoundTrip(t require.TestingT, s *setup.Setup, tp paths.Toolpath) {
	res := s.Unit.Resolution()
	const slack = 1e-9
	moves := run(t, text(t, s, tp))
	at := count(t, s, tp, 1)
	from := tp.Moves[0].To
	for n, m := range tp.Moves[1:] {
		end := count(t, s, tp, n+2)
		g := geom.Seg{A: from.XY(), B: m.To.XY(), C: m.C, Turn: m.Turn}
		length := 0.0
		for _, c := range moves[at:end] {
			require.True(t, onWay(c, g, m, res), "move %d from %v to %v: the control goes from %v to %v", n+1, from, m, c.from, c.to)
			length += geom.Seg{A: c.from.XY(), B: c.to.XY(), C: c.centre, Turn: c.turn}.Length()
			if !m.Rapid {
				require.InEpsilon(t, m.Feed, c.feed, 2e-3)
				require.LessOrEqual(t, c.feed, m.Feed*(1+1e-9))
			}
		}
		require.InDelta(t, g.Length(), length, 0.02*g.Length()+4*res, "move %d to %v", n+1, m)
		to := moves[end-1].to
		require.InDelta(t, m.To.X, to.X, res/2+slack)
		require.InDelta(t, m.To.Y, to.Y, res/2+slack)
		require.GreaterOrEqual(t, to.Z, m.To.Z-res*2e-3)
		require.LessOrEqual(t, to.Z, m.To.Z+res+slack)
		at, from = end, m.To
	}
}

func text(t require.TestingT, s *setup.Setup, tp ...paths.Toolpath) string {
	var b bytes.Buffer
	require.NoError(t, post.Write(&b, s, post.Header{}, tp))
	return b.String()
}

// count returns how many motions the program has up to the toolpath's first n
// moves: those of the toolpath cut off there, less the way up at its end.
func count(t require.TestingT, s *setup.Setup, tp paths.Toolpath, n int) int {
	tp.Moves = tp.Moves[:n:n]
	if last := tp.Moves[n-1].To; last.Z != s.ClearZ {
		tp.Moves = append(tp.Moves, paths.Move{Rapid: true, To: last.XY().At(s.ClearZ)})
		n = -1
	}
	motions := 0
	for _, line := range strings.Split(text(t, s, tp), "\n") {
		word, _, _ := strings.Cut(line, " ")
		switch {
		case word == "G0", word == "G1", word == "G2", word == "G3", word != "" && strings.Contains("XYZ", word[:1]):
			motions++
		}
	}
	if n < 0 {
		motions--
	}
	return motions
}

// onWay reports whether a move of the control is part of a planned move: of its
// kind, and everywhere within a step of it in plan.
func onWay(c motion, g geom.Seg, m paths.Move, res float64) bool {
	if c.rapid != m.Rapid || m.Turn != c.turn && c.turn != geom.Straight {
		return false
	}
	const n = 64
	r0 := c.from.XY().Sub(c.centre)
	sweep := geom.Seg{A: c.from.XY(), B: c.to.XY(), C: c.centre, Turn: c.turn}.Sweep()
	r1 := c.to.XY().Dist(c.centre)
	for k := range n + 1 {
		f := float64(k) / n
		q := c.from.XY().Lerp(c.to.XY(), f)
		if c.turn != geom.Straight {
			q = c.centre.Add(geom.Polar(r0.Len()+(r1-r0.Len())*f, r0.Angle()+sweep*f))
		}
		if g.Distance(q) > res*(1+1e-6) {
			return false
		}
	}
	return true
}

func TestRoundTrip(t *testing.T) {
	for _, unit := range []setup.Unit{setup.MM, setup.Inch} {
		s := world()
		s.Unit = unit
		for _, tp := range job(t, s) {
			checkRoundTrip(t, s, tp)
		}
	}
}

func TestRefusals(t *testing.T) {
	for _, tc := range []struct {
		name, says string
		change     func(s *setup.Setup, tp []paths.Toolpath)
	}{
		{"no toolpath", "no toolpath", nil},
		{"two tools", "no tool change", func(s *setup.Setup, _ []paths.Toolpath) { s.Machine.ToolChange = setup.NoToolChange }},
		{"too fast a spindle", "spindle speed", func(_ *setup.Setup, tp []paths.Toolpath) { tp[0].Speed = 30000 }},
		{"no spindle", "spindle speed", func(_ *setup.Setup, tp []paths.Toolpath) { tp[0].Speed = 0 }},
		{"mist", "no mist", func(_ *setup.Setup, tp []paths.Toolpath) { tp[1].Coolant = setup.Mist }},
		{"flood", "no flood", func(_ *setup.Setup, tp []paths.Toolpath) { tp[1].Coolant = setup.Flood }},
		{"tool number", "tool number", func(_ *setup.Setup, tp []paths.Toolpath) { tp[0].Tool.Number = 0 }},
		{"feed", "feed of 2000", func(_ *setup.Setup, tp []paths.Toolpath) { tp[0].Moves[3].Feed = 2000 }},
		{"plunge", "goes down at", func(s *setup.Setup, _ []paths.Toolpath) { s.Machine.PlungeMax = 50 }},
		{"start", "start with a rapid", func(_ *setup.Setup, tp []paths.Toolpath) { tp[0].Moves[0].To.Z = 3 }},
		{"end", "does not end", func(_ *setup.Setup, tp []paths.Toolpath) { tp[0].Moves = tp[0].Moves[:5] }},
		{"not a number", "no ordinary place", func(_ *setup.Setup, tp []paths.Toolpath) { tp[0].Moves[4].To.X = math.NaN() }},
		{"bad arc", "no arc", func(_ *setup.Setup, tp []paths.Toolpath) {
			for i := range tp[0].Moves {
				if tp[0].Moves[i].Turn != geom.Straight {
					tp[0].Moves[i].To.X += 0.1
					return
				}
			}
		}},
		{"spin-up", "run-up", func(s *setup.Setup, _ []paths.Toolpath) { s.Machine.SpinUp = math.Inf(1) }},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := world()
			tp := job(t, s)
			if tc.change == nil {
				tp = nil
			} else {
				tc.change(s, tp)
			}
			assert.ErrorContains(t, post.Write(&bytes.Buffer{}, s, post.Header{}, tp), tc.says)
		})
	}
}

// TestHostileText: names cannot end their comment.
func TestHostileText(t *testing.T) {
	s := world()
	tp := job(t, s)
	clean := run(t, write(t, s, tp))
	evil := "x) G0 Z-50\n\x00(MSG, é\r\nM3"
	s.Zones[0].Name, s.Machine.Name, s.Stock.Material, s.Stock.Backing.Material = evil, evil, evil, evil
	for i := range tp {
		tp[i].Name, tp[i].Tool.Name = evil+strings.Repeat("y", 500), evil
	}
	var b bytes.Buffer
	require.NoError(t, post.Write(&b, s, post.Header{Job: evil, Row: evil, Zero: evil, Notes: []string{evil, "msg, now"}}, tp))
	assert.Equal(t, clean, run(t, b.String()))
	assert.NotContains(t, b.String(), "(msg,")
	for _, line := range strings.Split(b.String(), "\n") {
		assert.LessOrEqual(t, len(line), 256)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriterError(t *testing.T) {
	s := world()
	assert.ErrorContains(t, post.Write(full{}, s, post.Header{}, job(t, s)), "disk full")
}
