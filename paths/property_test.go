package paths_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// nano is what exact geometry may be off, 1 nm.
const nano = 1e-6

// TestMain keeps the property tests short unless a long run is asked for by
// PROOFCUT_LONG or the flag -rapid.checks.
func TestMain(m *testing.M) {
	flag.Parse()
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "rapid.checks" })
	if !given {
		checks := "30"
		if os.Getenv("PROOFCUT_LONG") != "" {
			checks = "3000"
		}
		if err := flag.Set("rapid.checks", checks); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

// drawPart draws a region of a few overlapping discs, rectangles and slots,
// some of them taken away, inside 8..37 mm.
func drawPart(t *rapid.T) geom.Region {
	var r geom.Region
	num := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
	n := rapid.IntRange(1, 4).Draw(t, "shapes")
	for i := range n {
		c := geom.Pt(num(15, 30, "x"), num(15, 30, "y"))
		var one geom.Contour
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			one = geom.Circle(c, num(2, 7, "radius"))
		case 1:
			size := geom.Pt(num(1, 7, "half width"), num(1, 7, "half height"))
			one = geom.Rect(c.Sub(size), c.Add(size), num(0, 1, "corner"))
		case 2:
			one = geom.Slot(c, c.Add(geom.Polar(num(1, 6, "length"), num(0, 6, "angle"))), num(2, 5, "width"))
		default:
			one = geom.RegularPolygon(c, num(2, 7, "radius"), rapid.IntRange(3, 7).Draw(t, "corners"), num(0, 6, "angle"))
		}
		var err error
		if i > 0 && rapid.IntRange(0, 3).Draw(t, "sign") == 0 {
			r, err = geom.Difference(r, geom.RegionOf(one))
		} else {
			r, err = geom.Union(r, geom.RegionOf(one))
		}
		if err != nil {
			t.Fatalf("drawing a shape: %v", err)
		}
	}
	return r
}

// TestProfileKeepsClear: no point of a profile comes nearer to the part than
// the tool's radius and the allowance, and none goes below the bottom.
func TestProfileKeepsClear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shape := drawPart(t)
		p := paths.Profile{
			Op: op("part", -2.9, rapid.Float64Range(0.3, 3).Draw(t, "step")), Shape: shape,
			Allowance:    rapid.SampledFrom([]float64{0, 0.0635}).Draw(t, "allowance"),
			Conventional: rapid.Bool().Draw(t, "conventional"),
			Lead:         rapid.SampledFrom([]float64{0, 0.5, 2}).Draw(t, "lead"),
			Finish:       rapid.SampledFrom([]float64{0, 0.1}).Draw(t, "finish"),
			Ramp:         rapid.Float64Range(1, 20).Draw(t, "ramp") * deg,
		}
		if rapid.Bool().Draw(t, "bridges") {
			p.Bridges = paths.Bridges{Count: rapid.IntRange(1, 3).Draw(t, "count"), Width: 0.8, Height: 0.5, Angle: rapid.SampledFrom([]float64{0, 20 * deg}).Draw(t, "slope")}
		}
		if rapid.IntRange(0, 2).Draw(t, "side") == 0 {
			p.Side = paths.Inside
		}
		s := world()
		plan, err := p.Plan(s)
		if err != nil {
			t.Skip(err)
		}
		index := geom.NewIndex(shape)
		need := endMill.Diameter/2 + p.Allowance - nano
		from := 0.0
		for _, m := range steps(plan) {
			g := m.seg()
			d := index.Distance(g)
			if p.Side == paths.Inside {
				if d = index.BoundaryDistance(g); index.Contains(g.A) != geom.Inside {
					d = -d
				}
			}
			if d < need {
				t.Fatalf("the axis comes to %.7f mm from the part, %.7f needed, at %v", d, need, m)
			}
			if m.To.Z < p.Bottom {
				t.Fatalf("below the bottom: %v", m)
			}
			from += g.Length()
		}
		for _, f := range plan.Features {
			if err := f.May.Validate(); err != nil {
				t.Fatalf("feature: %v", err)
			}
			if out, err := geom.Difference(f.Must, f.May); err != nil || out.Area() > 1e-6 {
				t.Fatalf("what must go is not what may go: %g mm2, %v", out.Area(), err)
			}
		}
		if _, err := paths.Link(s, plan); err != nil {
			t.Fatalf("link: %v", err)
		}
	})
}

// swept returns what moves at a height remove.
func swept(t require.TestingT, plan paths.Plan, z, radius float64) geom.Region {
	var low []geom.Path
	for _, m := range steps(plan) {
		if math.Abs(m.from.Z-z) < nano && math.Abs(m.To.Z-z) < nano && m.seg().Length() > nano {
			low = append(low, geom.Path{m.seg()})
		}
	}
	r, err := geom.OffsetPath(low, radius, geom.OffsetOptions{})
	require.NoError(t, err)
	return r
}

