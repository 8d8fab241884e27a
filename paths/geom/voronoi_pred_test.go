package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// mirrored returns segment s mirrored in the line x = mid/2, with its points
// named anew.
func mirrored(s vseg, mid float64, a, b int32) vseg {
	return newSeg(a, b, 0, mid-s.ax, s.ay, -s.dx, s.dy)
}

// Whole numbers say the same as floating point of many digits, and see a tie
// for what it is.
func TestVoronoiAheadOnNormal(t *testing.T) {
	kb := kernel[bigBall, fieldBig]{}
	ties, ahead := 0, 0
	for seed := range uint64(2000) {
		rng := rand.New(rand.NewPCG(seed, 11))
		size := float64(int(8) << rng.IntN(28))
		at := func() float64 { return math.Round((rng.Float64() - 0.5) * size) }
		// o runs from q; s leaves p, in every other case as the mirror image of o.
		o := newSeg(1, 2, 0, at(), at(), at(), at())
		mid := at()
		if seed%2 == 0 {
			mid = 2 * (o.ax + 1 + math.Abs(at())) // p right of q
		}
		m := mirrored(o, mid, 3, 4)
		p, q := vcorner{point: true, id: 3, x: m.ax, y: m.ay}, vcorner{point: true, id: 1, x: o.ax, y: o.ay}
		if o.dx == 0 && o.dy == 0 || p.x == q.x {
			continue
		}
		n := vcorner{seg: &o, side: 1}
		if cross64(o.dx, o.dy, p.x-q.x, p.y-q.y) < 0 {
			n.side = -1
		}
		sx, sy := m.dx, m.dy
		if seed%4 == 1 {
			sx, sy = at(), at()
		}
		if cross64(o.dx, o.dy, p.x-q.x, p.y-q.y) == 0 {
			continue // no node
		}
		c := [3]vcorner{q, p, n}
		gotQ, gotO, ok := onNormal(c, p.id)
		require.True(t, ok)
		require.Equal(t, q, gotQ)
		require.Equal(t, n, gotO)
		want, sure := kb.ahead(c, p.x, p.y, sx, sy)
		got := aheadOnNormal(p.x, p.y, q, n, sx, sy)
		if !sure {
			ties++
			require.False(t, got, "seed %d", seed)
			continue
		}
		if got {
			ahead++
		}
		require.Equal(t, want > 0, got, "seed %d", seed)
	}
	require.Greater(t, ties, 100)
	require.Greater(t, ahead, 100)
}

// A node of three lines touches the mirror image of one of them when it touches
// the mirror line's other side, and not a line a step beside it.
func TestVoronoiFourLines(t *testing.T) {
	tried, nodes := 0, 0
	for seed := range uint64(2000) {
		rng := rand.New(rand.NewPCG(seed, 12))
		size := float64(int(64) << rng.IntN(24))
		at := func() float64 { return math.Round((rng.Float64() - 0.5) * size) }
		// Two lines left of x = 0 and their mirror images on the right.
		s1 := newSeg(0, 1, 0, -size+at(), at(), at(), size+at())
		s2 := newSeg(2, 3, 0, -size+at(), at(), at(), size+at())
		m1, m2 := mirrored(s1, 0, 4, 5), mirrored(s2, 0, 6, 7)
		corner := func(s *vseg) vcorner {
			side := 1.0
			if s.ax < 0 {
				side = -1 // the axis lies on the right of a line that goes up
			}
			return vcorner{seg: s, side: side}
		}
		c := [3]vcorner{corner(&s1), corner(&s2), corner(&m1)}
		if cross64(s1.dx, s1.dy, s2.dx, s2.dy) == 0 {
			continue
		}
		tried++
		require.True(t, fourLines(c, corner(&m2)), "seed %d", seed)
		for range 2 {
			// In one of the two orders it is a node, counter-clockwise.
			g := kernel[ddBall, fieldDD]{}.node(c)
			height := func(k vcorner) float64 {
				s := k.seg
				return k.side * cross64(s.dx, s.dy, g.ox+g.ux.h-s.ax, g.oy+g.uy.h-s.ay) / math.Hypot(s.dx, s.dy)
			}
			tol := 1e-6 * (1 + math.Abs(g.ux.h) + math.Abs(g.uy.h))
			off := math.Max(math.Abs(height(c[1])-g.r.h), math.Abs(height(c[2])-g.r.h))
			if g.r.e < 1e-6 && off < tol {
				nodes++
				require.InDelta(t, g.r.h, height(corner(&m2)), tol, "seed %d", seed)
			}
			c[0], c[1] = c[1], c[0]
		}
		m2.ax++
		require.False(t, fourLines(c, corner(&m2)), "seed %d", seed)
	}
	require.Greater(t, tried, 1000)
	require.Greater(t, nodes, 1000)
}
