package proof

var rulePlungeBreaks = Rule{
	Name:     "plunge-breaks",
	Severity: Fault,
	Reason:   "A thrust far beyond what a slender tool carries buckles it before it has cut.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if m := &t.buckle; m.ratio > overload {
			c.findLoad(m, "the plunge%s presses on tool %d with %.0f N where it buckles at %.0f: lower the feed downward, or use a shorter tool",
				t.where(), t.tool.Number, m.value, m.limit)
		}
	}),
}

var rulePlungeLoad = Rule{
	Name:     "plunge-load",
	Severity: Caution,
	Reason:   "The point of a tool moves slowly and has no room for chips: a plunge that is too fast for it jams or chips the edges.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if m := &t.down; m.ratio > 1 {
			c.findLoad(m, "the plunge%s takes a chip of %s, more than the %s that suit the point of tool %d: lower the feed downward or raise the speed",
				t.where(), c.mm(m.value), c.mm(m.limit), t.tool.Number)
		}
		if m := &t.buckle; m.ratio > 1 && m.ratio <= overload {
			c.findLoad(m, "the plunge%s presses on tool %d with %.0f N; without guidance it buckles at %.0f: lower the feed downward, or use a shorter tool",
				t.where(), t.tool.Number, m.value, m.limit)
		}
	}),
}

var ruleDrillSideways = Rule{
	Name:     "drill-sideways",
	Severity: Fault,
	Reason:   "A drill has no edges on its side; moved sideways in the work it bends and breaks.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		// Less than its own tolerance is the play of the hole.
		if m := &t.drill; m.ratio > roundTol {
			c.findLoad(m, "tool %d is a drill and moves sideways through material%s: rise out of the hole first", t.tool.Number, t.where())
		}
	}),
}
