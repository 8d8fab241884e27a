package prooftest

import (
	_ "embed"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

//go:embed testdata/channel.nc
var channelText string

// Channel is a channel in several passes and a shoulder in several steps, cut in
// nickel silver with a small end mill that has little to spare: one pass less, or
// a feed that is three times as high, breaks it.
func Channel() Case {
	const cutter = 1.5875
	r := cutter / 2
	s := &setup.Setup{
		Name: "channel",
		Machine: setup.Machine{
			Name:       "bench mill",
			Envelope:   geom.Box3{Min: geom.Pt3(-6, -6, -4), Max: geom.Pt3(40, 30, 40)},
			SpindleMin: 3000, SpindleMax: 24000, FeedMax: 2500, PlungeMax: 200, Rapid: 2500, Accel: 300, SpinUp: 2,
			Drive: setup.Drive{Power: 0.35, Stiffness: 1e4},
		},
		Stock: setup.Stock{Outline: rect(0, 0, 30, 18), Top: 0, Thickness: 3, Material: "nickel silver",
			Backing: setup.Backing{Present: true, Material: "fibreboard", Depth: 0.3}},
		Zones: []setup.Zone{{Name: "clamp", Area: rect(12, -4, 18, 1), Bottom: 0, Top: 3, Clearance: 0.4}},
		Tools: []setup.Tool{{Number: 1, Name: "end mill", Shape: setup.Flat, Substrate: setup.Carbide, Diameter: cutter, Flutes: 2,
			FluteLength: 5, Shank: 3.175, StickOut: 12, CentreCuts: true, Holder: collet(12)}},
		Features: []setup.Feature{
			{Name: "channel", May: geom.RegionOf(geom.Slot(geom.Pt(4, 5), geom.Pt(22, 5), cutter+2*tol)),
				Must: geom.RegionOf(geom.Slot(geom.Pt(4, 5), geom.Pt(22, 5), cutter-2*tol)), Floor: -2.8, Tol: tol, Tools: []int{1}},
			{Name: "shoulder", May: rect(-5, 16.794-r-tol, 35, 20), Must: rect(0, 16.794-r+tol, 30, 18), Floor: -0.6, Tol: tol, Tools: []int{1}},
		},
		ClearZ: 10, Approach: 0.5,
	}
	return Case{"channel", s, channelText}
}
