package drawing

import (
	"fmt"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Title is what the title block says beside what set-up and moves tell.
type Title struct {
	Job     string
	Program string // name of the program's file
	Proven  bool
	Notes   []string // further lines, such as cautions of the proof
}

// Drawing collects the moves of one program.
type Drawing struct {
	title  Title
	set    *setup.Setup
	feeds  moves
	rapids moves
	tools  []int // in order of first use

	moved      bool
	start, end geom.Point3
	err        error
}

// New returns an empty drawing of a set-up, which is read and kept.
func New(s *setup.Setup, title Title) *Drawing {
	return &Drawing{title: title, set: s}
}

// Proven changes what the title block says of the proof, whose outcome is known
// only when all motions are through.
func (d *Drawing) Proven(yes bool) { d.title.Proven = yes }

// Note adds a line to the title block.
func (d *Drawing) Note(text string) { d.title.Notes = append(d.title.Notes, text) }

// Add draws one action of the interpreter; what is no motion is left out. The
// event is not kept. Motions that are not finite numbers are reported by
// WriteSVG.
func (d *Drawing) Add(ev *interp.Event) {
	switch ev.Kind {
	case interp.Traverse, interp.Feed, interp.Arc, interp.Probe:
	default:
		return
	}
	if !ev.From.Finite() || !ev.To.Finite() || ev.Kind == interp.Arc && !ev.Centre.Finite() {
		if d.err == nil {
			d.err = fmt.Errorf("drawing: block %d: a motion is not finite", ev.Block)
		}
		return
	}
	if !d.moved {
		d.start, d.moved = ev.From, true
	}
	d.end = ev.To
	if ev.Kind == interp.Traverse {
		d.rapids.add(move{a: ev.From.XY(), b: ev.To.XY()})
		return
	}
	tool := d.toolOf(ev)
	d.use(tool)
	for _, m := range d.belowFace(ev, plan(ev)) {
		m.tool = tool
		d.feeds.add(m)
	}
}

// toolOf returns the tool in the spindle: the program's own, or the only one
// of a machine that knows no tool words.
func (d *Drawing) toolOf(ev *interp.Event) int {
	if ev.State != nil && ev.State.Tool != 0 {
		return ev.State.Tool
	}
	if d.set.Machine.ToolChange == setup.NoToolChange && len(d.set.Tools) == 1 {
		return d.set.Tools[0].Number
	}
	return 0
}

func (d *Drawing) use(tool int) {
	for _, t := range d.tools {
		if t == tool {
			return
		}
	}
	d.tools = append(d.tools, tool)
}
