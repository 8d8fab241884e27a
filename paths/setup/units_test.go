package setup

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseLength(t *testing.T) {
	for _, c := range []struct {
		in   string
		bare Unit
		want float64
	}{
		{"3mm", MM, 3},
		{" 3 mm ", MM, 3},
		{"1/16in", MM, 1.5875}, // 1/16 x 25.4, exact
		{"1 1/2in", MM, 38.1},
		{"-1 1/2in", MM, -38.1},
		{"5thou", MM, 0.127},
		{"0.0005in", MM, 0.0127},
		{"40um", MM, 0.04},
		{"2.5", MM, 2.5},
		{"2.5", Inch, 63.5},
		{"-.5", MM, -0.5},
		{"+3.", MM, 3},
	} {
		got, err := ParseLength(c.in, c.bare)
		require.NoError(t, err, c.in)
		assert.InDelta(t, c.want, got, 1e-12, c.in)
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ in, says string }{
		{"", "empty"},
		{"mm", "not a number"},
		{"3cm", `unit "cm"`},
		{"3 furlong", `unit "furlong"`},
		{"1e3mm", "use mm"},
		{"NaN", "not a number"},
		{"Inf", "not a number"},
		{"1/0in", "not a fraction"},
		{"1 2in", "not a number"},
		{"1--2", "not a number"},
		{"1/2/3in", "not a fraction"},
		{"99999999mm", "beyond"},
	} {
		_, err := ParseLength(c.in, MM)
		require.Error(t, err, c.in)
		assert.Contains(t, err.Error(), c.says, c.in)
	}
}

func TestParseOthers(t *testing.T) {
	f, err := ParseFeed("12in/min", MM)
	require.NoError(t, err)
	assert.InDelta(t, 304.8, f, 1e-9)
	_, err = ParseFeed("12mm", MM)
	assert.ErrorContains(t, err, "mm/min")
	s, err := ParseSpeed("18000rpm")
	require.NoError(t, err)
	assert.Equal(t, 18000.0, s)
	a, err := ParseAngle("60deg")
	require.NoError(t, err)
	assert.InDelta(t, math.Pi/3, a, 1e-12)
	d, err := ParseTime("500ms")
	require.NoError(t, err)
	assert.Equal(t, 0.5, d)
	d, err = ParseTime("2min")
	require.NoError(t, err)
	assert.Equal(t, 120.0, d)
}

func FuzzParseLength(f *testing.F) {
	for _, s := range []string{"3mm", "1/16in", "1 1/2in", "5thou", "-", "1/", "/", "  ", "9e9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := ParseLength(s, MM)
		if err == nil && (math.IsNaN(v) || math.Abs(v) > maxLength) {
			t.Fatalf("%q read as %v", s, v)
		}
	})
}

func ExampleParseLength() {
	mm, _ := ParseLength("1/16in", MM)
	fmt.Println(mm)
	// Output: 1.5875
}
