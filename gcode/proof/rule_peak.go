package proof

// A load counts as a peak when it is this many times what half of the cut stays
// under, and takes the tool past this part of its limit: lighter ones do no harm
// however sudden (common practice, no source).
const (
	peakRise = 1.5
	peakLoad = 0.5
)

var ruleEngagementPeak = Rule{
	Name:     "engagement-peak",
	Severity: Caution,
	Reason:   "In a corner, or where a cut begins full width, a cutter meets in an instant far more than the cut was planned for: it chatters, is drawn in or snaps.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		m := &t.side
		if usual := t.usual(); m.ratio > peakLoad && m.ratio > peakRise*usual {
			c.findLoad(m, "the load on tool %d%s jumps to %.2g of its limit, half of the cut stays under %.2g: round the corner, enter by an arc or slow down here",
				t.tool.Number, t.where(), m.ratio, usual)
		}
	}),
}
