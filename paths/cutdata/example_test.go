package cutdata_test

import (
	"fmt"
	"math"

	"proofcut/paths/cutdata"
	"proofcut/paths/setup"
)

// A slot round a finger-button inlay: 3 mm cutter, 1 mm deep, in a laminate.
func ExampleAssess() {
	laminate, err := cutdata.Recognise("laminated copper and nickel silver")
	if err != nil {
		fmt.Println(err)
		return
	}
	cutter := setup.Tool{Number: 1, Name: "3 mm end mill", Diameter: 3, Flutes: 2, FluteLength: 9, Shank: 6, StickOut: 21, CentreCuts: true}
	load, err := cutdata.Assess(cutter, laminate, cutdata.Cut{Speed: 12000, Feed: 360, Depth: 1, Width: 3})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("chip %.3f mm, force %.0f N, bends %.3f mm\n", load.ChipMax, load.Force, load.Deflection)
	which, check := load.Acting()
	fmt.Printf("%v: %.3f of %.3f %s\n", which, check.Value, check.Limit, which.Unit())
	// Output:
	// chip 0.015 mm, force 54 N, bends 0.021 mm
	// deflection: 0.021 of 0.010 mm
}

func ExampleLookup() {
	_, err := cutdata.Lookup("nikel silver")
	fmt.Println(err)
	brass, err := cutdata.Lookup("Brass")
	if err != nil {
		fmt.Println(err)
		return
	}
	speed, _ := brass.Value(cutdata.SpeedCarbide)
	fmt.Printf("%s: %g to %g m/min (%v)\n", brass.Name, speed.Low, speed.High, speed.Mark)
	// Output:
	// material "nikel silver" is not known: did you mean "nickel silver"?
	// brass CuZn39Pb3: 100 to 300 m/min (memory)
}

func ExampleSpindleSpeed() {
	n := cutdata.SpindleSpeed(55, 60)
	fmt.Printf("%.1f 1/min, %.1f mm/min\n", n, cutdata.TableFeed(n, 5, 0.30))
	// Output: 291.8 1/min, 437.7 mm/min
}

func ExampleThinningFactor() {
	for _, ae := range []float64{3, 1.5, 0.3, 0.03} {
		fmt.Printf("%.2f: %.2f\n", ae, cutdata.ThinningFactor(3, ae, cutdata.ThinningCap))
	}
	// Output:
	// 3.00: 1.00
	// 1.50: 1.00
	// 0.30: 1.67
	// 0.03: 3.00
}

func ExampleVeeWidth() {
	fmt.Printf("%.4f mm wide\n", cutdata.VeeWidth(0.1, 60*math.Pi/180, 0.2))
	// Output: 0.3309 mm wide
}

func ExamplePeckPlan() {
	copper, err := cutdata.Lookup("copper")
	if err != nil {
		fmt.Println(err)
		return
	}
	plan, err := cutdata.PeckPlan(copper, 2, 5)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(plan.Depths, "full retract:", plan.FullRetract)
	// Output: [1 2 3 4 5] full retract: true
}
