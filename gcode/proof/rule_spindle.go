package proof

import (
	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleSpindle = Rule{
	Name:     "spindle",
	Severity: Fault,
	Reason:   "A cutter that stands still or turns backwards breaks on the first touch.",
	watch:    func() watcher { return &spindleWatch{} },
}

type spindleWatch struct {
	noEnd
	said bool
	turn geom.Turn
}

func (w *spindleWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || m.rapid || !c.below(m) {
		return
	}
	s := e.State
	if (s.SpindleTurn == geom.CW || s.Synchronised && s.SpindleTurn == geom.CCW) && s.SpindleSpeed > 0 { // of a tap see the rule tapping
		w.said = false
		return
	}
	if w.said && w.turn == s.SpindleTurn {
		return // the same mistake, reported at its first block
	}
	w.said, w.turn = true, s.SpindleTurn
	switch {
	case s.SpindleTurn == geom.CCW:
		c.find(&m.to, "the tool cuts while the spindle turns backwards (M4): use M3")
	case s.SpindleTurn == geom.Straight:
		c.find(&m.to, "the tool cuts while the spindle stands: M3 with a speed comes first")
	default:
		c.find(&m.to, "the tool cuts at spindle speed 0: give S before M3")
	}
}

var ruleSpinUp = Rule{
	Name:     "spin-up",
	Severity: Fault,
	Reason:   "The spindle needs its time to come up to speed; a cut before that overloads the cutter.",
	watch:    func() watcher { return &spinUpWatch{} },
}

type spinUpWatch struct {
	noEnd
	turn   geom.Turn
	waited float64
	said   bool
}

func (w *spinUpWatch) see(c *checker, e *interp.Event, m *motion) {
	if s := e.State; s.SpindleTurn != w.turn {
		w.turn, w.waited, w.said = s.SpindleTurn, 0, false
	}
	if e.Kind == interp.Dwell {
		w.waited += e.Seconds
	}
	if m == nil || m.rapid || w.said || w.turn == geom.Straight || e.State.Synchronised || !c.below(m) {
		return
	}
	if need := c.s.Machine.SpinUp; w.waited < need-timeTol {
		w.said = true
		c.find(&m.to, "the spindle had %.3g s to come up to speed, it needs %.3g s: put G4 P%.6g after M3", w.waited, need, c.dwellWord(need))
	}
}

// dwellWord returns the P word with which the control waits that many seconds.
func (c *checker) dwellWord(seconds float64) float64 {
	if c.s.Machine.Practice.DwellMilliseconds {
		return seconds * 1000
	}
	return seconds
}

// timeTol is the rounding of a dwell in a program: a millisecond.
const timeTol = 1e-3

var ruleSpeed = Rule{
	Name:     "spindle-speed",
	Severity: Fault,
	Reason:   "A speed outside the spindle's range is cut off by the control, so that feed and speed no longer match.",
	watch:    func() watcher { return &speedWatch{} },
}

type speedWatch struct {
	noEnd
	last float64
}

func (w *speedWatch) see(c *checker, e *interp.Event, _ *motion) {
	s := e.State
	if s.SpindleTurn == geom.Straight {
		w.last = 0
		return
	}
	if s.SpindleSpeed == w.last {
		return
	}
	w.last = s.SpindleSpeed
	mc := &c.s.Machine
	if v := s.SpindleSpeed; v < mc.SpindleMin*(1-rateTol) || v > mc.SpindleMax*(1+rateTol) {
		c.find(nil, "spindle speed %.6g /min is outside the machine's %.6g to %.6g: change S", v, mc.SpindleMin, mc.SpindleMax)
	}
}

// rateTol is the share by which rounding in a program may pass a limit.
const rateTol = 1e-4
