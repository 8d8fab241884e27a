package proof

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// piecework is a part with what may be cut in it.
type piecework struct {
	part   *setup.Part
	plan   *plan   // of what remains, seen from above
	tol    float64 // by which a cut round it may enter it
	ground *ground // the part alone, with the features that may enter it
	round  []bool  // by number: features that go round parts and not into this one
	bound  bool    // a feature goes round this part
}

// pieces returns the parts that have an outline. It is made when first needed.
func (c *checker) pieces() []*piecework {
	if c.parts != nil {
		return c.parts
	}
	c.parts = []*piecework{}
	for i := range c.s.Parts {
		p := &c.s.Parts[i]
		outline := p.Outline
		if p.Diameter > 0 {
			outline = geom.RegionOf(geom.Circle(p.At, p.Diameter/2))
		}
		if len(outline) == 0 {
			continue
		}
		w := &piecework{part: p, plan: newPlan(outline), tol: roundTol, round: make([]bool, len(c.ground.features))}
		w.ground = &ground{stock: w.plan, top: c.s.Stock.Top, levels: map[int][]level{}}
		for _, f := range c.ground.features {
			if len(f.Around) == 0 || w.holds(f.Around) {
				w.ground.features = append(w.ground.features, f)
				continue
			}
			w.round[f.number] = true
			if w.borders(f.Around) {
				w.bound = true
				w.tol = math.Max(w.tol, f.tolerance())
			}
		}
		c.parts = append(c.parts, w)
	}
	return c.parts
}

// holds reports whether one of the pieces that a feature goes round lies in the
// part: it is cut out of it.
func (w *piecework) holds(around geom.Region) bool {
	for _, k := range around {
		if len(k) > 0 && w.plan.box.Contains(k[0].A) && w.plan.index.Contains(k[0].A) == geom.Inside &&
			w.plan.index.BoundaryDistance(geom.Line(k[0].A, k[0].A)) > roundTol {
			return true
		}
	}
	return false
}

// borders reports whether the part is one of the pieces that a feature goes
// round, give or take an allowance.
func (w *piecework) borders(around geom.Region) bool {
	for _, k := range around {
		if b := geom.Path(k).Bounds(); b.Overlaps(w.plan.box) && b.Grow(roundTol).Contains(w.plan.box.Min) && b.Grow(roundTol).Contains(w.plan.box.Max) {
			return true
		}
	}
	return false
}

// near reports whether a motion's tool comes to the part below the stock's top.
func (w *piecework) near(m *motion, r float64) bool {
	return w.plan.box.Distance(m.box.XY()) <= r+w.tol+m.slack
}
