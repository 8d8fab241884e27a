package proof

import (
	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleEnvelope = Rule{
	Name:     "envelope",
	Severity: Fault,
	Reason:   "A move beyond the machine's travel ends at a stop or a limit switch, and the place is lost with it.",
	watch:    func() watcher { return &envelopeWatch{} },
}

type envelopeWatch struct{ noEnd }

func (w *envelopeWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil {
		return
	}
	env := c.s.Machine.Envelope
	lo, hi := vec(m.box.Min), vec(m.box.Max)
	if !m.known() {
		lo, hi = vec(m.to), vec(m.to)
	}
	min, max := vec(env.Min), vec(env.Max)
	for i, axis := range [3]string{"X", "Y", "Z"} {
		if m.unknown[i] && vec(m.from)[i] == vec(m.to)[i] {
			continue
		}
		// The machine does not move by less than rounding, so an end on the limit is legal.
		switch {
		case lo[i] < min[i]-geom.Tol:
			c.find(&m.to, "%s goes to %s, the machine's travel ends at %s: move the job or the zero", axis, c.mm(lo[i]), c.mm(min[i]))
		case hi[i] > max[i]+geom.Tol:
			c.find(&m.to, "%s goes to %s, the machine's travel ends at %s: move the job or the zero", axis, c.mm(hi[i]), c.mm(max[i]))
		default:
			continue
		}
		return
	}
}
