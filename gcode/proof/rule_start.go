package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleStart = Rule{
	Name:     "start",
	Severity: Fault,
	Reason:   "Where the tool stands when the program is started is not known; it has to rise clear of everything before it moves sideways.",
	watch:    func() watcher { return &startWatch{} },
}

type startWatch struct{ noEnd }

func (w *startWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || m.known() {
		return
	}
	clear := c.s.ClearZ - roundTol
	moves := [3]bool{m.from.X != m.to.X, m.from.Y != m.to.Y, m.from.Z != m.to.Z}
	at := Vec{math.NaN(), math.NaN(), math.NaN()}
	for i, z := range vec(m.to) {
		if !m.unknown[i] || moves[i] {
			at[i] = z
		}
	}
	switch {
	case e.State.Relative:
		c.findAt(&at, "an incremental move from a place that is not known: go to an absolute place first")
	case !m.rapid:
		c.findAt(&at, "a move at feed rate from a place that is not known: first G0 to Z%s or above, then to X and Y", c.mm(c.s.ClearZ))
	case m.unknown[2] && (moves[0] || moves[1]):
		c.findAt(&at, "the tool moves in X or Y before its height is known: first G0 to Z%s or above, alone", c.mm(c.s.ClearZ))
	case m.unknown[2] && moves[2] && m.to.Z < clear:
		c.findAt(&at, "the first move goes to Z%s, below the clear height: go to Z%s or above", c.mm(m.to.Z), c.mm(c.s.ClearZ))
	case !m.unknown[2] && math.Min(m.from.Z, m.to.Z) < clear:
		c.findAt(&at, "the tool is at Z%s, below the clear height Z%s, while its X or Y is not known: rise before", c.mm(math.Min(m.from.Z, m.to.Z)), c.mm(c.s.ClearZ))
	case !m.unknown[2] && (moves[0] || moves[1]):
		// The way to the first place may lead over any zone.
		for _, z := range c.prisms {
			low := math.Min(m.from.Z, m.to.Z)
			if d := m.tool.gap(0, z.zone.Bottom-low, z.zone.Top-low); d < z.zone.Clearance {
				c.findAt(&at, "from a place that is not known the tool may pass %s over zone %q, which needs %s: raise the clear height",
					c.mm(d), z.zone.Name, c.mm(z.zone.Clearance))
			}
		}
	}
}

// known reports whether the motion's start is known in all axes.
func (m *motion) known() bool { return m.unknown == [3]bool{} }

// nowhere is where the interpreter is told that the tool stands at the start:
// a place that no program names, so that an axis still there was never moved.
var nowhere = geom.Pt3(-987654.320915, -987654.320915, -987654.320915)
