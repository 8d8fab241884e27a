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

// drawTool returns a random tool of any shape with a holder.
func drawTool(t *rapid.T) setup.Tool {
	f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	u := setup.Tool{Number: 1, Shape: setup.Shape(rapid.IntRange(0, 3).Draw(t, "shape")), Diameter: f(0.5, 6, "diameter"), Flutes: 2}
	u.Angle = f(0.4, 2.5, "angle")
	if u.Shape == setup.Vee {
		u.TipDiameter = u.Diameter * f(0, 0.5, "tip")
	}
	u.FluteLength = math.Max(u.ConeHeight(), u.Diameter/2) + f(0.1, 5, "flutes")
	u.Shank = f(0.5, 6, "shank")
	u.StickOut = u.FluteLength + f(0.1, 8, "stick-out")
	z := u.StickOut
	u.Holder = []setup.Section{{Z0: z, R0: f(2, 6, "r0"), Z1: z + f(0.5, 5, "z1"), R1: f(2, 10, "r1")}}
	return u
}

func drawRegion(t *rapid.T) geom.Region {
	c := geom.Pt(rapid.Float64Range(-5, 5).Draw(t, "cx"), rapid.Float64Range(-5, 5).Draw(t, "cy"))
	switch rapid.IntRange(0, 2).Draw(t, "region") {
	case 0:
		return geom.RegionOf(geom.Circle(c, rapid.Float64Range(0.5, 4).Draw(t, "r")))
	case 1:
		return geom.RegionOf(geom.Slot(c, c.Add(geom.Pt(rapid.Float64Range(1, 6).Draw(t, "dx"), 1)), rapid.Float64Range(0.5, 2).Draw(t, "w")))
	}
	n := rapid.IntRange(3, 7).Draw(t, "n")
	var pts []geom.Point
	for i := range n {
		pts = append(pts, c.Add(geom.Polar(rapid.Float64Range(1, 4).Draw(t, "pr"), 2*math.Pi*float64(i)/float64(n))))
	}
	return geom.RegionOf(geom.Polygon(pts...))
}

// drawMotion returns a random line, arc, helix or upright arc.
func drawMotion(t *rapid.T, tool *assembly) *motion {
	f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	e := &interp.Event{Kind: interp.Feed, State: &interp.State{}}
	e.From = geom.Pt3(f(-20, 20, "x"), f(-20, 20, "y"), f(-8, 12, "z"))
	e.To = geom.Pt3(f(-20, 20, "x'"), f(-20, 20, "y'"), f(-8, 12, "z'"))
	switch rapid.IntRange(0, 4).Draw(t, "kind") {
	case 0:
		e.To.Z = e.From.Z
	case 1: // upright and plane arcs
		e.Kind, e.Plane = interp.Arc, interp.Plane(rapid.IntRange(0, 2).Draw(t, "plane"))
		m := &motion{plane: e.Plane}
		u, v, n := m.split(e.From)
		r, a := f(0.5, 12, "radius"), f(-math.Pi, math.Pi, "angle")
		cu, cv := u-r*math.Cos(a), v-r*math.Sin(a)
		e.Turn = geom.Turn(2*rapid.IntRange(0, 1).Draw(t, "turn") - 1)
		e.Sweep = f(0.05, 2*math.Pi, "sweep")
		b := a + e.Sweep*float64(e.Turn)
		e.Centre = m.join(cu, cv, n)
		e.To = m.join(cu+r*math.Cos(b), cv+r*math.Sin(b), n+f(-5, 5, "rise"))
	}
	m := &motion{}
	m.set(e, tool)
	return m
}

