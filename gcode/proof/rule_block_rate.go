package proof

import (
	"math"

	"proofcut/gcode"
	"proofcut/gcode/interp"
)

var ruleBlockRate = Rule{
	Name:     "block-rate",
	Severity: Caution,
	Reason:   "Blocks that are over before the control has read the next ones leave it without a move: the feed stutters and the tool dwells in the cut.",
	watch:    func() watcher { return &blockRateWatch{} },
}

// readAhead is how many blocks in a row may be too short before they count: what
// a small control keeps read in advance (common practice, no source).
const readAhead = 16

// blockRateWatch counts blocks at feed rate that follow each other and take
// less time than the control takes for one.
type blockRateWatch struct {
	block   int     // the one being added up, 0: none
	seconds float64 // of its moves

	n      int // blocks in the present run
	least  float64
	first  int
	pos    gcode.Pos
	place  Vec
	opened struct { // where the block being added up stands
		pos   gcode.Pos
		place Vec
	}
}

func (w *blockRateWatch) see(c *checker, e *interp.Event, m *motion) {
	rate := c.s.Machine.BlockRate
	if rate <= 0 || m == nil && e.Kind == interp.Message {
		return // a comment is no pause
	}
	if m == nil || m.rapid || !m.known() {
		w.close(c)
		w.report(c)
		return
	}
	if e.Block != w.block {
		w.close(c)
		w.block, w.seconds = e.Block, 0
		w.opened.pos, w.opened.place = e.Pos, vec(m.to)
	}
	feed := math.Min(m.feed(e.State), c.s.Machine.FeedMax)
	if feed <= 0 {
		w.seconds = math.Inf(1) // another rule reports it
		return
	}
	w.seconds += m.length / feed * 60
}

// close takes the block that is over into the run, or ends the run with it.
func (w *blockRateWatch) close(c *checker) {
	if w.block == 0 {
		return
	}
	if w.seconds*c.s.Machine.BlockRate >= 1-rateTol {
		w.report(c)
	} else {
		if w.n == 0 {
			w.first, w.pos, w.place, w.least = w.block, w.opened.pos, w.opened.place, w.seconds
		}
		w.n++
		w.least = math.Min(w.least, w.seconds)
	}
	w.block = 0
}

// report ends the run.
func (w *blockRateWatch) report(c *checker) {
	n := w.n
	w.n = 0
	if n <= readAhead {
		return
	}
	at, rate := w.place, c.s.Machine.BlockRate
	c.add(Finding{Block: w.first, Line: w.pos.Line, Col: w.pos.Col, Position: &at},
		"%d blocks in a row from here take less than the %.3g ms that the control needs for one, the shortest %.3g ms: lower F or cut with longer moves",
		[]any{n, 1000 / rate, 1000 * w.least})
}

func (w *blockRateWatch) end(c *checker) {
	w.close(c)
	w.report(c)
}
