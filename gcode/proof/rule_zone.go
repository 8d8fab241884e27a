package proof

import (
	"math"

	"proofcut/gcode/interp"
)

var ruleZone = Rule{
	Name:     "zone",
	Severity: Fault,
	Reason:   "A screw, a jaw or a crack nearer to the tool than its clearance means a broken cutter or a spoilt piece.",
	watch:    func() watcher { return &zoneWatch{} },
}

type zoneWatch struct{ noEnd }

func (w *zoneWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || !m.known() {
		return
	}
	loose := m.rapid && c.s.Machine.DogLegRapids && m.crosswise()
	stray := c.stray(e.State)
	for _, z := range c.prisms {
		if b := z.bound(m) - stray; b >= z.least && b >= z.zone.Clearance {
			continue
		}
		d := 0.0
		if loose {
			d = z.dogLeg(m)
		} else {
			d = z.distance(m)
		}
		d = math.Max(0, d-stray)
		if d < z.least {
			z.least, z.block, z.line = d, e.Block, e.Pos.Line
		}
		if d < z.zone.Clearance-clearTol {
			c.find(&m.to, "the tool comes %s near to zone %q, which needs %s: move the cut or raise the tool", c.mm(d), z.zone.Name, c.mm(z.zone.Clearance))
		}
	}
}

// clearTol lets a motion keep a clearance to the letter: it is the bracket of
// the distance and rounding in floating point, not of the program.
const clearTol = 2 * gapTol

// crosswise reports whether more than one axis moves.
func (m *motion) crosswise() bool {
	n := 0
	for i, a := range vec(m.from) {
		if a != vec(m.to)[i] {
			n++
		}
	}
	return n > 1
}
