package geom_test

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// picture draws a region as text, one character a cell, half as wide as high:
// # inside, . outside, judged at the middle of the cell.
func picture(r geom.Region, cell float64) string {
	b := r.Bounds()
	x := geom.NewIndex(r)
	columns, rows := math.Ceil(b.Size().X/cell), math.Ceil(b.Size().Y/(2*cell))
	out := ""
	for j := (rows - 1) / 2; j >= -(rows-1)/2; j-- {
		for i := -(columns - 1) / 2; i <= (columns-1)/2; i++ {
			if x.Contains(b.Center().Add(geom.Pt(i*cell, j*2*cell))) == geom.Outside {
				out += "."
			} else {
				out += "#"
			}
		}
		out += "\n"
	}
	return out
}

// A tag with a hole for its ring.
func ExampleRegionOf() {
	tag := geom.RegionOf(
		geom.Slot(geom.Pt(0, 0), geom.Pt(24, 0), 14),
		geom.Circle(geom.Pt(0, 0), 3),
	)
	fmt.Print(picture(tag, 1))
	fmt.Printf("area %.2f mm2, %d contours, valid: %v\n", tag.Area(), len(tag), tag.Validate() == nil)
	// Output:
	// ...################################...
	// .####################################.
	// #####....#############################
	// ####......############################
	// #####....#############################
	// .####################################.
	// ...################################...
	// area 461.66 mm2, 2 contours, valid: true
}

func ExampleRect() {
	plate := geom.Rect(geom.Pt(0, 0), geom.Pt(30, 12), 4)
	fmt.Print(picture(geom.Region{plate}, 1))
	fmt.Println(plate)
	// Output:
	// .############################.
	// ##############################
	// ##############################
	// ##############################
	// ##############################
	// .############################.
	// M 4 0 L 26 0 A 26 4 30 4 ccw L 30 8 A 26 8 26 12 ccw L 4 12 A 4 8 0 8 ccw L 0 4 A 4 4 4 0 ccw Z
}

func ExampleRegularPolygon() {
	nut := geom.RegularPolygon(geom.Pt(0, 0), 10, 6, 0)
	fmt.Print(picture(geom.Region{nut}, 1))
	fmt.Printf("across flats %.3f mm\n", 2*nut.Distance(geom.Pt(0, 0)))
	// Output:
	// .....##########.....
	// ...##############...
	// ..################..
	// .##################.
	// ####################
	// .##################.
	// ..################..
	// ...##############...
	// .....##########.....
	// across flats 17.321 mm
}

// A cutter of 6 mm passes a screw head: the sweep of a disc stays clear when the
// distance of its path is at least its radius.
func ExampleIndex_Distance() {
	screw := geom.NewIndex(geom.RegionOf(geom.Circle(geom.Pt(20, 0), 4)))
	pass := geom.Line(geom.Pt(0, 8), geom.Pt(40, 8))
	fmt.Println(screw.Distance(pass), screw.Clear(pass, 3))
	arc := geom.Arc(geom.Pt(20, 6), geom.Pt(14, 0), geom.Pt(20, 0), geom.CCW)
	fmt.Println(screw.Distance(arc), screw.Clear(arc, 3))
	// Output:
	// 4 true
	// 2 false
}

func ExampleSeg_DistanceTo() {
	arc := geom.Arc(geom.Pt(5, 0), geom.Pt(-5, 0), geom.Pt(0, 0), geom.CCW)
	fmt.Println(arc.DistanceTo(geom.Line(geom.Pt(-9, 8), geom.Pt(9, 8))))
	fmt.Println(arc.DistanceTo(geom.Line(geom.Pt(0, 0), geom.Pt(0, -3))))
	fmt.Println(arc.DistanceTo(geom.Line(geom.Pt(0, 0), geom.Pt(0, 9))))
	// Output:
	// 3
	// 5
	// 0
}

func ExampleRegion_Contains() {
	ring := geom.RegionOf(geom.Circle(geom.Pt(0, 0), 10), geom.Circle(geom.Pt(0, 0), 6))
	for _, p := range []geom.Point{{X: 8}, {X: 6}, {X: 3}} {
		fmt.Println(p, ring.Contains(p), ring.Distance(p))
	}
	// Output:
	// 8 0 inside 0
	// 6 0 boundary 0
	// 3 0 outside 3
}

