package proof

import "proofcut/gcode/interp"

var ruleLength = Rule{
	Name:     "length-offset",
	Severity: Fault,
	Reason:   "Without its own length offset a tool runs as if it had the length of another and cuts too deep or crashes.",
	watch:    func() watcher { return &lengthWatch{} },
}

type lengthWatch struct {
	noEnd
	said [2]int // what was reported last: state and tool
}

func (w *lengthWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || !c.s.Machine.LengthOffsets || !m.tool.known {
		return
	}
	s, n := e.State, m.tool.tool.Number
	state := 0
	switch {
	case !s.LengthOn:
		state = 1
	case s.LengthIndex != n:
		state = 2
	}
	// Rising to the clear height before the offset is set does no harm.
	harmless := m.rapid && m.from.X == m.to.X && m.from.Y == m.to.Y && m.to.Z >= c.s.ClearZ-roundTol
	if state == 0 || harmless || w.said == [2]int{state, n} {
		if state == 0 {
			w.said = [2]int{}
		}
		return
	}
	w.said = [2]int{state, n}
	if state == 1 {
		c.find(nil, "tool %d moves without its length offset: G43 H%d comes first", n, n)
		return
	}
	c.find(nil, "tool %d moves with length offset %d: use G43 H%d", n, s.LengthIndex, n)
}
