package proof

import (
	"strings"

	"proofcut/gcode/interp"
)

var ruleInherited = Rule{
	Name:     "inherited",
	Severity: Fault,
	Reason:   "A state that the program does not set itself is whatever the program before left: inches instead of millimetres, incremental instead of absolute.",
	watch:    func() watcher { return &inheritedWatch{} },
}

type inheritedWatch struct {
	noEnd
	done    bool
	feed    int  // line of an F that was read in the unit of an earlier program
	retract bool // was reported
}

// block looks for an F before the unit and for a cycle before the retract mode.
func (w *inheritedWatch) block(c *checker, b interp.Words, s *interp.State) {
	if b.Has("F") {
		w.feed = 0
		if inverse := b.G(930) || s.InverseTime && !b.G(940); !s.UnitSet && !inverse {
			w.feed = b.Pos().Line
		}
		c.wary = w.feed > 0
	}
	if b.Cycle() && !s.RetractSet && !b.G(980) && !b.G(990) && !w.retract {
		w.retract = true
		c.findWord(b.Pos(), "how high the cycle retracts is left by an earlier program: set G98 or G99 before it")
	}
}

func (w *inheritedWatch) see(c *checker, e *interp.Event, m *motion) {
	if m != nil && !m.rapid && w.feed > 0 {
		c.find(nil, "the feed of line %d was read in the unit that an earlier program left: give F in a block after G20 or G21", w.feed)
		w.feed, c.wary = 0, false
	}
	if w.done || m == nil {
		return
	}
	w.done = true
	var missing []string
	for _, q := range []struct {
		set  bool
		text string
	}{
		{e.State.UnitSet, "the unit (G20 or G21)"},
		{e.State.PlaneSet, "the plane (G17, G18 or G19)"},
		{e.State.DistSet, "the distance mode (G90)"},
		{e.State.ModeSet, "the feed mode (G94)"},
		{e.State.CompSet, "the radius compensation (G40)"},
		{e.State.SystemSet, "the work system (G54)"},
	} {
		if !q.set {
			missing = append(missing, q.text)
		}
	}
	if len(missing) > 0 {
		c.find(nil, "the first motion relies on what an earlier program left: set %s before it", strings.Join(missing, " and "))
	}
}
