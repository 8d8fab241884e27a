package slab

import (
	"errors"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

// notchedSlab returns a slab of 60 by 45 mm, measured about every step mm with an
// error, with a notch of the depth in its far edge that has k points down each
// side and one at its bottom.
func notchedSlab(rng *rand.Rand, k int, depth float64) []geom.Point {
	const wide, high, hand = 60, 45, 0.1
	var pts []geom.Point
	add := func(x, y float64) {
		pts = append(pts, geom.Pt(x+rng.NormFloat64()*hand, y+rng.NormFloat64()*hand))
	}
	w, step := 2+20*rng.Float64(), 4+8*rng.Float64()
	mid, bottom := 20+20*rng.Float64(), w/2*rng.Float64()
	for x := 0.0; x < wide-1; x += step {
		add(x, 0)
	}
	for y := 0.0; y < high-1; y += step {
		add(wide, y)
	}
	add(wide, high)
	for x := wide - step; x > mid+w/2+1; x -= step {
		add(x, high)
	}
	for i := range k {
		f := float64(i) / float64(k)
		add(mid+w/2*(1-f)+bottom*f, high-depth*f)
	}
	add(mid, high-depth)
	for i := k - 1; i >= 0; i-- {
		f := float64(i) / float64(k)
		add(mid-w/2*(1-f)-bottom*f, high-depth*f)
	}
	for x := mid - w/2 - step; x > 1; x -= step {
		add(x, high)
	}
	add(0, high)
	for y := high - step; y > 1; y -= step {
		add(0, y)
	}
	return pts
}

// TestOutlineIsRightOrRefused is the promise of Outline: of slabs with notches of
// all widths and depths, measured well or badly, none comes out in a wrong order.
func TestOutlineIsRightOrRefused(t *testing.T) {
	rounds := 4
	if os.Getenv("PROOFCUT_LONG") != "" {
		rounds = 150
	}
	rng := rand.New(rand.NewPCG(3, 3))
	for _, c := range []struct {
		k     int
		depth float64
		least float64 // share that has to come out
	}{
		{1, 5, 0.3}, {1, 10, 0}, {1, 20, 0}, {2, 5, 0.7}, {2, 10, 0.7}, {2, 20, 0.5}, {2, 35, 0},
		{3, 5, 0.7}, {3, 10, 0.7}, {3, 20, 0.5}, {3, 35, 0}, {5, 10, 0.7}, {5, 20, 0.7}, {5, 35, 0},
	} {
		right, tried := 0, 0
		for range rounds {
			pts := notchedSlab(rng, c.k, c.depth)
			want, err := Outline(pts, Options{Ordered: true})
			if err != nil {
				continue // the errors of the hand made it cross itself
			}
			tried++
			got, err := Outline(shuffled(pts, rng.Uint64()), Options{})
			if err != nil {
				var e *PointError
				require.True(t, errors.As(err, &e), "%v", err)
				continue
			}
			right++
			require.InDelta(t, want.Length(), got.Length(), 1e-9, "%d points, depth %g: %v", c.k, c.depth, got)
		}
		if rounds > 4 {
			assert.GreaterOrEqual(t, float64(right), c.least*float64(tried), "%d points, depth %g", c.k, c.depth)
			t.Logf("%d points a side, %g mm deep: %d of %d", c.k, c.depth, right, tried)
		}
	}
}

func TestOutlineRefusesSpike(t *testing.T) {
	// The bottom of a deep notch with nothing measured between it and the edge lies
	// nearer to the other side of the slab.
	pts := []geom.Point{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 18, Y: 0}, {X: 27, Y: 0}, {X: 36, Y: 0}, {X: 45, Y: 0}, {X: 45, Y: 9}, {X: 45, Y: 18},
		{X: 45, Y: 27}, {X: 45, Y: 36}, {X: 45, Y: 45}, {X: 36, Y: 45}, {X: 24.1, Y: 45}, {X: 23, Y: 9.9}, {X: 22, Y: 45}, {X: 13, Y: 45}, {X: 0, Y: 45}, {X: 0, Y: 36}, {X: 0, Y: 27}, {X: 0, Y: 18}, {X: 0, Y: 9}}
	_, err := Outline(pts, Options{Margin: 0.1})
	assert.EqualError(t, err, "point 14: the place on the edge is not clear: between points 3 and 4 it makes a spike of 49 degrees; measure more points there, or list all points in order")
	c, err := Outline(pts, Options{Ordered: true})
	require.NoError(t, err)
	assert.InDelta(t, 45*45-2.1*35.1/2, c.Area(), 1e-9)
	// The tip of a triangle is as sharp, but there is no other place for it.
	_, err = Outline([]geom.Point{{X: 0, Y: 0}, {X: 40, Y: 3}, {X: 0, Y: 6}}, Options{})
	assert.NoError(t, err)
}
