package proof

import "math"

// blindRamp is how steeply a tool that does not cut at its centre may descend:
// 3 degrees (common practice, no source).
const blindRamp = 3 * math.Pi / 180

// rampTol is what the rounding of places adds to the slope of a short ramp.
const rampTol = 0.05

var ruleRamp = Rule{
	Name:     "ramp",
	Severity: Caution,
	Reason:   "A tool that does not cut at its centre grinds its way down on a steep ramp; the stump under it lifts it and bends it.",
	watch: loadRule(func(c *checker, t *toolLoad) {
		if m := &t.ramp; m.ratio > 1+rampTol {
			c.findLoad(m, "tool %d does not cut at its centre, but ramps down%s at %.3g degrees: use %.3g or less",
				t.tool.Number, t.where(), m.value*180/math.Pi, blindRamp*180/math.Pi)
		}
	}),
}
