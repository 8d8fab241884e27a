package geom_test

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// The two discs that the booleans are shown with.
var (
	left  = geom.Region{geom.Circle(geom.Pt(0, 0), 10)}
	right = geom.Region{geom.Circle(geom.Pt(12, 0), 10)}
)

// Two discs joined; the arcs of the result are arcs of the discs.
func ExampleUnion() {
	r, err := geom.Union(left, right)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(picture(r, 1))
	for _, c := range r {
		for _, s := range c {
			fmt.Printf("arc about (%.0f, %.0f) from (%.0f, %.0f) to (%.0f, %.0f)\n", s.C.X, s.C.Y, s.A.X, s.A.Y, s.B.X, s.B.Y)
		}
	}
	// Output:
	// ......########....########......
	// ...##########################...
	// .##############################.
	// ################################
	// ################################
	// ################################
	// ################################
	// .##############################.
	// ...##########################...
	// ......########....########......
	// arc about (0, 0) from (6, 8) to (6, -8)
	// arc about (12, 0) from (6, -8) to (6, 8)
}

// What two discs have in common.
func ExampleIntersection() {
	r, err := geom.Intersection(left, right)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(picture(r, 1))
	for _, c := range r {
		for _, s := range c {
			fmt.Printf("arc about (%.0f, %.0f) from (%.0f, %.0f) to (%.0f, %.0f)\n", s.C.X, s.C.Y, s.A.X, s.A.Y, s.B.X, s.B.Y)
		}
	}
	// Output:
	// ...##...
	// .######.
	// ########
	// ########
	// ########
	// ########
	// .######.
	// ...##...
	// arc about (12, 0) from (6, 8) to (6, -8)
	// arc about (0, 0) from (6, -8) to (6, 8)
}

// One disc cut away from another.
func ExampleDifference() {
	r, err := geom.Difference(left, right)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(picture(r, 1))
	for _, c := range r {
		for _, s := range c {
			fmt.Printf("arc about (%.0f, %.0f) from (%.0f, %.0f) to (%.0f, %.0f)\n", s.C.X, s.C.Y, s.A.X, s.A.Y, s.B.X, s.B.Y)
		}
	}
	// Output:
	// ......########..
	// ...############.
	// .############...
	// ############....
	// ############....
	// ############....
	// ############....
	// .############...
	// ...############.
	// ......########..
	// arc about (0, 0) from (6, 8) to (6, -8)
	// arc about (12, 0) from (6, -8) to (6, 8)
}

// What lies in one disc or the other and not in both.
func ExampleSymmetricDifference() {
	r, err := geom.SymmetricDifference(left, right)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(picture(r, 1))
	for _, c := range r {
		for _, s := range c {
			fmt.Printf("arc about (%.0f, %.0f) from (%.0f, %.0f) to (%.0f, %.0f)\n", s.C.X, s.C.Y, s.A.X, s.A.Y, s.B.X, s.B.Y)
		}
	}
	// Output:
	// ......########....########......
	// ...############..############...
	// .############......############.
	// ############........############
	// ############........############
	// ############........############
	// ############........############
	// .############......############.
	// ...############..############...
	// ......########....########......
	// arc about (12, 0) from (6, -8) to (6, 8)
	// arc about (0, 0) from (6, 8) to (6, -8)
	// arc about (0, 0) from (6, 8) to (6, -8)
	// arc about (12, 0) from (6, -8) to (6, 8)
}

// A pentagram by both rules: its middle is wound round twice.
func ExampleResolve() {
	var pts []geom.Point
	for i := range 5 {
		pts = append(pts, geom.Polar(11, math.Pi*(0.5+0.8*float64(i))))
	}
	star := []geom.Contour{geom.Polygon(pts...)}
	for _, rule := range []geom.FillRule{geom.EvenOdd, geom.NonZero} {
		r, err := geom.Resolve(star, rule)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Print(picture(r, 1))
		fmt.Printf("%d contours, %.2f mm2\n", len(r), r.Area())
	}
	// Output:
	// ..........#..........
	// ..........#..........
	// .........###.........
	// ........#####........
	// ..######.....######..
	// .....##.......##.....
	// ......#.......#......
	// ......####.####......
	// .....###.....###.....
	// ....#...........#....
	// 5 contours, 93.86 mm2
	// ..........#..........
	// ..........#..........
	// .........###.........
	// ........#####........
	// ..#################..
	// .....###########.....
	// ......#########......
	// ......#########......
	// .....###.....###.....
	// ....#...........#....
	// 1 contours, 135.83 mm2
}
