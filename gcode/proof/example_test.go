package proof_test

import (
	"context"
	"fmt"
	"strings"

	"proofcut/gcode/proof"
	"proofcut/gcode/proof/prooftest"
)

// A program that cuts one disc between a screw and a crack is proven; the same
// program with a spindle that was never started is not.
func ExampleCheck() {
	job := prooftest.Disc()
	for _, text := range []string{job.Text, strings.Replace(job.Text, "S18000 M3", "S18000", 1)} {
		r, err := proof.Check(context.Background(), job.Setup, "disc.nc", strings.NewReader(text), proof.Options{})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println("proven:", r.Proven)
		for _, f := range r.Findings {
			fmt.Printf("%s in block %d: %s (%s)\n", f.Severity, f.Block, f.Text, f.Rule)
		}
		for _, c := range r.Clearances {
			fmt.Printf("%.2f mm to %s\n", c.Minimum, c.Zone)
		}
		fmt.Printf("%s: %.2f mm\n", r.Parts[0].Name, r.Parts[0].Diameter)
	}
	// Output:
	// proven: true
	// 6.72 mm to screw
	// 6.45 mm to crack
	// blank 1: 12.83 mm
	// proven: false
	// fault in block 11: the tool cuts while the spindle stands: M3 with a speed comes first (spindle)
	// 6.72 mm to screw
	// 6.45 mm to crack
	// blank 1: 12.83 mm
}

// A channel in nickel silver leaves a small end mill little to spare.
func ExampleLoad() {
	job := prooftest.Channel()
	r, err := proof.Check(context.Background(), job.Setup, "channel.nc", strings.NewReader(job.Text), proof.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range r.Loads {
		fmt.Printf("tool %d in %s: %.2f mm deep, %.2f mm wide, %.0f N\n", l.Tool, l.Feature, l.Axial.Value, l.Radial.Value, l.Force.Value)
		fmt.Printf("  %.0f N/mm2 of %.0f in line %d\n", l.Stress.Value, l.Stress.Limit, l.Stress.Line)
	}
	// Output:
	// tool 1 in channel: 0.70 mm deep, 1.59 mm wide, 33 N
	//   809 N/mm2 of 500 in line 10
	// tool 1 in shoulder: 0.60 mm deep, 0.40 mm wide, 25 N
	//   651 N/mm2 of 500 in line 26
}
