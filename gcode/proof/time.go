package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// clock adds up the time of a program: each motion with the rates that the feed,
// the axes and the corners at its ends allow, see dynamics and lookAhead.
// Without an acceleration a motion takes its length over its rate.
type clock struct {
	machine *setup.Machine
	limits  dynamics
	ahead   lookAhead
	total   float64
	tools   []ToolTime
	cuts    []float64 // seconds by feature

	last struct { // motion before, while ahead holds it
		dir   geom.Point3 // at its end
		cap   float64
		rapid bool
		mode  interp.PathMode
	}
}

func newClock(m *setup.Machine, features int) *clock {
	k := &clock{machine: m, limits: newDynamics(m), cuts: make([]float64, features)}
	k.ahead = newLookAhead(m.LookAhead, k.spent)
	return k
}

// byFeature returns the times of the features that were cut, by name.
func (k *clock) byFeature(features []*feature) []FeatureTime {
	var out []FeatureTime
	place := map[string]int{}
	for i, seconds := range k.cuts {
		if seconds == 0 {
			continue
		}
		name := features[i].Name
		at, ok := place[name]
		if !ok {
			at = len(out)
			place[name] = at
			out = append(out, FeatureTime{Feature: name})
		}
		out[at].Time += seconds
	}
	for i := range out {
		out[i].Time = round(out[i].Time)
	}
	return out
}

func (k *clock) spend(tool int, seconds float64) *ToolTime {
	k.total += seconds
	for i := range k.tools {
		if k.tools[i].Tool == tool {
			k.tools[i].Time += seconds
			return &k.tools[i]
		}
	}
	k.tools = append(k.tools, ToolTime{Tool: tool, Time: seconds})
	return &k.tools[len(k.tools)-1]
}

// spent takes in a stretch whose time is known.
func (k *clock) spent(s *stretch, seconds float64) {
	t := k.spend(s.tool, seconds)
	if s.rapid {
		t.Rapid += seconds
		return
	}
	t.Cutting += seconds
	if s.feature >= 0 {
		k.cuts[s.feature] += seconds
	}
}

// stop brings the machine to a standstill.
func (k *clock) stop() { k.ahead.stop() }

// move adds a motion that is made for a feature, nil for none. A feed of 0 takes
// no time; another rule reports it.
func (k *clock) move(m *motion, s *interp.State, tool int, f *feature) {
	if m.length == 0 {
		return
	}
	rate := k.machine.Rapid
	if !m.rapid {
		rate = math.Min(m.feed(s), k.machine.FeedMax)
	}
	rate /= 60
	if !(rate > 0) || !m.known() {
		k.stop()
		return
	}
	if m.rapid && k.machine.DogLegRapids {
		k.stop()
		seconds := k.limits.dogLeg(m, rate)
		k.spend(tool, seconds).Rapid += seconds
		return
	}
	most, accel := k.limits.along(m)
	b := stretch{length: m.length, cap: math.Min(rate, most), accel: accel, rapid: m.rapid, tool: tool, feature: -1}
	if f != nil {
		b.feature = f.number
	}
	// Between a rapid and a feed the machine stops.
	if k.ahead.n > 0 && k.last.rapid == m.rapid {
		v := math.Min(k.limits.through(k.last.dir, m.tangent(0), k.last.mode), math.Min(k.last.cap, b.cap))
		b.entry = v * v
	} else {
		k.stop()
	}
	k.ahead.push(b)
	k.last.dir, k.last.cap, k.last.rapid, k.last.mode = m.tangent(1), b.cap, m.rapid, s.Path
}

func (k *clock) dwell(seconds float64, tool int) {
	k.stop()
	k.spend(tool, seconds).Dwell += seconds
}
