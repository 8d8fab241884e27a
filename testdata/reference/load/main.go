// Command load proves small programs whose load has a closed form and prints both
// as one JSON object a line. The closed forms are written out here and share
// nothing with the project: Kienzle's law for brass, kc11 700 N/mm2 and mc 0.27
// (VDI 3323 group 26), raised for thin chips by 1.2 at 0.01 mm and 2 at 0.002 mm
// (from memory).
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"log"
	"math"
	"os"
	"strings"

	"proofcut/gcode/proof"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

type figure struct {
	Figure string  `json:"figure"`
	Case   string  `json:"case"`
	Force  float64 `json:"force_n"`
	Closed float64 `json:"closed_form_n"`
}

type removal struct {
	Figure string  `json:"figure"`
	Case   string  `json:"case"`
	Rate   float64 `json:"removal_mm3_min"`
	Closed float64 `json:"closed_form_mm3_min"`
}

// specific is the specific force of brass at a chip of h mm.
func specific(h float64) float64 {
	raise := 1.0
	switch {
	case h < 0.01:
		raise = 1.2 * math.Pow(h/0.01, math.Log(2/1.2)/math.Log(0.2))
	case h < 0.05:
		raise = math.Pow(h/0.05, math.Log(1.2)/math.Log(0.2))
	}
	return 700 * math.Pow(h, -0.27) * raise
}

func main() {
	log.SetFlags(0)
	const d, fz, depth = 3.0, 0.02, 1.0
	const speed, teeth = 10000, 2
	const feed = fz * speed * teeth
	mill := setup.Tool{Number: 1, Shape: setup.Flat, Substrate: setup.Carbide, Diameter: d, Flutes: teeth, FluteLength: 6, Shank: d, StickOut: 15}
	pass := func(y float64) string { return fmt.Sprintf("G0 X-3 Y%g\nG1 Z-%g F50\nX45 F%g\n", y, depth, feed) }
	force := func(h float64) float64 { return specific(h) * depth * h }

	show(figure{"load", "slot", prove(mill, pass(10)).Force.Value, force(fz)})
	// At a quarter of the diameter the thickest chip is 2 fz sqrt(x - x^2), x = 1/4.
	show(figure{"load", "quarter width", prove(mill, pass(-d/4)).Force.Value, force(2 * fz * math.Sqrt(0.25-0.0625))})

	drill := setup.Tool{Number: 1, Shape: setup.Drill, Substrate: setup.HighSpeedSteel, Diameter: d, Angle: 118 * math.Pi / 180, Flutes: 2, FluteLength: 12, Shank: d, StickOut: 20}
	l := prove(drill, "G0 X10 Y10\nZ1\nG1 Z-3 F200\nG0 Z5\n")
	sin := math.Sin(59 * math.Pi / 180)
	// Half the feed a lip; the chisel edge makes it three times as much.
	show(figure{"load", "drill thrust", l.Thrust.Value, 3 * 0.5 * specific(0.01*sin) * 0.01 * d * sin})

	show(removal{"load", "slot", prove(mill, pass(10)).Removal.Value, depth * d * feed})
	show(removal{"load", "quarter width", prove(mill, pass(-d/4)).Removal.Value, depth * d / 4 * feed})
}

// prove returns the load of a program in a plate of brass.
func prove(tool setup.Tool, text string) proof.Load {
	all := geom.RegionOf(geom.Rect(geom.Pt(-10, -10), geom.Pt(60, 40), 0))
	s := &setup.Setup{
		Name: "plate",
		Machine: setup.Machine{Envelope: geom.Box3{Min: geom.Pt3(-50, -50, -10), Max: geom.Pt3(200, 200, 100)},
			SpindleMax: 30000, FeedMax: 6000, Rapid: 6000},
		Stock:    setup.Stock{Outline: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(40, 20), 0)), Thickness: 5, Material: "brass"},
		Tools:    []setup.Tool{tool},
		Features: []setup.Feature{{Name: "all", May: all, Floor: -5, Tol: 0.01}},
		ClearZ:   10, Approach: 1,
	}
	program := "G21 G17 G90 G94 G40 G54 G61\nG0 Z10\nS10000 M3\n" + text + "G0 Z10\nM5\nM2\n"
	r, err := proof.Check(context.Background(), s, "plate.nc", strings.NewReader(program), proof.Options{})
	if err != nil {
		log.Fatal(err)
	}
	if !r.Proven || len(r.Loads) != 1 {
		log.Fatalf("not proven, or without a load: %+v", r.Findings)
	}
	return r.Loads[0]
}

func show(v any) {
	b, err := json.Marshal(v)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Fprintln(os.Stdout, string(b))
}
