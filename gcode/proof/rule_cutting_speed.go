package proof

var ruleCuttingSpeed = Rule{
	Name:     "cutting-speed",
	Severity: Caution,
	Reason:   "An edge that runs faster through a material than it stands is blunt within minutes.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if m := &t.speed; m.ratio > 1 {
			c.findLoad(m, "tool %d cuts%s at %.0f m/min, more than the %.0f that %s stands in this material: lower S", t.tool.Number, t.where(), m.value, m.limit, t.tool.Substrate)
		}
	}),
}
