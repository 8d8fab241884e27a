package post_test

import (
	"fmt"
	"os"

	"proofcut/gcode/post"
	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// A hole is bored into a plate of nickel silver.
func ExampleWrite() {
	s := &setup.Setup{
		ClearZ: 8, Approach: 0.5,
		Machine: setup.Machine{
			Name: "bench mill", Envelope: geom.Box3{Min: geom.Pt3(-10, -10, -5), Max: geom.Pt3(80, 60, 30)},
			FeedMax: 1000, SpindleMin: 3000, SpindleMax: 24000, Rapid: 2000, SpinUp: 3,
		},
		Stock: setup.Stock{
			Outline:  geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(40, 20), 0)),
			Material: "nickel silver", Thickness: 1.5,
		},
	}
	plan, err := paths.Bore{
		Op: paths.Op{
			Name: "bore", Bottom: -1, MaxStep: 0.5, Feed: 120, Plunge: 40, Speed: 12000,
			Tool: setup.Tool{Number: 1, Diameter: 2, Flutes: 2, FluteLength: 5, Shank: 3, StickOut: 15},
		},
		At: geom.Pt(20, 10), Diameter: 3, Ramp: 0.2,
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
	if err := post.Write(os.Stdout, s, post.Header{Job: "plate", Zero: "lower left corner"}, toolpaths); err != nil {
		fmt.Println(err)
	}
	// Output:
	// (Job: plate)
	// (Units: millimetres, absolute coordinates)
	// (Program zero: lower left corner)
	// (Machine: bench mill)
	// (Work: nickel silver, X 0 to 40, Y 0 to 20, top at Z 0, 1.5 thick)
	// (Tool 1: flat end mill, diameter 2, stick-out 15)
	// (Tool 1 has to be in the spindle before the program is started.)
	// (Operation 1: bore, tool 1, 12000 1/min)
	// (Tool tip moves in: X 19.501 to 20.499, Y 9.501 to 10.499, Z -1 to 8)
	// (CAUTION: this program fits the machine, work, tools and zero named)
	// (  here and no others. The machine's manual, the rules of the place and)
	// (  the judgement of a qualified person go before it.)
	// (Wear eye protection. Check that the work is held fast and that clamps)
	// (  and screws are where the set-up says. Check tool number, diameter)
	// (  and stick-out.)
	// (Run it first well above the work, with a hand on the stop, and watch)
	// (  the first cut.)
	// G21 G17 G90 G94 G40 G49 G80 G54 G61
	// G0 Z8.0
	// (bore)
	// S12000 M3
	// G4 P3
	// G0 X20.499 Y10.0
	// Z0.5
	// G1 Z0.0 F40
	// G3 X20.499 Y10.0 Z-0.5 I-0.499 J0.0 F120
	// X20.499 Y10.0 Z-1.0 I-0.499 J0.0
	// X20.499 Y10.0 I-0.499 J0.0
	// G0 Z8.0
	// M5
	// M2
}
