package cutdata

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/setup"
)

func flat(d float64) setup.Tool {
	return setup.Tool{Number: 1, Diameter: d, Flutes: 2, FluteLength: 3 * d, Shank: max(d, 6), StickOut: 3*d + 12, CentreCuts: true}
}

func vee(tip, degrees float64) setup.Tool {
	return setup.Tool{Number: 2, Shape: setup.Vee, Diameter: 3, TipDiameter: tip, Angle: degrees * math.Pi / 180, Flutes: 1, FluteLength: 8, Shank: 3, StickOut: 15, CentreCuts: true}
}

func drill(d float64) setup.Tool {
	return setup.Tool{Number: 3, Shape: setup.Drill, Diameter: d, Angle: 118 * math.Pi / 180, Flutes: 2, FluteLength: 10 * d, Shank: d, StickOut: 12 * d, CentreCuts: true}
}

func material(t require.TestingT, name string) Material {
	m, err := Lookup(name)
	require.NoError(t, err)
	return m
}

// TestSlot: vectors C2 and C3 (calc) as one cut, 3 mm in aluminium.
func TestSlot(t *testing.T) {
	l, err := Assess(flat(3), material(t, "al-6061"), Cut{Speed: 18000, Feed: 720, Depth: 0.75, Width: 3, MaxDeflection: 0.02, Spindle: Spindle{Power: 0.4, Torque: 0.2, Efficiency: 1}})
	require.NoError(t, err)
	assert.InDelta(t, 169.6, l.Speed, 0.05)
	assert.InDelta(t, 0.02, l.ToothFeed, 1e-12)
	assert.InDelta(t, math.Pi, l.Engagement, 1e-9)
	assert.InDelta(t, 0.01273, l.ChipMean, 1e-5)
	assert.InDelta(t, 1620, l.Removal, 1e-6)
	assert.Equal(t, 1, l.Teeth)
	assert.InDelta(t, 31.9*SizeEffect(0.02), l.Force, 0.1)
	assert.InDelta(t, 0.0643*SizeEffect(l.ChipMean), l.Power, 1e-4)
	assert.InDelta(t, l.Force*1.5/1000, l.Torque, 1e-9)
	assert.InDelta(t, BendingStress(l.Side, 9-0.75/2, 2.4), l.Stress, 0.1*l.Stress)
	assert.Zero(t, l.Thrust)
	assert.False(t, l.Checks[BucklingLimit].Known)
	assert.True(t, l.OK(), "%+v", l.Checks)
}

// TestWhichLimitActs breaks one limit after the other.
func TestWhichLimitActs(t *testing.T) {
	good := Cut{Speed: 18000, Feed: 500, Depth: 0.5, Width: 1, MaxDeflection: 1}
	short := flat(3)
	blind := flat(3)
	blind.CentreCuts = false
	slim := flat(3)
	slim.FluteLength, slim.StickOut, slim.Shank = 20, 30, 3
	with := func(f func(*Cut)) Cut { c := good; f(&c); return c }
	for _, c := range []struct {
		name string
		tool setup.Tool
		m    string
		cut  Cut
		want Limit
	}{
		{"feed ten times", short, "brass", with(func(c *Cut) { c.Feed = 5000 }), ChipLimit},
		{"deep slot in steel", short, "stainless-304", with(func(c *Cut) { c.Depth, c.Width, c.Speed = 6, 3, 5000 }), StressLimit},
		{"long slim tool", slim, "brass", with(func(c *Cut) { c.MaxDeflection = 0 }), DeflectionLimit},
		{"deeper than the flutes", short, "pvc", with(func(c *Cut) { c.Depth, c.Width = 20, 0.3 }), ReachLimit},
		{"plunge of a blind tool", blind, "brass", with(func(c *Cut) { c.Plunge, c.Feed = true, 200 }), DescentLimit},
		{"steep ramp of a blind tool", blind, "brass", with(func(c *Cut) { c.Ramp, c.Feed = 0.2, 200 }), DescentLimit},
		{"weak spindle", short, "brass", with(func(c *Cut) { c.Spindle.Power = 0.001 }), PowerLimit},
		{"weak torque", short, "brass", with(func(c *Cut) { c.Spindle.Torque = 0.001 }), TorqueLimit},
		{"too fast for steel", short, "c45", with(func(c *Cut) { c.Speed, c.Feed = 30000, 600 }), SpeedLimit},
		{"feed lost", short, "brass", with(func(c *Cut) { c.Feed = 1 }), RubbingLimit},
		{"bent spindle", short, "brass", with(func(c *Cut) { c.Runout = 0.012 }), RunoutLimit},
		{"thin drill pushed", drill(0.5), "mild-steel", Cut{Speed: 6000, Feed: 400, Depth: 1, Plunge: true}, ChipLimit},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := Assess(c.tool, material(t, c.m), c.cut)
			require.NoError(t, err)
			which, check := l.Acting()
			assert.Equal(t, c.want.String(), which.String(), "%+v", l.Checks)
			assert.Greater(t, check.Ratio, 1.0)
			assert.False(t, l.OK())
			assert.NotEmpty(t, which.Unit())
		})
	}
	l, err := Assess(short, material(t, "brass"), good)
	require.NoError(t, err)
	assert.True(t, l.OK(), "%+v", l.Checks)
}

