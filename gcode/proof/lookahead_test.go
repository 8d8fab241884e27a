package proof

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// TestTrapezoid holds single moves against L. Biagiotti, C. Melchiorri,
// Trajectory Planning for Automatic Machines and Robots, 2008, chapter 3 (general
// form with given end rates; the figures are computed from it by hand).
func TestTrapezoid(t *testing.T) {
	for _, c := range []struct{ length, rate, entry, exit, a, want float64 }{
		{100, 50, 0, 0, 500, 2.100},
		{1, 50, 0, 0, 500, 0.0894427},
		{10, 25, 0, 0, 200, 0.525},
		{0.5, 20, 5, 5, 250, 0.0579796},
		{60, 10, 0, 0, math.Inf(1), 6},
		{7.5, 20, 10, 20, 20, 0.5}, // all of it is needed to come up to the rate
	} {
		require.InDelta(t, c.want, trapezoid(c.length, c.rate, c.entry, c.exit, c.a), 1e-6, "%+v", c)
	}
}

// whole reckons stretches with all of them known in advance, the plain way:
// backward, then forward.
func whole(list []stretch) (total float64) {
	n := len(list)
	rate := make([]float64, n+1) // squares at the ends
	for i := n - 1; i > 0; i-- {
		rate[i] = math.Min(list[i].entry, rate[i+1]+2*list[i].accel*list[i].length)
	}
	for i := range n {
		rate[i+1] = math.Min(rate[i+1], rate[i]+2*list[i].accel*list[i].length)
		total += trapezoid(list[i].length, list[i].cap, math.Sqrt(rate[i]), math.Sqrt(rate[i+1]), list[i].accel)
	}
	return total
}

// drawStretches returns a run from a standstill.
func drawStretches(t *rapid.T) []stretch {
	f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	list := make([]stretch, rapid.IntRange(1, 40).Draw(t, "stretches"))
	for i := range list {
		s := stretch{length: f(0.01, 5, "length"), cap: f(1, 40, "rate"), accel: f(5, 500, "acceleration")}
		if i > 0 {
			v := math.Min(s.cap, list[i-1].cap) * f(0, 1, "corner")
			s.entry = v * v
		}
		list[i] = s
	}
	return list
}

// TestLookAhead checks the streaming planner against the plain way: with a
// window over all it is equal, with a shorter one never quicker, and no rate
// changes by more than the acceleration allows.
func TestLookAhead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := drawStretches(t)
		run := func(moves int) (total float64) {
			l := newLookAhead(moves, nil)
			l.done = func(s *stretch, seconds float64) {
				total += seconds
				exit := 0.0
				if l.n > 1 {
					exit = math.Min(l.at(1).plan, l.start+2*s.accel*s.length)
				}
				if d := math.Abs(exit - l.start); d > 2*s.accel*s.length*(1+1e-9) {
					t.Fatalf("the square of the rate changes by %v over %v mm at %v mm/s2", d, s.length, s.accel)
				}
				if l.start > s.entry*(1+1e-9) {
					t.Fatalf("the corner is passed at %v, %v is allowed", math.Sqrt(l.start), math.Sqrt(s.entry))
				}
			}
			for _, s := range list {
				l.push(s)
			}
			l.stop()
			return total
		}
		want := whole(list)
		if got := run(len(list)); math.Abs(got-want) > 1e-9*want {
			t.Fatalf("%v s, want %v s", got, want)
		}
		last := math.Inf(1)
		for _, moves := range []int{1, 2, 5, 17, len(list)} {
			got := run(moves)
			if moves <= len(list) && got > last*(1+1e-9) || got < want*(1-1e-9) {
				t.Fatalf("%v s with %d moves ahead, %v s with fewer, %v s with all", got, moves, last, want)
			}
			last = got
		}
	})
}

