package proof

import (
	"math"

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
}
