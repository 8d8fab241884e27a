package proof

import "proofcut/gcode/interp"

var rulePath = Rule{
	Name:     "path-control",
	Severity: Caution,
	Reason:   "Under G64 a control rounds corners by as much as its settings allow; sizes and clearances hold only for the path that is programmed.",
	watch:    func() watcher { return &pathWatch{} },
}

type pathWatch struct {
	noEnd
	said bool
}

func (w *pathWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || m.rapid || e.State.Path != interp.Continuous {
		w.said = w.said && e.State.Path == interp.Continuous
		return
	}
	if !w.said {
		w.said = true
		c.find(&m.to, "the tool is fed under G64, which may leave the path at corners: use G61 where size or clearance matters")
	}
}