// TestThrough holds rates at corners against closed forms, in mm and s.
func TestThrough(t *testing.T) {
	dir := func(deg float64) geom.Point3 {
		s, c := math.Sincos(deg * math.Pi / 180)
		return geom.Pt3(c, s, 0)
	}
	deviation := setup.Machine{Accel: 500, CornerDeviation: 0.02}
	steps := setup.Machine{Axes: [3]setup.Axis{{CornerStep: 600}, {CornerStep: 300}, {CornerStep: 60}}}
	both := steps
	both.CornerDeviation, both.Accel = 0.02, 500
	uneven := setup.Machine{CornerDeviation: 0.02, Axes: [3]setup.Axis{{Accel: 500}, {Accel: 200}, {Accel: 50}}}
	for _, c := range []struct {
		name string
		m    setup.Machine
		turn float64 // degrees
		mode interp.PathMode
		want float64
	}{
		// R = e s/(1 - s) with s = sin(half the angle between the moves): figures
		// computed by hand for 90, 135, 170 and 179 degrees between them.
		{"90 degrees", deviation, 90, interp.Continuous, 4.914},
		{"45 degrees", deviation, 45, interp.Continuous, 11.016},
		{"10 degrees", deviation, 10, interp.Continuous, 51.17},
		{"1 degree", deviation, 1, interp.Continuous, 512.5},
		{"back", deviation, 180, interp.Continuous, 0},
		{"exact path without steps, sharp", deviation, 45, interp.ExactPath, 0},
		{"exact path without steps, smooth", deviation, 5, interp.ExactPath, math.Inf(1)},
		{"exact stop", deviation, 1, interp.ExactStop, 0},
		{"exact stop, straight", deviation, 0, interp.ExactStop, 0},
		{"straight", deviation, 0, interp.Continuous, math.Inf(1)},
		// X changes by 1, Y by 1: Y has the lesser step of 5 mm/s.
		{"step", steps, 90, interp.PathUnset, 5},
		{"step on an exact path", steps, 90, interp.ExactPath, 5},
		{"step back", steps, 180, interp.PathUnset, 5}, // X from 1 to -1: 10/2
		{"step and deviation", both, 90, interp.Continuous, 4.914},
		{"step and deviation on an exact path", both, 90, interp.ExactPath, 5},
		{"nothing known, sharp", setup.Machine{}, 11, interp.Continuous, 0},
		{"nothing known, smooth", setup.Machine{}, 9, interp.Continuous, math.Inf(1)},
		// Inward is (-1, 1)/sqrt 2: Y leaves 200 sqrt 2.
		{"uneven axes", uneven, 90, interp.Continuous, math.Sqrt(200 * math.Sqrt2 * 0.02 * math.Sqrt2 / 2 / (1 - math.Sqrt2/2))},
	} {
		d := newDynamics(&c.m)
		got := d.through(dir(0), dir(c.turn), c.mode)
		if math.IsInf(c.want, 1) {
			require.True(t, math.IsInf(got, 1), "%s: %v", c.name, got)
			continue
		}
		require.InDelta(t, c.want, got, 2e-4*math.Max(1, c.want), c.name)
	}
}

// TestAlong holds the limits along a motion against sampling its direction.
func TestAlong(t *testing.T) {
	machine := setup.Machine{Accel: 400, Axes: [3]setup.Axis{{Rate: 600, Accel: 300}, {Rate: 900, Accel: 200}, {Rate: 120, Accel: 50}}}
	d := newDynamics(&machine)
	tool := newAssembly(setup.Tool{Number: 1, Diameter: 1, FluteLength: 5, Shank: 1, StickOut: 10, Flutes: 2})
	rapid.Check(t, func(t *rapid.T) {
		m := drawMotion(t, tool)
		if m.length < 0.01 || m.arc && m.radius < 0.01 {
			return
		}
		rate, accel := d.along(m)
		leastRate, leastAccel := math.Inf(1), d.path
		const n = 2000
		for i := range n + 1 {
			u := parts(m.tangent(float64(i) / n))
			leastRate = math.Min(leastRate, share(d.rate, u))
			leastAccel = math.Min(leastAccel, share(d.accel, u))
			if !m.arc {
				continue
			}
			// The acceleration of a point that goes along at rate 1, by differences.
			const h = 1e-4
			at := math.Max(h, math.Min(1-h, float64(i)/n))
			a, b := vec(m.tangent(at-h)), vec(m.tangent(at+h))
			var turn [3]float64
			for k := range turn {
				turn[k] = math.Abs(b[k]-a[k]) / (2 * h * m.length)
			}
			inward := math.Sqrt(turn[0]*turn[0] + turn[1]*turn[1] + turn[2]*turn[2])
			leastRate = math.Min(leastRate, math.Sqrt(math.Min(share(d.accel, turn), d.path/inward)))
		}
		if rate > leastRate*(1+1e-5) || rate < leastRate*(1-2e-3) {
			t.Fatalf("rate %v, by sampling %v", rate, leastRate)
		}
		if accel > leastAccel*(1+1e-5) || accel < leastAccel*(1-2e-3) {
			t.Fatalf("acceleration %v, by sampling %v", accel, leastAccel)
		}
	})
}
