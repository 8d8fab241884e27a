package post_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"proofcut/gcode/post"
	"proofcut/gcode/proof"
	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// drawShape draws a region of a few shapes between 8 and 37 mm.
func drawShape(t *rapid.T) geom.Region {
	var r geom.Region
	num := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
	for i := range rapid.IntRange(1, 3).Draw(t, "shapes") {
		c := geom.Pt(num(15, 30, "x"), num(15, 30, "y"))
		var one geom.Contour
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 0:
			one = geom.Circle(c, num(2, 7, "radius"))
		case 1:
			size := geom.Pt(num(2, 7, "half width"), num(2, 7, "half height"))
			one = geom.Rect(c.Sub(size), c.Add(size), num(0, 1, "corner"))
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

// TestWhatIsPlannedIsProven plans single operations of every kind on random
// shapes, among random screws that shorten them, and hands the text to the
// proof: what a strategy accepts, the proof has to accept.
func TestWhatIsPlannedIsProven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := world()
		s.Zones = nil
		plannedIsProven(t, s, 0)
	})
}

// plannedIsProven draws one operation on a set-up's stock and proves it with
// cells of the given size.
func plannedIsProven(t *rapid.T, s *setup.Setup, resolution float64) {
	num := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
	if rapid.Bool().Draw(t, "inch") {
		s.Unit = setup.Inch
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "zones") {
		s.Zones = append(s.Zones, setup.Zone{
			Name: []string{"screw A", "screw B"}[i], Bottom: -3, Top: num(-1, 8, "top"), Clearance: num(0, 1, "clearance"),
			Area: geom.RegionOf(geom.Circle(geom.Pt(num(3, 57, "zone x"), num(3, 42, "zone y")), num(1, 3, "zone radius"))),
		})
	}
	o := paths.Op{
		Name: "cut", Tool: endMill, Top: s.Stock.Top, Bottom: s.Stock.Top - num(0.2, 3.4, "depth"), MaxStep: num(0.4, 1.5, "step"),
		Feed: 200, Plunge: 60, Speed: 18000, OnZone: paths.Shorten,
	}
	var st paths.Strategy
	switch rapid.IntRange(0, 5).Draw(t, "strategy") {
	case 0:
		p := paths.Profile{
			Op: o, Shape: drawShape(t), Lead: rapid.SampledFrom([]float64{0, 1}).Draw(t, "lead"),
			Finish: rapid.SampledFrom([]float64{0, 0.1}).Draw(t, "finish"), Conventional: rapid.Bool().Draw(t, "conventional"),
		}
		if rapid.Bool().Draw(t, "inside") {
			p.Side = paths.Inside
		}
		if rapid.Bool().Draw(t, "bridges") && o.Bottom < s.Stock.Top-0.6 {
			p.Bridges = paths.Bridges{Count: rapid.IntRange(1, 3).Draw(t, "count"), Width: 1, Height: 0.5}
		}
		st = p
	case 1:
		st = paths.Pocket{
			Op: o, Shape: drawShape(t), StepOver: num(0.1, 0.95, "step over"),
			Finish: rapid.SampledFrom([]float64{0, 0.1}).Draw(t, "finish"), Conventional: rapid.Bool().Draw(t, "conventional"),
		}
	case 2:
		a := geom.Pt(num(5, 50, "x"), num(5, 40, "y"))
		st = paths.Slot{Op: o, From: a, To: a.Add(geom.Polar(num(0.5, 8, "length"), num(-3, 3, "angle"))), Width: rapid.SampledFrom([]float64{endMill.Diameter, 1.6, 2, 4}).Draw(t, "width")}
	case 3:
		st = paths.Bore{Op: o, At: geom.Pt(num(5, 50, "x"), num(5, 40, "y")), Diameter: num(1.6, 6, "diameter")}
	case 4:
		o.Tool, o.Bottom = vee, s.Stock.Top-num(0.05, 0.4, "depth")
		var lines []geom.Path
		for range rapid.IntRange(1, 5).Draw(t, "lines") {
			c := geom.Pt(num(5, 50, "x"), num(5, 40, "y"))
			if rapid.Bool().Draw(t, "round") {
				lines = append(lines, geom.Circle(c, num(0.3, 3, "radius")).Path())
			} else {
				lines = append(lines, geom.Polyline(c, c.Add(geom.Polar(num(0.3, 6, "length"), num(-3, 3, "angle"))), c.Add(geom.Polar(num(0.3, 6, "length"), num(-3, 3, "angle")))))
			}
		}
		st = paths.Engrave{Op: o, Lines: lines, Ramp: rapid.SampledFrom([]float64{0, 5 * deg}).Draw(t, "ramp")}
	default:
		o.Tool, o.Bottom = drill2, s.Stock.Top-num(0.7, 3.4, "depth")
		d := paths.Drill{Op: o, Peck: num(0.3, 2, "peck"), BackOff: rapid.SampledFrom([]float64{0, 0.4}).Draw(t, "back-off")}
		for range rapid.IntRange(1, 4).Draw(t, "holes") {
			d.At = append(d.At, geom.Pt(num(5, 50, "x"), num(5, 40, "y")))
		}
		st = d
	}
	plan, err := st.Plan(s)
	if err != nil {
		t.Skip(err)
	}
	if s.Stock.Face != nil {
		if plan, err = paths.Drape(s, plan); err != nil {
			t.Skip(err)
		}
	}
	tp, err := paths.Link(s, plan)
	if err != nil {
		t.Skip(err)
	}
	s.Features = plan.Features
	var b bytes.Buffer
	if err := post.Write(&b, s, post.Header{}, tp); err != nil {
		t.Fatal(err)
	}
	r, err := proof.Check(context.Background(), s, "cut.nc", strings.NewReader(b.String()), proof.Options{Resolution: resolution})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Proven {
		for _, f := range r.Findings {
			t.Logf("%s %s block %d line %d: %s", f.Severity, f.Rule, f.Block, f.Line, f.Text)
		}
		t.Fatalf("not proven:\n%s", b.String())
	}
}
