package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleFeedUnit = Rule{
	Name:     "feed-unit",
	Severity: Caution,
	Reason:   "By the published order of execution an F is read before a G20 or G21 of its block, in the old unit; many controls read it in the new one, 25.4 times off.",
	watch:    func() watcher { return &feedUnitWatch{} },
}

type feedUnitWatch struct{ noEnd }

func (*feedUnitWatch) see(*checker, *interp.Event, *motion) {}

func (*feedUnitWatch) block(c *checker, w interp.Words, s *interp.State) {
	inch := w.G(200)
	if !w.Has("F") || !s.UnitSet || s.InverseTime || !inch && !w.G(210) || inch == s.Inch {
		return
	}
	c.findWord(w.At('F'), "F stands in the block that changes the unit and is read in the old one: give F in a block after it")
}

var ruleOverride = Rule{
	Name:     "override-off",
	Severity: Caution,
	Reason:   "M49 takes the override knobs from the operator, who then cannot slow down a cut that sounds wrong.",
	watch:    func() watcher { return &overrideWatch{} },
}

type overrideWatch struct{ noEnd }

func (*overrideWatch) see(*checker, *interp.Event, *motion) {}

func (*overrideWatch) block(c *checker, w interp.Words, _ *interp.State) {
	if w.M(49) {
		c.findWord(w.At('M'), "M49 switches the overrides off: leave it out, or write M48 after the block that needs it")
	}
}

var ruleDwell = Rule{
	Name:     "dwell",
	Severity: Caution,
	Reason:   "The P of a dwell counts seconds on one control and milliseconds on another, and some take an X in its block for the time: the machine stands for hours, or moves.",
	watch:    func() watcher { return &dwellWatch{} },
}

// longDwell is the longest dwell that is taken for meant: a minute (common
// practice, no source).
const longDwell = 60.0

type dwellWatch struct{ noEnd }

func (*dwellWatch) see(c *checker, e *interp.Event, _ *motion) {
	if e.Kind != interp.Dwell || e.Seconds <= longDwell {
		return
	}
	unit, key := "seconds", "milliseconds"
	if c.s.Machine.Practice.DwellMilliseconds {
		unit, key = "milliseconds", "seconds"
	}
	c.find(nil, "the dwell takes %.6g s, its P counts %s: shorten it, or write 'dwell: %s' in the machine's control", e.Seconds, unit, key)
}

func (*dwellWatch) block(c *checker, w interp.Words, _ *interp.State) {
	if w.G(40) && w.Has("XYZ") {
		c.findWord(w.Pos(), "a dwell and a move stand in one block, and some controls take the axis word for the time: put them on two blocks")
	}
}

var ruleRepeat = Rule{
	Name:     "repeat-in-place",
	Severity: Caution,
	Reason:   "Under G90 the repeats of a cycle all go to the same place: a G91 was forgotten, or the hole is cut again and again.",
	watch:    func() watcher { return &repeatWatch{} },
}

type repeatWatch struct{ noEnd }

func (*repeatWatch) see(*checker, *interp.Event, *motion) {}

func (*repeatWatch) block(c *checker, w interp.Words, s *interp.State) {
	if n := w.Value('L'); w.Cycle() && n > 1 && !w.G(910) && (w.G(900) || !s.Relative) {
		c.findWord(w.At('L'), "the cycle is repeated %.6g times at the same place: write G91 for a row of holes, or leave L out", n)
	}
}

var ruleRadiusArc = Rule{
	Name:     "radius-arc",
	Severity: Caution,
	Reason:   "Near a half or a full circle the place of an arc in radius format depends on digits that the program does not have.",
	watch:    func() watcher { return &radiusArcWatch{} },
}

// radiusArcShift is how far a change of half the last digit may move an arc in
// radius format: the size tolerance that fine work asks for.
const radiusArcShift = 0.01

type radiusArcWatch struct {
	noEnd
	radius bool // the block has an R
}

func (w *radiusArcWatch) block(_ *checker, b interp.Words, _ *interp.State) {
	code, _ := b.Motion()
	w.radius = (code == 20 || code == 30) && b.Has("R")
}

