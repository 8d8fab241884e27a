package proof

var ruleChipThick = Rule{
	Name:     "chip-thick",
	Severity: Caution,
	Reason:   "A chip thicker than a tooth of that size is made for chips its edge.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if m := &t.chip; m.ratio > 1 {
			c.findLoad(m, "the chip%s is %s thick, more than the %s that suit tool %d: lower the feed or raise the speed",
				t.where(), c.mm(m.value), c.mm(m.limit), t.tool.Number)
		}
	}),
}

// rubShare is the part of a cut's length from which thin chips count: tools enter
// and leave every cut with a thin chip.
const rubShare = 0.5

var ruleChipThin = Rule{
	Name:     "chip-thin",
	Severity: Caution,
	Reason:   "A tooth that takes less than its edge's radius rubs instead of cutting: it dulls, heats and hardens the work.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if t.length > 0 && t.rubbing > rubShare*t.length {
			c.findLoad(&t.thin, "on %.0f %% of the cut%s the chip is %s thick at most, too thin for tool %d to cut from %s: raise the feed, lower the speed or take a wider cut",
				100*t.rubbing/t.length, t.where(), c.mm(t.thin.value), t.tool.Number, c.mm(t.thin.limit))
		}
	}),
}
