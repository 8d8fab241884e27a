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
	if b, ok := m.beyond(c.s.Machine.Envelope, true); ok {
		c.find(&m.to, "%s goes to %s, the machine's travel ends at %s: move the job or the zero", axisNames[b.axis], c.mm(b.to), c.mm(b.limit))
	}
}

var axisNames = [3]string{"X", "Y", "Z"}

// excess is where a motion leaves a block.
type excess struct {
	axis      int
	to, limit float64
}

// beyond returns the first axis in which the motion leaves a block; heights are
// looked at when asked for. The motion's own block holds every way that a rapid
// may take.
func (m *motion) beyond(block geom.Box3, heights bool) (excess, bool) {
	lo, hi := vec(m.box.Min), vec(m.box.Max)
	if !m.known() {
		lo, hi = vec(m.to), vec(m.to)
	}
	from, to, min, max := vec(m.from), vec(m.to), vec(block.Min), vec(block.Max)
	for i := range axisNames {
		if m.unknown[i] && from[i] == to[i] || i == 2 && !heights {
			continue
		}
		// The machine does not move by less than rounding, so an end on the limit is legal.
		switch {
		case lo[i] < min[i]-geom.Tol:
			return excess{i, lo[i], min[i]}, true
		case hi[i] > max[i]+geom.Tol:
			return excess{i, hi[i], max[i]}, true
		}
	}
	return excess{}, false
}
