package prooftest

import (
	"proofcut/gcode/proof/prooftest/plain"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// The judge's own idea of what ruins a thread or breaks a tap.
const (
	judgePitch = 0.05 // share of the pitch by which a turn may be off
	judgeTap   = 1.2  // pitches by which the core of a tap is thinner than the thread
)

// tap looks at one step of a tap in the work, before the columns are lowered.
func (r *run) tap(e *plain.Step, t setup.Tool, last, p geom.Point3) {
	if t.Shape != setup.Tap || last.Dist(p) == 0 {
		return
	}
	held, stands := false, false
	core := t.Diameter/2 - judgeTap*t.Pitch/2 - judgeCell
	r.columns(p, t.Diameter/2+judgeCell, func(at *float64, rho float64) {
		held = held || *at > p.Z+judgeDepth
		stands = stands || rho < core && *at > p.Z+judgeDepth
	})
	if !held {
		return
	}
	way := -1
	if p.Z > last.Z {
		way = 1
	}
	pitch := 0.0
	if e.Speed > 0 {
		pitch = e.Rate / e.Speed
	}
	switch {
	case e.Kind == plain.Rapid:
		r.hurt("tap moves at the rapid rate in its hole")
	case stands:
		r.hurt("tap runs onto the bottom of its hole")
	case last.XY().Dist(p.XY()) > judgeSafe:
		r.hurt("tap goes sideways in its hole")
	case e.Spindle != way:
		r.hurt("tap does not turn the way it goes")
	case e.Inverse || pitch < t.Pitch*(1-judgePitch) || pitch > t.Pitch*(1+judgePitch):
		r.hurt("tap goes %.2f mm a turn", pitch)
	}
}
