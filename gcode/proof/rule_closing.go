package proof

import (
	"math"

	"proofcut/gcode/interp"
)

var ruleClosing = Rule{
	Name:     "closing-arc",
	Severity: Fault,
	Reason:   "An arc whose ends lie closer together than a control resolves ends where it starts once they are rounded, and that is a full circle: the tool goes all the way round instead of next to nowhere.",
	watch:    func() watcher { return closingWatch{} },
}

type closingWatch struct{ noEnd }

func (closingWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || !m.arc || math.Abs(m.sweep) > math.Pi {
		return
	}
	u0, v0, _ := m.split(m.from)
	u1, v1, _ := m.split(m.to)
	if apart := math.Hypot(u1-u0, v1-v0); apart < shortest*(1-rateTol) {
		c.find(&m.to, "this arc ends %s beside its start, and a control that rounds goes all the way round: write a line, or leave the block out", c.mm(apart))
	}
}
