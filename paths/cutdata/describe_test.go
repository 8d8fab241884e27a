package cutdata

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/setup"
)

func TestDescribe(t *testing.T) {
	for _, c := range []struct {
		text string
		like setup.Like
		id   string // "": an error that says
		says string
	}{
		{"engraving brass", setup.Like{}, "brass", ""},
		{"laminated copper and nickel silver, glued to the plate", setup.Like{}, "copper+nickel-silver", ""},
		{"moon rock", setup.Like{Names: []string{"brass"}}, "brass", ""},
		{"moon rock", setup.Like{Names: []string{"brass", "copper"}}, "brass+copper", ""},
		{"moon rock", setup.Like{Hardness: 120}, "metal", ""},
		{"moon rock", setup.Like{}, "", "use one of"},
		{"", setup.Like{}, "", "no material is named"},
		{"x", setup.Like{Names: []string{"bras"}}, "", `did you mean "brass"`},
		{"ebony", setup.Like{Hardness: 20, Names: []string{"ebony"}}, "", "no Brinell hardness"},
		{"x", setup.Like{Hardness: math.Inf(1)}, "", "more than 0"},
	} {
		m, err := Describe(c.text, c.like)
		if c.id == "" {
			require.ErrorContains(t, err, c.says, c.text)
			continue
		}
		require.NoError(t, err, c.text)
		require.Equal(t, c.id, m.ID)
	}
}

// TestHardened checks that more hardness never makes a material cut easier and
// that the table stays as it is.
func TestHardened(t *testing.T) {
	brass, err := Lookup("brass")
	require.NoError(t, err)
	m, err := Hardened(brass, 260)
	require.NoError(t, err)
	require.InDelta(t, 2*brass.SpecificForce(0.01), m.SpecificForce(0.01), 1e-9)
	soft, err := Hardened(brass, 60)
	require.NoError(t, err)
	require.Equal(t, brass, soft)
	again, err := Lookup("brass")
	require.NoError(t, err)
	require.Equal(t, brass, again)
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(20, 600).Draw(t, "softer")
		b := a + rapid.Float64Range(0, 100).Draw(t, "more")
		h := rapid.Float64Range(0.001, 0.2).Draw(t, "chip")
		for _, f := range []func(float64) (Material, error){OfHardness, func(v float64) (Material, error) { return Hardened(brass, v) }} {
			x, err := f(a)
			require.NoError(t, err)
			y, err := f(b)
			require.NoError(t, err)
			require.GreaterOrEqual(t, y.SpecificForce(h), x.SpecificForce(h)*(1-1e-12))
			_, fast, ok := x.FeedRange(3)
			_, slow, _ := y.FeedRange(3)
			require.True(t, ok)
			require.LessOrEqual(t, slow, fast*(1+1e-12))
		}
	})
}

// TestOfHardness holds a metal of which nothing is known against every metal that
// it may be.
func TestOfHardness(t *testing.T) {
	all, err := All()
	require.NoError(t, err)
	for _, known := range all {
		hb, ok := known.Value(Hardness)
		if !ok {
			continue
		}
		m, err := OfHardness(hb.High)
		require.NoError(t, err)
		for _, h := range []float64{0.002, 0.02, 0.2} {
			require.GreaterOrEqual(t, m.SpecificForce(h), known.SpecificForce(h), known.Name)
		}
	}
	_, err = OfHardness(0)
	require.Error(t, err)
}

func TestSubstrateOf(t *testing.T) {
	for s, want := range map[setup.Substrate]Substrate{setup.Carbide: Carbide, setup.CoatedCarbide: Coated, setup.HighSpeedSteel: HSS} {
		got, known := SubstrateOf(setup.Tool{Substrate: s})
		require.True(t, known)
		require.Equal(t, want, got)
	}
	got, known := SubstrateOf(setup.Tool{})
	require.False(t, known)
	require.Equal(t, HSS, got)
}

// TestTaperBuckling holds a taper against the closed form of a truncated cone, its
// tip free, and asks that the steps stay on the safe side.
func TestTaperBuckling(t *testing.T) {
	const e, l, d0, d1 = 600e3, 10.0, 1.0, 2.0
	cone := Beam{{0, l, d0, d1}}
	// With x from the apex (a at the tip, b at the clamp) and E I = c x^4 the
	// equation u'' = -F/(c x^4) u has the solutions x cos(k/x) and x sin(k/x),
	// k^2 = F/c (by insertion). The least k with u(a) = 0 and u'(b) = 0 is found
	// by halving.
	a, b := d0*l/(d1-d0), d1*l/(d1-d0)
	c := e * math.Pi / 64 * math.Pow(d1/b, 4)
	slope := func(k float64) float64 { // u = x sin(k/a - k/x), u' at b
		s, co := math.Sincos(k/a - k/b)
		return s + k/b*co
	}
	low, high := 0.0, math.Pi/(1/a-1/b)
	for range 100 {
		if mid := (low + high) / 2; slope(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	want := low * low * c
	got := cone.BucklingLoad(e)
	require.LessOrEqual(t, got, want)
	require.InEpsilon(t, want, got, 0.06)
	// It lies between the bars of its two ends.
	require.Greater(t, got, Beam{{0, l, d0, d0}}.BucklingLoad(e))
	require.Less(t, got, Beam{{0, l, d1, d1}}.BucklingLoad(e))
}

func ExampleDescribe() {
	m, err := Describe("offcut from the drawer", setup.Like{Names: []string{"brass", "nickel silver"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %.0f N/mm2 for a chip of 0.02 mm\n", m.Name, m.SpecificForce(0.02))
	// Output:
	// brass CuZn39Pb3 with nickel silver CuNi18Zn20: 2925 N/mm2 for a chip of 0.02 mm
}
