package proof

import (
	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

var ruleWords = Rule{
	Name:     "machine-word",
	Severity: Fault,
	Reason:   "A word that the machine does not have stops it in the middle of a job, or is skipped without a word.",
	watch:    func() watcher { return &wordsWatch{} },
}

type wordsWatch struct {
	noEnd
	mist, flood, length, comp bool
}

func (w *wordsWatch) see(c *checker, e *interp.Event, _ *motion) {
	mc, s := &c.s.Machine, e.State
	if mc.ToolChange == setup.NoToolChange {
		switch e.Kind {
		case interp.ToolSelect:
			c.find(nil, "T selects a tool, but the machine has no tool change: remove the word")
		case interp.ToolChange:
			c.find(nil, "M6 changes the tool, but the machine has no tool change: split the program at the tools")
		}
	}
	// The first action under each state is reported, not every block after it.
	if on := s.Mist; on != w.mist {
		if w.mist = on; on && !mc.Mist {
			c.find(nil, "M7 switches mist on, but the machine has none: remove the word")
		}
	}
	if on := s.Flood; on != w.flood {
		if w.flood = on; on && !mc.Flood {
			c.find(nil, "M8 switches flood on, but the machine has none: remove the word")
		}
	}
	if on := s.LengthOn; on != w.length {
		if w.length = on; on && !mc.LengthOffsets {
			c.find(nil, "G43 is in force, but the machine keeps no tool table: remove the word")
		}
	}
	if on := s.CompSide != geom.Straight; on != w.comp {
		if w.comp = on; on && !mc.LengthOffsets {
			c.find(nil, "G41 or G42 is in force, but the machine keeps no tool table to take the diameter from: write the path of the tool's axis")
		}
	}
}
