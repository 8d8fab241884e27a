package proof

import (
	"proofcut/gcode/interp"
)

// The control places a point of the spindle and reckons with the length offset
// that the program has chosen; the tip hangs below it by the length of the tool
// that is really there. Where the set-up gives the lengths of the tool table the
// proof follows the tip itself, also under a wrong offset and after a tool
// change. Where it does not, only a tool under its own offset is where the
// program says, and its height has to be chosen anew after each change.

// length is what the height of the tip depends on beside the Z of the program.
type length struct {
	tool, index int
	on          bool
	offset      bool // the length that is in force is known
}

func (c *checker) lengthOf(s *interp.State) length {
	return length{s.Tool, s.LengthIndex, s.LengthOn, c.offsetKnown(s)}
}

// offsetKnown reports whether the set-up knows the length offset in force.
func (c *checker) offsetKnown(s *interp.State) bool {
	if !s.LengthOn || s.LengthIndex == 0 {
		return true
	}
	a, ok := c.tools[s.LengthIndex]
	return ok && a.tool.Length != nil
}

// drop returns by how much the tip of a tool is higher than the program says
// under the offset in force, negative where it is lower. Where that is not known
// it is taken for 0 and ok is false.
func (c *checker) drop(s *interp.State, tool int) (dz float64, ok bool) {
	if !c.s.Machine.LengthOffsets {
		return 0, true
	}
	a, found := c.tools[tool]
	switch {
	case !found:
		return 0, false
	case s.LengthOn && s.LengthIndex == tool:
		return 0, true
	case a.tool.Length == nil || !c.offsetKnown(s):
		return 0, false
	}
	return s.LengthOffset - *a.tool.Length, true
}

// reckon brings what is known of the tip's height up to date before a motion and
// moves the motion to where the tip really is.
func (c *checker) reckon(e *interp.Event, m *motion) {
	dz, known := c.drop(e.State, c.toolNumber(e))
	l := c.lengthOf(e.State)
	// The machine has not moved, and a height that was known still is.
	kept := known && c.s.Machine.LengthOffsets && c.length.offset && l.offset
	if l != c.length && !kept {
		c.placed[2] = false
	}
	c.length = l
	c.dz = dz
	if dz != 0 {
		m.raise(dz)
	}
	for i := range m.unknown {
		m.unknown[i] = !c.placed[i]
		c.placed[i] = e.State.Placed[i] || i == 2 && kept && c.placed[i]
	}
}

// hanging returns the height of the tip of a tool of the set-up if it hung in the
// spindle where that is now.
func (c *checker) hanging(e *interp.Event, tool int) (z float64, ok bool) {
	dz, ok := c.drop(e.State, tool)
	if !ok || !c.s.Machine.LengthOffsets || !c.placed[2] || !c.length.offset || !c.offsetKnown(e.State) {
		return 0, false
	}
	return e.From.Z + dz, true
}

// raise moves the motion up.
func (m *motion) raise(dz float64) {
	m.from.Z += dz
	m.to.Z += dz
	m.centre.Z += dz
	m.box.Min.Z += dz
	m.box.Max.Z += dz
}
