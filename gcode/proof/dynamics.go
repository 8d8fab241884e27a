package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// cornerStop is the cosine of the change of direction from which a machine
// without corner limits of its own is taken to stop between two moves: 10
// degrees (common practice, no source).
var cornerStop = math.Cos(10 * math.Pi / 180)

// dynamics is what the machine's axes allow, in mm and s. Limits that are not
// known are +Inf.
type dynamics struct {
	path      float64    // acceleration along the path
	accel     [3]float64 // of each axis
	rate      [3]float64
	corner    [3]float64 // change of rate that an axis takes at once
	steps     bool       // corner is given
	deviation float64    // from the path at a corner, 0: not given
}

func newDynamics(m *setup.Machine) dynamics {
	known := func(v float64) float64 {
		if v > 0 {
			return v
		}
		return math.Inf(1)
	}
	d := dynamics{path: known(m.Accel), steps: m.HasCornerSteps(), deviation: m.CornerDeviation}
	for i, a := range m.Axes {
		d.accel[i], d.rate[i], d.corner[i] = known(a.Accel), known(a.Rate/60), a.CornerStep/60
	}
	return d
}

// share returns what the limits of the axes leave along a direction, whose
// absolute parts are given: the least of limit over part.
func share(limits, parts [3]float64) float64 {
	least := math.Inf(1)
	for i, p := range parts {
		if p > 0 {
			least = math.Min(least, limits[i]/p)
		}
	}
	return least
}

func parts(p geom.Point3) [3]float64 {
	return [3]float64{math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z)}
}

// headings returns the greatest part that each axis has in the direction of a
// motion. On an arc, whose direction changes, normal is that in the direction to
// the centre and round the part of the path that lies in the arc's plane.
func headings(m *motion) (tangent, normal [3]float64, round float64) {
	if !m.arc {
		return parts(m.tangent(0)), normal, 0
	}
	round = m.radius * math.Abs(m.sweep) / m.length
	cos := peak(m.a0, m.sweep)
	sin := peak(m.a0-math.Pi/2, m.sweep)
	_, _, n0 := m.split(m.from)
	_, _, n1 := m.split(m.to)
	return vec(m.join(sin*round, cos*round, math.Abs(n1-n0)/m.length)), vec(m.join(cos, sin, 0)), round
}

// along returns the greatest rate and acceleration along a motion that the axes
// allow. On an arc the acceleration towards the centre, v^2/r, limits the rate
// as well, where its direction suits the axes least. That and the acceleration
// along the path are held against the limits each on its own.
func (d *dynamics) along(m *motion) (rate, accel float64) {
	tangent, normal, round := headings(m)
	rate, accel = share(d.rate, tangent), math.Min(d.path, share(d.accel, tangent))
	if m.arc {
		inward := math.Min(d.path, share(d.accel, normal))
		rate = math.Min(rate, math.Sqrt(inward*m.radius)/round)
	}
	return rate, accel
}

// peak returns the greatest absolute cosine of an angle that runs from a by the
// sweep.
func peak(a, sweep float64) float64 {
	lo, hi := math.Min(a, a+sweep)/math.Pi, math.Max(a, a+sweep)/math.Pi
	if math.Ceil(lo) <= hi {
		return 1
	}
	return math.Max(math.Abs(math.Cos(a)), math.Abs(math.Cos(a+sweep)))
}

// through returns the greatest rate at which the tool may go from one direction
// into another, +Inf when nothing limits it. Where a change of rate is given, no
// axis changes its rate by more at once. Where a deviation e is given and the
// path need not be kept, it is the rate on the circle of radius R = e s/(1 - s)
// that leaves the corner by e, s being the sine of half the angle between the
// two moves: sqrt(a R) (derived from the figure of the two moves and a circle
// that touches both). With neither the machine stops at a corner of 10
// degrees and more.
func (d *dynamics) through(from, to geom.Point3, mode interp.PathMode) float64 {
	if mode == interp.ExactStop {
		return 0
	}
	turn := geom.Pt3(to.X-from.X, to.Y-from.Y, to.Z-from.Z)
	if turn == (geom.Point3{}) {
		return math.Inf(1)
	}
	v := math.Inf(1)
	if d.steps {
		v = share(d.corner, parts(turn))
	}
	cos := from.X*to.X + from.Y*to.Y + from.Z*to.Z
	switch {
	case d.deviation > 0 && mode != interp.ExactPath:
		s := math.Sqrt(math.Max(0, (1+cos)/2))
		if s >= 1 {
			break
		}
		size := math.Sqrt(turn.X*turn.X + turn.Y*turn.Y + turn.Z*turn.Z)
		inward := parts(geom.Pt3(turn.X/size, turn.Y/size, turn.Z/size))
		a := math.Min(d.path, share(d.accel, inward))
		v = math.Min(v, math.Sqrt(a*d.deviation*s/(1-s)))
	case !d.steps && cos < cornerStop:
		v = 0
	}
	return v
}

// dogLeg returns the time of a rapid on which each axis runs on its own, from
// rest to rest: that of the slowest.
func (d *dynamics) dogLeg(m *motion, rapid float64) float64 {
	longest := 0.0
	from, to := vec(m.from), vec(m.to)
	for i := range from {
		if way := math.Abs(to[i] - from[i]); way > 0 {
			rate, a := d.rate[i], d.accel[i]
			if math.IsInf(rate, 1) {
				rate = rapid
			}
			if math.IsInf(a, 1) {
				a = d.path
			}
			longest = math.Max(longest, trapezoid(way, rate, 0, 0, a))
		}
	}
	return longest
}
