package proof

import (
	"math"
	"strconv"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

var ruleTool = Rule{
	Name:     "tool",
	Severity: Fault,
	Reason:   "Clearances and sizes hold for the tool that the set-up describes; another tool in the spindle cuts something else.",
	watch:    func() watcher { return &toolWatch{} },
}

type toolWatch struct {
	noEnd
	said bool
}

func (w *toolWatch) see(c *checker, e *interp.Event, m *motion) {
	switch e.Kind {
	case interp.ToolSelect, interp.ToolChange:
		n := e.State.Selected
		if e.Kind == interp.ToolChange {
			w.change(c, e)
		}
		if _, ok := c.tools[n]; !ok && n != 0 && e.Kind == interp.ToolChange {
			c.find(nil, "tool %d is not in the set-up: load a tool that it describes", n)
		}
		w.said = false
	}
	if m == nil || m.rapid || m.tool.known || w.said {
		return
	}
	w.said = true
	if c.s.Machine.ToolChange == setup.NoToolChange {
		c.find(nil, "the machine has no tool change and the set-up describes %d tools: describe the one that is in the spindle", len(c.tools))
		return
	}
	c.find(nil, "a move at feed rate before a tool of the set-up is loaded: T and M6 come first")
}

// change checks the state in which a tool is changed.
func (w *toolWatch) change(c *checker, e *interp.Event) {
	if e.State.SpindleTurn != geom.Straight {
		c.find(nil, "the tool is changed while the spindle turns: M5 comes first")
	}
	// Before the first motion the tool is where the operator has put it.
	if z := c.at[2]; c.motions > 0 && (math.IsNaN(z) || z < c.s.ClearZ-roundTol) {
		c.find(nil, "the tool is changed below the clear height: go to Z%s or above first", c.mm(c.s.ClearZ))
	}
	w.room(c, e)
}

// room checks that the tool that comes has room where it is loaded. The axes
// end where they were before the change (NISTIR 6556, section 3.6.3, from memory).
func (w *toolWatch) room(c *checker, e *interp.Event) {
	n := e.State.Selected
	z, ok := c.hanging(e, n)
	if !ok {
		return
	}
	rise := c.s.Stock.Top - z
	over := "the stock"
	for _, p := range c.prisms {
		if !math.IsNaN(c.at[0]) && !math.IsNaN(c.at[1]) {
			var m motion
			at := geom.Pt3(c.at[0], c.at[1], z)
			m.set(&interp.Event{From: at, To: at}, c.tools[n])
			if p.distance(&m) >= p.zone.Clearance-clearTol {
				continue
			}
		} else if c.tools[n].gap(0, p.zone.Bottom-z, p.zone.Top-z) >= p.zone.Clearance {
			continue
		}
		if r := p.zone.Top + p.zone.Clearance - z; r > rise {
			rise, over = r, "zone "+strconv.Quote(p.zone.Name)
		}
	}
	if rise > roundTol {
		c.find(nil, "the tip of tool %d would be at Z%s where it is loaded, too low over %s: rise by %s before M6", n, c.mm(z), over, c.mm(rise))
	}
	c.at[2] = z
}
