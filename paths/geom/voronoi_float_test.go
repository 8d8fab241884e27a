package geom

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// within reports whether the float64 v is within e of the true value, which x
// knows to its own bound.
func within(v, e float64, x bigBall) bool {
	if math.IsInf(e, 1) {
		return true // promises nothing
	}
	d, _ := new(big.Float).SetPrec(bigBits).Sub(x.f, new(big.Float).SetFloat64(v)).Float64()
	return math.Abs(d) <= e+x.e
}

// Nodes written out in float64 are within their bounds of what many digits say,
// and the bounds are of the size of those that arithmetic keeps by itself: in
// small numbers full of coincidences, and where sites are all but in line.
func TestVoronoiNodeBounds(t *testing.T) {
	n := 4000
	if longRun() {
		n *= 100
	}
	kinds, loose := map[int]int{}, 0
	for seed := range uint64(n) {
		rng := rand.New(rand.NewPCG(seed, 13))
		size := float64(int(4) << rng.IntN(28))
		flat := math.Ldexp(1, -rng.IntN(28)) // how thin the crowd of points is
		at := func() float64 { return math.Round((rng.Float64() - 0.5) * size) }
		v := &voronoi{}
		for range 6 {
			v.px, v.py = append(v.px, at()), append(v.py, math.Round((rng.Float64()-0.5)*size*flat))
		}
		if seed%5 == 0 {
			v.px[0], v.py[0] = vframe, -vframe // a point of the frame
		}
		for range 5 {
			a, b := int32(rng.IntN(6)), int32(rng.IntN(6))
			if v.px[a] == v.px[b] && v.py[a] == v.py[b] {
				continue
			}
			v.segs = append(v.segs, v.between(a, b, 0))
		}
		v.grow()
		for kind := range 8 {
			for i := range 3 {
				v.he[i] = vhalf{site: int32(rng.IntN(len(v.px)))}
				if i < kind%4 && len(v.segs) > 0 {
					v.he[i].site, v.he[i].side = int32(len(v.px)+rng.IntN(len(v.segs))), int8(2*rng.IntN(2)-1)
				}
			}
			if a, b, c := v.he[0].site, v.he[1].site, v.he[2].site; a == b || b == c || c == a {
				continue
			}
			v.place(0)
			g := nodeOf(&v.geo[0])
			c := v.corners(0)
			if d := (kernel[ddBall, fieldDD]{}).node(c); !(d.ux.e+d.uy.e+d.r.e < 1) {
				continue // no such node
			}
			k := kernel[bigBall, fieldBig]{}.node(c)
			require.Equal(t, [2]float64{k.ox, k.oy}, [2]float64{g.ox, g.oy}, "seed %d", seed)
			require.True(t, within(g.ux.v, g.ux.e, k.ux), "seed %d %v: %v", seed, v.he, g)
			require.True(t, within(g.uy.v, g.uy.e, k.uy), "seed %d %v: %v", seed, v.he, g)
			require.True(t, within(g.r.v, g.r.e, k.r), "seed %d %v: %v", seed, v.he, g)
			kinds[kind%4]++
			b := kernel[ball, field64]{}.node(c)
			if g.r.e > 4*math.Max(b.r.e, math.Max(b.ux.e, b.uy.e)) {
				loose++
			}
		}
	}
	for k := range 4 {
		require.Greater(t, kinds[k], 500, "nodes with %d segments", k)
	}
	t.Log(kinds, "looser by more than four times:", loose)
	require.Less(t, loose, n/8)
}

// Where float64 tells whether the nodes at the ends of an edge are parted by a
// segment, many digits tell the same.
func TestVoronoiPartedNodes(t *testing.T) {
	n := 8000
	if longRun() {
		n *= 20
	}
	kb := kernel[bigBall, fieldBig]{}
	told, doubts := map[bool]int{}, 0
	kinds := map[int]int{}
	for seed := range uint64(n) {
		rng := rand.New(rand.NewPCG(seed, 16))
		size := float64(int(4) << rng.IntN(28))
		at := func() float64 { return math.Round((rng.Float64() - 0.5) * size) }
		var x, y [6]float64
		for i := range x {
			x[i], y[i] = at(), at()
		}
		point := func(i int32) vcorner { return vcorner{point: true, id: i, x: x[i], y: y[i]} }
		seg := func(a, b int32) *vseg {
			s := newSeg(a, b, 0, x[a], y[a], x[b]-x[a], y[b]-y[a])
			return &s
		}
		kind := rng.IntN(3)
		e := vedge{p: point(0), q: point(1), s: seg(2, 3)}
		if kind > 0 {
			e.q = vcorner{seg: seg(4, 5), side: float64(2*rng.IntN(2) - 1)}
		}
		if kind == 2 {
			e.s = seg(0, 3) // leaves p
		}
		if e.s.length == 0 || e.q.seg != nil && e.q.seg.length == 0 || !e.possible() {
			continue
		}
		node := func() vgeo {
			return vgeo{ox: x[0], oy: y[0], ux: (rng.Float64() - 0.5) * size, uy: (rng.Float64() - 0.5) * size}
		}
		big := func(g *vgeo) int {
			num := func(v float64) bigBall { return bigBall{newBig().SetFloat64(v), 0} }
			s, sure := kb.beyond(&e, vnode[bigBall]{g.ox, g.oy, num(g.ux), num(g.uy), num(0)})
			require.True(t, sure || s == 0, "seed %d", seed)
			return s
		}
		ga, gb := node(), node()
		yes, ok := e.parted(&ga, &gb)
		if !ok {
			continue
		}
		require.Equal(t, big(&ga)*big(&gb) < 0, yes, "seed %d", seed)
		// On the way to the middle it may stop telling, but not tell wrongly.
		for k := 0; yes && seed%8 == 0 && k < 56; k++ {
			gm := vgeo{ox: ga.ox, oy: ga.oy, ux: (ga.ux + gb.ux) / 2, uy: (ga.uy + gb.uy) / 2}
			if big(&gm) == big(&ga) {
				ga = gm
			} else {
				gb = gm
			}
			if yes, ok := e.parted(&ga, &gb); ok {
				require.Equal(t, big(&ga)*big(&gb) < 0, yes, "seed %d", seed)
			} else {
				doubts++
			}
		}
		told[yes]++
		kinds[kind]++
	}
	require.Positive(t, doubts)
	require.Greater(t, told[true], n/100)
	require.Greater(t, told[false], n/100)
	for k := range 3 {
		require.Greater(t, kinds[k], n/100, "kind %d", k)
	}
}