// TestPocketLeavesNothing: what the tool can reach is gone at every level, and
// nothing else; measured as areas of exact regions.
func TestPocketLeavesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shape := drawPart(t)
		p := paths.Pocket{
			Op: op("pocket", -1, rapid.SampledFrom([]float64{0, 0.5}).Draw(t, "step")), Shape: shape,
			StepOver:     rapid.SampledFrom([]float64{0.1, 0.45, 0.5, 0.6, 0.75, 0.95}).Draw(t, "step over"),
			Conventional: rapid.Bool().Draw(t, "conventional"),
			Finish:       rapid.SampledFrom([]float64{0, 0.1}).Draw(t, "finish"),
		}
		s := world()
		plan, err := p.Plan(s)
		if err != nil {
			t.Skip(err)
		}
		checkPocket(t, s, p, plan)
	})
}

func checkPocket(t *rapid.T, s *setup.Setup, p paths.Pocket, plan paths.Plan) {
	r := endMill.Diameter / 2
	index := geom.NewIndex(p.Shape)
	for _, m := range steps(plan) {
		g := m.seg()
		if d := index.BoundaryDistance(g); d < r-nano || index.Contains(g.A) != geom.Inside {
			t.Fatalf("the axis comes to %.7f mm from the wall at %v", d, m)
		}
	}
	levels := []float64{p.Bottom}
	if p.MaxStep > 0 {
		levels = append(levels, p.Bottom/2)
	}
	// What a disc of the tool's radius and the reserve reaches without
	// crossing the wall, less 3 um.
	centres, err := geom.Offset(p.Shape, -(r + paths.Reserve(s)), geom.OffsetOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, z := range levels {
		reach := centres
		if p.Finish > 0 && z != p.Bottom {
			if reach, err = geom.Offset(centres, -p.Finish, geom.OffsetOptions{}); err != nil {
				t.Fatal(err)
			}
		}
		want, err := geom.Offset(reach, r-0.003, geom.OffsetOptions{})
		if err != nil {
			t.Fatal(err)
		}
		left, err := geom.Difference(want, swept(t, plan, z, r))
		if err != nil {
			t.Fatal(err)
		}
		if a := left.Area(); a > 1e-6 {
			t.Fatalf("%.9f mm2 are left standing at %g, at %v", a, z, left.Bounds())
		}
	}
}

// assemblyGap returns the least distance in space, by dense sampling of the
// tool's height, of an upright tool with its tip at q from a zone.
func assemblyGap(tool setup.Tool, z setup.Zone, index *geom.Index, q geom.Point3) float64 {
	d := index.Distance(geom.Line(q.XY(), q.XY()))
	least := math.Inf(1)
	for _, sec := range tool.Sections() {
		const n = 40
		for i := range n + 1 {
			f := float64(i) / n
			h := q.Z + sec.Z0 + f*(sec.Z1-sec.Z0)
			up := math.Max(0, math.Max(h-z.Top, z.Bottom-h))
			side := math.Max(0, d-(sec.R0+f*(sec.R1-sec.R0)))
			least = math.Min(least, math.Hypot(up, side))
		}
	}
	return least
}

// TestLinksKeepClear: on no move, densely sampled, does any part of the tool
// come nearer to a zone than its clearance.
func TestLinksKeepClear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := world()
		num := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
		for i := range rapid.IntRange(1, 4).Draw(t, "zones") {
			z := screw(fmt.Sprintf("screw %d", i+1), num(5, 55, "x"), num(5, 40, "y"))
			z.Top = num(-2, 14, "top")
			z.Clearance = num(0, 1, "clearance")
			s.Zones = append(s.Zones, z)
		}
		s.Machine.DogLegRapids = rapid.Bool().Draw(t, "dog leg")
		tool := rapid.SampledFrom([]setup.Tool{endMill, vee, drill2}).Draw(t, "tool")
		var at []geom.Point
		for range rapid.IntRange(2, 6).Draw(t, "places") {
			at = append(at, geom.Pt(num(2, 58, "x"), num(2, 43, "y")))
		}
		plan, err := paths.Drill{Op: func() paths.Op { o := with(op("dots", -0.9, 0), tool); o.OnZone = paths.Shorten; return o }(), At: at}.Plan(s)
		if err != nil {
			t.Skip(err)
		}
		out, err := paths.Link(s, plan)
		if err != nil {
			t.Skip(err)
		}
		for _, z := range s.Zones {
			index := geom.NewIndex(z.Area)
			from := out[0].Moves[0].To
			for _, m := range out[0].Moves {
				n := int(from.Dist(m.To)/0.25) + 1
				for i := range n + 1 {
					f := float64(i) / float64(n)
					q := geom.Pt3(from.X+f*(m.To.X-from.X), from.Y+f*(m.To.Y-from.Y), from.Z+f*(m.To.Z-from.Z))
					if d := assemblyGap(tool, z, index, q); d < z.Clearance-nano {
						t.Fatalf("%s: %.6f mm away at %v, %.6f needed", z.Name, d, q, z.Clearance)
					}
				}
				if s.Machine.DogLegRapids && m.Rapid {
					moved := 0
					for _, d := range []float64{m.To.X - from.X, m.To.Y - from.Y, m.To.Z - from.Z} {
						if math.Abs(d) > nano {
							moved++
						}
					}
					if moved > 1 {
						t.Fatalf("a rapid that is not straight moves along %d axes", moved)
					}
				}
				from = m.To
			}
		}
	})
}
