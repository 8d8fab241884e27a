package proof

var ruleStepDown = Rule{
	Name:     "step-down",
	Severity: Caution,
	Reason:   "A pass that is deeper than the cut was planned with tells of a pass that was left out, or of data meant for another tool.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if t.feature == nil || t.feature.StepDown <= 0 {
			return
		}
		if m := &t.deep; m.value > t.feature.StepDown+looseZ+2*roundTol {
			c.findLoad(m, "tool %d cuts a slot %s deep in one pass%s, which is planned with %s: see whether a pass is missing",
				t.tool.Number, c.mm(m.value), t.where(), c.mm(t.feature.StepDown))
		}
	}),
}
