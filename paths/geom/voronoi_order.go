package geom

import (
	"cmp"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
)

// roundsOf returns the order of insertion of n sites: seven of eight last, drawn
// by lot, seven of eight of the rest before them and so on, each round along a
// Hilbert curve (Amenta, Choi and Rote, "Incremental constructions con BRIO",
// 2003). The rounds keep the expected cost of a random order but for a factor;
// the curve keeps neighbours in memory near each other and the walk to a point
// short, the more so the fewer rounds there are.
func roundsOf(n int, rng *rand.Rand, at func(i int) (x, y float64)) []int32 {
	box := EmptyBox()
	for i := range n {
		x, y := at(i)
		box = box.AddPoint(Pt(x, y))
	}
	const last = 1<<16 - 1 // the cells of hilbertKey
	scale := last / math.Max(1, math.Max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y))
	keys := make([]curveKey, n)
	for i := range keys {
		x, y := at(i)
		k := hilbertKey(uint32((x-box.Min.X)*scale), uint32((y-box.Min.Y)*scale))
		keys[i] = curveKey{uint32(k), int32(i)}
	}
	keys = sortKeys(keys)
	// The first round is small enough for any order.
	most := bits.Len(uint(n)/16) / 3
	round := make([]uint8, n)
	start := make([]int, most+2) // of a round, counted from the last
	for i := range round {
		r := min(most, bits.TrailingZeros64(rng.Uint64())/3)
		round[i] = uint8(r)
		start[most-r+1]++
	}
	for r := range most {
		start[r+1] += start[r]
	}
	order := make([]int32, n)
	for i, k := range keys {
		r := most - int(round[i])
		order[start[r]] = k.i
		start[r]++
	}
	return order
}

// curveKey is a site and its place on the curve.
type curveKey struct {
	k uint32
	i int32
}

// sortKeys sorts keys, which stand in order of i, by k and then i. It returns
// the slice that holds them, keys or another.
func sortKeys(keys []curveKey) []curveKey {
	const digit = 11 // bits, three times for all of k
	if len(keys) < 1<<digit {
		slices.SortFunc(keys, func(a, b curveKey) int {
			if a.k != b.k {
				return cmp.Compare(a.k, b.k)
			}
			return cmp.Compare(a.i, b.i)
		})
		return keys
	}
	other := make([]curveKey, len(keys))
	for shift := 0; shift < 32; shift += digit {
		var start [1<<digit + 1]int
		for _, k := range keys {
			start[k.k>>shift&(1<<digit-1)+1]++
		}
		for d := range 1 << digit {
			start[d+1] += start[d]
		}
		for _, k := range keys {
			d := k.k >> shift & (1<<digit - 1)
			other[start[d]] = k
			start[d]++
		}
		keys, other = other, keys
	}
	return keys
}
