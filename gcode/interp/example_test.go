package interp_test

import (
	"fmt"
	"strings"

	"proofcut/gcode"
	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

// The interpreter resolves units, cycles and increments: what comes out are
// moves in millimetres.
func ExampleRun() {
	text := `G20 G90 G17 G94 G40 G49 G80 G54 (inlay blank, two holes)
T2 M6 G43 H2
S6000 M3
G99 G81 X0.5 Y0.25 Z-0.1 R0.1 F4
X1.0
G0 Z1
M2
`
	o := interp.Options{
		Tools: map[int]interp.Tool{2: {Length: 61.2, Diameter: 3}},
		Start: geom.Pt3(0, 0, 90),
	}
	src := gcode.NewReader(strings.NewReader(text), gcode.Options{Name: "blank.nc"})
	final, err := interp.Run(src, o, func(e *interp.Event) error {
		switch e.Kind {
		case interp.Traverse, interp.Feed:
			fmt.Printf("%d %s to %.2f %.2f %.2f, tool %d\n", e.Block, e.Kind, e.To.X, e.To.Y, e.To.Z, e.State.Tool)
		}
		return nil
	})
	fmt.Println(final.Ended, err)
	// Output:
	// 4 traverse to 12.70 6.35 28.80, tool 2
	// 4 traverse to 12.70 6.35 2.54, tool 2
	// 4 feed to 12.70 6.35 -2.54, tool 2
	// 4 traverse to 12.70 6.35 2.54, tool 2
	// 5 traverse to 25.40 6.35 2.54, tool 2
	// 5 feed to 25.40 6.35 -2.54, tool 2
	// 5 traverse to 25.40 6.35 2.54, tool 2
	// 6 traverse to 25.40 6.35 25.40, tool 2
	// true <nil>
}

// Faults of a program come with their place.
func ExampleRun_fault() {
	src := gcode.NewReader(strings.NewReader("G21 G17 G90\nF300\nG2 X10 Y0 R4.5\nM2\n"), gcode.Options{Name: "arc.nc"})
	_, err := interp.Run(src, interp.Options{}, func(*interp.Event) error { return nil })
	fmt.Println(err)
	// Output: arc.nc:3:11: the radius is too small to reach the end: 5 mm at least
}

// A tool file has a header, a blank line, and a tool a line.
func ExampleReadTools() {
	tools, err := interp.ReadTools("bench.tbl", strings.NewReader(`slot number length diameter

2 7 61.2 3.0 (end mill)
5 1 48.0 6.35 (vee cutter)
`))
	fmt.Println(tools[2].Length, tools[5].Diameter, err)
	// Output: 61.2 6.35 <nil>
}

// A parameter file that lacks an origin is refused.
func ExampleReadParameters() {
	_, err := interp.ReadParameters("bench.var", strings.NewReader("number value\n\n5161 0.0\n"))
	fmt.Println(err)
	// Output: bench.var: parameter 5162 is missing: the file must hold all homes, offsets and origins
}

// Event.Minutes tells how long a move takes at the programmed feed.
func ExampleEvent_Minutes() {
	src := gcode.NewReader(strings.NewReader("G20 G93\nG1 X2 F4\nG94 F5.0\nX7\nM2\n"), gcode.Options{})
	_, err := interp.Run(src, interp.Options{}, func(e *interp.Event) error {
		if e.Kind == interp.Feed {
			fmt.Printf("%d %.2f\n", e.Block, e.Minutes())
		}
		return nil
	})
	fmt.Println(err)
	// Output:
	// 2 0.25
	// 4 1.00
	// <nil>
}
