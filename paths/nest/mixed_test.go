package nest

import (
	"context"
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

func TestMixedInOrderOfPriority(t *testing.T) {
	one := screwed(4, 90, 65, 26, 4)
	m := Mix{Stock: one.Stock, Keepouts: one.Keepouts, Gap: one.Gap, Edge: one.Edge, Effort: 0.3, Seed: 3,
		Kinds: []Kind{{Diameter: 16, Count: 4}, {Diameter: 12.827}, {Diameter: 5, Count: 6}}}
	l, err := Mixed(context.Background(), m)
	require.NoError(t, err)
	require.NoError(t, m.Check(*l))
	require.Equal(t, 4, l.Counts[0])
	require.Positive(t, l.Counts[1])
	require.Equal(t, 6, l.Counts[2])
	require.Empty(t, l.Short)
	again, err := Mixed(context.Background(), m)
	require.NoError(t, err)
	a, _ := json.Marshal(l)
	b, _ := json.Marshal(again)
	require.Equal(t, string(a), string(b), "same seed, same bytes")
}

// TestMixedExact uses configurations with a known radius: the disc that four
// touching discs of radius 1 leave free among them has radius sqrt(2)-1, and
// the one that fits beside a disc in the corner of its square (3 - 2 sqrt 2).
func TestMixedExact(t *testing.T) {
	square := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(20, 20), 0))
	for _, c := range []struct {
		name         string
		big, small   float64
		count, fits  int
		slightlyMore float64
	}{
		{"between four", 10, 10 * (math.Sqrt2 - 1), 4, 1, 1 + 1e-6},
		{"in the corners", 20, 20 * (3 - 2*math.Sqrt2), 1, 4, 1 + 1e-6},
	} {
		m := Mix{Stock: square, Effort: 0.4, Kinds: []Kind{{Diameter: c.big, Count: c.count}, {Diameter: c.small * (1 - 1e-9)}}}
		l, err := Mixed(context.Background(), m)
		require.NoError(t, err, c.name)
		require.NoError(t, m.Check(*l), c.name)
		require.Equal(t, []int{c.count, c.fits}, l.Counts, c.name)

		m.Kinds[1].Diameter = c.small * c.slightlyMore
		m.Kinds[1].Count = 1
		m.Effort = 0.05
		l, err = Mixed(context.Background(), m)
		require.NoError(t, err, c.name)
		require.Equal(t, []int{c.count, 0}, l.Counts, c.name)
		require.Equal(t, []int{1}, l.Short, c.name)
	}
}

func TestMixedBadInput(t *testing.T) {
	square := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(20, 20), 0))
	for _, c := range []struct {
		m    Mix
		text string
	}{
		{Mix{Stock: square}, "no kind"},
		{Mix{Stock: square, Kinds: []Kind{{Diameter: 5}, {Diameter: math.NaN()}}}, "kind 1"},
		{Mix{Stock: square, Kinds: []Kind{{Diameter: 5, Count: -1}}}, "kind 0"},
		{Mix{Stock: square, Kinds: []Kind{{}}}, "kind 0"},
		{Mix{Stock: square, Kinds: make([]Kind, 101)}, "limit"},
		{Mix{Stock: square, Gap: -1, Kinds: []Kind{{Diameter: 5}}}, "gap"},
		{Mix{Kinds: []Kind{{Diameter: 5}}}, "stock"},
		{Mix{Stock: square, Kinds: []Kind{{Diameter: 5, Count: 1}, {Diameter: 0.01}}}, "limit"},
	} {
		_, err := Mixed(context.Background(), c.m)
		require.ErrorContains(t, err, c.text)
	}
	m := Mix{Stock: square, Kinds: []Kind{{Diameter: 5, Count: 1}}}
	require.ErrorContains(t, m.Check(MixLayout{Discs: []Placed{{Kind: 1}}}), "no kind 1")
	require.ErrorContains(t, m.Check(MixLayout{Discs: []Placed{{0, geom.Pt(5, 5)}, {0, geom.Pt(15, 15)}}}), "1 wanted")
}
