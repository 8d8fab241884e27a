package cutdata

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Common practice, no source: first bite two diameters (one under 1 mm), later
// ones one, half a diameter each in gummy materials.
func TestPeckPlan(t *testing.T) {
	brass, err := Lookup("brass")
	require.NoError(t, err)
	copper, err := Lookup("copper")
	require.NoError(t, err)
	for _, c := range []struct {
		name     string
		m        Material
		d, depth float64
		want     []float64
		full     bool
	}{
		{"in one go", brass, 3, 6, []float64{6}, false},
		{"three bites", brass, 2, 8, []float64{4, 6, 8}, false},
		{"a last sliver", brass, 2, 4.1, []float64{3.5, 4.1}, false},
		{"small drill", brass, 0.8, 2.4, []float64{0.8, 1.6, 2.4}, true},
		{"gummy", copper, 2, 3, []float64{1, 2, 3}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := PeckPlan(c.m, c.d, c.depth)
			require.NoError(t, err)
			assert.InDeltaSlice(t, c.want, p.Depths, 1e-9)
			assert.Equal(t, c.full, p.FullRetract)
		})
	}
	for _, bad := range [][2]float64{{0, 1}, {1, 0}, {math.NaN(), 1}, {1, math.Inf(1)}, {0.001, 100}} {
		_, err := PeckPlan(brass, bad[0], bad[1])
		assert.Error(t, err, bad)
	}
}

func TestPeckPlanReachesTheDepthInLegalBites(t *testing.T) {
	all, err := All()
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(all).Draw(t, "material")
		d := rapid.Float64Range(0.2, 10).Draw(t, "d")
		depth := d * rapid.Float64Range(0.01, 20).Draw(t, "ratio")
		p, err := PeckPlan(m, d, depth)
		if err != nil {
			t.Fatal(err)
		}
		if p.Depths[len(p.Depths)-1] != depth {
			t.Fatalf("ends at %g, not %g", p.Depths[len(p.Depths)-1], depth)
		}
		last := 0.0
		for i, z := range p.Depths {
			bite := z - last
			most := 1.0
			if i == 0 && d >= 1 {
				most = 2
			}
			if m.Gummy {
				most = 0.5
			}
			if bite <= 0 || bite > most*d*(1+1e-12) {
				t.Fatalf("bite %d is %g diameters", i, bite/d)
			}
			if i > 0 && bite < 0.3*d*(1-1e-9) && !m.Gummy {
				t.Fatalf("bite %d only rubs: %g diameters", i, bite/d)
			}
			last = z
		}
		if s, f := DeepHole(depth / d); s > 1 || f > 1 || s < 0.6 || f < 0.8 {
			t.Fatal("derating out of its range")
		}
	})
}
