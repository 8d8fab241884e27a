package prooftest

import (
	_ "embed"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

//go:embed testdata/tapped.nc
var tappedText string

// Tapped is a plate with two threads M3, drilled and tapped by a control that
// keeps spindle and feed in step.
func Tapped() Case {
	drill := setup.Tool{Number: 1, Name: "drill", Shape: setup.Drill, Substrate: setup.HighSpeedSteel, Diameter: 2.5, Angle: 118 * deg, Flutes: 2, FluteLength: 20, Shank: 2.5, StickOut: 25, CentreCuts: true, Holder: collet(25)}
	tap := setup.Tool{Number: 2, Name: "tap", Shape: setup.Tap, Diameter: 3, Pitch: 0.5, Lead: 1, Flutes: 3, FluteLength: 12, Shank: 3, StickOut: 25, Holder: collet(25)}
	holes := func(r float64) geom.Region {
		return geom.Region{geom.Circle(geom.Pt(5, 6), r), geom.Circle(geom.Pt(13, 6), r)}
	}
	s := &setup.Setup{
		Name: "tapped",
		Machine: setup.Machine{
			Name:       "bench mill",
			Envelope:   geom.Box3{Min: geom.Pt3(-10, -10, -10), Max: geom.Pt3(40, 40, 50)},
			SpindleMin: 100, SpindleMax: 12000, FeedMax: 1000, PlungeMax: 300, Rapid: 1500, Accel: 300, SpinUp: 1,
			ToolChange: setup.ManualToolChange, Practice: setup.Practice{RigidTapping: true},
		},
		Stock: setup.Stock{Outline: rect(0, 0, 18, 12), Top: 0, Thickness: 8, Material: "aluminium"},
		Zones: []setup.Zone{{Name: "clamp", Area: rect(-4, 8.5, 22, 16), Bottom: -8, Top: 5, Clearance: 0.5}},
		Tools: []setup.Tool{drill, tap},
		Features: []setup.Feature{
			{Name: "hole points", May: holes(1.25 + tol), Floor: -6.5, Tol: tol, Tools: []int{1}},
			{Name: "holes", May: holes(1.25 + tol), Must: holes(1.25 - tol), Floor: -6.5 + drill.ConeHeight(), Tol: tol, Tools: []int{1}},
			{Name: "threads", May: holes(1.5 + tol), Must: holes(1.5 - tol), Floor: -4.5, Tol: tol, Tools: []int{2}},
		},
		ClearZ: 10, Approach: 1,
	}
	return Case{"tapped", s, tappedText}
}