// TestUsualCutsPass: start values of the trade pass (common practice, no source,
// but for the drill feeds, TUT).
func TestUsualCutsPass(t *testing.T) {
	for _, c := range []struct {
		name string
		tool setup.Tool
		m    string
		cut  Cut
	}{
		{"60 deg vee in brass", vee(0.1, 60), "brass", Cut{Speed: 24000, Feed: 250, Depth: 0.2, Width: 0.33}},
		{"60 deg vee in stainless", vee(0.2, 60), "stainless-304", Cut{Speed: 24000, Feed: 100, Depth: 0.1, Width: 0.315}},
		{"60 deg vee in acrylic", vee(0.1, 60), "acrylic", Cut{Speed: 24000, Feed: 1000, Depth: 0.4, Width: 0.56}},
		{"1 mm slot in brass", flat(1), "brass", Cut{Speed: 24000, Feed: 300, Depth: 0.15, Width: 1}},
		{"0.5 mm slot in brass", flat(0.5), "brass", Cut{Speed: 24000, Feed: 150, Depth: 0.06, Width: 0.5}},
		{"6 mm HSS drill in aluminium", drill(6), "al-6061", Cut{Speed: 4000, Feed: 1000, Depth: 12, Plunge: true, Substrate: HSS}},
		{"6 mm HSS drill in mild steel", drill(6), "mild-steel", Cut{Speed: 1600, Feed: 300, Depth: 12, Plunge: true, Substrate: HSS}},
		{"1 mm drill in brass", drill(1), "brass", Cut{Speed: 15000, Feed: 300, Depth: 2, Plunge: true}},
		{"3 mm plunge in brass", flat(3), "brass", Cut{Speed: 18000, Feed: 180, Depth: 1, Plunge: true, MaxDeflection: 0.02}},
		{"ramp in brass", flat(3), "brass", Cut{Speed: 18000, Feed: 400, Depth: 0.5, Width: 3, Ramp: 0.03, MaxDeflection: 0.02}},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := Assess(c.tool, material(t, c.m), c.cut)
			require.NoError(t, err)
			which, check := l.Acting()
			assert.True(t, l.OK(), "%v %+v\n%+v", which, check, l)
		})
	}
}

