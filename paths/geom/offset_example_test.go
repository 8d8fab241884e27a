package geom_test

import (
	"fmt"

	"proofcut/paths/geom"
)

// A plate grown by 1 mm gets round corners:
//
//	 .---------.
//	/ +-------+ \
//	| |       | |
//	\ +-------+ /
//	 '---------'
func ExampleOffset() {
	plate := geom.Region{geom.Rect(geom.Pt(0, 0), geom.Pt(4, 2), 0)}
	grown, err := geom.Offset(plate, 1, geom.OffsetOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range grown[0] {
		if s.IsArc() {
			fmt.Printf("arc of radius %.3g about (%.3g, %.3g)\n", s.Radius(), s.C.X, s.C.Y)
		} else {
			fmt.Printf("line to (%.3g, %.3g)\n", s.B.X, s.B.Y)
		}
	}
	fmt.Printf("%.4f mm2\n", grown.Area())
	// Output:
	// line to (4, -1)
	// arc of radius 1 about (4, 0)
	// line to (5, 2)
	// arc of radius 1 about (4, 2)
	// line to (0, 3)
	// arc of radius 1 about (0, 2)
	// line to (-1, 0)
	// arc of radius 1 about (0, 0)
	// 23.1416 mm2
}

// The passes that clear a dumbbell: it falls into two parts where the neck ends.
//
//	+----+      +----+
//	|    +------+    |
//	|    +------+    |
//	+----+      +----+
func ExampleOffsets() {
	p := geom.Polygon(geom.Pt(0, 0), geom.Pt(6, 0), geom.Pt(6, 2), geom.Pt(12, 2), geom.Pt(12, 0), geom.Pt(18, 0),
		geom.Pt(18, 6), geom.Pt(12, 6), geom.Pt(12, 4), geom.Pt(6, 4), geom.Pt(6, 6), geom.Pt(0, 6))
	levels, err := geom.Offsets(geom.Region{p}, []float64{-0.5, -1.5, -2.5, -3.5}, geom.OffsetOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range levels {
		fmt.Println(len(l), "rings")
	}
	// Output:
	// 1 rings
	// 2 rings
	// 2 rings
	// 0 rings
}

// What a cutter of 6 mm removes along a line:
//
//	 .-----------.
//	(  o------o   )
//	 '-----------'
func ExampleOffsetPath() {
	slot, err := geom.OffsetPath([]geom.Path{{geom.Line(geom.Pt(0, 0), geom.Pt(20, 0))}}, 3, geom.OffsetOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d segments, %.3f mm2\n", len(slot[0]), slot.Area())
	// Output:
	// 4 segments, 148.274 mm2
}

// Two discs joined; the arcs of the result are arcs of the discs.
//
//	 .---. .---.
//	(     X     )
//	 '---' '---'
func ExampleUnion() {
	a := geom.Region{geom.Circle(geom.Pt(0, 0), 5)}
	b := geom.Region{geom.Circle(geom.Pt(6, 0), 5)}
	u, err := geom.Union(a, b)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range u[0] {
		fmt.Printf("arc about (%.0f, %.0f) from (%.0f, %.0f) to (%.0f, %.0f)\n", s.C.X, s.C.Y, s.A.X, s.A.Y, s.B.X, s.B.Y)
	}
	// Output:
	// arc about (0, 0) from (3, 4) to (3, -4)
	// arc about (6, 0) from (3, -4) to (3, 4)
}

// A pentagram by both rules: its middle is wound round twice.
func ExampleResolve() {
	var pts []geom.Point
	for i := range 5 {
		pts = append(pts, geom.Polar(10, float64(i)*4*3.141592653589793/5))
	}
	star := []geom.Contour{geom.Polygon(pts...)}
	for _, rule := range []geom.FillRule{geom.EvenOdd, geom.NonZero} {
		r, err := geom.Resolve(star, rule)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%d contours, %.2f mm2\n", len(r), r.Area())
	}
	// Output:
	// 5 contours, 77.57 mm2
	// 1 contours, 112.26 mm2
}
