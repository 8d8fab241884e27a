package prooftest

import (
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// grow returns a region grown by d, or shrunk. The shapes of the cases are such
// that it cannot fail.
func grow(r geom.Region, d float64) geom.Region {
	out, err := geom.Offset(r, d, geom.OffsetOptions{})
	if err != nil {
		panic(err)
	}
	return out
}

func minus(a, b geom.Region) geom.Region {
	out, err := geom.Difference(a, b)
	if err != nil {
		panic(err)
	}
	return out
}

// Plate is a tag with a pocket and two holes and a round blank beside it, cut
// out of one plate down to a skin, on a machine that keeps the lengths of its
// tools and knows subprograms.
func Plate() Case {
	const cutter = 2.0
	length := func(number int) *float64 { l := toolLength(number); return &l }
	mill := setup.Tool{Number: 1, Name: "end mill", Shape: setup.Flat, Substrate: setup.Carbide, Diameter: cutter, Flutes: 2, FluteLength: 2.5, Shank: 3, StickOut: 12, Length: length(1), CentreCuts: true, Holder: collet(12)}
	drill := setup.Tool{Number: 2, Name: "drill", Shape: setup.Drill, Substrate: setup.HighSpeedSteel, Diameter: 1.5, Angle: 118 * deg, Flutes: 2, FluteLength: 12, Shank: 1.5, StickOut: 18, Length: length(2), CentreCuts: true, Holder: collet(18)}
	point := drill.ConeHeight()
	tag := geom.RegionOf(geom.Rect(geom.Pt(5, 5), geom.Pt(25, 15), 2))
	blank := disc(35, 10, 4)
	plate := rect(0, 0, 44, 20)
	room := grow(plate, 3)
	holes := geom.Region{geom.Circle(geom.Pt(8, 13), 0.75), geom.Circle(geom.Pt(22, 13), 0.75)}
	bored := geom.Region{geom.Circle(geom.Pt(8, 13), 0.75-tol), geom.Circle(geom.Pt(22, 13), 0.75-tol)}
	s := &setup.Setup{
		Name: "plate",
		Machine: setup.Machine{
			Name:       "mill",
			Envelope:   geom.Box3{Min: geom.Pt3(-5, -5, -4), Max: geom.Pt3(60, 40, 60)},
			SpindleMin: 3000, SpindleMax: 24000, FeedMax: 500, PlungeMax: 160, Rapid: 2500, SpinUp: 2,
			Axes: [3]setup.Axis{
				{Rate: 2500, Accel: 400, CornerStep: 120}, {Rate: 2500, Accel: 300, CornerStep: 120}, {Rate: 1000, Accel: 150, CornerStep: 60}},
			Travel: geom.Box3{Min: geom.Pt3(0, 0, -90), Max: geom.Pt3(200, 150, 0)}, WorkOffset: &geom.Point3{X: 60, Y: 50, Z: -100},
			ToolChange: setup.AutoToolChange, LengthOffsets: true, Flood: true,
			Practice: setup.Practice{Subprograms: true},
		},
		Stock: setup.Stock{Outline: plate, Top: 0, Thickness: 2, Material: "brass",
			Backing: setup.Backing{Present: true, Material: "aluminium", Depth: 0.5}},
		Zones: []setup.Zone{
			{Name: "screw", Area: disc(29, 17.5, 1.5), Bottom: 0, Top: 3, Clearance: 0.4},
			{Name: "clamp", Area: rect(42, -4, 50, 3), Bottom: 0, Top: 6, Clearance: 0.5},
		},
		Tools: []setup.Tool{mill, drill},
		Features: []setup.Feature{
			{Name: "tag", May: minus(minus(room, tag), blank), Must: minus(grow(tag, cutter-tol), grow(tag, tol)), Around: tag, Floor: -1.8, Tol: tol, Tools: []int{1}},
			{Name: "blank", May: minus(minus(room, blank), tag), Must: minus(grow(blank, cutter-tol), grow(blank, tol)), Around: blank, Floor: -1.8, Tol: tol, Tools: []int{1}},
			{Name: "pocket", May: geom.RegionOf(geom.Rect(geom.Pt(8, 8), geom.Pt(16, 11), 1)), Must: geom.RegionOf(geom.Rect(geom.Pt(8+tol, 8+tol), geom.Pt(16-tol, 11-tol), 1)), Floor: -0.5, Tol: tol, Tools: []int{1}, Coolant: setup.Flood},
			{Name: "hole tips", May: holes, Floor: -2.4, Tol: tol, Tools: []int{2}},
			{Name: "holes", May: holes, Must: bored, Floor: -2.4 + point, Tol: tol, Tools: []int{2}},
		},
		Parts: []setup.Part{
			{Name: "tag", At: geom.Pt(5, 5), Outline: tag, Skin: 0.2},
			{Name: "blank", At: geom.Pt(35, 10), Diameter: 8, Outline: blank, Finished: 7.9, Skin: 0.2},
		},
		ClearZ: 12, Approach: 1,
	}
	return Case{"plate", s, plateText}
}
