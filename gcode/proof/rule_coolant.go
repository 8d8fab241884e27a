package proof

import (
	"proofcut/gcode/interp"
	"proofcut/paths/setup"
)

var ruleCoolant = Rule{
	Name:     "coolant",
	Severity: Fault,
	Reason:   "A cut that is planned with coolant and runs dry welds its chips to the cutter, which breaks or spoils the face.",
	watch:    func() watcher { return &coolantWatch{} },
}

type coolantWatch struct {
	noEnd
	ready       bool
	mist, flood bool // some feature asks for it
	said        bool
	on          [2]bool // when it was said
}

func (w *coolantWatch) see(c *checker, e *interp.Event, m *motion) {
	if !w.ready {
		w.ready = true
		for _, f := range c.ground.features {
			w.mist = w.mist || f.Coolant == setup.Mist
			w.flood = w.flood || f.Coolant == setup.Flood
		}
	}
	s := e.State
	if w.on != [2]bool{s.Mist, s.Flood} {
		w.on, w.said = [2]bool{s.Mist, s.Flood}, false
	}
	// In the common case all that any feature asks for is on.
	if m == nil || w.said || (s.Mist || !w.mist) && (s.Flood || !w.flood) {
		return
	}
	list := c.owners(m)
	for _, f := range list {
		if !f.dry(s) {
			return
		}
	}
	if len(list) == 0 || !c.mat.touch(m, &m.tool.body, 0, nil).hit {
		return
	}
	w.said = true // the same mistake, reported at its first block
	word, name := "M7", "mist"
	if list[0].Coolant == setup.Flood {
		word, name = "M8", "flood"
	}
	c.find(&m.to, "the tool cuts %q, which asks for %s, while that is off: %s comes first", list[0].Name, name, word)
}

// dry reports whether the feature asks for a coolant that is off.
func (f *feature) dry(s *interp.State) bool {
	return f.Coolant == setup.Mist && !s.Mist || f.Coolant == setup.Flood && !s.Flood
}
