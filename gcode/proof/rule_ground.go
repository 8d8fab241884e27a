package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

// The three rules about what may be cut share one answer, see checker.legal.

var ruleOutside = Rule{
	Name:     "outside-features",
	Severity: Fault,
	Reason:   "What no feature allows to be taken away is the piece itself.",
	watch:    func() watcher { return &outsideWatch{} },
}

type outsideWatch struct{ noEnd }

func (w *outsideWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil || !m.known() {
		return
	}
	if v := c.legal(m); v.kind == cutsOutside {
		c.find(&v.at, "the tool reaches %s further into the stock than any feature with its tolerance allows: move the cut", c.mm(v.by))
	}
}

var ruleDepth = Rule{
	Name:     "depth",
	Severity: Fault,
	Reason:   "Below a feature's floor lies the skin, the part or the backing that has to stay.",
	watch:    func() watcher { return &depthWatch{} },
}

type depthWatch struct{ noEnd }

func (w *depthWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil || !m.known() {
		return
	}
	if v := c.legal(m); v.kind == cutsDeep {
		floor, f := c.ground.floorAt(v.at.XY(), allTools)
		if f == nil {
			c.find(&v.at, "the tip is at Z%s, deeper than any feature near it allows: raise the cut", c.mm(v.at.Z))
			return
		}
		c.find(&v.at, "the tip is at Z%s, the floor of %q is Z%s with %s allowed: raise the cut by %s",
			c.mm(v.at.Z), f.Name, c.mm(floor), c.mm(f.tolerance()), c.mm(math.Max(0, floor-v.at.Z)))
	}
}

var ruleFeatureTool = Rule{
	Name:     "feature-tool",
	Severity: Fault,
	Reason:   "A feature is planned for certain tools; another one leaves the wrong shape or does not stand the cut.",
	watch:    func() watcher { return &featureToolWatch{} },
}

type featureToolWatch struct{ noEnd }

func (w *featureToolWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil || !m.known() {
		return
	}
	if v := c.legal(m); v.kind == cutsForeign {
		name := "a feature"
		if _, f := c.ground.floorAt(v.at.XY(), allTools); f != nil {
			name = "feature \"" + f.Name + "\""
		}
		c.find(&v.at, "tool %d takes material of %s, which is for another tool: load the right one or cut the feature first",
			m.tool.tool.Number, name)
	}
}

// The answers to the question whether a motion is legal below the stock's top.
type cutKind uint8

const (
	cutsLegally cutKind = iota
	cutsOutside
	cutsDeep
	cutsForeign // material of a feature that is for other tools
)

type verdict struct {
	kind cutKind
	at   geom.Point3
	by   float64
}

// legal decides once for each motion whether it stays in what the tool may cut.
func (c *checker) legal(m *motion) verdict {
	if c.judged {
		return c.verdict
	}
	c.judged, c.verdict = true, verdict{}
	c.covered = nil
	if m.box.Min.Z >= c.s.Stock.Top-roundTol || m.rapid && m.up() || !m.tool.known {
		return c.verdict // that a tool is not known is a finding of its own
	}
	g, tool := c.ground, m.tool.tool.Number
	if c.covered = g.cover(m, tool); c.covered != nil {
		return c.verdict
	}
	// What lies lower than the stock's top already, such as a pocket's floor, is
	// the face that the tool enters.
	if face := c.mat.highest(m, m.tool.reach(c.s.Stock.Top-m.box.Min.Z)); face < c.s.Stock.Top {
		if m.box.Min.Z >= face-roundTol {
			return c.verdict
		}
		if c.covered = g.coverBelow(m, tool, face); c.covered != nil {
			return c.verdict
		}
	}
	own := g.trespass(m, tool)
	if !own.found {
		return c.verdict
	}
	any := g.trespass(m, allTools)
	if any.found {
		c.verdict = verdict{cutsOutside, m.at(any.t), any.by}
		if floor, f := g.floorAt(c.verdict.at.XY(), allTools); f != nil && c.verdict.at.Z < floor-f.tolerance() {
			c.verdict.kind = cutsDeep
		}
		return c.verdict
	}
	// Where the material of other tools' features is gone already, nothing is
	// cut and any tool may pass.
	if k := c.mat.touch(m, &m.tool.body, 0, c.allowed(tool)); k.hit {
		c.verdict = verdict{cutsForeign, k.at.At(m.at(own.t).Z), own.by}
	}
	return c.verdict
}

// allowed returns for each cell the lowest floor of the features that the tool
// may cut there, +Inf where there is none.
func (c *checker) allowed(tool int) []float32 {
	if a, ok := c.allow[tool]; ok {
		return a
	}
	a := make([]float32, len(c.mat.hi))
	for i := range a {
		a[i] = float32(math.Inf(1))
	}
	for _, f := range c.ground.features {
		if !f.takes(tool) {
			continue
		}
		low := float32(f.Floor - f.tolerance())
		c.mat.each(c.ground.area(f), c.mat.half+looseXY, func(at int, _ uint8) {
			cell := low
			if c.ground.face != nil && f.Follows {
				p := c.mat.centre(at%c.mat.nx, at/c.mat.nx)
				cell = up32(f.Floor - f.tolerance() - c.ground.face.under(p) + c.mat.uneven)
			}
			a[at] = min(a[at], cell)
		})
	}
	c.allow[tool] = a
	return a
}

var ruleBacking = Rule{
	Name:     "backing",
	Severity: Fault,
	Reason:   "Under the stock lies the backing plate and under that the table: only so much of it may be cut.",
	watch:    func() watcher { return &backingWatch{} },
}

type backingWatch struct{ noEnd }

func (w *backingWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil {
		return
	}
	st := &c.s.Stock
	limit := st.Lowest()
	if st.Backing.Present {
		limit -= st.Backing.Depth
	}
	low := m.box.Min.Z
	if !m.known() {
		low = m.to.Z
	}
	if low < limit-roundTol && low > nowhere.Z/2 {
		c.find(&m.to, "the tip goes to Z%s, below Z%s, the lowest that stock and backing allow: raise the cut", c.mm(low), c.mm(limit))
	}
}
