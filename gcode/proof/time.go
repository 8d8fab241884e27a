package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// cornerStop is the change of direction from which the machine is taken to
// stop between two moves: 10 degrees (common practice, no source).
var cornerStop = math.Cos(10 * math.Pi / 180)

// clock adds up the time of a program. Moves that follow each other without a
// corner and at the same rate are one run; a run has trapezoidal speed: it
// starts and ends at a stop, or at the lower rate where it meets another run
// without a corner. Without an acceleration a run takes its length over its rate.
type clock struct {
	machine *setup.Machine
	total   float64
	tools   []ToolTime
	cuts    []float64 // seconds by feature

	run struct {
		length, rate float64
		entry        float64 // rate at its start, mm/s
		rapid        bool
		tool         int
		dir          geom.Point3 // at its end
		shares       []share
	}
}

// share is how much of a run's length is cut for a feature.
type share struct {
	feature *feature
	length  float64
}

func (k *clock) share(f *feature, length float64) {
	if f == nil {
		return
	}
	list := k.run.shares
	for i := len(list) - 1; i >= 0; i-- {
		if list[i].feature == f {
			list[i].length += length
			return
		}
	}
	k.run.shares = append(list, share{f, length})
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

func (k *clock) spend(tool int, seconds float64, rapid, dwell bool) {
	k.total += seconds
	var t *ToolTime
	for i := range k.tools {
		if k.tools[i].Tool == tool {
			t = &k.tools[i]
		}
	}
	if t == nil {
		k.tools = append(k.tools, ToolTime{Tool: tool})
		t = &k.tools[len(k.tools)-1]
	}
	t.Time += seconds
	switch {
	case dwell:
		t.Dwell += seconds
	case rapid:
		t.Rapid += seconds
	default:
		t.Cutting += seconds
	}
}

// stop ends the run at a standstill.
func (k *clock) stop() { k.finish(0) }

func (k *clock) finish(exit float64) float64 {
	r := &k.run
	if r.length == 0 {
		return 0
	}
	seconds := r.length / r.rate
	if a := k.machine.Accel; a > 0 {
		exit = math.Min(exit, math.Sqrt(r.entry*r.entry+2*a*r.length))
		seconds = trapezoid(r.length, r.rate, math.Min(r.entry, r.rate), math.Min(exit, r.rate), a)
	}
	k.spend(r.tool, seconds, r.rapid, false)
	for _, s := range r.shares {
		for len(k.cuts) <= s.feature.number {
			k.cuts = append(k.cuts, 0)
		}
		k.cuts[s.feature.number] += seconds * s.length / r.length
	}
	r.shares = r.shares[:0]
	r.length = 0
	return exit
}

// trapezoid returns the time of a path of that length that begins and ends at
// the given rates, does not exceed the rate and changes it by no more than a.
// Where the length is too short to slow down it runs at the mean rate.
func trapezoid(length, rate, entry, exit, a float64) float64 {
	ramps := (2*rate*rate - entry*entry - exit*exit) / (2 * a)
	if length >= ramps {
		return (2*rate-entry-exit)/a + (length-ramps)/rate
	}
	peak := math.Sqrt((2*a*length + entry*entry + exit*exit) / 2)
	if peak < math.Max(entry, exit) {
		return 2 * length / (entry + exit)
	}
	return (2*peak - entry - exit) / a
}

// move adds a motion that is made for a feature, nil for none. A feed of 0 takes no time; another rule reports it.
func (k *clock) move(m *motion, s *interp.State, tool int, f *feature) {
	rate := k.machine.Rapid
	if !m.rapid {
		rate = math.Min(m.feed(s), k.machine.FeedMax)
	}
	rate /= 60
	if !(rate > 0) || m.length == 0 || !m.known() {
		return
	}
	r := &k.run
	start := m.tangent(0)
	if r.length > 0 {
		straight := r.dir.X*start.X+r.dir.Y*start.Y+r.dir.Z*start.Z >= cornerStop && r.tool == tool && r.rapid == m.rapid
		switch {
		case straight && r.rate == rate:
			r.length += m.length
			k.share(f, m.length)
			r.dir = m.tangent(1)
			return
		case straight:
			r.entry = k.finish(math.Min(r.rate, rate))
		default:
			k.stop()
			r.entry = 0
		}
	} else {
		r.entry = 0
	}
	r.length, r.rate, r.rapid, r.tool, r.dir = m.length, rate, m.rapid, tool, m.tangent(1)
	k.share(f, m.length)
}

func (k *clock) dwell(seconds float64, tool int) {
	k.stop()
	k.spend(tool, seconds, false, true)
}
