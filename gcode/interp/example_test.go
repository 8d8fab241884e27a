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