func (w *radiusArcWatch) see(c *checker, e *interp.Event, m *motion) {
	if e.Kind != interp.Arc || !w.radius {
		return
	}
	w.radius = false
	if e.State.CompSide != geom.Straight {
		return // the arc of the tool is another one
	}
	digit := 0.001 // the finest that programs are written in, and half of it is rounding
	if e.State.Inch {
		digit = 0.0001 * 25.4
	}
	// The middle of the arc lies r - h from the middle of its chord 2 c, r + h on
	// more than half a circle, with h^2 = r^2 - c^2. A change d of r moves it by
	// d r/h beside d, by sqrt(2 d r) at most where h is nothing; a change of one
	// end turns it about the other.
	u0, v0, _ := m.split(m.from)
	u1, v1, _ := m.split(m.to)
	half := math.Hypot(u1-u0, v1-v0) / 2
	height := math.Sqrt(math.Max(0, (m.radius-half)*(m.radius+half)))
	far, d, shift := m.radius-height, digit/2, math.Sqrt(digit*m.radius)
	if height > 0 {
		shift = math.Min(shift, d*(m.radius/height-1))
	}
	if e.Sweep > math.Pi {
		far = m.radius + height
		shift += 2 * d
	}
	shift = math.Max(shift, d*far/(2*half))
	if shift > radiusArcShift {
		c.find(&m.to, "half a digit of this arc's words moves it by %s: give the centre with I, J or K", c.mm(shift))
	}
}

var ruleTableDiameter = Rule{
	Name:     "table-diameter",
	Severity: Caution,
	Reason:   "Under G41 and G42 the path depends on a diameter in the control's tool table, which no text shows: a wrong entry moves the whole cut.",
	watch:    func() watcher { return &tableDiameterWatch{} },
}

type tableDiameterWatch struct {
	noEnd
	side  geom.Turn
	index int
}

func (w *tableDiameterWatch) see(c *checker, e *interp.Event, _ *motion) {
	s := e.State
	if s.CompSide == w.side && (s.CompIndex == w.index || s.CompSide == geom.Straight) {
		return
	}
	if w.side, w.index = s.CompSide, s.CompIndex; s.CompSide != geom.Straight && c.s.Machine.LengthOffsets {
		c.find(nil, "the path is offset by what the control's table has for D%d: before the start make sure that it is %s", s.CompIndex, c.mm(2*math.Abs(s.CompRadius)))
	}
}

var ruleStop = Rule{
	Name:     "stop-in-cut",
	Severity: Caution,
	Reason:   "At a stop the operator reaches in or leaves; a tool that stands low then rubs, and after the start goes on from where it was pushed.",
	watch:    func() watcher { return &stopWatch{} },
}

type stopWatch struct{ noEnd }

func (*stopWatch) see(c *checker, e *interp.Event, _ *motion) {
	if e.Kind != interp.Stop || c.motions == 0 || c.at[2] >= c.s.ClearZ-roundTol {
		return
	}
	c.find(nil, "the program stops while the tool is below the clear height: go to Z%s or above first", c.mm(c.s.ClearZ))
}

var ruleSelected = Rule{
	Name:     "tool-not-loaded",
	Severity: Caution,
	Reason:   "T alone changes no tool: the program goes on with the one before.",
	watch:    func() watcher { return &selectedWatch{} },
}

type selectedWatch struct{ noEnd }

func (*selectedWatch) see(c *checker, e *interp.Event, _ *motion) {
	if s := e.State; e.Kind == interp.ProgramEnd && s.Selected != s.Tool && s.Selected != 0 {
		c.find(nil, "tool %d was selected and never loaded: M6 comes after T, or T is left out", s.Selected)
	}
}

var ruleAfterEnd = Rule{
	Name:     "after-end",
	Severity: Caution,
	Reason:   "What stands after the end of a program is not proven: a control that reads on would run it.",
	watch:    func() watcher { return afterEndWatch{} },
}

type afterEndWatch struct{}

func (afterEndWatch) see(*checker, *interp.Event, *motion) {}

func (afterEndWatch) end(c *checker) {
	if at := c.ahead.rest; at > 0 {
		c.findEnd(at, at, nil, "blocks follow the end of the program and are never executed: remove them")
	}
}
