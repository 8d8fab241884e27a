package geom_test

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// layer is what sketch draws with one character.
type layer struct {
	mark byte
	on   func(p geom.Point) bool
}

// sketch draws layers as text, the later ones over the earlier: one character a
// cell, half as wide as high, judged at the middle of the cell.
func sketch(b geom.Box, cell float64, layers ...layer) string {
	columns, rows := math.Ceil(b.Size().X/cell), math.Ceil(b.Size().Y/(2*cell))
	var out []byte
	for j := (rows - 1) / 2; j >= -(rows-1)/2; j-- {
		for i := -(columns - 1) / 2; i <= (columns-1)/2; i++ {
			mark := byte('.')
			for _, l := range layers {
				if l.on(b.Center().Add(geom.Pt(i*cell, j*2*cell))) {
					mark = l.mark
				}
			}
			out = append(out, mark)
		}
		out = append(out, '\n')
	}
	return string(out)
}

// area is the layer of a region.
func area(mark byte, r geom.Region) layer {
	x := geom.NewIndex(r)
	return layer{mark, func(p geom.Point) bool { return x.Contains(p) != geom.Outside }}
}

// along is the layer of paths: the cells within half of one of them, both cells
// where a path runs between two.
func along(mark byte, cell float64, paths ...geom.Path) layer {
	x := geom.NewPathIndex(paths)
	return layer{mark, func(p geom.Point) bool {
		// A cell is twice as high as wide.
		w, h := geom.Pt(cell/2, 0), geom.Pt(0, cell)
		return x.BoundaryDistance(geom.Line(p.Sub(w), p.Add(w))) <= geom.Tol || x.BoundaryDistance(geom.Line(p.Sub(h), p.Add(h))) <= geom.Tol
	}}
}

// spots is the layer of single points.
func spots(mark byte, cell float64, pts ...geom.Point) layer {
	return layer{mark, func(p geom.Point) bool {
		for _, q := range pts {
			if d := q.Sub(p); math.Abs(d.X) <= cell/2+geom.Tol && math.Abs(d.Y) <= cell+geom.Tol {
				return true
			}
		}
		return false
	}}
}

// picture draws a region, # inside and . outside.
func picture(r geom.Region, cell float64) string {
	return sketch(r.Bounds(), cell, area('#', r))
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
	screw := geom.RegionOf(geom.Circle(geom.Pt(20, 0), 4))
	x := geom.NewIndex(screw)
	pass := geom.Line(geom.Pt(0, 8), geom.Pt(40, 8))
	fmt.Print(sketch(geom.Box{Min: geom.Pt(0, -6), Max: geom.Pt(40, 12)}, 1, area('#', screw), along('-', 1, geom.Path{pass})))
	fmt.Println(x.Distance(pass), x.Clear(pass, 3))
	arc := geom.Arc(geom.Pt(20, 6), geom.Pt(14, 0), geom.Pt(20, 0), geom.CCW)
	fmt.Println(x.Distance(arc), x.Clear(arc, 3))
	// Output:
	// ........................................
	// ----------------------------------------
	// ----------------------------------------
	// ........................................
	// .................######.................
	// ................########................
	// ................########................
	// .................######.................
	// ........................................
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
	pts := []geom.Point{{X: 8}, {X: 6}, {X: 3}}
	fmt.Print(sketch(ring.Bounds(), 1, area('#', ring), spots('o', 1, pts...)))
	for _, p := range pts {
		fmt.Println(p, ring.Contains(p), ring.Distance(p))
	}
	// Output:
	// ......########......
	// ...##############...
	// .######......######.
	// #####..........#####
	// ####........oo.oooo#
	// ####........oo.oooo#
	// #####..........#####
	// .######......######.
	// ...##############...
	// ......########......
	// 8 0 inside 0
	// 6 0 boundary 0
	// 3 0 outside 3
}

