// Package prooftest tests proofs: small set-ups with programs that are proven,
// faults to put into them, and an independent judge that tells by dense
// sampling which faults do harm. The judge is slow and simple on purpose and
// shares no rule, no distance and no height map with the proof.
package prooftest

import (
	_ "embed"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Case is a program that is proven against a set-up.
type Case struct {
	Name  string
	Setup *setup.Setup
	Text  string
}

//go:embed testdata/disc.nc
var discText string

//go:embed testdata/name.nc
var nameText string

//go:embed testdata/tag.nc
var tagText string

//go:embed testdata/plate.nc
var plateText string

// Cases returns fresh copies of the test cases.
func Cases() []Case {
	return []Case{Disc(), Name(), Tag(), Channel(), Plate(), Tapped(), Sloping()}
}

const (
	deg = math.Pi / 180
	tol = 0.01 // of the features in the cases
)

func rect(x0, y0, x1, y1 float64) geom.Region {
	return geom.RegionOf(geom.Rect(geom.Pt(x0, y0), geom.Pt(x1, y1), 0))
}

func disc(x, y, r float64) geom.Region {
	return geom.RegionOf(geom.Circle(geom.Pt(x, y), r))
}

// ring returns the region between two circles about one centre.
func ring(x, y, r0, r1 float64) geom.Region {
	hole := geom.Circle(geom.Pt(x, y), r0)
	for i, j := 0, len(hole)-1; i <= j; i, j = i+1, j-1 {
		hole[i], hole[j] = hole[j].Reverse(), hole[i].Reverse()
	}
	return geom.Region{geom.Circle(geom.Pt(x, y), r1), hole}
}

func collet(stickOut float64) []setup.Section {
	return []setup.Section{{Z0: stickOut, R0: 4, Z1: stickOut + 2, R1: 8}, {Z0: stickOut + 2, R0: 8, Z1: stickOut + 20, R1: 8}}
}

// Disc is one inlay blank cut out of a slab between a screw and a crack, and a
// slot, with one end mill on a machine without tool change.
func Disc() Case {
	const d, cutter = 12.827, 1.5875 // 12.7 mm and 5 thou; 1/16 in
	r := d / 2
	s := &setup.Setup{
		Name: "disc",
		Machine: setup.Machine{
			Name:       "bench router",
			Envelope:   geom.Box3{Min: geom.Pt3(-2, -2, -5), Max: geom.Pt3(60, 50, 40)},
			SpindleMin: 5000, SpindleMax: 24000, FeedMax: 300, PlungeMax: 100, Rapid: 1500, Accel: 200, SpinUp: 3,
		},
		Stock: setup.Stock{Outline: rect(0, 0, 40, 30), Top: 0, Thickness: 3, Material: "brass",
			Backing: setup.Backing{Present: true, Material: "aluminium", Depth: 0.3}},
		Zones: []setup.Zone{
			{Name: "screw", Area: disc(34, 24, 3), Bottom: 0, Top: 4, Clearance: 0.5},
			{Name: "crack", Area: geom.RegionOf(geom.Polygon(geom.Pt(1, 2), geom.Pt(4, 1.5), geom.Pt(3.5, 5))), Bottom: -3, Top: 0, Clearance: 0.3},
		},
		Tools: []setup.Tool{{Number: 1, Name: "end mill", Shape: setup.Flat, Substrate: setup.Carbide, Diameter: cutter, Flutes: 2, FluteLength: 3,
			Shank: 3.175, StickOut: 11, Holder: collet(11)}},
		Features: []setup.Feature{
			{Name: "blank", May: ring(15, 15, r, r+cutter+2*tol), Must: ring(15, 15, r+tol, r+cutter-tol), Around: disc(15, 15, r), Floor: -2.9, Tol: tol, Tools: []int{1}},
			{Name: "slot", May: geom.RegionOf(geom.Slot(geom.Pt(26, 6), geom.Pt(35, 6), cutter)),
				Must: geom.RegionOf(geom.Slot(geom.Pt(26, 6), geom.Pt(35, 6), cutter-2*tol)), Floor: -1, Tol: tol, Tools: []int{1}},
		},
		Parts:  []setup.Part{{Name: "blank 1", At: geom.Pt(15, 15), Diameter: d, Finished: 12.7, Skin: 0.1}},
		ClearZ: 10, Approach: 0.5,
	}
	return Case{"disc", s, discText}
}

// vee returns a 60 degree engraving cutter.
func vee(number int) setup.Tool {
	return setup.Tool{Number: number, Name: "vee", Shape: setup.Vee, Substrate: setup.Carbide, Diameter: 3.175, TipDiameter: 0.2, Angle: 60 * deg, Flutes: 1,
		FluteLength: 6, Shank: 3.175, StickOut: 20, Holder: collet(20)}
}

// sunk returns the radius of a vee sunk by h.
func sunk(t setup.Tool, h float64) float64 { return t.TipDiameter/2 + h*math.Tan(t.Angle/2) }

func line(pts ...geom.Point) geom.Path {
	var p geom.Path
	for i := 1; i < len(pts); i++ {
		p = append(p, geom.Line(pts[i-1], pts[i]))
	}
	return p
}

// Name is engraving on a flat between two jaws, in inches, on a machine that
// changes tools and keeps a tool table.
func Name() Case {
	t := vee(4)
	circle := geom.Path{geom.Arc(geom.Pt(8, 2.5), geom.Pt(6, 2.5), geom.Pt(7, 2.5), geom.CCW),
		geom.Arc(geom.Pt(6, 2.5), geom.Pt(8, 2.5), geom.Pt(7, 2.5), geom.CCW)}
	bow := append(line(geom.Pt(10, 3.5), geom.Pt(10, 1.5), geom.Pt(11, 1.5)),
		geom.Arc(geom.Pt(11, 1.5), geom.Pt(11, 3.5), geom.Pt(11, 2.5), geom.CCW), geom.Line(geom.Pt(11, 3.5), geom.Pt(10, 3.5)))
	s := &setup.Setup{
		Name: "name",
		Unit: setup.Inch,
		Machine: setup.Machine{
			Name:       "engraver",
			Envelope:   geom.Box3{Min: geom.Pt3(-5, -5, -2), Max: geom.Pt3(40, 20, 30)},
			SpindleMin: 8000, SpindleMax: 30000, FeedMax: 300, PlungeMax: 120, Rapid: 2000, Accel: 300, SpinUp: 2,
			ToolChange: setup.ManualToolChange, LengthOffsets: true,
		},
		Stock: setup.Stock{Outline: rect(0, 0, 22, 5), Top: 0, Thickness: 4, Material: "brass"},
		Zones: []setup.Zone{
			{Name: "near jaw", Area: rect(-3, -8, 25, -0.2), Bottom: -20, Top: 0.8, Clearance: 0.4},
			{Name: "far jaw", Area: rect(-3, 5.2, 25, 13), Bottom: -20, Top: 0.8, Clearance: 0.4},
		},
		Tools: []setup.Tool{t, {Number: 5, Name: "end mill", Shape: setup.Flat, Substrate: setup.Carbide, Diameter: 2, Flutes: 2, FluteLength: 6, Shank: 3, StickOut: 18, Holder: collet(18)}},
		Features: []setup.Feature{{
			Name: "name", Along: []geom.Path{
				line(geom.Pt(3, 1.5), geom.Pt(4, 3.5), geom.Pt(5, 1.5)), line(geom.Pt(3.5, 2.5), geom.Pt(4.5, 2.5)),
				circle, bow, line(geom.Pt(3, 1), geom.Pt(18, 1))},
			Reach: sunk(t, 0.12), Floor: -0.12, Tol: tol, Tools: []int{4}}},
		ClearZ: 10, Approach: 0.5,
	}
	return Case{"name", s, nameText}
}

// Tag is a tag with a pocket, holes through the stock, a groove with a ball
// end and a number engraved in the pocket's floor: four tools, canned cycles and
// arcs in an upright plane.
func Tag() Case {
	v := vee(4)
	mill := setup.Tool{Number: 1, Name: "end mill", Shape: setup.Flat, Substrate: setup.Carbide, Diameter: 2, Flutes: 2, FluteLength: 2.5, Shank: 3, StickOut: 12, Holder: collet(12)}
	drill := setup.Tool{Number: 2, Name: "drill", Shape: setup.Drill, Substrate: setup.HighSpeedSteel, Diameter: 1.6, Angle: 118 * deg, Flutes: 2, FluteLength: 12, Shank: 1.6, StickOut: 18, CentreCuts: true, Holder: collet(18)}
	ball := setup.Tool{Number: 3, Name: "ball", Shape: setup.Ball, Substrate: setup.Carbide, Diameter: 2, Flutes: 2, FluteLength: 2.5, Shank: 3, StickOut: 12, CentreCuts: true, Holder: collet(12)}
	point := drill.ConeHeight()
	groove := math.Sqrt(0.4 * (2*1 - 0.4))
	holes := geom.Region{geom.Circle(geom.Pt(20, 6), 0.8), geom.Circle(geom.Pt(20, 12), 0.8)}
	bored := geom.Region{geom.Circle(geom.Pt(20, 6), 0.8-tol), geom.Circle(geom.Pt(20, 12), 0.8-tol)}
	s := &setup.Setup{
		Name: "tag",
		Machine: setup.Machine{
			Name:       "mill",
			Envelope:   geom.Box3{Min: geom.Pt3(-5, -5, -4), Max: geom.Pt3(45, 35, 60)},
			SpindleMin: 3000, SpindleMax: 24000, FeedMax: 300, PlungeMax: 160, Rapid: 2500, Accel: 400, SpinUp: 2.5,
			ToolChange: setup.AutoToolChange, LengthOffsets: true, Mist: true,
		},
		Stock: setup.Stock{Outline: rect(0, 0, 26, 18), Top: 0, Thickness: 2, Material: "brass",
			Backing: setup.Backing{Present: true, Material: "aluminium", Depth: 0.8}},
		Zones: []setup.Zone{
			{Name: "clamp", Area: rect(22.5, -4, 30, 4), Bottom: 0, Top: 6, Clearance: 0.5},
			{Name: "post", Area: disc(24, 16, 1.2), Bottom: 0, Top: 5, Clearance: 0.4},
		},
		Tools: []setup.Tool{mill, drill, ball, v},
		Features: []setup.Feature{
			{Name: "pocket", May: geom.RegionOf(geom.Rect(geom.Pt(4, 4), geom.Pt(14, 10), 0.9)), Must: geom.RegionOf(geom.Rect(geom.Pt(4+tol, 4+tol), geom.Pt(14-tol, 10-tol), 1)), Floor: -0.6, Tol: tol, Tools: []int{1}, Coolant: setup.Mist},
			{Name: "hole tips", May: holes, Floor: -2.6, Tol: tol, Tools: []int{2}},
			{Name: "holes", May: holes, Must: bored, Floor: -2.6 + point, Tol: tol, Tools: []int{2}},
			{Name: "groove", May: geom.RegionOf(geom.Slot(geom.Pt(7, 14), geom.Pt(15, 14), 2*(groove+tol))), Floor: -0.4, Tol: tol, Tools: []int{3}},
			{Name: "groove line", Along: []geom.Path{line(geom.Pt(7, 14), geom.Pt(15, 14))}, Reach: groove, Floor: -0.4, Tol: tol, Tools: []int{3}},
			{Name: "number", Along: []geom.Path{line(geom.Pt(7, 8), geom.Pt(9, 8), geom.Pt(7.6, 6)), line(geom.Pt(11, 8), geom.Pt(11, 6))},
				Reach: sunk(v, 0.15), Floor: -0.75, Tol: tol, Tools: []int{4}},
		},
		ClearZ: 15, Approach: 1,
	}
	return Case{"tag", s, tagText}
}
