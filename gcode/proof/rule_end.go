package proof

import (
	"math"
	"strings"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleEnd = Rule{
	Name:     "safe-end",
	Severity: Fault,
	Reason:   "Whoever reaches in after the last block trusts that the spindle stands, the tool is up and nothing is left in force for the next program.",
	watch:    func() watcher { return &endWatch{} },
}

type endWatch struct{ noEnd }

// percentEnd is the Code of a program that ends at its closing percent sign.
const percentEnd = -1

func (w *endWatch) see(c *checker, e *interp.Event, _ *motion) {
	if e.Kind != interp.ProgramEnd {
		return
	}
	s := e.State
	var wrong []string
	add := func(bad bool, text string) {
		if bad {
			wrong = append(wrong, text)
		}
	}
	add(e.Code == percentEnd, "there is no M2 or M30")
	add(s.SpindleTurn != geom.Straight, "the spindle turns (M5 is missing)")
	add(s.Mist || s.Flood, "coolant runs (M9 is missing)")
	add(math.IsNaN(c.at[2]) || c.at[2] < c.s.ClearZ-roundTol, "the tool is not at the clear height Z"+c.mm(c.s.ClearZ))
	add(s.CompSide != geom.Straight, "radius compensation is on (G40 is missing)")
	add(s.LengthOn && !c.s.Machine.LengthOffsets, "a length offset is on (G49 is missing)")
	add(s.LengthOn && c.s.Machine.LengthOffsets && s.LengthIndex != s.Tool, "the length offset is not that of the tool in the spindle")
	add(s.OffsetOn, "G92 offsets are on (G92.1 is missing)")
	add(s.Relative, "incremental distances are on (G90 is missing)")
	add(s.InverseTime, "inverse time feed is on (G94 is missing)")
	add(s.System > 1, "another work system than G54 is in force")
	if len(wrong) > 0 {
		c.find(nil, "at the end of the program %s", strings.Join(wrong, "; "))
	}
}
