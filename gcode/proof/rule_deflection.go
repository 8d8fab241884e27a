package proof

var ruleDeflection = Rule{
	Name:     "deflection",
	Severity: Caution,
	Reason:   "A cutter that bends along the edge of what it shapes leaves it too large by that much, or too small where it is drawn in.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if m := &t.wall; m.ratio > 1 {
			c.findLoad(m, "tool %d gives way by %s along the edge of %s, whose tolerance is %s: take a lighter last pass, or a shorter or thicker tool",
				t.tool.Number, c.mm(m.value), t.name(), c.mm(m.limit))
		}
	}),
}
