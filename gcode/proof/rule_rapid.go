package proof

import (
	"math"

	"proofcut/gcode/interp"
)

var ruleRapid = Rule{
	Name:     "rapid-in-material",
	Severity: Fault,
	Reason:   "A rapid that meets material breaks the cutter and moves the work.",
	watch:    func() watcher { return &rapidWatch{} },
}

type rapidWatch struct{ noEnd }

func (w *rapidWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil || !m.rapid || !m.known() || m.box.Min.Z >= c.mat.top {
		return
	}
	if m.up() {
		return
	}
	if c.s.Machine.DogLegRapids && m.crosswise() {
		z := m.box.Min.Z
		if k := c.mat.higher(m.box.XY(), m.tool.reach(c.mat.top-z), z); k.hit {
			c.find(&m.to, "on the way of this rapid, whose axes run at rates of their own, material stands %s above the tip at X%s Y%s: rise first",
				c.mm(k.above), c.mm(k.at.X), c.mm(k.at.Y))
		}
		return
	}
	if k := c.touch(m, func(*section) bool { return true }); k.hit {
		c.find(&m.to, "the rapid meets material %s above the tool's surface at X%s Y%s: rise first or go there at feed rate",
			c.mm(k.above), c.mm(k.at.X), c.mm(k.at.Y))
	}
}

// up reports whether the tool rises straight up: it then leaves through the
// space that it fills itself.
func (m *motion) up() bool {
	return !m.arc && m.from.X == m.to.X && m.from.Y == m.to.Y && m.to.Z >= m.from.Z
}

// touch looks for material that any of the chosen sections of the tool meets.
func (c *checker) touch(m *motion, which func(*section) bool) contact {
	body := &m.tool.body
	if m.tool.known && which(body) {
		if k := c.mat.touch(m, body, 0, nil); k.hit {
			return k
		}
	}
	for i := range m.tool.sections {
		s := &m.tool.sections[i]
		if !which(s) {
			continue
		}
		if k := c.mat.touch(m, s, 0, nil); k.hit {
			return k
		}
	}
	return contact{}
}

var ruleBody = Rule{
	Name:     "shank-in-material",
	Severity: Fault,
	Reason:   "Shank and holder do not cut: where they meet material they rub, burn and push the tool aside.",
	watch:    func() watcher { return &bodyWatch{} },
}

type bodyWatch struct{ noEnd }

// relief is how much thinner than the flutes a shank has to be to count as
// clear of the wall that they leave (common practice, no source).
const relief = 0.02

func (w *bodyWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil || m.rapid || !m.known() || !m.tool.known {
		return
	}
	cutter := m.tool.body.wide()
	for i := range m.tool.sections {
		s := &m.tool.sections[i]
		if s.cuts || m.box.Min.Z+s.h0 >= c.mat.top {
			continue
		}
		grow := 0.0
		if s.wide() > cutter-relief {
			grow = 2*c.mat.half + looseXY
		}
		if k := c.mat.touch(m, s, grow, nil); k.hit {
			c.find(&m.to, "the tool's shank or holder meets material at X%s Y%s: it begins %s above the tip, the material reaches %s higher; use a longer flute or cut less deep",
				c.mm(k.at.X), c.mm(k.at.Y), c.mm(s.h0), c.mm(math.Max(0, k.above)))
			return
		}
	}
}
