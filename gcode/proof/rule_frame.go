package proof

import "proofcut/gcode/interp"

var ruleFrame = Rule{
	Name:     "unknown-position",
	Severity: Fault,
	Reason:   "The set-up is measured in the work system G54 without offsets; at a home, under another system or under offsets nothing proven about places holds.",
	watch:    func() watcher { return &frameWatch{} },
}

type frameWatch struct {
	noEnd
	system int
	offset bool
}

func (w *frameWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil {
		return
	}
	if s := e.State.System; s != w.system {
		if w.system = s; s > 1 {
			c.find(nil, "work system %d is in force, but the set-up gives places in G54 only: use G54", s)
		}
	}
	if on := e.State.OffsetOn; on != w.offset {
		if w.offset = on; on {
			c.find(nil, "G92 offsets are in force: where the tool is in the set-up is not known; remove G92 and set the zero in G54")
		}
	}
	if e.Kind == interp.Probe && c.s.Probing == nil {
		c.find(nil, "G38.2 ends where the probe touches, which no proof can know: probe in a program of its own")
	}
}
