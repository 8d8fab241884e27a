package proof

import (
	"fmt"

	"proofcut/gcode/interp"
)

var rulePath = Rule{
	Name:     "path-control",
	Severity: Caution,
	Reason:   "Under G64, which an earlier program may have left, a control rounds corners by as much as its settings allow; sizes and clearances hold only for the path that is programmed.",
	watch:    func() watcher { return &pathWatch{} },
}

// stray is how far the control may leave the programmed path in a state: what
// the machine is known to do where it is not told to keep to the path.
func (c *checker) stray(s *interp.State) float64 {
	if s.Path == interp.ExactPath || s.Path == interp.ExactStop {
		return 0
	}
	return c.s.Machine.CornerDeviation
}

type pathWatch struct {
	noEnd
	said interp.PathMode
	any  bool
}

func (w *pathWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || m.rapid || c.s.Machine.NoPathModes && c.s.Machine.CornerDeviation == 0 {
		return
	}
	mode := e.State.Path
	if w.any && mode == w.said {
		return
	}
	w.any, w.said = true, mode
	far := "at corners"
	if d := c.s.Machine.CornerDeviation; d > 0 {
		far = fmt.Sprintf("by %s at corners", c.mm(d))
	}
	switch {
	case c.s.Machine.NoPathModes:
		c.find(&m.to, "the control may leave the path %s and knows no word against it: corners come out rounded by that", far)
	case mode == interp.Continuous:
		c.find(&m.to, "the tool is fed under G64, which may leave the path %s: use G61 where size or clearance matters", far)
	case mode == interp.PathUnset:
		c.find(&m.to, "whether the control keeps to the path is left by an earlier program; after a G64 it may leave it %s: set G61 before the first feed", far)
	}
}
