package proof

import (
	"proofcut/gcode"
	"proofcut/gcode/interp"
)

// blockWatcher is a watcher that also looks at the words of blocks, before they
// are executed: what is legal and means something else than it seems to.
type blockWatcher interface {
	watcher
	block(c *checker, w interp.Words, before *interp.State)
}

// numbered is a blockWatcher with the number of its rule.
type numbered struct {
	rule int
	blockWatcher
}

// words takes in the words of a block.
func (c *checker) words(w interp.Words, before *interp.State) {
	// Nothing is wrong with the words of most blocks of a long program.
	if w.Plain() && before.UnitSet && !c.wary {
		return
	}
	for _, b := range c.blocks {
		c.active = b.rule
		b.block(c, w, before)
	}
}

// findWord reports a finding of the active rule at a word of a block that is
// still to be executed.
func (c *checker) findWord(at gcode.Pos, format string, args ...any) {
	f := Finding{Block: at.Line, Line: at.Line, Col: at.Col}
	if c.placed != [3]bool{} {
		v := Vec(c.at)
		f.Position = &v
	}
	c.add(f, format, args)
}