// A scan line over a ring.
func ExampleClip() {
	ring := geom.RegionOf(geom.Circle(geom.Pt(10, 10), 10), geom.Circle(geom.Pt(10, 10), 4))
	scan := geom.Polyline(geom.Pt(-5, 10), geom.Pt(25, 10))
	inside, outside, err := geom.Clip(scan, ring)
	fmt.Print(sketch(geom.Box{Min: geom.Pt(-5, 0), Max: geom.Pt(25, 20)}, 1, area(':', ring), along('=', 1, inside...), along('-', 1, outside...)))
	fmt.Println(err)
	for _, p := range inside {
		fmt.Println("inside ", p)
	}
	for _, p := range outside {
		fmt.Println("outside", p)
	}
	// Output:
	// ...........::::::::...........
	// ........::::::::::::::........
	// ......::::::::::::::::::......
	// .....:::::::......:::::::.....
	// -----======--------======-----
	// -----======--------======-----
	// .....:::::::......:::::::.....
	// ......::::::::::::::::::......
	// ........::::::::::::::........
	// ...........::::::::...........
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
	var ends []geom.Point
	for _, s := range fit {
		ends = append(ends, s.A)
	}
	fmt.Print(sketch(stadium.Bounds().Grow(1), 1, along('.', 1), along('*', 1, fit), spots('o', 1, ends...)))
	fmt.Println(len(chords)-1, "chords,", len(fit), "pieces")
	fmt.Printf("length %.2f mm, was %.2f mm\n", fit.Length(), stadium.Length())
	// Output:
	// ...**oo****************************oo**...
	// .**....................................**.
	// .*......................................*.
	// .*......................................*.
	// .**....................................**.
	// ...**oo****************************oo**...
	// 160 chords, 4 pieces
	// length 91.41 mm, was 91.42 mm
}

func ExampleFlatten() {
	half := geom.Arc(geom.Pt(16, 0), geom.Pt(-16, 0), geom.Pt(0, 0), geom.CCW)
	for _, chord := range []float64{2, 0.2, 0.02} {
		pts := geom.Flatten([]geom.Seg{half}, chord)
		if chord == 2 {
			fmt.Print(sketch(half.Bounds(), 1, along('*', 1, geom.Path{half}), along('-', 1, geom.Polyline(pts...)), spots('o', 1, pts...)))
		}
		fmt.Println(chord, len(pts), "points")
	}
	// Output:
	// ........***----oo----***........
	// .....*-----..........-----*.....
	// ....o-....................-o....
	// ..*-........................-*..
	// .*-..........................-*.
	// *.-..........................-.*
	// *-............................-*
	// o..............................o
	// 2 5 points
	// 0.2 11 points
	// 0.02 33 points
}

func ExampleCubic() {
	curve := geom.Cubic(geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(0, 20), geom.Pt(40, 20), 0.01)
	fmt.Print(sketch(curve.Bounds(), 1, along('*', 1, curve)))
	fmt.Println(len(curve), "arcs")
	fmt.Println("leaves along", curve[0].Tangent(0), "and arrives along", curve[len(curve)-1].Tangent(1))
	// Output:
	// .........................***************
	// ......................***...............
	// ....................**..................
	// ....................*...................
	// ....................*...................
	// ...................*....................
	// ...................*....................
	// ..................**....................
	// ...............***......................
	// ***************.........................
	// 20 arcs
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
	mark := geom.Polygon(geom.Pt(0, 0), geom.Pt(8, 0), geom.Pt(0, 4))
	place := geom.Rotate(math.Pi / 2).Then(geom.Scale(2)).Then(geom.Translate(geom.Pt(24, 0)))
	moved := mark.Transform(place)
	fmt.Print(sketch(geom.Box{Max: geom.Pt(24, 16)}, 1, area('#', geom.Region{mark}), area('@', geom.Region{moved})))
	fmt.Println(moved)
	// Output:
	// .......................@
	// ......................@@
	// .....................@@@
	// ....................@@@@
	// ...................@@@@@
	// ..................@@@@@@
	// ##...............@@@@@@@
	// ######..........@@@@@@@@
	// M 24 0 L 24 16 L 16 0 Z
}

