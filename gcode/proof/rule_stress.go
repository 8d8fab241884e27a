package proof

import "proofcut/paths/setup"

// breaks returns from which ratio of its stress to the limit a tool counts as
// broken. The point of a vee is so small that neither the force on it nor its
// strength is known to better than a factor of two on top: fine grains stand more
// than a large piece, and a nominal tip is really rounded (estimate).
func breaks(t *setup.Tool) float64 {
	if t.Shape == setup.Vee {
		return 2 * overload
	}
	return overload
}

var ruleToolBreaks = Rule{
	Name:     "tool-breaks",
	Severity: Fault,
	Reason:   "A cut that bends or twists a cutter beyond the strength of its material breaks it, and the rest of the work with it.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if m := &t.most[stressFigure]; m.ratio > breaks(t.tool) {
			c.findLoad(m, "tool %d breaks%s: the cut stresses it to %.0f N/mm2 where its material stands %.0f; cut less deep, less wide or slower",
				t.tool.Number, t.where(), m.value, m.limit*breaks(t.tool))
		}
	}),
}

var ruleToolStress = Rule{
	Name:     "tool-stress",
	Severity: Caution,
	Reason:   "Force is known to a quarter at best and a worn edge adds a third: a cutter needs a margin of two, or the first hard spot breaks it.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if m := &t.most[stressFigure]; m.ratio > 1 && m.ratio <= breaks(t.tool) {
			c.findLoad(m, "the cut%s stresses tool %d to %.0f N/mm2; with a margin of two it stands %.0f: cut less deep, less wide or slower, or use a shorter or thicker tool",
				t.where(), t.tool.Number, m.value, m.limit)
		}
	}),
}
