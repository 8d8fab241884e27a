package cutdata

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/setup"
)

func TestLimitsAreTheStatedOnes(t *testing.T) {
	brass := material(t, "brass")
	c := Cut{Speed: 10000, Feed: 300, Depth: 0.3, Width: 1}
	l, err := Assess(flat(3), brass, c)
	require.NoError(t, err)
	assert.Equal(t, 500.0, l.Checks[StressLimit].Limit, "carbide: 1000 N/mm2 with a margin of two (common practice, no source)")
	assert.Equal(t, 0.01, l.Checks[DeflectionLimit].Limit, "roughing (common practice, no source)")
	assert.InDelta(t, 0.015*3, l.Checks[ChipLimit].Limit, 1e-12, "1.5 % of the diameter (from memory)")
	assert.Equal(t, 300.0, l.Checks[SpeedLimit].Limit, "m/min (from memory)")
	assert.Equal(t, 9.0, l.Checks[ReachLimit].Limit)

	c.Finish = true
	l, err = Assess(flat(3), brass, c)
	require.NoError(t, err)
	assert.Equal(t, 0.003, l.Checks[DeflectionLimit].Limit, "finishing (common practice, no source)")

	c.MaxDeflection = 0.02
	l, err = Assess(flat(3), brass, c)
	require.NoError(t, err)
	assert.Equal(t, 0.02, l.Checks[DeflectionLimit].Limit)

	c = Cut{Speed: 10000, Feed: 100, Depth: 0.1, Width: 1, Substrate: HSS}
	l, err = Assess(flat(1), brass, c)
	require.NoError(t, err)
	assert.Equal(t, 400.0, l.Checks[StressLimit].Limit, "high-speed steel: 800 N/mm2 with a margin of two (common practice, no source)")
	assert.InDelta(t, 0.005, l.Checks[DeflectionLimit].Limit, 1e-12, "a small tool: the feed per tooth (common practice, no source)")
	assert.InDelta(t, 0.015*0.6, l.Checks[ChipLimit].Limit, 1e-12, "1 mm: six tenths of 1.5 % (common practice, no source)")
}

func TestASoftSpindleAddsItsOwnGive(t *testing.T) {
	c := Cut{Speed: 10000, Feed: 300, Depth: 0.3, Width: 1}
	stiff, err := Assess(flat(3), material(t, "brass"), c)
	require.NoError(t, err)
	c.Spindle.Stiffness = 5000
	soft, err := Assess(flat(3), material(t, "brass"), c)
	require.NoError(t, err)
	assert.InDelta(t, soft.Side/5000, soft.Deflection-stiff.Deflection, 1e-12)
}

// TestRubbingPressesNoLess: a feed too small for a chip gives no load below that of
// the least chip.
func TestRubbingPressesNoLess(t *testing.T) {
	brass := material(t, "brass")
	at := func(chip float64) Load {
		l, err := Assess(flat(3), brass, Cut{Speed: 10000, Feed: chip * 20000, Depth: 1, Width: 3})
		require.NoError(t, err)
		return l
	}
	least := at(LeastChip)
	assert.InEpsilon(t, least.Force, at(LeastChip/100).Force, 1e-9)
	assert.Greater(t, at(LeastChip*2).Force, least.Force)
	assert.False(t, at(LeastChip/2).OK())
}

// TestNarrowPartIsLongerInTheCut: a ball that cuts beyond its axis has a second
// tooth of three in the cut near its tip.
func TestNarrowPartIsLongerInTheCut(t *testing.T) {
	ball := flat(6)
	ball.Shape, ball.Flutes = setup.Ball, 3
	width := 0.74 * 6
	require.Less(t, EngagementAngle(6, width), 2*math.Pi/3)
	c := Cut{Speed: 10000, Feed: 600, Depth: 3, Width: width}
	l, err := Assess(ball, material(t, "brass"), c)
	require.NoError(t, err)
	assert.Equal(t, 2, l.Teeth)
	ball.Shape = setup.Flat
	l, err = Assess(ball, material(t, "brass"), c)
	require.NoError(t, err)
	assert.Equal(t, 1, l.Teeth)
}

// TestEndLoadOfACone: under a plunging cone the torque below a height grows with
// the square of its width there and the thrust with the width, so a pure torque
// twists the tip (d0 of dw) by 16 T (d0/dw)^2/(pi d0^3).
func TestEndLoadOfACone(t *testing.T) {
	b := Beam{{0, 5, 0.5, 2.5}}
	tip := 16 * 10 * 0.2 * 0.2 / (math.Pi * 0.125)
	assert.InEpsilon(t, tip, b.stress(b.stations(), pressure{depth: 5, endTorque: 10}, true), 1e-9)
	push := 4 * 10 * 0.2 / (math.Pi * 0.25)
	assert.InEpsilon(t, push, b.stress(b.stations(), pressure{depth: 5, thrust: 10}, true), 1e-9)
}

func TestNames(t *testing.T) {
	for i := range limits {
		assert.NotEmpty(t, i.String())
		assert.NotEmpty(t, i.Unit())
	}
	assert.Equal(t, "Limit(200)", Limit(200).String())
	assert.Empty(t, Limit(200).Unit())
	assert.True(t, StressLimit.Breaks() && !RubbingLimit.Breaks() && !DeflectionLimit.Breaks())
	assert.Equal(t, "coated carbide", Coated.String())
	assert.Equal(t, "practice", Practice.String())
}
