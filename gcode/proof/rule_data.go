package proof

import (
	"fmt"
	"math"

	"proofcut/gcode/interp"
)

var ruleData = Rule{
	Name:     "cutting-data",
	Severity: Fault,
	Reason:   "Feed and speed are chosen for this tool in this material; a lost or doubled digit that the machine can follow still breaks the cutter.",
	watch:    func() watcher { return &dataWatch{} },
}

// feedSlack and speedSlack are the shares by which a cut may leave the data of
// its feature. A feed is rounded to a digit or two in the program; a spindle
// keeps its speed within a tenth under load (common practice, no source).
const (
	feedSlack  = 0.01
	speedSlack = 0.1
)

// steepCut is the sine of 45 degrees: a steeper way down is a plunge and has the
// plunge feed, as the strategies have it.
const steepCut = math.Sqrt2 / 2

type dataWatch struct{ noEnd }

func (w *dataWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || m.rapid {
		return
	}
	list := c.owners(m)
	feed, plunge, low, high := limits(list)
	rate := e.State.FeedRate
	if e.State.InverseTime {
		rate *= m.length
	}
	kind := "feed"
	if m.steepest() > steepCut+feedSlack {
		feed, kind = plunge, "plunge feed"
	}
	fast := feed > 0 && rate > feed*(1+feedSlack)
	s := e.State.SpindleSpeed
	turns := high > 0 && (s < low*(1-speedSlack) || s > high*(1+speedSlack))
	if !fast && !turns || !c.mat.touch(m, &m.tool.body, 0, nil).hit {
		return
	}
	if fast {
		c.find(&m.to, "the cut runs at %.4g mm/min, the %s of %q is %.4g mm/min: lower F", rate, kind, list[0].Name, feed)
	}
	if turns {
		c.find(&m.to, "the spindle turns at %.6g 1/min, %q is planned for %s: correct S", s, list[0].Name, between(low, high))
	}
}

// limits returns the greatest feed and plunge feed and the range of speeds of
// the features that a cut may be made for; 0 where none of them says.
func limits(list []*feature) (feed, plunge, low, high float64) {
	low = math.Inf(1)
	for _, f := range list {
		feed, plunge = math.Max(feed, f.Feed), math.Max(plunge, f.Plunge)
		if f.Speed > 0 {
			low, high = math.Min(low, f.Speed), math.Max(high, f.Speed)
		}
	}
	return feed, plunge, low, high
}

func between(low, high float64) string {
	if low == high {
		return fmt.Sprintf("%.6g 1/min", low)
	}
	return fmt.Sprintf("%.6g to %.6g 1/min", low, high)
}
