package setup

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestParseLoadQuantities(t *testing.T) {
	for _, c := range []struct {
		text  string
		parse func(string) (float64, error)
		want  float64
	}{
		{"350W", ParsePower, 0.35}, {"0.5kW", ParsePower, 0.5}, {"1hp", ParsePower, KilowattPerHorsepower}, {"2", ParsePower, 2},
		{"0.4Nm", ParseTorque, 0.4}, {"40Ncm", ParseTorque, 0.4}, {"1.5", ParseTorque, 1.5},
		{"8000N/mm", ParseStiffness, 8000}, {"8N/um", ParseStiffness, 8000}, {"100", ParseStiffness, 100},
	} {
		v, err := c.parse(c.text)
		require.NoError(t, err, c.text)
		require.InDelta(t, c.want, v, 1e-12, c.text)
	}
	for _, bad := range []string{"", "fast", "3PS", "1e3W", "NaN"} {
		_, err := ParsePower(bad)
		require.Error(t, err, bad)
	}
}

func TestLoadFieldsValidate(t *testing.T) {
	tool := Tool{Number: 1, Diameter: 2, Flutes: 2, FluteLength: 4, Shank: 3, StickOut: 12}
	for _, c := range []struct {
		name   string
		change func(*Tool)
		says   string
	}{
		{"plain", func(*Tool) {}, ""},
		{"carbide, helix, runout", func(t *Tool) { t.Substrate, t.Helix, t.Runout = Carbide, 0.5, 0.01 }, ""},
		{"no such material", func(t *Tool) { t.Substrate = 9 }, "no tool material"},
		{"helix", func(t *Tool) { t.Helix = 2 }, "helix"},
		{"helix that is no number", func(t *Tool) { t.Helix = math.NaN() }, "not a number"},
		{"runout", func(t *Tool) { t.Runout = 1 }, "runout"},
	} {
		x := tool
		c.change(&x)
		if err := x.Validate(); c.says == "" {
			require.NoError(t, err, c.name)
		} else {
			require.ErrorContains(t, err, c.says, c.name)
		}
	}
	require.NoError(t, Drive{Power: 1}.validate())
	require.Error(t, Drive{Torque: -1}.validate())
	require.Error(t, Drive{Stiffness: math.Inf(1)}.validate())
	require.NoError(t, Like{}.validate())
	require.Error(t, Like{Hardness: 2000}.validate())
	require.Error(t, Like{Hardness: math.NaN()}.validate())
	require.Error(t, Like{Names: []string{" "}}.validate())
	require.Equal(t, "high-speed steel", HighSpeedSteel.String())
	require.Equal(t, "Substrate(9)", Substrate(9).String())
}
