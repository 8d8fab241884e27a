package cutdata

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/setup"
)

func TestDeflectionGrowsWithTheCubeOfLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(0.2, 12).Draw(t, "d")
		l := rapid.Float64Range(0.5, 50).Draw(t, "l")
		k := rapid.Float64Range(1, 4).Draw(t, "k")
		short, long := Beam{{0, l, d, d}}.Deflection(10, 6e5), Beam{{0, k * l, d, d}}.Deflection(10, 6e5)
		if math.Abs(long/short-k*k*k) > 1e-9*k*k*k {
			t.Fatalf("%g times as long bends %g times as far", k, long/short)
		}
	})
}

// TestTaperAgreesWithSlices compares the closed integral with the stepped sum over
// thin cylinders, in any place of the beam.
func TestTaperAgreesWithSlices(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(0, 10).Draw(t, "from")
		to := from + rapid.Float64Range(0.5, 10).Draw(t, "length")
		d0 := rapid.Float64Range(0.3, 6).Draw(t, "d0")
		d1 := d0 * rapid.Float64Range(1, 5).Draw(t, "growth")
		const n = 4000
		var slices Beam
		for i := range n {
			a, b := float64(i)/n, float64(i+1)/n
			d := d0 + (d1-d0)*(a+b)/2
			slices = append(slices, Bar{from + (to-from)*a, from + (to-from)*b, d, d})
		}
		want := slices.Deflection(1, 1e5)
		got := Beam{{from, to, d0, d1}}.Deflection(1, 1e5)
		if math.Abs(got/want-1) > 1e-4 {
			t.Fatalf("%g, by slices %g", got, want)
		}
	})
}

func TestApexAtTheTip(t *testing.T) {
	// d = x: the integral of x^2/I is 64/pi times the integral of 1/x^2.
	got := Bar{1, 4, 1, 4}.flexibility()
	assert.InDelta(t, 64/math.Pi*(1-0.25), got, 1e-9)
}

func TestBucklingLoad(t *testing.T) {
	// Euler, clamped and free: pi^2 E I / (4 L^2).
	one := Beam{{0, 10, 1, 1}}
	assert.InEpsilon(t, math.Pi*math.Pi*6e5*inertia(1)/400, one.BucklingLoad(6e5), 1e-9)
	// The same bar in two pieces.
	assert.InEpsilon(t, one.BucklingLoad(6e5), Beam{{0, 4, 1, 1}, {4, 10, 1, 1}}.BucklingLoad(6e5), 1e-9)
	// Two pieces: tan(k1 l1) tan(k2 l2) = k1/k2 (derived from u'' = -F u/(E I)).
	f := Beam{{0, 6, 0.8, 0.8}, {6, 15, 3, 3}}.BucklingLoad(6e5)
	k1, k2 := math.Sqrt(f/(6e5*inertia(0.8))), math.Sqrt(f/(6e5*inertia(3)))
	assert.InEpsilon(t, k1/k2, math.Tan(k1*6)*math.Tan(k2*9), 1e-6)
	assert.True(t, math.IsNaN(Beam{{0, 1, 0, 1}}.BucklingLoad(6e5)))
}

func TestStressOfAPlainToolIsTheTextbooks(t *testing.T) {
	// The stepped tool of vector C4 and a force that all acts at the tip.
	b, err := ToolBeam(setup.Tool{Number: 1, Diameter: 3, Flutes: 2, FluteLength: 9, Shank: 6, StickOut: 21})
	require.NoError(t, err)
	p := pressure{depth: 1e-9, flank: 20}
	assert.InDelta(t, BendingStress(20, 9, 2.4), b.stress(b.stations(), p, false), 1e-6)
	// Torsion alone: sqrt(3) 16 T/(pi d^3).
	p = pressure{depth: 1e-9, endTorque: 100}
	assert.InDelta(t, math.Sqrt(3)*16*100/(math.Pi*2.4*2.4*2.4), b.stress(b.stations(), p, false), 1e-6)
	// In a brittle bar the greatest normal stress of torsion is its shear.
	assert.InDelta(t, 16*100/(math.Pi*2.4*2.4*2.4), b.stress(b.stations(), p, true), 1e-6)
}

// TestConeHump: a cone under an even load is stressed most at three times its
// tip's diameter, by 16 q/(27 pi t^2 d0) with q the force a mm and t = tan of the
// half angle (derived from 32 (q x^2/2) / (pi d^3)).
func TestConeHump(t *testing.T) {
	tan := math.Tan(math.Pi / 6)
	b := Beam{{0, 5, 0.1, 0.1 + 10*tan}}
	p := pressure{depth: 4, flank: 40}
	got := b.stress(b.stations(), pressure{depth: p.depth, flank: p.flank}, true)
	hump := 16 * 10 / (27 * math.Pi * tan * tan * 0.1)
	root := BendingStress(40, 2, 0.1+8*tan)
	assert.InEpsilon(t, math.Max(hump, root), got, 0.01)
	assert.Greater(t, hump, root)
}

func TestBadBeamsAreNaN(t *testing.T) {
	for _, b := range []Beam{nil, {{0, 1, 0, 1}}, {{1, 0, 1, 1}}, {{0, 1, math.NaN(), 1}}} {
		assert.True(t, math.IsNaN(b.Deflection(1, 1e5)))
	}
	_, err := ToolBeam(setup.Tool{})
	assert.Error(t, err)
}

func TestSubstrates(t *testing.T) {
	for _, s := range []Substrate{Carbide, Coated, HSS} {
		assert.Greater(t, s.Modulus(), 2e5)
		assert.Greater(t, s.Strength(), 700.0)
	}
	assert.True(t, math.IsNaN(Substrate(9).Modulus()) && math.IsNaN(Substrate(9).Strength()))
}