func TestAssessRefuses(t *testing.T) {
	brass := material(t, "brass")
	good := Cut{Speed: 18000, Feed: 500, Depth: 0.5, Width: 1}
	for name, change := range map[string]func(*Cut){
		"spindle speed": func(c *Cut) { c.Speed = 0 }, "feed": func(c *Cut) { c.Feed = math.NaN() }, "depth": func(c *Cut) { c.Depth = -1 },
		"width": func(c *Cut) { c.Width = 0 }, "more than the tool": func(c *Cut) { c.Width = 3.1 }, "engagement": func(c *Cut) { c.Engagement = 4 },
		"ramp": func(c *Cut) { c.Ramp = 2 }, "runout": func(c *Cut) { c.Runout = -0.1 }, "efficiency": func(c *Cut) { c.Spindle.Efficiency = 1.2 },
		"tool material": func(c *Cut) { c.Substrate = 7 }, "stiffness": func(c *Cut) { c.Spindle.Stiffness = math.Inf(1) },
		"cannot be reckoned": func(c *Cut) { c.Feed = 1e300; c.Speed = 1e-300 },
	} {
		c := good
		change(&c)
		_, err := Assess(flat(3), brass, c)
		assert.ErrorContains(t, err, name)
	}
	_, err := Assess(setup.Tool{}, brass, good)
	assert.ErrorContains(t, err, "tool 0")
	_, err = Assess(flat(3), Material{Name: "cheese"}, good)
	assert.ErrorContains(t, err, `no cutting force is known for "cheese"`)
	_, err = Assess(drill(3), brass, good)
	assert.ErrorContains(t, err, "straight down")
	good.Substrate = HSS
	_, err = Assess(flat(3), material(t, "fr4"), good)
	assert.ErrorContains(t, err, "may not be cut with high-speed steel")
	lam, err := Laminate(brass, material(t, "fr4"))
	require.NoError(t, err)
	_, err = Assess(flat(3), lam, good)
	assert.ErrorContains(t, err, "may not be cut", "a layer forbids it")
	a, err := NewAssessor(flat(3), brass, Carbide)
	require.NoError(t, err)
	_, err = a.Assess(good)
	assert.ErrorContains(t, err, "the tool is of carbide")
}

func drawTool(t *rapid.T) setup.Tool {
	d := rapid.Float64Range(0.3, 8).Draw(t, "diameter")
	tool := flat(d)
	tool.Flutes = rapid.IntRange(1, 4).Draw(t, "flutes")
	tool.Shape = rapid.SampledFrom([]setup.Shape{setup.Flat, setup.Ball, setup.Vee}).Draw(t, "shape")
	if tool.Shape == setup.Vee {
		tool.Angle = rapid.Float64Range(0.4, 2.5).Draw(t, "angle")
		tool.TipDiameter = d * rapid.Float64Range(0, 0.5).Draw(t, "tip")
	}
	return tool
}

func drawCut(t *rapid.T, tool setup.Tool) Cut {
	return Cut{
		Speed:  rapid.Float64Range(1000, 60000).Draw(t, "speed"),
		Feed:   rapid.Float64Range(10, 3000).Draw(t, "feed"),
		Depth:  tool.FluteLength * rapid.Float64Range(0.005, 1).Draw(t, "depth"),
		Width:  tool.Diameter * rapid.Float64Range(0.005, 1).Draw(t, "width"),
		Runout: rapid.Float64Range(0, 0.02).Draw(t, "runout"),
	}
}

// TestMoreIsNeverLess: a deeper, a wider and a faster fed cut never press less on
// the tool; nor does a longer tool bend less.
func TestMoreIsNeverLess(t *testing.T) {
	all, err := All()
	require.NoError(t, err)
	const slack = 1 + 1e-9
	rapid.Check(t, func(t *rapid.T) {
		tool := drawTool(t)
		m := rapid.SampledFrom(all).Draw(t, "material")
		c := drawCut(t, tool)
		before, err := Assess(tool, m, c)
		require.NoError(t, err)
		grow := rapid.Float64Range(1, 1.5).Draw(t, "growth")
		more, longer := c, tool
		switch rapid.SampledFrom([]string{"width", "feed", "runout", "length", "depth"}).Draw(t, "what") {
		case "width":
			more.Width = math.Min(c.Width*grow, tool.Diameter)
		case "feed":
			more.Feed *= grow
		case "runout":
			more.Runout *= grow
		case "length":
			longer.StickOut *= grow
		case "depth":
			if tool.Shape != setup.Flat { // a ball's or vee's diameter grows with depth: the same width is a lesser share
				more.Engagement = before.Engagement
				c.Engagement = before.Engagement
			}
			more.Depth = math.Min(c.Depth*grow, tool.FluteLength)
		}
		after, err := Assess(longer, m, more)
		require.NoError(t, err)
		if after.Force*slack < before.Force || after.Side*slack < before.Side || after.Deflection*slack < before.Deflection ||
			after.ChipMax*slack < before.ChipMax {
			t.Fatalf("less load\n%+v\n%+v", before, after)
		}
	})
}

