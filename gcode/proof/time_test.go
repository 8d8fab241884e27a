package proof_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// rest is the time of a move from rest to rest: trapezoid or triangle.
func rest(length, rate, a float64) float64 {
	if length < rate*rate/a {
		return 2 * math.Sqrt(length/a)
	}
	return length/rate + rate/a
}

// TestAxisTimes holds times against closed forms for machines whose axes differ.
func TestAxisTimes(t *testing.T) {
	// Rates 100, 50, 20 mm/s, accelerations 500, 200, 50 mm/s2.
	axes := [3]setup.Axis{{Rate: 6000, Accel: 500}, {Rate: 3000, Accel: 200}, {Rate: 1200, Accel: 50}}
	stepped := axes
	for i, v := range []float64{600, 300, 60} { // 10, 5, 1 mm/s
		stepped[i].CornerStep = v
	}
	const down = 10                                                       // mm from Z10 to Z0 and up again
	corner := math.Sqrt(500 * 0.02 * math.Sqrt2 / 2 / (1 - math.Sqrt2/2)) // 4.914 mm/s
	z := 2 * rest(down, 20, 50)
	for _, tc := range []struct {
		name, text string
		change     func(m *setup.Machine)
		want       float64
	}{
		{"X", "G1 X60 F6000", func(m *setup.Machine) { m.Axes = axes }, z + rest(60, 100, 500)},
		{"Y is slower", "G1 Y60 F6000", func(m *setup.Machine) { m.Axes = axes }, z + rest(60, 50, 200)},
		// Along (3, 4)/5 Y allows 50/0.8 mm/s and 200/0.8 mm/s2, X 166 and 833.
		{"slanted", "G1 X30 Y40 F6000", func(m *setup.Machine) { m.Axes = axes }, z + rest(50, 62.5, 250)},
		{"rapid", "G0 X30 Y40", func(m *setup.Machine) { m.Axes = axes }, z + rest(50, 62.5, 250)},
		{"dog-leg", "G0 X30 Y40", func(m *setup.Machine) { m.Axes, m.DogLegRapids = axes, true }, z + rest(40, 50, 200)},
		{"path slower than the axes", "G1 X60 F6000", func(m *setup.Machine) { m.Axes, m.Accel = axes, 20 }, 2*rest(down, 20, 20) + rest(60, 100, 20)},
		{"triangle", "G1 Y1 F6000", func(m *setup.Machine) { m.Axes = axes }, z + 2*math.Sqrt(1/200.0)},
		// Each side of the square from rest to rest.
		{"square with full stops", "G61.1 G1 X20 F600\nY20\nX0\nY0", func(m *setup.Machine) { m.Axes = stepped },
			z + 2*rest(20, 10, 500) + 2*rest(20, 10, 200)},
		{"straight with full stops", "G61.1 G1 X20 F600\nX40\nX60", func(m *setup.Machine) { m.Axes = stepped }, z + 3*rest(20, 10, 500)},
		{"straight without stops", "G61 G1 X20 F600\nX40\nX60", func(m *setup.Machine) { m.Axes = stepped }, z + rest(60, 10, 500)},
		// Corners at 5 mm/s, the step of Y; 1200 mm/min = 20 mm/s between them.
		{"square with corner speed", "G1 X20 F1200\nY20\nX0\nY0", func(m *setup.Machine) { m.Axes = stepped },
			z + half(20, 20, 0, 5, 500) + half(20, 20, 5, 5, 200) + half(20, 20, 5, 5, 500) + half(20, 20, 5, 0, 200)},
		// A zig-zag along X that turns by 2 atan(3/4) at each corner: Y goes from
		// 3/5 to -3/5 of the rate and takes 5 mm/s at once, so 5/(6/5) mm/s. X
		// leaves 625, Y 333 mm/s2 along the legs of 5 mm.
		{"zig-zag", "G1 X4 Y3 F1200\nX8 Y0\nX12 Y3\nX16 Y0", func(m *setup.Machine) { m.Axes = stepped },
			z + 2*half(5, 20, 0, 25/6.0, 1000/3.0) + 2*half(5, 20, 25/6.0, 25/6.0, 1000/3.0)},
		// Legs too short for the rate are triangles between corner rates.
		{"fine zig-zag", "G1 X.04 Y.03 F1200\nX.08 Y0\nX.12 Y.03\nX.16 Y0", func(m *setup.Machine) { m.Axes = stepped },
			z + 2*half(.05, 20, 0, 25/6.0, 1000/3.0) + 2*half(.05, 20, 25/6.0, 25/6.0, 1000/3.0)},
		// The deviation of 0.02 mm leaves a right angle sqrt(a R).
		{"rounded corner", "G64 G1 X20 F1200\nY20", func(m *setup.Machine) { m.Accel, m.CornerDeviation = 500, 0.02 },
			2*rest(down, 100, 500) + 2*half(20, 20, 0, corner, 500)},
		{"exact corner", "G61 G1 X20 F1200\nY20", func(m *setup.Machine) { m.Accel, m.CornerDeviation = 500, 0.02 },
			2*rest(down, 100, 500) + 2*rest(20, 20, 500)},
		// sqrt(500 mm/s2 x 1 mm) = 22.36 mm/s on a circle of radius 1, though the
		// feed is 100 mm/s; tangent and centre have 500 each.
		{"small circle", "G3 X0 Y0 I1 J0 F6000", func(m *setup.Machine) { m.Accel = 500 },
			2*rest(down, 100, 500) + rest(2*math.Pi, math.Sqrt(500), 500)},
		// A whole circle turns through every direction: Y limits both.
		{"circle with uneven axes", "G3 X0 Y0 I1 J0 F6000", func(m *setup.Machine) { m.Axes = axes },
			z + rest(2*math.Pi, math.Sqrt(200), 200)},
		// With one move known in advance each has to end at rest.
		{"no look-ahead", "G1 X20 F600\nX40\nX60", func(m *setup.Machine) { m.Axes, m.LookAhead = axes, 1 }, z + 3*rest(20, 10, 500)},
		// Two known: up to the greatest rate from which the next one stops.
		{"short look-ahead", "G1 X1 F6000\nX2\nX3\nX4", func(m *setup.Machine) { m.Accel, m.LookAhead = 50, 2 },
			2*rest(down, 100, 50) + half(1, 100, 0, 10, 50) + 2*half(1, 100, 10, 10, 50) + half(1, 100, 10, 0, 50)},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := blank(setup.Tool{Shape: setup.Flat, Diameter: 2}, 0)
			s.Stock.Outline = geom.RegionOf(geom.Rect(geom.Pt(-90, -90), geom.Pt(-80, -80), 0))
			tc.change(&s.Machine)
			r := check(t, s, strings.ReplaceAll(before, "S10000 M3\n", "")+"G0 X0 Y0\nZ0\n"+tc.text+"\n"+strings.ReplaceAll(after, "M5\n", ""))
			require.InDelta(t, tc.want, r.Time, 2e-6, fmt.Sprintf("%+v", r.Findings))
			sum := 0.0
			for _, k := range r.Times {
				sum += k.Cutting + k.Rapid + k.Dwell
			}
			require.InDelta(t, r.Time, sum, 1e-5)
		})
	}
}

// half is the time of a move between two rates in the general form: up at a, on
// at the rate if it is reached, down at a.
func half(length, rate, entry, exit, a float64) float64 {
	top := math.Min(rate, math.Sqrt(a*length+(entry*entry+exit*exit)/2))
	ramps := (top-entry)*(top+entry)/(2*a) + (top-exit)*(top+exit)/(2*a)
	return (top-entry)/a + (top-exit)/a + (length-ramps)/top
}

// TestAxisRate looks at the feed that an axis cannot keep.
func TestAxisRate(t *testing.T) {
	s := blank(setup.Tool{Shape: setup.Flat, Diameter: 2}, 0)
	s.Machine.Axes[2].Rate = 300
	text := before + "G0 X5 Y5\nZ1\nG1 Z-1 F%d\nG1 X8 Y5 F2000" + after
	r := check(t, s, fmt.Sprintf(text, 300))
	require.True(t, r.Proven, "%+v", r.Findings)
	r = check(t, s, fmt.Sprintf(text, 400))
	require.Equal(t, []string{"feed-limit"}, rules(r, proof.Fault))
	require.Contains(t, r.Findings[0].Text, "Z")
}
