package paths_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// The world of the tests: a 60 x 45 x 3 mm offcut on a backing plate.

var update = flag.Bool("update", false, "write the golden files anew")

const deg = math.Pi / 180

func world() *setup.Setup {
	return &setup.Setup{
		Name: "offcut", ClearZ: 10, Approach: 0.5,
		Machine: setup.Machine{
			Name: "bench mill", Envelope: geom.Box3{Min: geom.Pt3(-20, -20, -6), Max: geom.Pt3(90, 80, 40)},
			SpindleMin: 3000, SpindleMax: 24000, FeedMax: 1000, PlungeMax: 500, Rapid: 2000,
			ToolChange: setup.ManualToolChange, SpinUp: 2,
		},
		Stock: setup.Stock{
			Outline: rect(0, 0, 60, 45), Thickness: 3, Material: "copper and nickel silver",
			Backing: setup.Backing{Present: true, Material: "aluminium", Depth: 0.5},
		},
	}
}

func screw(name string, x, y float64) setup.Zone {
	return setup.Zone{Name: name, Area: geom.RegionOf(geom.Circle(geom.Pt(x, y), 2.75)), Bottom: -3, Top: 3, Clearance: 0.5}
}

var (
	endMill = setup.Tool{Number: 1, Name: "end mill 1/16 in", Diameter: 1.5875, Flutes: 2, FluteLength: 5, Shank: 3.175, StickOut: 15, CentreCuts: true}
	vee     = setup.Tool{Number: 2, Name: "vee 60", Shape: setup.Vee, Angle: 60 * deg, TipDiameter: 0.1, Diameter: 3.175, Flutes: 1, FluteLength: 6, Shank: 3.175, StickOut: 15, CentreCuts: true}
	drill2  = setup.Tool{Number: 3, Name: "drill 2 mm", Shape: setup.Drill, Angle: 118 * deg, Diameter: 2, Flutes: 2, FluteLength: 12, Shank: 2, StickOut: 20, CentreCuts: true}
	ball    = setup.Tool{Number: 4, Name: "ball 1 mm", Shape: setup.Ball, Diameter: 1, Flutes: 2, FluteLength: 4, Shank: 3, StickOut: 15, CentreCuts: true}
)

// op is an operation with the end mill from the top of the stock.
func op(name string, bottom, step float64) paths.Op {
	return paths.Op{Name: name, Tool: endMill, Bottom: bottom, MaxStep: step, Feed: 200, Plunge: 60, Speed: 18000}
}

func with(o paths.Op, t setup.Tool) paths.Op {
	o.Tool = t
	return o
}

func rect(x0, y0, x1, y1 float64) geom.Region {
	return geom.RegionOf(geom.Rect(geom.Pt(x0, y0), geom.Pt(x1, y1), 0))
}

func disc(x, y, r float64) geom.Region { return geom.RegionOf(geom.Circle(geom.Pt(x, y), r)) }

func mustPlan(t testing.TB, s *setup.Setup, st paths.Strategy) paths.Plan {
	t.Helper()
	p, err := st.Plan(s)
	require.NoError(t, err)
	return p
}

func mustLink(t testing.TB, s *setup.Setup, plans ...paths.Plan) []paths.Toolpath {
	t.Helper()
	out, err := paths.Link(s, plans...)
	require.NoError(t, err)
	return out
}

// step is one feed or rapid of a plan with the place that it starts from.
type step struct {
	from geom.Point3
	paths.Move
}

func (s step) seg() geom.Seg {
	return geom.Seg{A: s.from.XY(), B: s.To.XY(), C: s.C, Turn: s.Turn}
}

func steps(p paths.Plan) []step {
	var out []step
	for _, c := range p.Cuts {
		from := c.Start
		for _, m := range c.Moves {
			out = append(out, step{from, m})
			from = m.To
		}
	}
	return out
}

// dump writes a plan as a readable text: one line a move.
func dump(p paths.Plan) string {
	var b strings.Builder
	at := func(q geom.Point3) string { return fmt.Sprintf("%8.3f %8.3f %7.3f", tidy(q.X), tidy(q.Y), tidy(q.Z)) }
	for i, c := range p.Cuts {
		fmt.Fprintf(&b, "cut %d\n  start   %s\n", i+1, at(c.Start))
		for _, m := range c.Moves {
			word := "line"
			switch {
			case m.Rapid:
				word = "rapid"
			case m.Turn == geom.CW:
				word = "arc cw"
			case m.Turn == geom.CCW:
				word = "arc ccw"
			}
			fmt.Fprintf(&b, "  %-7s %s", word, at(m.To))
			if m.Turn != geom.Straight {
				fmt.Fprintf(&b, "  about %.3f %.3f", tidy(m.C.X), tidy(m.C.Y))
			}
			if !m.Rapid {
				fmt.Fprintf(&b, "  feed %g", math.Round(m.Feed*10)/10)
			}
			if m.Dwell > 0 {
				fmt.Fprintf(&b, "  wait %g s", m.Dwell)
			}
			b.WriteByte('\n')
		}
	}
	for _, f := range p.Features {
		fmt.Fprintf(&b, "feature %q floor %.4f may %.3f must %.3f along %d reach %.3f\n", f.Name, f.Floor, f.May.Area(), f.Must.Area(), len(f.Along), f.Reach)
	}
	for _, f := range p.Findings {
		fmt.Fprintf(&b, "finding %s\n", f)
	}
	return b.String()
}

// tidy rounds to the printed digits so that no minus stands before a zero.
func tidy(v float64) float64 {
	if v = math.Round(v*1e3) / 1e3; v == 0 {
		return 0
	}
	return v
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".golden")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "run with -update once")
	require.Equal(t, string(want), got)
}
