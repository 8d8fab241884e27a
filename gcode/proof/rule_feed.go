package proof

import (
	"math"

	"proofcut/gcode/interp"
)

var ruleFeedSet = Rule{
	Name:     "feed-set",
	Severity: Fault,
	Reason:   "A cut without a feed of its own runs at whatever an earlier program left, or not at all.",
	watch:    func() watcher { return &feedSetWatch{} },
}

type feedSetWatch struct {
	noEnd
	said bool
}

func (w *feedSetWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || m.rapid || w.said || (e.State.FeedSet && e.State.FeedRate > 0) {
		return
	}
	w.said = true
	c.find(&m.to, "a move at feed rate before the program has set a feed: give F first")
}

var ruleFeedLimit = Rule{
	Name:     "feed-limit",
	Severity: Fault,
	Reason:   "A feed above the machine's limit is not kept, and one lost decimal point breaks a fine cutter.",
	watch:    func() watcher { return &feedLimitWatch{} },
}

type feedLimitWatch struct {
	noEnd
	last float64
	axis [3]float64 // F at which an axis was too fast last
}

func (w *feedLimitWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || m.rapid {
		return
	}
	f := m.feed(e.State)
	if limit := c.s.Machine.FeedMax; f > limit*(1+rateTol) && f != w.last {
		c.find(&m.to, "feed %.6g mm/min is above the machine's %.6g: lower F", f, limit)
	}
	w.last = f
	if !c.s.Machine.HasAxisRates() || !m.known() {
		return
	}
	part, _, _ := headings(m)
	for i, a := range c.s.Machine.Axes {
		if a.Rate > 0 && f*part[i] > a.Rate*(1+rateTol) && f != w.axis[i] {
			w.axis[i] = f
			c.find(&m.to, "at feed %.6g mm/min %s would go at %.6g, its limit is %.6g: lower F", f, axisNames[i], f*part[i], a.Rate)
		}
	}
}

// feed returns the rate along the path in mm/min, 0 when none is set.
func (m *motion) feed(s *interp.State) float64 {
	if s.InverseTime {
		return s.FeedRate * m.length
	}
	return s.FeedRate
}

var rulePlungeFeed = Rule{
	Name:     "plunge-feed",
	Severity: Fault,
	Reason:   "Straight down a cutter works with its weakest edges; the machine or the tool sets a lower feed for it.",
	watch:    func() watcher { return &plungeFeedWatch{} },
}

type plungeFeedWatch struct {
	noEnd
	last float64
}

func (w *plungeFeedWatch) see(c *checker, e *interp.Event, m *motion) {
	limit := c.s.Machine.PlungeMax
	if m == nil || m.rapid || limit <= 0 || !m.known() {
		return
	}
	down := m.feed(e.State) * m.steepest()
	if down > limit*(1+rateTol) && math.Abs(down-w.last) > limit*rateTol {
		c.find(&m.to, "the tool goes down at %.6g mm/min, the limit is %.6g: lower F or the slope", down, limit)
		w.last = down
	}
}
