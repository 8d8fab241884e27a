package cutdata

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// TestMeanChipIsTheMean compares with a slow sum of fz sin over the arc.
func TestMeanChipIsTheMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(0.2, 20).Draw(t, "d")
		ae := d * rapid.Float64Range(0.01, 1).Draw(t, "share")
		phi := EngagementAngle(d, ae)
		sum, most := 0.0, 0.0
		const n = 2000
		for i := range n {
			h := math.Sin(phi * (float64(i) + 0.5) / n)
			sum += h
			most = math.Max(most, h)
		}
		if got := MeanChip(1, d, ae); math.Abs(got-sum/n) > 1e-5 {
			t.Fatalf("mean chip %g, summed %g", got, sum/n)
		}
		if got := MaxChip(1, d, ae); got < most || got > most+1e-3 {
			t.Fatalf("greatest chip %g, found %g", got, most)
		}
		if back := RadialWidth(d, phi); math.Abs(back-ae) > 1e-9*d {
			t.Fatalf("width %g came back as %g", ae, back)
		}
	})
}

// TestShortMeanChip: the short form fz sqrt(x) is 0 to 11 % high below half the
// diameter (CAT; the error is computed).
func TestShortMeanChip(t *testing.T) {
	for _, x := range []float64{0.01, 0.1, 0.3, 0.499} {
		ratio := math.Sqrt(x) / MeanChip(1, 1, x)
		assert.True(t, ratio >= 1 && ratio < 1.112, "%g: %g", x, ratio)
	}
}

func TestToothForceGrowsWithTheChip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0.0001, 0.5).Draw(t, "a")
		b := a * rapid.Float64Range(1, 2).Draw(t, "growth")
		f := func(h float64) float64 { return SpecificForce(1000, 0.3, h) * SizeEffect(h) * h }
		if f(b) < f(a)*(1-1e-12) {
			t.Fatalf("force falls from %g to %g", f(a), f(b))
		}
	})
}

func TestInverses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(0.1, 10).Draw(t, "r")
		step := r * rapid.Float64Range(0.001, 1.9).Draw(t, "step")
		if back := ScallopStep(r, Scallop(r, step)); math.Abs(back-step) > 1e-9*r {
			t.Fatalf("step %g came back as %g", step, back)
		}
		angle := rapid.Float64Range(0.2, 3).Draw(t, "angle")
		if back := VeeDepth(0.1, angle, VeeWidth(0.1, angle, step)); math.Abs(back-step) > 1e-9*r {
			t.Fatalf("depth %g came back as %g", step, back)
		}
		if back := CuttingSpeed(SpindleSpeed(step, r), r); math.Abs(back-step) > 1e-9*r {
			t.Fatalf("speed %g came back as %g", step, back)
		}
	})
}

// TestFormulasRefuseNonsense: what is not positive and finite gives NaN, which no
// comparison with a limit passes.
func TestFormulasRefuseNonsense(t *testing.T) {
	for _, x := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		for name, v := range map[string]float64{
			"SpindleSpeed": SpindleSpeed(100, x), "TableFeed": TableFeed(x, 2, 0.1), "FeedPerTooth": FeedPerTooth(100, x, 2),
			"RemovalRate": RemovalRate(x, 1, 1), "EngagementAngle": EngagementAngle(1, x), "MaxChip": MaxChip(0.1, 3, x),
			"MeanChip": MeanChip(0.1, x, 1), "BallDiameter": BallDiameter(x, 1), "Scallop": Scallop(1, x), "VeeWidth": VeeWidth(0, 1, x),
			"SpecificForce": SpecificForce(1000, 0.2, x), "SizeEffect": SizeEffect(x), "MeanPower": MeanPower(1, 1, 1, x, 1),
			"DrillTorque": DrillTorque(x, 1, 1), "TapTorque": TapTorque(1, x, 1), "SmallToolScale": SmallToolScale(x),
			"PointLength": PointLength(1, x), "BullDiameter": BullDiameter(x, 0.5, 0.2), "RadialWidth": RadialWidth(1, x),
		} {
			assert.True(t, math.IsNaN(v), "%s at %g is %g", name, x, v)
		}
	}
	assert.True(t, math.IsNaN(Scallop(1, 2.1)), "a step over the ball's diameter")
	assert.True(t, math.IsNaN(VeeDepth(0.2, 1, 0.1)), "a groove narrower than the tip")
	assert.True(t, math.IsNaN(BullDiameter(1, 0.6, 0.1)), "a corner over half the diameter")
	assert.True(t, math.IsNaN(FaceApproach(1, 2)), "a width over the diameter")
}

// Small tools, common practice, no source: 1.0 from 3 mm, 0.8 at 2, 0.6 at 1, 0.5
// at 0.5.
func TestSmallToolScale(t *testing.T) {
	for d, want := range map[float64]float64{6: 1, 3: 1, 2: 0.8, 1.5: 0.7, 1: 0.6, 0.5: 0.5, 0.1: 0.5} {
		assert.InDelta(t, want, SmallToolScale(d), 1e-12, d)
	}
}

func TestTiltedBall(t *testing.T) {
	assert.InDelta(t, BallDiameter(6, 0.3), TiltedBallDiameter(6, 0.3, 0), 1e-12)
	assert.Equal(t, 6.0, TiltedBallDiameter(6, 0.3, math.Pi/2))
	assert.Greater(t, TiltedBallDiameter(6, 0.3, 0.2), BallDiameter(6, 0.3))
}

func TestVeeCusp(t *testing.T) {
	assert.Zero(t, VeeCusp(0.2, math.Pi/3, 0.2))
	// The groove that is a cusp deep is as wide at its top as the step.
	assert.InDelta(t, 0.5, VeeWidth(0.2, math.Pi/3, VeeCusp(0.2, math.Pi/3, 0.5)), 1e-12)
}

func TestThreadMillFeed(t *testing.T) {
	assert.InDelta(t, 50, ThreadMillFeed(100, 6, 3), 1e-12)
	assert.True(t, math.IsNaN(ThreadMillFeed(100, 3, 3)))
}
