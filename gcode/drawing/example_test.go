package drawing_test

import (
	"fmt"
	"strings"

	"proofcut/gcode"
	"proofcut/gcode/drawing"
	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// A drawing takes the interpreter's motions as they come.
func ExampleDrawing() {
	s := &setup.Setup{
		Stock: setup.Stock{Outline: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(40, 20), 0)), Thickness: 2, Material: "brass"},
		Tools: []setup.Tool{{Number: 1, Name: "end mill", Diameter: 2, FluteLength: 6, Shank: 3, StickOut: 15}},
	}
	program := "G21 G17 G90 G94\nT1 M6\nS9000 M3\nG0 X30 Y10 Z2\nG1 Z-0.5 F100\nG3 X30 I-10 J0\nG0 Z2\nM2\n"

	d := drawing.New(s, drawing.Title{Job: "Ring groove", Program: "ring.nc"})
	src := gcode.NewReader(strings.NewReader(program), gcode.Options{Name: "ring.nc"})
	_, err := interp.Run(src, interp.Options{}, func(ev *interp.Event) error { d.Add(ev); return nil })
	if err != nil {
		fmt.Println(err)
		return
	}
	d.Proven(true) // says the proof, which sees the same motions

	var svg strings.Builder
	if err := d.WriteSVG(&svg); err != nil {
		fmt.Println(err)
		return
	}
	for _, line := range strings.Split(svg.String(), "\n") {
		if strings.Contains(line, `id="c0"`) || strings.Contains(line, ">PROVEN") {
			fmt.Println(line)
		}
	}
	// Output:
	// <defs><path id="c0" style="stroke:inherit" d="M30 -10A10 10 0 0 0 10 -10 10 10 0 0 0 30 -10"/></defs>
	// <text class="bold" x="-3.375" y="11" font-size="1" text-anchor="start">PROVEN against this set-up</text>
}
