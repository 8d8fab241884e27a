package proof

import "proofcut/gcode/interp"

var ruleShort = Rule{
	Name:     "short-move",
	Severity: Caution,
	Reason:   "Moves shorter than the control resolves make it stutter and mark the surface.",
	watch:    func() watcher { return &shortWatch{} },
}

// shortest is the shortest move that a control is trusted to resolve: one step
// of 0.001 mm, the finest that programs are written in.
const shortest = 0.001

type shortWatch struct{ noEnd }

func (w *shortWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil || m.rapid || !m.known() || m.length >= shortest*(1-rateTol) {
		return
	}
	c.find(&m.to, "this move at feed rate is %s long, shorter than the control resolves: leave the block out", c.mm(m.length))
}
