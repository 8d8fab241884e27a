package setup

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

func TestMachineValidate(t *testing.T) {
	at := func(x, y, z float64) *geom.Point3 { p := geom.Pt3(x, y, z); return &p }
	block := geom.Box3{Min: geom.Pt3(0, 0, -80), Max: geom.Pt3(300, 200, 0)}
	for _, c := range []struct {
		name   string
		change func(m *Machine)
		says   string // empty: valid
	}{
		{"plain", func(*Machine) {}, ""},
		{"travel", func(m *Machine) { m.Travel = block }, ""},
		{"travel and work offset", func(m *Machine) { m.Travel, m.WorkOffset = block, at(10, 10, -40) }, ""},
		{"block rate", func(m *Machine) { m.BlockRate = 100 }, ""},
		{"negative block rate", func(m *Machine) { m.BlockRate = -1 }, "block rate"},
		{"block rate without end", func(m *Machine) { m.BlockRate = math.Inf(1) }, "block rate"},
		{"empty travel", func(m *Machine) { m.Travel = geom.Box3{Min: block.Max, Max: block.Min} }, "travel"},
		{"travel that is no number", func(m *Machine) { m.Travel = block; m.Travel.Max.X = math.NaN() }, "travel"},
		{"work offset alone", func(m *Machine) { m.WorkOffset = at(0, 0, 0) }, "work offset"},
		{"work offset that is no number", func(m *Machine) { m.Travel, m.WorkOffset = block, at(0, math.NaN(), 0) }, "work offset"},
	} {
		m := Machine{Envelope: block, SpindleMax: 1000, FeedMax: 100, Rapid: 100}
		c.change(&m)
		err := m.Validate()
		if c.says == "" {
			require.NoError(t, err, c.name)
			continue
		}
		require.ErrorContains(t, err, c.says, c.name)
	}
}