// TestNothingSlipsThrough: whatever the figures, Assess either refuses or gives
// checks that can be compared, and never panics.
func TestNothingSlipsThrough(t *testing.T) {
	brass := material(t, "brass")
	wild := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, 5e-324, 1e-300, 1e-150, 1e150, 1.7e308, math.NaN(), math.Inf(1)}), rapid.Float64Range(0, 10))
	rapid.Check(t, func(t *rapid.T) {
		tool := drawTool(t)
		c := Cut{Speed: wild.Draw(t, "n"), Feed: wild.Draw(t, "vf"), Depth: wild.Draw(t, "ap"), Width: wild.Draw(t, "ae"), Engagement: wild.Draw(t, "phi"),
			Ramp: wild.Draw(t, "ramp"), Runout: wild.Draw(t, "runout"), Plunge: rapid.Bool().Draw(t, "plunge")}
		l, err := Assess(tool, brass, c)
		if err != nil {
			return
		}
		for i, k := range l.Checks {
			if math.IsNaN(k.Ratio) || k.Ratio < 0 {
				t.Fatalf("%v: %+v", Limit(i), k)
			}
		}
		for _, v := range []float64{l.Force, l.Side, l.Thrust, l.Torque, l.Power, l.Deflection, l.Stress, l.ChipMax, l.Removal} {
			if math.IsNaN(v) || v < 0 {
				t.Fatalf("%+v", l)
			}
		}
	})
}

func TestFullWidthAsAngle(t *testing.T) {
	brass := material(t, "brass")
	c := Cut{Speed: 18000, Feed: 500, Depth: 0.5, Width: 1}
	a, err := Assess(flat(3), brass, c)
	require.NoError(t, err)
	c.Width, c.Engagement = 0, EngagementAngle(3, 1)
	b, err := Assess(flat(3), brass, c)
	require.NoError(t, err)
	assert.InEpsilon(t, a.Force, b.Force, 1e-9)
	assert.InEpsilon(t, a.Removal, b.Removal, 1e-9)
}

// TestRampIsBetween: a ramp loads no less than the level cut, and straight down is
// a plunge.
func TestRampIsBetween(t *testing.T) {
	brass := material(t, "brass")
	c := Cut{Speed: 18000, Feed: 300, Depth: 0.5, Width: 1}
	level, err := Assess(flat(3), brass, c)
	require.NoError(t, err)
	c.Ramp = 0.05
	ramp, err := Assess(flat(3), brass, c)
	require.NoError(t, err)
	assert.Greater(t, ramp.Force, level.Force)
	assert.Greater(t, ramp.Thrust, 0.0)
	c.Ramp = math.Pi / 2
	down, err := Assess(flat(3), brass, c)
	require.NoError(t, err)
	c.Plunge = true
	plunge, err := Assess(flat(3), brass, c)
	require.NoError(t, err)
	assert.Equal(t, plunge, down)
}

// TestDrillIsKienzleTimesItsSpread: vector C11 (calc) with the factors that make a
// forecast a limit and the size effect.
func TestDrillIsKienzleTimesItsSpread(t *testing.T) {
	l, err := Assess(drill(10), material(t, "c45"), Cut{Speed: 800, Feed: 240, Depth: 20, Plunge: true, Substrate: HSS})
	require.NoError(t, err)
	assert.InEpsilon(t, 8.83*DrillSpread, l.Torque, 0.001)
	assert.InEpsilon(t, 1514*ChiselFactor, l.Thrust, 0.001)
	assert.InDelta(t, 0.1286, l.ChipMax, 1e-4)
	assert.Zero(t, l.Side)
	// The handbook's figures for steel of 200 HB (vector C10, calc) are no more.
	assert.Greater(t, l.Torque, 15.68)
	assert.Greater(t, l.Thrust, 4420.0)
}

func BenchmarkAssess(b *testing.B) {
	brass, err := Lookup("brass")
	require.NoError(b, err)
	for name, tool := range map[string]setup.Tool{"flat": flat(3), "vee": vee(0.1, 60)} {
		b.Run(name, func(b *testing.B) {
			a, err := NewAssessor(tool, brass, Carbide)
			require.NoError(b, err)
			c := Cut{Speed: 18000, Feed: 300, Depth: 0.2, Width: 0.3}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := a.Assess(c); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
