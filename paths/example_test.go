package paths_test

import (
	"fmt"
	"math"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// slab is a 60 x 45 x 3 mm offcut on a backing plate with a screw in it.
func slab() *setup.Setup {
	return &setup.Setup{
		ClearZ: 8, Approach: 0.5,
		Machine: setup.Machine{
			Envelope: geom.Box3{Min: geom.Pt3(-10, -10, -5), Max: geom.Pt3(80, 60, 30)},
			FeedMax:  1000, SpindleMin: 3000, SpindleMax: 24000, Rapid: 2000,
		},
		Stock: setup.Stock{
			Outline:   geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(60, 45), 0)),
			Thickness: 3, Backing: setup.Backing{Present: true},
		},
		Zones: []setup.Zone{{
			Name: "screw", Area: geom.RegionOf(geom.Circle(geom.Pt(30, 20), 2.75)),
			Bottom: -3, Top: 3, Clearance: 0.5,
		}},
	}
}

var cutter = setup.Tool{Number: 1, Diameter: 1.5875, Flutes: 2, FluteLength: 5, Shank: 3.175, StickOut: 15, CentreCuts: true}

// A finger-button inlay is cut out of the slab, 5 thou oversize on diameter,
// with a skin of 0.1 mm under it.
func ExampleProfile() {
	s := slab()
	bottom, err := paths.ThroughFloor(s, 0.1, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	plan, err := paths.Profile{
		Op:        paths.Op{Name: "inlay", Tool: cutter, Bottom: bottom, MaxStep: 1, Feed: 180, Plunge: 40, Speed: 12000},
		Shape:     geom.RegionOf(geom.Circle(geom.Pt(12, 12), 12.7/2)),
		Allowance: 0.127 / 2,
	}.Plan(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range plan.Cuts {
		fmt.Printf("from x %.3f y %.3f z %.1f\n", c.Start.X, c.Start.Y, c.Start.Z)
		for _, m := range c.Moves {
			fmt.Printf("round to x %.3f y %.3f z %.3f\n", m.To.X, m.To.Y, m.To.Z)
		}
	}
	// Output:
	// from x 19.208 y 12.000 z 0.0
	// round to x 5.981 y 8.033 z -0.967
	// round to x 19.208 y 12.000 z -0.967
	// round to x 5.981 y 8.033 z -0.967
	// round to x 14.843 y 18.624 z -1.933
	// round to x 19.208 y 12.000 z -1.933
	// round to x 14.843 y 18.624 z -1.933
	// round to x 19.208 y 12.000 z -2.374
	// round to x 13.271 y 4.905 z -2.900
	// round to x 19.208 y 12.000 z -2.900
	// round to x 13.271 y 4.905 z -2.900
}

// A line that runs into a screw is refused, or ends short of it.
func ExampleEngrave() {
	s := slab()
	e := paths.Engrave{
		Op: paths.Op{
			Name: "rule", Bottom: -0.12, Feed: 200, Plunge: 50, Speed: 18000,
			Tool: setup.Tool{Number: 2, Shape: setup.Vee, Angle: math.Pi / 3, TipDiameter: 0.1, Diameter: 3.175, Flutes: 1, FluteLength: 6, Shank: 3.175, StickOut: 15},
		},
		Lines: []geom.Path{{geom.Line(geom.Pt(10, 20), geom.Pt(50, 20))}},
	}
	_, err := e.Plan(s)
	fmt.Println(err)
	e.OnZone = paths.Shorten
	plan, err := e.Plan(s)
	fmt.Println(len(plan.Cuts), "cuts,", plan.Findings[0], err)
	// Output:
	// rule: zone screw: 9.677 mm of the cut come too near to it, so at x 30.000 y 20.000: the tool's axis is 0.000 mm away there and needs 2.088 mm (clearance 0.500, tool and shank 1.587); move the cut or the zone, or allow the operation to be shortened
	// 2 cuts, rule: zone screw: the cut is 9.677 mm shorter <nil>
}

// A pocket with a round island: everything that the tool can reach goes.
func ExamplePocket() {
	s := slab()
	shape, err := geom.Difference(
		geom.RegionOf(geom.Rect(geom.Pt(3, 28), geom.Pt(23, 40), 1)),
		geom.RegionOf(geom.Circle(geom.Pt(18, 34), 2)))
	if err != nil {
		fmt.Println(err)
		return
	}
	plan, err := paths.Pocket{
		Op:    paths.Op{Name: "field", Tool: cutter, Bottom: -0.4, Feed: 240, Plunge: 60, Speed: 18000},
		Shape: shape,
	}.Plan(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	f := plan.Features[0]
	fmt.Printf("may go %.1f mm2, has to go %.1f mm2, down to %.1f mm\n", f.May.Area(), f.Must.Area(), f.Floor)
	// Output:
	// may go 226.6 mm2, has to go 226.2 mm2, down to -0.4 mm
}

// A slot as wide as the tool is cut there and back along its middle.
func ExampleSlot() {
	plan, err := paths.Slot{
		Op:   paths.Op{Name: "strap", Tool: cutter, Bottom: -1, Feed: 240, Plunge: 60, Speed: 18000},
		From: geom.Pt(5, 10), To: geom.Pt(25, 10), Width: 1.5875,
	}.Plan(slab())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range plan.Cuts[0].Moves {
		fmt.Printf("to x %.3f y %.3f z %.3f\n", m.To.X, m.To.Y, m.To.Z)
	}
	// Output:
	// to x 24.081 y 10.000 z -1.000
	// to x 25.000 y 10.000 z -1.000
	// to x 5.000 y 10.000 z -1.000
}

// A hole drilled with pecks: rapids inside the hole end above the last bottom.
func ExampleDrill() {
	drill := setup.Tool{Number: 3, Shape: setup.Drill, Angle: 118 * math.Pi / 180, Diameter: 2, Flutes: 2, FluteLength: 12, Shank: 2, StickOut: 20, CentreCuts: true}
	plan, err := paths.Drill{
		Op: paths.Op{Name: "ring hole", Tool: drill, Bottom: -2.4, Feed: 120, Plunge: 120, Speed: 6000},
		At: []geom.Point{{X: 12, Y: 15}}, Peck: 1.2,
	}.Plan(slab())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range plan.Cuts[0].Moves {
		fmt.Println(map[bool]string{true: "rapid", false: "feed"}[m.Rapid], "to", math.Round(m.To.Z*1000)/1000)
	}
	// Output:
	// feed to -1.2
	// rapid to 0.5
	// rapid to -0.946
	// feed to -2.4
}

// A hole larger than the tool is bored by a helix along its wall.
func ExampleBore() {
	plan, err := paths.Bore{
		Op: paths.Op{Name: "bore", Tool: cutter, Bottom: -1, MaxStep: 0.4, Feed: 120, Plunge: 40, Speed: 12000},
		At: geom.Pt(10, 10), Diameter: 3, Ramp: 6 * math.Pi / 180,
	}.Plan(slab())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range plan.Cuts[0].Moves {
		fmt.Printf("turn to z %.3f\n", m.To.Z)
	}
	// Output:
	// turn to z -0.400
	// turn to z -0.800
	// turn to z -1.000
	// turn to z -1.000
	// turn to z -1.000
}

// Between two holes the tool rises over the screw in its way, and no further.
func ExampleLink() {
	s := slab()
	drill := setup.Tool{Number: 3, Shape: setup.Drill, Angle: 118 * math.Pi / 180, Diameter: 2, Flutes: 2, FluteLength: 12, Shank: 2, StickOut: 20, CentreCuts: true}
	plan, err := paths.Drill{
		Op: paths.Op{Name: "holes", Tool: drill, Bottom: -1, Feed: 120, Plunge: 120, Speed: 6000},
		At: []geom.Point{{X: 20, Y: 20}, {X: 40, Y: 20}, {X: 40, Y: 30}},
	}.Plan(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	toolpaths, err := paths.Link(s, plan)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range toolpaths[0].Moves {
		if m.Rapid {
			fmt.Printf("rapid to x %.0f y %.0f z %.1f\n", m.To.X, m.To.Y, m.To.Z)
		}
	}
	// Output:
	// rapid to x 20 y 20 z 8.0
	// rapid to x 20 y 20 z 0.5
	// rapid to x 20 y 20 z 3.5
	// rapid to x 40 y 20 z 3.5
	// rapid to x 40 y 20 z 0.5
	// rapid to x 40 y 20 z 0.5
	// rapid to x 40 y 30 z 0.5
	// rapid to x 40 y 30 z 8.0
}
