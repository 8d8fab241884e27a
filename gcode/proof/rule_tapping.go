package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

var ruleTapping = Rule{
	Name:     "tapping",
	Severity: Fault,
	Reason:   "A tap that does not turn once a pitch strips the thread; one that runs into the bottom of its hole, or into a hole that is not there, breaks off in the work.",
	watch:    func() watcher { return &tappingWatch{} },
}

const (
	// tapFeedSlack is the share by which feed and pitch times speed may differ: a
	// thousandth is a hundredth of a millimetre over ten, inside the play of any
	// thread of these sizes (common practice, no source).
	tapFeedSlack = 1e-3
	// tapRoom is how many pitches of the hole stay free under the tap for its
	// chips: 1 to 2 (from memory).
	tapRoom = 1
	// tapCore is how many pitches less than its diameter the core of a tap is: a
	// full thread takes 1.08 (ISO 68-1), a tap drill leaves at most about 0.95 of
	// that, and half a pitch a side is room for the cells of the height map.
	tapCore = 2
)

type tappingWatch struct{ noEnd }

func (w *tappingWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || !m.known() || !m.tool.known || m.box.Min.Z >= c.s.Stock.Top-roundTol {
		return
	}
	t, s := &m.tool.tool, e.State
	if t.Shape != setup.Tap {
		if s.Synchronised {
			c.find(&m.to, "tool %d is no tap, but G%d runs it in step with the spindle: load the tap", t.Number, s.Motion/10)
		}
		return
	}
	if m.rapid || !s.Synchronised {
		if c.mat.touch(m, &m.tool.body, 0, nil).hit || c.below(m) && !m.rapid {
			c.find(&m.to, "the tap moves in the work without the spindle in step: use G84")
		}
		return
	}
	if !c.s.Machine.Practice.RigidTapping {
		c.find(&m.to, "the machine does not keep spindle and feed in step: tap by hand, or give its control rigid_tapping")
	}
	if feed, want := m.feed(s), t.Pitch*s.SpindleSpeed; math.Abs(feed-want) > want*tapFeedSlack {
		c.find(&m.to, "the tap of pitch %s is fed at %.6g mm/min, at %.6g 1/min it needs %.6g: correct F", c.mm(t.Pitch), feed, s.SpindleSpeed, want)
	}
	if m.from.XY() != m.to.XY() {
		c.find(&m.to, "the tap goes sideways on its way through the hole: X and Y have to stay")
		return
	}
	if m.to.Z >= m.from.Z {
		if s.SpindleTurn != geom.CCW {
			c.find(&m.to, "the tap comes up while the spindle turns forward: it tears the thread out")
		}
		return
	}
	if s.SpindleTurn != geom.CW {
		c.find(&m.to, "a right-hand tap goes down while the spindle turns backwards: use M3 and G84")
	}
	w.hole(c, m)
}

// hole holds a tap's way down against the hole that earlier cuts made.
func (w *tappingWatch) hole(c *checker, m *motion) {
	t := &m.tool.tool
	at, core := m.to.XY(), t.Diameter/2-tapCore*t.Pitch/2
	body := section{0, core, 0, core, false, true}
	z := m.to.Z
	if c.mat.touchAt(&body, at, at, z, 0, nil).hit {
		c.find(&m.to, "the tap runs into the bottom of its hole, or there is none: drill a hole down to Z%s first", c.mm(z-tapRoom*t.Pitch))
		return
	}
	// Under the work there is air, or a backing that no chip fills.
	if low := z - tapRoom*t.Pitch; low > c.s.Stock.Bottom() && c.mat.touchAt(&body, at, at, low, 0, nil).hit {
		c.find(&m.to, "less than %s is free under the tap for its chips: drill the hole down to Z%s, or tap less deep", c.mm(tapRoom*t.Pitch), c.mm(low))
	}
	if !c.mat.touch(m, &m.tool.body, 0, nil).hit {
		c.find(&m.to, "the hole is as wide as the tap, which cuts no thread in it: drill it smaller")
	}
}
