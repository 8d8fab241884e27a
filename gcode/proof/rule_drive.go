package proof

var ruleSpindleStalls = Rule{
	Name:     "spindle-stalls",
	Severity: Fault,
	Reason:   "A spindle that is asked for far more than it has stops in the cut while the feed goes on, and the cutter breaks.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		spindleLoad(c, t, func(ratio float64) bool { return ratio > overload })
	}),
}

var ruleSpindleLoad = Rule{
	Name:     "spindle-load",
	Severity: Caution,
	Reason:   "A spindle at its limit slows down, and every chip gets thicker.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		spindleLoad(c, t, func(ratio float64) bool { return ratio > 1 && ratio <= overload })
	}),
}

// spindleLoad reports what of the spindle's figures is asked too much of.
func spindleLoad(c *checker, t *toolLoad, counts func(float64) bool) {
	d := &c.s.Machine.Drive
	if m := &t.most[powerFigure]; d.Power > 0 && counts(m.ratio) {
		c.findLoad(m, "the cut%s with tool %d takes %.3g kW of the spindle's %.3g: cut less deep, less wide or slower", t.where(), t.tool.Number, m.value, m.limit)
	}
	if m := &t.most[torqueFigure]; d.Torque > 0 && counts(m.ratio) {
		c.findLoad(m, "the cut%s with tool %d takes %.3g N m of the spindle's %.3g: cut less deep, less wide or slower", t.where(), t.tool.Number, m.value, m.limit)
	}
}