func ExampleRegion_Validate() {
	r := geom.Region{
		geom.Rect(geom.Pt(0, 0), geom.Pt(20, 12), 0),
		geom.Circle(geom.Pt(20, 6), 4),
	}
	err := r.Validate()
	fmt.Print(sketch(r.Bounds(), 1, along('*', 1, r[0].Path()), along('o', 1, r[1].Path())))
	fmt.Println(err)
	var e *geom.InvalidError
	if errors.As(err, &e) {
		fmt.Println(e.Contour, e.Seg, e.At)
	}
	// Output:
	// *********************...
	// *................oooooo.
	// *...............o..**..o
	// *...............o..**..o
	// *................oooooo.
	// *********************...
	// contour 0: segment 1 at (20, 0): crosses segment 0 of contour 1 at (20, 2)
	// 0 1 20 0
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

func ExampleIndex_Depth() {
	slot := geom.RegionOf(geom.Slot(geom.Pt(0, 0), geom.Pt(24, 0), 12))
	x := geom.NewIndex(slot)
	pass := geom.Line(geom.Pt(0, 2), geom.Pt(24, 2))
	fmt.Print(sketch(slot.Bounds(), 1, area('#', slot), along('-', 1, geom.Path{pass})))
	fmt.Println("a cutter of radius", x.Depth(pass), "stays within the slot")
	// Output:
	// ...##############################...
	// .#####------------------------#####.
	// ######------------------------######
	// ####################################
	// .##################################.
	// ...##############################...
	// a cutter of radius 4 stays within the slot
}

func ExampleIndex_Nearest() {
	plate := geom.Region{geom.Polygon(geom.Pt(0, 0), geom.Pt(30, 0), geom.Pt(30, 12), geom.Pt(18, 12), geom.Pt(12, 6), geom.Pt(0, 6))}
	x := geom.NewIndex(plate)
	p := geom.Pt(10, 10)
	fmt.Print(sketch(plate.Bounds(), 1, area('#', plate), spots('o', 1, p), spots('x', 1, x.Closest(p))))
	ref, d := x.Nearest(geom.Line(p, p))
	fmt.Printf("segment %d of contour %d, %.3f mm away, at %v\n", ref.Seg, ref.Contour, d, x.Closest(p))
	// Output:
	// .........oo......#############
	// .........oo....###############
	// .........xx..#################
	// #########xx###################
	// ##############################
	// ##############################
	// segment 4 of contour 0, 4.000 mm away, at 10 6
}

func ExampleRegion_Closest() {
	tag := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(30, 12), 3), geom.Circle(geom.Pt(7, 6), 4))
	in, out := geom.Pt(8, 6), geom.Pt(32, 15)
	fmt.Print(sketch(tag.Bounds().Grow(3), 1, area('#', tag), spots('o', 1, in, out), spots('x', 1, tag.Closest(in), tag.Closest(out))))
	fmt.Println("from the hole", tag.Closest(in), "at", tag.Distance(in))
	fmt.Printf("from the corner %.3f at %.3f\n", tag.Closest(out), tag.Distance(out))
	// Output:
	// ..................................oo
	// ......########################.x....
	// ...##############################...
	// ...####......####################...
	// ...###....oo.xx##################...
	// ...####......####################...
	// ...##############################...
	// ......########################......
	// ....................................
	// from the hole 11 6 at 3
	// from the corner {28.921 11.305} at 4.810
}

func ExampleRegion_Centroid() {
	key := geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(30, 0), geom.Pt(30, 4), geom.Pt(12, 4), geom.Pt(12, 12), geom.Pt(0, 12)), geom.Circle(geom.Pt(6, 6), 3))
	c := key.Centroid()
	fmt.Print(sketch(key.Bounds(), 1, area('#', key), spots('+', 1, c)))
	fmt.Printf("%.3f mm2, %.3f mm round, balanced at (%.3f, %.3f)\n", key.Area(), key.Perimeter(), c.X, c.Y)
	// Output:
	// ############..................
	// ############..................
	// ###......###..................
	// ###......##+..................
	// ##############################
	// ##############################
	// 187.726 mm2, 102.850 mm round, balanced at (11.753, 4.466)
}

// A pentagram runs twice round its middle.
func ExampleContour_Winding() {
	var star geom.Contour
	for i := range 5 {
		star = append(star, geom.Line(geom.Polar(11, math.Pi*(0.5+0.8*float64(i))), geom.Polar(11, math.Pi*(0.5+0.8*float64(i+1)))))
	}
	turns := func(mark byte, n int) layer {
		return layer{mark, func(p geom.Point) bool { return star.Winding(p) == n }}
	}
	fmt.Print(sketch(star.Bounds(), 1, turns('1', 1), turns('2', 2)))
	// Output:
	// ..........1..........
	// ..........1..........
	// .........111.........
	// ........11111........
	// ..11111122222111111..
	// .....11222222211.....
	// ......122222221......
	// ......111121111......
	// .....111.....111.....
	// ....1...........1....
}

func ExampleQuadratic() {
	arch := geom.Quadratic(geom.Pt(0, 0), geom.Pt(20, 24), geom.Pt(40, 0), 0.01)
	fmt.Print(sketch(arch.Bounds(), 1, along('*', 1, arch)))
	fmt.Printf("%d arcs, crown at %.2f mm\n", len(arch), arch.Bounds().Max.Y)
	// Output:
	// ............****************............
	// ........****................****........
	// ......**........................**......
	// ....**............................**....
	// ..**................................**..
	// **....................................**
	// 10 arcs, crown at 11.99 mm
}

func ExampleParseRegion() {
	r, err := geom.ParseRegion("M 0 0 L 24 0 A 24 6 24 12 ccw L 0 12 Z M 20 6 A 24 6 20 6 cw Z")
	fmt.Print(picture(r, 1))
	fmt.Println(err, r.Validate())
	// Output:
	// ###########################...
	// #####################......##.
	// ####################........##
	// ####################........##
	// #####################......##.
	// ###########################...
	// <nil> <nil>
}