// bruteGap samples the motion and the tool's outline.
func bruteGap(z *prism, m *motion, along, up int) float64 {
	least := math.Inf(1)
	for i := range along + 1 {
		p := m.at(float64(i) / float64(along))
		d := z.region.Distance(p.XY())
		for _, s := range m.tool.sections {
			for j := range up + 1 {
				h := s.h0 + (s.h1-s.h0)*float64(j)/float64(up)
				v := math.Max(0, math.Max(z.zone.Bottom-p.Z-h, p.Z+h-z.zone.Top))
				least = math.Min(least, math.Hypot(v, math.Max(0, d-s.at(h))))
			}
		}
	}
	return least
}

// TestDistanceAgainstSampling holds the exact distance against dense sampling:
// sampling never finds less, and what it finds more is explained by its steps.
func TestDistanceAgainstSampling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tool := newAssembly(drawTool(t))
		bottom := rapid.Float64Range(-10, 5).Draw(t, "bottom")
		z := &prism{zone: setup.Zone{Bottom: bottom, Top: bottom + rapid.Float64Range(0.1, 8).Draw(t, "height")}, plan: newPlan(drawRegion(t))}
		m := drawMotion(t, tool)
		const along, up = 200, 24
		got := z.distance(m)
		brute := bruteGap(z, m, along, up)
		require.LessOrEqual(t, got, brute+1e-9)
		// A slice half a step away differs by at most the step times the slope of
		// the outline; balls are steep at the tip, so the bound is the arc's.
		step := m.length/along/2 + 0.01
		for _, s := range tool.sections {
			d := math.Hypot(s.h1-s.h0, s.r1-s.r0) / up
			if s.ball {
				d = s.r1 * math.Sqrt(2.0/up)
			}
			step = math.Max(step, m.length/along/2+d+0.01)
		}
		require.GreaterOrEqual(t, got, brute-step)
		require.LessOrEqual(t, z.bound(m), got+2*gapTol)
	})
}

// TestDistanceClosedForm compares with distances that can be written down.
func TestDistanceClosedForm(t *testing.T) {
	ball := newAssembly(setup.Tool{Number: 1, Shape: setup.Ball, Diameter: 4, FluteLength: 6, Shank: 4, StickOut: 20})
	flat := newAssembly(setup.Tool{Number: 1, Shape: setup.Flat, Diameter: 4, FluteLength: 6, Shank: 4, StickOut: 20})
	vee := newAssembly(setup.Tool{Number: 1, Shape: setup.Vee, Diameter: 8, Angle: math.Pi / 2, FluteLength: 6, Shank: 8, StickOut: 20})
	wide := newAssembly(setup.Tool{Number: 1, Shape: setup.Flat, Diameter: 4, FluteLength: 6, Shank: 4, StickOut: 20, Holder: []setup.Section{{Z0: 20, R0: 10, Z1: 30, R1: 10}}})
	post := geom.RegionOf(geom.Circle(geom.Pt(0, 0), 3))
	box := geom.RegionOf(geom.Rect(geom.Pt(-3, -3), geom.Pt(3, 3), 0))
	line := func(a, b geom.Point3) *interp.Event {
		return &interp.Event{Kind: interp.Feed, From: a, To: b, State: &interp.State{}}
	}
	for _, tc := range []struct {
		name string
		tool *assembly
		area geom.Region
		e    *interp.Event
		want float64
	}{
		{"flat beside a post", flat, post, line(geom.Pt3(-20, 7, -1), geom.Pt3(20, 7, -1)), 2},
		{"flat over a post", flat, post, line(geom.Pt3(-20, 0, 3.25), geom.Pt3(20, 0, 3.25)), 1.25},
		{"flat over the corner", flat, box, line(geom.Pt3(-20, 8, 6), geom.Pt3(20, 8, 6)), 5},
		{"into a post", flat, post, line(geom.Pt3(-20, 0, 0), geom.Pt3(20, 0, 0)), 0},
		{"ball over a corner", ball, box, line(geom.Pt3(-20, 7, 3), geom.Pt3(20, 7, 3)), 5 - 2},
		{"ball over a post", ball, post, line(geom.Pt3(-20, 0, 3), geom.Pt3(20, 0, 3)), 1},
		{"vee beside a corner", vee, box, line(geom.Pt3(-20, 7, 0), geom.Pt3(20, 7, 0)), math.Sqrt2},
		{"holder over a post", wide, post, line(geom.Pt3(-20, 9, -15), geom.Pt3(20, 9, -15)), 3},
		{"arc round a post", flat, post, &interp.Event{Kind: interp.Arc, From: geom.Pt3(9, 0, 0), To: geom.Pt3(-9, 0, 0), Turn: geom.CCW, Sweep: math.Pi, State: &interp.State{}}, 4},
		{"helix down round a post", flat, post, &interp.Event{Kind: interp.Arc, From: geom.Pt3(9, 0, 40), To: geom.Pt3(9, 0, 10), Turn: geom.CW, Sweep: 2 * math.Pi, State: &interp.State{}}, math.Hypot(4, 8)},
		{"plunge beside a post", flat, post, line(geom.Pt3(6, 0, 40), geom.Pt3(6, 0, -4)), 1},
		{"upright arc over a post", ball, post, &interp.Event{Kind: interp.Arc, Plane: interp.ZX, From: geom.Pt3(-8, 0, 12), To: geom.Pt3(8, 0, 12), Centre: geom.Pt3(0, 0, 12), Turn: geom.CW, Sweep: math.Pi, State: &interp.State{}}, 2},
	} {
		t.Run(tc.name, func(t *testing.T) {
			m := &motion{}
			m.set(tc.e, tc.tool)
			z := &prism{zone: setup.Zone{Bottom: -10, Top: 2}, plan: newPlan(tc.area)}
			require.InDelta(t, tc.want, z.distance(m), 3e-6)
		})
	}
}

