package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

var ruleLoose = Rule{
	Name:     "part-loose",
	Severity: Fault,
	Reason:   "A part that comes loose while the tool is beside it is caught, thrown and ruined, and takes the cutter with it.",
	watch:    func() watcher { return &looseWatch{} },
}

// looseWatch follows what still joins each part to the stock round it: the cells
// that no sweep took down to the lower face. A cell that a sweep only touched does
// not count, so a skin or bridge is never taken for wider than it is.
//
// A part is looked at whenever a run of cuts through the stock beside it is over:
// is there a way from its cells to any beyond the cut round it? In the end the way
// has to lead to what is held, a piece of stock under a screw or clamp.
type looseWatch struct {
	parts   []*looseFrom
	ready   bool
	through bool // some cut went through
}

// looseFrom is one part in its window of the height map.
type looseFrom struct {
	part        *setup.Part
	box         geom.Box // of the part and its cut
	i0, j0      int
	nx, ny      int
	marks       []uint8 // of the window's cells
	pending     bool    // a cut went through beside it since it was looked at
	gone        bool
	block, line int // of that cut
	at          geom.Point3
}

// The marks of a window's cells.
const (
	beyondCut uint8 = iota
	besidePart
	ofPart
)

func (w *looseWatch) see(c *checker, e *interp.Event, m *motion) {
	if c.s.Stock.Backing.Glued || len(c.s.Parts) == 0 {
		return
	}
	deep := m != nil && !m.rapid && m.known() && m.tool.known && m.box.Min.Z <= c.s.Stock.Bottom()+looseZ
	if !deep {
		w.look(c)
		return
	}
	if !w.ready {
		w.prepare(c)
	}
	w.through = true
	box := m.box.XY().Grow(m.tool.tool.Diameter / 2)
	for _, p := range w.parts {
		if !p.gone && p.box.Overlaps(box) {
			p.pending, p.block, p.line, p.at = true, e.Block, e.Pos.Line, m.to
		}
	}
}

// prepare makes the windows of the parts. The cut round a part is as wide as the
// narrowest mill or wider.
func (w *looseWatch) prepare(c *checker) {
	w.ready = true
	width := math.Inf(1)
	for _, t := range c.s.Tools {
		if t.Shape == setup.Flat || t.Shape == setup.Ball {
			width = math.Min(width, t.Diameter)
		}
	}
	if math.IsInf(width, 1) {
		return // nothing here cuts a part out
	}
	for i := range c.s.Parts {
		p := &c.s.Parts[i]
		var outer geom.Region
		for _, contour := range p.Outline {
			if contour.Area() > 0 {
				outer = append(outer, contour)
			}
		}
		if len(outer) == 0 {
			continue
		}
		grown, err := geom.Offset(outer, width, geom.OffsetOptions{})
		if err != nil {
			c.ground.fail(err)
			return
		}
		w.parts = append(w.parts, newLooseFrom(c.mat, p, outer, grown))
	}
}

func newLooseFrom(m *material, p *setup.Part, outer, grown geom.Region) *looseFrom {
	f := &looseFrom{part: p, box: grown.Bounds()}
	b := f.box.Grow(2 * m.res)
	j0, j1 := m.rows(b.Min.Y, b.Max.Y)
	i0, i1 := m.cols(b.Min.X, b.Max.X)
	f.i0, f.j0, f.nx, f.ny = i0, j0, max(0, i1-i0), max(0, j1-j0)
	f.marks = make([]uint8, f.nx*f.ny)
	set := func(r geom.Region, v uint8, marks func(uint8) bool) {
		m.each(r, 0, func(at int, mark uint8) {
			i, j := at%m.nx-i0, at/m.nx-j0
			if i >= 0 && j >= 0 && i < f.nx && j < f.ny && marks(mark) {
				f.marks[j*f.nx+i] = v
			}
		})
	}
	set(grown, besidePart, func(mark uint8) bool { return mark != outside })
	set(outer, ofPart, func(mark uint8) bool { return mark == inside })
	return f
}

// holds reports whether a cell still joins its neighbours.
func (m *material) holds(at int, bottom float64) bool { return float64(m.lo[at]) > bottom+looseZ }

// look looks at the parts beside which cuts went through.
func (w *looseWatch) look(c *checker) {
	for _, p := range w.parts {
		if p.pending {
			p.pending = false
			if !p.joined(c.mat, c.s.Stock.Bottom()) {
				p.gone = true
				w.find(c, p, "part %q comes loose: it is cut through all round, without a skin or a bridge, while the program goes on")
			}
		}
	}
}

func (w *looseWatch) find(c *checker, p *looseFrom, text string) {
	v := vec(p.at)
	c.add(Finding{Block: p.block, Line: p.line, Position: &v}, text+": leave a skin, or bridges, or say that the stock is glued to its backing", []any{p.part.Name})
}

// joined reports whether cells lead from the part to beyond the cut round it. A
// part that has no cell left is none.
func (f *looseFrom) joined(m *material, bottom float64) bool {
	fl := newFlood(f.nx, f.ny, func(k int) bool {
		return m.holds((f.j0+k/f.nx)*m.nx+f.i0+k%f.nx, bottom)
	})
	for k, mark := range f.marks {
		if mark == ofPart {
			fl.enter(k)
		}
	}
	if fl.dry() {
		return true
	}
	led := false
	fl.spread(func(k int) bool {
		led = f.marks[k] == beyondCut
		return !led
	})
	return led
}

func (w *looseWatch) end(c *checker) {
	if !w.through || !c.ended {
		return
	}
	w.look(c)
	// Parts that hang on each other, or on a piece of waste, are loose together.
	held := w.held(c)
	if held == nil {
		return // nothing says what holds the stock
	}
	bottom := c.s.Stock.Bottom()
	for _, p := range w.parts {
		if p.gone || p.block == 0 {
			continue
		}
		any, fast := false, false
		for k, mark := range p.marks {
			if at := (p.j0+k/p.nx)*c.mat.nx + p.i0 + k%p.nx; mark == ofPart && c.mat.holds(at, bottom) {
				any, fast = true, fast || held[at]
			}
		}
		if any && !fast {
			p.gone = true
			w.find(c, p, "part %q hangs only on what has come loose itself: no screw or clamp holds the piece")
		}
	}
}

// held marks the cells that hang together with a cell under or beside what stands
// above the stock: screws and clamps. It is nil when none of them touches it.
func (w *looseWatch) held(c *checker) []bool {
	m, bottom := c.mat, c.s.Stock.Bottom()
	fl := newFlood(m.nx, m.ny, func(at int) bool { return m.holds(at, bottom) })
	for _, z := range c.s.Zones {
		if z.Top > c.s.Stock.Top+roundTol {
			m.each(z.Area, 2*m.res, func(at int, _ uint8) { fl.enter(at) })
		}
	}
	if fl.dry() {
		return nil
	}
	fl.spread(func(int) bool { return true })
	return fl.entered
}
