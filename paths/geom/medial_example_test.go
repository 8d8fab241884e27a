package geom_test

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// axis returns the branches of a medial axis as paths.
func axis(m *geom.Medial) (paths []geom.Path) {
	for _, b := range m.Branches {
		var pts []geom.Point
		for _, d := range b.Discs(0.01) {
			pts = append(pts, d.C)
		}
		paths = append(paths, geom.Polyline(pts...))
	}
	return paths
}

func ExampleMedialAxis() {
	plate := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(36, 16), 0))
	m, err := geom.MedialAxis(plate, geom.MedialOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(sketch(plate.Bounds(), 1, area(':', plate), along('*', 1, axis(m)...)))
	for _, b := range m.Branches {
		from, to := m.Nodes[b.From], m.Nodes[b.To]
		fmt.Printf("(%.0f, %.0f) radius %.0f to (%.0f, %.0f) radius %.0f\n", from.C.X, from.C.Y, from.R, to.C.X, to.C.Y, to.R)
	}
	// Output:
	// **::::::::::::::::::::::::::::::::**
	// ::**::::::::::::::::::::::::::::**::
	// ::::**::::::::::::::::::::::::**::::
	// ::::::************************::::::
	// ::::::************************::::::
	// ::::**::::::::::::::::::::::::**::::
	// ::**::::::::::::::::::::::::::::**::
	// **::::::::::::::::::::::::::::::::**
	// (0, 0) radius 0 to (8, 8) radius 8
	// (0, 16) radius 0 to (8, 8) radius 8
	// (8, 8) radius 8 to (28, 8) radius 8
	// (36, 0) radius 0 to (28, 8) radius 8
	// (36, 16) radius 0 to (28, 8) radius 8
}

// A vee groove: a cutter of 90 degrees follows the axis, as deep as the
// clearance at each place, and its edge touches both walls.
func ExampleMedialBranch_Discs() {
	wedge := geom.RegionOf(geom.Polygon(geom.Pt(0, 5), geom.Pt(36, 0), geom.Pt(36, 14), geom.Pt(0, 9)))
	m, err := geom.MedialAxis(wedge, geom.MedialOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(sketch(wedge.Bounds(), 1, area(':', wedge), along('*', 1, axis(m)...)))
	for _, b := range m.Branches {
		for _, d := range b.Discs(0.01) {
			fmt.Printf(" (%.2f, %.2f) depth %.2f;", d.C.X, d.C.Y, d.R/math.Tan(math.Pi/4))
		}
		fmt.Println()
	}
	// Output:
	// .............................:::::**
	// ..............:::::::::::::::::::*::
	// *::::::::::::::::::::::::::::::**:::
	// :******************************:::::
	// *::::::::::::::::::::::::::::::**:::
	// ..............:::::::::::::::::::*::
	// .............................:::::**
	//  (0.00, 5.00) depth 0.00; (2.30, 7.00) depth 2.30;
	//  (0.00, 9.00) depth 0.00; (2.30, 7.00) depth 2.30;
	//  (2.30, 7.00) depth 2.30; (29.91, 7.00) depth 6.09;
	//  (36.00, 0.00) depth 0.00; (29.91, 7.00) depth 6.09;
	//  (36.00, 14.00) depth 0.00; (29.91, 7.00) depth 6.09;
}

// The clearance along a piece is an exact function: between a corner and a side
// the piece is a parabola, and the clearance the distance from either.
func ExampleMedialPiece_At() {
	angle := geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(30, 0), geom.Pt(30, 10), geom.Pt(10, 10), geom.Pt(10, 24), geom.Pt(0, 24)))
	m, err := geom.MedialAxis(angle, geom.MedialOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(sketch(angle.Bounds(), 1, area(':', angle), along('*', 1, axis(m)...)))
	for _, b := range m.Branches {
		for _, p := range b.Pieces() {
			if p.P.Vertex() == p.Q.Vertex() {
				continue
			}
			low, mid := p.Least(), p.At(0.5)
			fmt.Printf("(%.3f, %.3f) to (%.3f, %.3f), %.3f long: ", p.From.C.X, p.From.C.Y, p.To.C.X, p.To.C.Y, p.Length())
			fmt.Printf("radius %.3f at (%.3f, %.3f), least %.3f\n", mid.R, mid.C.X, mid.C.Y, low.R)
		}
	}
	// Output:
	// **::::::**....................
	// ::**::**::....................
	// ::::**::::....................
	// ::::**::::....................
	// ::::**::::....................
	// ::::**::::....................
	// ::::**::::....................
	// :::::*::::::::::::::::::::::**
	// :::::*::::::::::::::::::::**::
	// ::::**********************::::
	// ::**::::::::::::::::::::::**::
	// **::::::::::::::::::::::::::**
	// (5.000, 10.000) to (5.858, 5.858), 4.258 long: radius 5.214 at (5.214, 7.929), least 5.000
	// (10.000, 5.000) to (5.858, 5.858), 4.258 long: radius 5.214 at (7.929, 5.214), least 5.000
}

