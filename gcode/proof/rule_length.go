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
	if m == nil || !c.s.Machine.LengthOffsets {
		return
	}
	s, n := e.State, m.tool.tool.Number
	state := 0
	switch {
	case !m.tool.known:
		if s.LengthOn {
			state = 3
		}
	case !s.LengthOn:
		state = 1
	case s.LengthIndex != n:
		state = 2
	}
	if state == 0 || w.said == [2]int{state, n} {
		if state == 0 {
			w.said = [2]int{}
		}
		return
	}
	w.said = [2]int{state, n}
	switch state {
	case 1:
		c.find(nil, "tool %d moves without its length offset%s: G43 H%d comes first", n, w.off(c), n)
	case 2:
		c.find(nil, "tool %d moves with length offset %d%s: use G43 H%d", n, s.LengthIndex, w.off(c), n)
	case 3:
		c.find(nil, "length offset %d is in force, but the program has loaded no tool of the set-up: T and M6 come first", s.LengthIndex)
	}
}

// off tells how far the tip is from where the program says, if that is known.
func (w *lengthWatch) off(c *checker) string {
	switch {
	case c.dz < 0:
		return ", so that its tip is " + c.mm(-c.dz) + " lower than the program says"
	case c.dz > 0:
		return ", so that its tip is " + c.mm(c.dz) + " higher than the program says"
	}
	return ""
}

var ruleNoLength = Rule{
	Name:     "length-unset",
	Severity: Caution,
	Reason:   "Without a length offset the control places the spindle's nose and not the tool's tip: a tool that is in the spindle already is lower by its length.",
	watch:    func() watcher { return &noLengthWatch{} },
}

type noLengthWatch struct {
	noEnd
	said bool
}

func (w *noLengthWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || w.said || !c.s.Machine.LengthOffsets || e.State.LengthOn || m.from.Z == m.to.Z {
		return
	}
	w.said = true
	c.find(nil, "the height changes before a length offset is in force: load the tool and give G43 with its H before the first move")
}
