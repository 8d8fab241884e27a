package setup

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

func TestMotionValidate(t *testing.T) {
	three := func(a Axis) [3]Axis { return [3]Axis{a, a, a} }
	for _, c := range []struct {
		name   string
		change func(m *Machine)
		says   string // empty: valid
	}{
		{"all", func(m *Machine) {
			m.Axes, m.CornerDeviation, m.LookAhead = three(Axis{Rate: 1, Accel: 1, CornerStep: 1}), 0.1, 10
		}, ""},
		{"one rate", func(m *Machine) { m.Axes[2].Rate = 1 }, ""},
		{"one acceleration beside the path's", func(m *Machine) { m.Axes[2].Accel, m.Accel = 1, 1 }, ""},
		{"one acceleration", func(m *Machine) { m.Axes[2].Accel = 1 }, "acceleration is given"},
		{"one corner step", func(m *Machine) { m.Axes[2].CornerStep = 1 }, "corner step is given"},
		{"negative", func(m *Machine) { m.Axes[1].Rate = -1 }, "Y axis"},
		{"no number", func(m *Machine) { m.Axes[0].Accel = math.NaN() }, "X axis"},
		{"without end", func(m *Machine) { m.Axes = three(Axis{CornerStep: math.Inf(1)}) }, "X axis"},
		{"deviation", func(m *Machine) { m.CornerDeviation = math.NaN() }, "corner deviation"},
		{"look-ahead", func(m *Machine) { m.LookAhead = MaxLookAhead + 1 }, "look-ahead"},
		{"negative look-ahead", func(m *Machine) { m.LookAhead = -1 }, "look-ahead"},
	} {
		m := Machine{Envelope: geom.Box3{Max: geom.Pt3(1, 1, 1)}, SpindleMax: 1000, FeedMax: 100, Rapid: 100}
		c.change(&m)
		err := m.Validate()
		if c.says == "" {
			require.NoError(t, err, c.name)
			continue
		}
		require.ErrorContains(t, err, c.says, c.name)
	}
}

func TestLimitsByDirection(t *testing.T) {
	m := Machine{FeedMax: 1000}
	require.Equal(t, 1000.0, m.FeedLimit())
	require.Equal(t, 1000.0, m.PlungeLimit())
	m.PlungeMax = 300
	require.Equal(t, 300.0, m.PlungeLimit())
	m.Axes = [3]Axis{{Rate: 900}, {Rate: 800}, {Rate: 200}}
	require.Equal(t, 800.0, m.FeedLimit())
	require.Equal(t, 200.0, m.PlungeLimit())
	m.Axes = [3]Axis{{Rate: 9000}, {Rate: 9000}, {Rate: 9000}}
	require.Equal(t, 1000.0, m.FeedLimit())
	require.Equal(t, 300.0, m.PlungeLimit())
}
