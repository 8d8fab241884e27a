package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/setup"
)

// steepRamp is the slope from which a descent counts as a plunge for a tool
// that does not cut at its centre: 20 degrees (common practice, no source).
var steepRamp = math.Sin(20 * math.Pi / 180)

var rulePlunge = Rule{
	Name:     "plunge",
	Severity: Fault,
	Reason:   "A tool without teeth at its centre cannot go straight down; it stalls on the stump that it leaves and breaks.",
	watch:    func() watcher { return &plungeWatch{} },
}

type plungeWatch struct{ noEnd }

func (w *plungeWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil || m.rapid || !m.known() || !m.tool.known || m.box.Min.Z >= c.mat.top {
		return
	}
	t := &m.tool.tool
	if t.CentreCuts || t.Shape == setup.Drill || t.Shape == setup.Tap || pointed(t) {
		return
	}
	slope := m.steepest()
	if slope <= steepRamp {
		return
	}
	if k := c.mat.touch(m, &m.tool.body, 0, nil); k.hit {
		c.find(&m.to, "tool %d does not cut at its centre, but goes down into material at %.3g degrees: enter by a ramp or helix of no more than 20 degrees",
			t.Number, math.Asin(math.Min(1, slope))*180/math.Pi)
	}
}

// pointTip is the tip diameter up to which a vee counts as pointed: its point
// cuts its way down (common practice, no source).
const pointTip = 0.25

// pointed reports whether a tool is a vee that comes to a point.
func pointed(t *setup.Tool) bool { return t.Shape == setup.Vee && t.TipDiameter <= pointTip }
