package proof

import (
	"proofcut/gcode/interp"
)

var ruleEntered = Rule{
	Name:     "part-entered",
	Severity: Fault,
	Reason:   "A cut round one part that strays into another is inside what the first one's feature allows; the other part is scrap all the same.",
	watch:    func() watcher { return &enteredWatch{} },
}

type enteredWatch struct{ noEnd }

func (w *enteredWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil || !m.known() || !m.tool.known || m.box.Min.Z >= c.s.Stock.Top-roundTol || m.rapid && m.up() {
		return
	}
	pieces := c.pieces()
	if len(pieces) == 0 {
		return
	}
	if v := c.legal(m); v.kind != cutsLegally {
		return // another rule reports it
	}
	r := m.tool.reach(c.s.Stock.Top - m.box.Min.Z)
	for _, p := range pieces {
		if !p.near(m, r) || c.covered != nil && !p.round[c.covered.number] {
			continue
		}
		in := p.ground.trespass(m, m.tool.tool.Number)
		if !in.found || in.by <= p.tol || !c.mat.touch(m, &m.tool.body, 0, nil).hit {
			continue
		}
		at := m.at(in.t)
		c.find(&at, "the tool cuts %s into part %q, which no feature allows: move the cut, or the parts apart", c.mm(in.by), p.part.Name)
		return
	}
}
