package geom_test

import (
	"fmt"

	"proofcut/paths/geom"
)

// A plate grown by 3 mm gets round corners; shrunk by 3 mm it keeps sharp ones.
func ExampleOffset() {
	plate := geom.Region{geom.Rect(geom.Pt(0, 0), geom.Pt(24, 12), 0)}
	grown, err := geom.Offset(plate, 3, geom.OffsetOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	shrunk, err := geom.Offset(plate, -3, geom.OffsetOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(sketch(grown.Bounds(), 1, area('+', grown), area('#', plate), area('-', shrunk)))
	for _, s := range grown[0] {
		if s.IsArc() {
			fmt.Printf("arc of radius %.3g about (%.3g, %.3g)\n", s.Radius(), s.C.X, s.C.Y)
		} else {
			fmt.Printf("line to (%.3g, %.3g)\n", s.B.X, s.B.Y)
		}
	}
	fmt.Printf("%.4f mm2\n", grown.Area())
	// Output:
	// .++++++++++++++++++++++++++++.
	// +++########################+++
	// +++########################+++
	// +++###------------------###+++
	// +++###------------------###+++
	// +++###------------------###+++
	// +++########################+++
	// +++########################+++
	// .++++++++++++++++++++++++++++.
	// line to (24, -3)
	// arc of radius 3 about (24, 0)
	// line to (27, 12)
	// arc of radius 3 about (24, 12)
	// line to (0, 15)
	// arc of radius 3 about (0, 12)
	// line to (-3, 0)
	// arc of radius 3 about (0, 0)
	// 532.2743 mm2
}

// Sharp corners stay sharp where the mitre keeps its limit; the tip does not.
func ExampleOffset_mitre() {
	wedge := geom.Region{geom.Polygon(geom.Pt(0, 0), geom.Pt(24, 4), geom.Pt(0, 8))}
	grown, err := geom.Offset(wedge, 3, geom.OffsetOptions{Join: geom.MiterJoin, MiterLimit: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(sketch(grown.Bounds(), 1, area('+', grown), area('#', wedge)))
	fmt.Println(len(grown[0]), "segments")
	// Output:
	// +++...........................
	// +++++++++++++++...............
	// +++######++++++++++++++++++...
	// +++##################+++++++++
	// +++##################+++++++++
	// +++######++++++++++++++++++...
	// +++++++++++++++...............
	// +++...........................
	// 4 segments
}

// The passes that clear a dumbbell: it falls into two parts where the neck ends.
func ExampleOffsets() {
	dumbbell := geom.Region{geom.Polygon(geom.Pt(0, 0), geom.Pt(14, 0), geom.Pt(14, 5), geom.Pt(28, 5), geom.Pt(28, 0), geom.Pt(42, 0),
		geom.Pt(42, 14), geom.Pt(28, 14), geom.Pt(28, 9), geom.Pt(14, 9), geom.Pt(14, 14), geom.Pt(0, 14))}
	levels, err := geom.Offsets(dumbbell, []float64{-1, -3, -5, -7.5}, geom.OffsetOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	layers := []layer{area('.', dumbbell)}
	text := ""
	for i, l := range levels {
		text += fmt.Sprintln(len(l), "rings")
		for _, c := range l {
			layers = append(layers, along(byte('1'+i), 1, c.Path()))
		}
	}
	fmt.Print(sketch(dumbbell.Bounds(), 1, append([]layer{{' ', func(geom.Point) bool { return true }}}, layers...)...), text)
	// Output:
	// 11111111111111              11111111111111
	// 11222222222211              11222222222211
	// 112233333322111111111111111111223333332211
	// 112233...3.2..11111111111111..2.3...332211
	// 112233333322111111111111111111223333332211
	// 11222222222211              11222222222211
	// 11111111111111              11111111111111
	// 1 rings
	// 2 rings
	// 2 rings
	// 0 rings
}

// What a cutter of 6 mm removes along a line that bends.
func ExampleOffsetPath() {
	path := geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(20, 0)), geom.Arc(geom.Pt(20, 0), geom.Pt(30, 10), geom.Pt(20, 10), geom.CCW)}
	slot, err := geom.OffsetPath([]geom.Path{path}, 3, geom.OffsetOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(sketch(slot.Bounds(), 1, area('#', slot), along('-', 1, path)))
	fmt.Printf("%d segments, %.3f mm2\n", len(slot[0]), slot.Area())
	// Output:
	// ...............................####.
	// ..............................##--##
	// ..............................##-###
	// .............................###-##.
	// ...........................###--###.
	// .##########################---###...
	// ##-------------------------####.....
	// .###########################........
	// 6 segments, 242.522 mm2
}
