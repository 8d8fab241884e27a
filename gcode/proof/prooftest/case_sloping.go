package prooftest

import (
	_ "embed"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

//go:embed testdata/sloping.nc
var slopingText string

// slope is a plane face through the origin.
type slope struct{ x, y float64 }

func (s slope) Height(p geom.Point) float64 { return s.x*p.X + s.y*p.Y }
func (s slope) Lipschitz() float64          { return math.Hypot(s.x, s.y) }
func (s slope) Kinks(geom.Seg) []float64    { return nil }
func (s slope) Bend() float64               { return 0 }

// Range returns the heights at those corners where they are least and greatest.
func (s slope) Range(b geom.Box) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range []geom.Point{b.Min, b.Max, geom.Pt(b.Min.X, b.Max.Y), geom.Pt(b.Max.X, b.Min.Y)} {
		lo, hi = math.Min(lo, s.Height(p)), math.Max(hi, s.Height(p))
	}
	return lo, hi
}

// Sloping is engraving of one depth on a probed face that slopes by a hundredth
// and two: what is deep enough at one end cuts air at the other.
func Sloping() Case {
	t := vee(1)
	face := slope{-0.02, -0.01}
	stock := rect(0, 0, 22, 5)
	lo, hi := face.Range(stock.Bounds())
	s := &setup.Setup{
		Name: "sloping",
		Machine: setup.Machine{
			Name:       "engraver",
			Envelope:   geom.Box3{Min: geom.Pt3(-5, -5, -2), Max: geom.Pt3(40, 20, 30)},
			SpindleMin: 8000, SpindleMax: 30000, FeedMax: 300, PlungeMax: 120, Rapid: 2000, Accel: 300, SpinUp: 2,
		},
		Stock: setup.Stock{Outline: stock, Top: 0, Thickness: 4, Material: "brass",
			Face: &setup.Face{Surface: face, Probed: 9, Fit: "plane", Lowest: lo, Highest: hi, Tilt: math.Atan(face.Lipschitz()), Towards: math.Atan2(face.y, face.x), Limit: 0.02}},
		Zones: []setup.Zone{{Name: "jaw", Area: rect(-3, 5.2, 25, 13), Bottom: -20, Top: 0.8, Clearance: 0.4}},
		Tools: []setup.Tool{t},
		Features: []setup.Feature{{
			Name: "name", Along: []geom.Path{line(geom.Pt(3, 1.5), geom.Pt(4, 3.5), geom.Pt(5, 1.5)), line(geom.Pt(6, 1), geom.Pt(18, 1))},
			Reach: sunk(t, 0.12), Floor: -0.12, Follows: true, Tol: tol, Tools: []int{1}}},
		ClearZ: 10, Approach: 0.5,
	}
	return Case{"sloping", s, slopingText}
}
