package release_test

import (
	"context"
	"fmt"
	"log"
	"path/filepath"

	"proofcut/gcode/release"
	"proofcut/paths/job"
)

func plannerOf(example string) *job.Planner {
	j, err := job.Load(filepath.Join("..", "..", "examples", example, "job.yaml"))
	if err != nil {
		log.Fatal(err)
	}
	p, err := job.NewPlanner(context.Background(), j)
	if err != nil {
		log.Fatal(err)
	}
	return p
}

// Discs from an irregular slab between three screws and a crack.
func ExampleBuild_inlaysFromSlab() {
	p := plannerOf("inlays-from-slab")
	program, err := release.Build(context.Background(), p, p.Programs()[0])
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("proven:", program.Record.Proven)
	fmt.Println("discs:", len(program.Record.Parts))
	for _, c := range program.Record.Clearances {
		fmt.Printf("%s: at least %.1f mm away\n", c.Zone, c.Needed)
	}
	// Output:
	// proven: true
	// discs: 9
	// screw A: at least 0.5 mm away
	// screw B: at least 0.5 mm away
	// screw C: at least 0.5 mm away
	// crack: at least 0.2 mm away
}

// A name fitted into a small flat.
func ExampleBuild_nameOnFlat() {
	p := plannerOf("name-on-flat")
	program, err := release.Build(context.Background(), p, p.Programs()[0])
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("proven:", program.Record.Proven)
	fmt.Println("units of the program:", program.Record.Units)
	fmt.Printf("deepest: %.3f mm\n", program.Record.Extent.Min[2])
	// Output:
	// proven: true
	// units of the program: inch
	// deepest: -0.119 mm
}

// One of 24 tags from a table.
func ExampleBuild_bandTags() {
	p := plannerOf("band-tags")
	programs := p.Programs()
	fmt.Println("programs:", len(programs))
	program, err := release.Build(context.Background(), p, programs[6])
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(program.Name, "proven:", program.Record.Proven)
	fmt.Println("tools:", program.Record.Tools)
	// Output:
	// programs: 24
	// tag-107-Goran-Teixeira proven: true
	// tools: [1 3 2]
}
