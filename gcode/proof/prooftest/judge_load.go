package prooftest

import (
	"math"

	"proofcut/gcode/proof/prooftest/plain"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// The judge's own idea of what breaks a cutter: one tooth's tangential force by
// Kienzle's law, bending a round bar of 0.8 of the flutes' diameter (KOV) at the
// upper end of the flutes. It leaves out whatever makes the load greater (radial
// force, size effect, runout, wear, more teeth), so that what it calls broken is.
const (
	judgeWindow = 0.4  // mm of path over which a cut is averaged
	judgeCore   = 0.8  // Kops and Vo, CIRP Annals 39, 1990
	judgeStress = 1000 // N/mm2, carbide (common practice, no source)
)

// kienzle holds specific force and exponent of the stock of the cases: nickel
// silver by analogy with copper (estimate), brass VDI 3323 group 26.
var kienzle = map[string][2]float64{"nickel silver": {1100, 0.25}, "brass": {700, 0.27}}

// bite is what the tool has taken over a length of path.
type bite struct {
	length, volume, depth float64
}

// bend adds a step of a side cut to the bite and reports when the cut breaks the
// tool; volume and depth are of the material met in the step.
func (r *run) bend(e *plain.Step, t setup.Tool, last, p geom.Point3, volume, depth float64) {
	law, known := kienzle[r.s.Stock.Material]
	step := last.XY().Dist(p.XY())
	if !known || t.Shape != setup.Flat || e.Inverse || step == 0 || p.Z < last.Z-steepSlope*step {
		r.bite = bite{}
		return
	}
	b := &r.bite
	b.length += step
	b.volume += volume
	b.depth = math.Max(b.depth, depth)
	if b.length < judgeWindow {
		return
	}
	defer func() { r.bite = bite{} }()
	n := e.Speed
	if !(n > 0) || b.depth <= judgeBite {
		return
	}
	width := math.Min(b.volume/(b.depth*b.length), t.Diameter)
	chip := math.Min(e.Rate, r.s.Machine.FeedMax) / (n * float64(t.Flutes))
	if width < t.Diameter/2 {
		x := width / t.Diameter
		chip *= 2 * math.Sqrt(x-x*x)
	}
	if !(chip > 0) {
		return
	}
	force := law[0] * math.Pow(chip, 1-law[1]) * b.depth
	core := judgeCore * t.Diameter
	arm := math.Max(t.FluteLength-b.depth/2, b.depth/2)
	if stress := 32 * force * arm / (math.Pi * core * core * core); stress > judgeStress {
		r.hurt("cutter bent with %.0f N/mm2", math.Round(stress/100)*100)
	}
}