// A scan line over a ring.
func ExampleClip() {
	ring := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(20, 20), 0), geom.Rect(geom.Pt(6, 6), geom.Pt(14, 14), 0))
	inside, outside, err := geom.Clip(geom.Polyline(geom.Pt(-5, 10), geom.Pt(25, 10)), ring)
	fmt.Println(err)
	for _, p := range inside {
		fmt.Println("inside ", p)
	}
	for _, p := range outside {
		fmt.Println("outside", p)
	}
	// Output:
	// <nil>
	// inside  M 0 10 L 6 10
	// inside  M 14 10 L 20 10
	// outside M -5 10 L 0 10
	// outside M 6 10 L 14 10
	// outside M 20 10 L 25 10
}

// The chords of a stadium become its two lines and two arcs again.
func ExampleFitArcs() {
	stadium := geom.Slot(geom.Pt(0, 0), geom.Pt(30, 0), 10)
	chords := geom.Flatten(stadium, 0.001)
	fit := geom.FitArcs(chords, true, 0.002)
	fmt.Println(len(chords)-1, "chords,", len(fit), "pieces")
	fmt.Printf("length %.2f mm, was %.2f mm\n", fit.Length(), stadium.Length())
	// Output:
	// 160 chords, 4 pieces
	// length 91.41 mm, was 91.42 mm
}

func ExampleFlatten() {
	quarter := geom.Arc(geom.Pt(10, 0), geom.Pt(0, 10), geom.Pt(0, 0), geom.CCW)
	for _, chord := range []float64{1, 0.1, 0.01} {
		fmt.Println(chord, len(geom.Flatten([]geom.Seg{quarter}, chord)), "points")
	}
	// Output:
	// 1 3 points
	// 0.1 7 points
	// 0.01 19 points
}

func ExampleCubic() {
	curve := geom.Cubic(geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(0, 10), geom.Pt(10, 10), 0.01)
	fmt.Println(len(curve), "arcs")
	fmt.Println("leaves along", curve[0].Tangent(0), "and arrives along", curve[len(curve)-1].Tangent(1))
	// Output:
	// 16 arcs
	// leaves along 1 0 and arrives along 1 0
}

func ExampleEllipticalArc() {
	oval := geom.Contour(geom.EllipticalArc(geom.Pt(0, 0), 17, 9, 0, 0, 2*math.Pi, 0.01))
	fmt.Print(picture(geom.Region{oval}, 1))
	fmt.Printf("%d arcs, area %.1f mm2, of the ellipse %.1f mm2\n", len(oval), oval.Area(), math.Pi*17*9)
	// Output:
	// .........################.........
	// ....##########################....
	// ..##############################..
	// ##################################
	// ##################################
	// ##################################
	// ..##############################..
	// ....##########################....
	// .........################.........
	// 32 arcs, area 480.8 mm2, of the ellipse 480.7 mm2
}

func ExampleSimilarity() {
	mark := geom.Polygon(geom.Pt(0, 0), geom.Pt(4, 0), geom.Pt(0, 3))
	place := geom.Rotate(math.Pi / 2).Then(geom.Scale(2)).Then(geom.Translate(geom.Pt(10, 5)))
	fmt.Println(mark.Transform(place))
	// Output:
	// M 10 5 L 10 13 L 4 5 Z
}

func ExampleRegion_Validate() {
	r := geom.Region{
		geom.Rect(geom.Pt(0, 0), geom.Pt(10, 10), 0),
		geom.Circle(geom.Pt(10, 5), 2),
	}
	fmt.Println(r.Validate())
	// Output:
	// contour 0: segment 1 at (10, 0): crosses segment 0 of contour 1 at (10, 3)
}

func ExampleParsePath() {
	p, err := geom.ParsePath("M 0 0 L 10 0 A 10 5 10 10 ccw")
	fmt.Printf("%.3f mm, %v\n", p.Length(), err)
	_, err = geom.ParsePath("M 0 0 L 10 0 A 10 5 10 12 ccw")
	fmt.Println(err)
	// Output:
	// 25.708 mm, <nil>
	// segment 1 at (10, 0): arc ends lie 5 mm and 7 mm from the centre, which differ by more than 1e-06 mm
}