func TestStadiumRow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(name string) float64 { return rapid.Float64Range(-5, 5).Draw(t, name) }
		s := stadium{geom.Pt(f("ax"), f("ay")), geom.Pt(f("bx"), f("by")), rapid.Float64Range(0.01, 4).Draw(t, "r")}
		y := f("y")
		lo, hi, ok := s.row(y)
		for i := range 400 {
			x := -10 + float64(i)*0.05
			in := squared(geom.Pt(x, y), s.a, s.b) <= s.r*s.r
			if math.Abs(squared(geom.Pt(x, y), s.a, s.b)-s.r*s.r) < 1e-6 {
				continue
			}
			require.Equal(t, in, ok && x >= lo && x <= hi, "x %v", x)
		}
	})
}

// TestHoldsIsSafe checks that the quick answers about engraving lines never
// vouch for a motion that leaves them.
func TestHoldsIsSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		arc := func(name string, c geom.Point, r float64) geom.Seg {
			a := f(-math.Pi, math.Pi, name+" angle")
			sweep := f(0.1, 6.2, name+" sweep")
			turn := geom.CCW
			if rapid.Bool().Draw(t, name+" turn") {
				sweep, turn = -sweep, geom.CW
			}
			return geom.Arc(c.Add(geom.Polar(r, a)), c.Add(geom.Polar(r, a+sweep)), c, turn)
		}
		l := arc("line", geom.Pt(0, 0), 3)
		if rapid.Bool().Draw(t, "straight line") {
			l = geom.Line(l.A, l.B)
		}
		d := f(0.01, 1, "d")
		s := arc("motion", geom.Pt(f(-0.3, 0.3, "cx"), f(-0.3, 0.3, "cy")), f(2.7, 3.3, "r"))
		if rapid.Bool().Draw(t, "straight motion") {
			s = geom.Line(s.A, s.B)
		}
		got := newLineSet([]geom.Path{{l}}).holds(s, d)
		worst := 0.0
		for i := range 501 {
			worst = math.Max(worst, l.Distance(s.At(float64(i)/500)))
		}
		if got {
			require.LessOrEqual(t, worst, d+1e-9)
		} else {
			require.Greater(t, worst, d*(1-1e-3)-s.Length()/500)
		}
	})
}