// All levels of a pocket, 3 mm apart, from one diagram.
func ExampleMedial_Offset() {
	slot := geom.RegionOf(geom.Slot(geom.Pt(0, 0), geom.Pt(24, 0), 14))
	m, err := geom.MedialAxis(slot, geom.MedialOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	layers := []layer{area(':', slot)}
	text := ""
	for d := 3.0; ; d += 3 {
		level, err := m.Offset(-d)
		if err != nil || len(level) == 0 {
			break
		}
		layers = append(layers, along('*', 1, level[0].Path()))
		text += fmt.Sprintf("%.0f mm in: %d segments, %.3f mm round\n", d, len(level[0]), level.Perimeter())
	}
	fmt.Print(sketch(slot.Bounds(), 1, layers...), text)
	// Output:
	// ...::::::::::::::::::::::::::::::::...
	// .:::******************************:::.
	// :::*:::************************:::*:::
	// ::**:****************************:**::
	// :::*:::************************:::*:::
	// .:::******************************:::.
	// ...::::::::::::::::::::::::::::::::...
	// 3 mm in: 4 segments, 73.133 mm round
	// 6 mm in: 4 segments, 54.283 mm round
}

func ExampleMedial_Widest() {
	corner := geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(0, 30)))
	m, err := geom.MedialAxis(corner, geom.MedialOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	d := m.Widest()
	fmt.Print(sketch(corner.Bounds(), 1, area(':', corner), area('#', geom.Region{geom.Circle(d.C, d.R)})))
	fmt.Printf("centre (%.3f, %.3f), radius %.3f\n", d.C.X, d.C.Y, d.R)
	// Output:
	// :.......................................
	// ::::....................................
	// :::::::.................................
	// :::::::::...............................
	// ::::::::::::............................
	// ::::::########:.........................
	// :::##############.......................
	// :##################:....................
	// ####################:::.................
	// ####################:::::...............
	// ####################::::::::............
	// ####################:::::::::::.........
	// :##################::::::::::::::.......
	// :::##############:::::::::::::::::::....
	// ::::::########:::::::::::::::::::::::::.
	// centre (10.000, 10.000), radius 10.000
}

// What a cutter of 5 mm radius leaves in the corners of a triangle (%), and the
// last places that it reaches (x).
func ExampleMedial_Narrows() {
	corner := geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(0, 30)))
	m, err := geom.MedialAxis(corner, geom.MedialOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	reached := geom.Region{}
	if in, err := m.Offset(-5); err == nil {
		reached, _ = geom.Offset(in, 5, geom.OffsetOptions{})
	}
	layers := []layer{area('%', corner), area(':', reached)}
	text := ""
	for _, n := range m.Narrows(5) {
		layers = append(layers, spots('x', 1, n.Gates[0].C))
		text += fmt.Sprintf("corner (%.0f, %.0f): %.3f mm left\n", n.Ends[0].C.X, n.Ends[0].C.Y, n.Depth())
	}
	fmt.Print(sketch(corner.Bounds(), 1, layers...), text)
	// Output:
	// %.......................................
	// %%%%....................................
	// %%%%%%%.................................
	// %::::::::...............................
	// ::::xx::::::............................
	// ::::xx:::::::::.........................
	// :::::::::::::::::.......................
	// ::::::::::::::::::::....................
	// :::::::::::::::::::::::.................
	// :::::::::::::::::::::::::...............
	// ::::::::::::::::::::::::::::............
	// ::::::::::::::::::::::::::::::%.........
	// ::::xx::::::::::::::::::xx::::%%%.......
	// ::::::::::::::::::::::::::::::%%%%%%....
	// %%::::::::::::::::::::::::::%%%%%%%%%%%.
	// corner (0, 0): 2.071 mm left
	// corner (0, 30): 6.180 mm left
	// corner (40, 0): 10.811 mm left
}
