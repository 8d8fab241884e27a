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
	done bool
}

func (w *inheritedWatch) see(c *checker, e *interp.Event, m *motion) {
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
	} {
		if !q.set {
			missing = append(missing, q.text)
		}
	}
	if len(missing) > 0 {
		c.find(nil, "the first motion relies on what an earlier program left: set %s before it", strings.Join(missing, " and "))
	}
}
