package proof

import (
	"proofcut/gcode/interp"
	"proofcut/paths/cutdata"
	"proofcut/paths/geom"
)

// loadRule watches the loads of all cuts: it looks at the greatest of each tool
// in each feature when the program is over.
func loadRule(look func(c *checker, t *toolLoad)) func() watcher {
	return func() watcher { return loadWatch{look} }
}

type loadWatch struct{ look func(*checker, *toolLoad) }

func (loadWatch) see(*checker, *interp.Event, *motion) {}

func (w loadWatch) end(c *checker) {
	for _, t := range c.loads.all {
		w.look(c, t)
	}
}

// findLoad reports a finding at the place of a greatest load.
func (c *checker) findLoad(m *most, format string, args ...any) {
	at := m.at
	c.findEnd(m.block, m.line, &at, format, args...)
}

var ruleCutMaterial = Rule{
	Name:     "cut-material",
	Severity: Caution,
	Reason:   "How hard a cut works a tool depends on what is cut; a material that the cutting data do not know leaves every load unchecked.",
	watch:    func() watcher { return cutMaterialWatch{} },
}

type cutMaterialWatch struct{}

func (cutMaterialWatch) see(*checker, *interp.Event, *motion) {}

func (cutMaterialWatch) end(c *checker) {
	l := c.loads
	var at *geom.Point3
	if l.stock.met {
		c.findEnd(0, 0, at, "no load of the tools is checked: %v; or say what the stock is like", l.stock.unknown)
	}
	if l.backing.met {
		c.findEnd(0, 0, at, "cuts into the backing count as cuts in the stock: %v; or say what the backing is like", l.backing.unknown)
	}
	for _, t := range l.all {
		if t.refused != nil {
			c.findEnd(0, 0, at, "no load of tool %d%s is checked: %v", t.tool.Number, t.where(), t.refused)
		}
	}
}

var ruleToolMaterial = Rule{
	Name:     "tool-material",
	Severity: Note,
	Reason:   "Carbide stands more than high-speed steel and bends a third as much; a tool that does not say what it is of is reckoned as the weaker.",
	watch:    func() watcher { return toolMaterialWatch{} },
}

type toolMaterialWatch struct{}

func (toolMaterialWatch) see(*checker, *interp.Event, *motion) {}

func (toolMaterialWatch) end(c *checker) {
	said := map[int]bool{}
	for _, t := range c.loads.all {
		n := t.tool.Number
		if _, known := cutdata.SubstrateOf(*t.tool); known || said[n] || t.most[axialFigure].block == 0 {
			continue
		}
		said[n] = true
		c.findEnd(0, 0, nil, "the material of tool %d is not stated: it is reckoned as high-speed steel, and its cutting speed is not checked; say carbide if it is", n)
	}
}
