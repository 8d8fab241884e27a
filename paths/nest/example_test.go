package nest_test

import (
	"context"
	"fmt"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/nest"
)

// An offcut with a screw in the middle: finger-button inlays of 12.7 mm, cut
// 0.127 mm oversize with a 1/16 in end mill that leaves a web of 0.2 mm.
func ExampleDiscs() {
	const cutter = 25.4 / 16
	slab := geom.RegionOf(geom.Polygon(
		geom.Pt(0, 2), geom.Pt(20, 0), geom.Pt(44, 1), geom.Pt(60, 3), geom.Pt(61, 22),
		geom.Pt(58, 43), geom.Pt(31, 46), geom.Pt(4, 44), geom.Pt(1, 20)))
	p := nest.Problem{
		Stock:    slab,
		Keepouts: []nest.Keepout{{Area: geom.RegionOf(geom.Circle(geom.Pt(30, 22), 2.75)), Margin: 0.5 + cutter}},
		Diameter: 12.827,
		Gap:      cutter + 0.2,
		Edge:     1,
		Effort:   0.2,
	}
	l, err := nest.Discs(context.Background(), p)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d discs, hexagonal lattice %d, no more than %d\n", len(l.Centres), l.Hexagonal, l.Bound)
	fmt.Println("all distances kept:", p.Check(*l) == nil)
	// Output:
	// 10 discs, hexagonal lattice 9, no more than 12
	// all distances kept: true
}

// The largest seven equal discs in a circle leave a third of its radius each.
func ExampleMaxRadius() {
	circle := geom.RegionOf(geom.Circle(geom.Pt(0, 0), 30))
	p, err := nest.MaxRadius(context.Background(), circle, 7, nest.RadiusOptions{Effort: 0.1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.6f\n", p.Radius)
	// Output: 10.000000
}

// Two large discs first, then as many small ones as fit beside them.
func ExampleMixed() {
	m := nest.Mix{
		Stock:  geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(60, 30), 0)),
		Kinds:  []nest.Kind{{Diameter: 26, Count: 2}, {Diameter: 8}},
		Gap:    1.5,
		Edge:   1,
		Effort: 0.2,
	}
	l, err := nest.Mixed(context.Background(), m)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Counts)
	// Output: [2 2]
}

// Plates of a laminate whose layers lie at 20 degrees: the long side of each
// has to follow them, either way round. Angles fill what is left.
func ExampleShapes() {
	const cutter = 25.4 / 16
	m := nest.ShapeMix{
		Stock:    geom.RegionOf(geom.Polygon(geom.Pt(0, 2), geom.Pt(44, 1), geom.Pt(61, 22), geom.Pt(31, 46), geom.Pt(1, 20))),
		Keepouts: []nest.Keepout{{Area: geom.RegionOf(geom.Circle(geom.Pt(30, 22), 2.75)), Margin: 0.5 + cutter}},
		Shapes: []nest.Shape{
			{Outline: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(22, 7), 2)), Count: 3,
				Turning: nest.Turning{Angle: 20 * math.Pi / 180, Tolerance: 2 * math.Pi / 180, HalfTurn: true}},
			{Outline: geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(8, 0), geom.Pt(8, 3), geom.Pt(3, 3), geom.Pt(3, 8), geom.Pt(0, 8))), Count: 4,
				Turning: nest.Turning{Free: true}},
		},
		Gap: cutter + 0.2, Edge: 1, Effort: 0.5,
	}
	l, err := nest.Shapes(context.Background(), m)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Counts, "all distances kept:", m.Check(*l) == nil)
	// Output: [3 4] all distances kept: true
}
