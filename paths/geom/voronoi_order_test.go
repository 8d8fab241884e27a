package geom

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRoundsHoldEachSiteOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 15, 16, 17, 100, 2047, 2048, 5000, 100000} {
		rng := rand.New(rand.NewPCG(uint64(n), 14))
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = float64(rng.IntN(1<<20)), float64(rng.IntN(64)) // many of one key
		}
		order := roundsOf(n, rng, func(i int) (float64, float64) { return x[i], y[i] })
		sorted := slices.Sorted(slices.Values(order))
		for i, k := range sorted {
			require.Equal(t, int32(i), k, "n=%d", n)
		}
		require.Len(t, sorted, n)
	}
}

// Sorting by digits gives what comparing gives.
func TestSortKeysByDigits(t *testing.T) {
	for _, n := range []int{2048, 3000, 70000} {
		rng := rand.New(rand.NewPCG(uint64(n), 15))
		keys := make([]curveKey, n)
		for i := range keys {
			keys[i] = curveKey{rng.Uint32() >> rng.IntN(32), int32(i)}
		}
		want := slices.Clone(keys)
		slices.SortStableFunc(want, func(a, b curveKey) int {
			if a.k < b.k {
				return -1
			}
			if a.k > b.k {
				return 1
			}
			return 0
		})
		require.Equal(t, want, sortKeys(keys))
	}
}
