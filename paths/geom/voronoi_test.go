package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// siteDistance is the distance of (x, y) from a site, segments without regard
// to their being open.
func (v *voronoi) siteDistance(id int32, x, y float64) float64 {
	s := v.segment(id)
	if s == nil {
		return math.Hypot(x-v.px[id], y-v.py[id])
	}
	l2 := s.dx*s.dx + s.dy*s.dy
	t := ((x-s.ax)*s.dx + (y-s.ay)*s.dy) / l2
	t = math.Max(0, math.Min(1, t))
	if t > 0 && t < 1 {
		return math.Abs(cross64(s.dx, s.dy, x-s.ax, y-s.ay)) / math.Sqrt(l2)
	}
	return math.Hypot(x-s.ax-t*s.dx, y-s.ay-t*s.dy)
}

// checkVoronoi compares every node with all sites, the slow way.
func checkVoronoi(t testing.TB, v *voronoi) {
	sites := len(v.px) + len(v.segs)
	require.Equal(t, 2*sites-5, len(v.geo), "Euler count of nodes")
	require.Zero(t, len(v.he)%3)
	for h := range v.he {
		if o := v.he[h].twin; o >= 0 {
			require.Equal(t, int32(h), v.he[o].twin, "twin of twin")
			require.Equal(t, v.he[h].site, v.he[hnext(o)].site)
			require.Equal(t, v.he[hnext(int32(h))].site, v.he[o].site)
		}
	}
	for i := range v.geo {
		g := nodeOf(&v.geo[i])
		c := v.corners(int32(i))
		if !(float64(v.geo[i].e) < 1e-6*(1+v.geo[i].r)) { // ask for a better one
			k := kernel[bigBall, fieldBig]{}.node(c)
			g.ux.v, _ = k.ux.f.Float64()
			g.uy.v, _ = k.uy.f.Float64()
			g.r.v, _ = k.r.f.Float64()
			require.Less(t, k.ux.e+k.uy.e+k.r.e, 1e-30, "node %d %v", i, v.he[3*i:3*i+3])
		}
		x, y, r := g.ox+g.ux.v, g.oy+g.uy.v, g.r.v
		if math.Hypot(x, y) > vReach {
			continue // among the frame
		}
		tol := 1e-5 + 1e-7*r
		for j := 0; j < 3; j++ {
			d := v.siteDistance(v.he[3*i+j].site, x, y)
			require.InDelta(t, r, d, tol, "node %d (%.3f %.3f) and its site %d of %v", i, x, y, v.he[3*i+j].site, v.he[3*i:3*i+3])
		}
		for id := int32(0); int(id) < sites; id++ {
			require.Greater(t, v.siteDistance(id, x, y), r-tol, "node %d (%.3f %.3f) sites %v: site %d is nearer", i, x, y, v.he[3*i:3*i+3], id)
		}
	}
}

// randomSegments makes non-crossing segments between lattice points, many of
// them in special position when the box is small.
func randomSegments(rng *rand.Rand, n, tries int, box int) (px, py []float64, segs [][2]int32) {
	seen := map[[2]int]bool{}
	for i := 0; i < n; i++ {
		p := [2]int{rng.IntN(box), rng.IntN(box)}
		if !seen[p] {
			seen[p] = true
			px, py = append(px, float64(p[0])), append(py, float64(p[1]))
		}
	}
	mk := func(a, b int32) *vseg { s := newSeg(a, b, 0, px[a], py[a], px[b]-px[a], py[b]-py[a]); return &s }
try:
	for i := 0; i < tries; i++ {
		a, b := int32(rng.IntN(len(px))), int32(rng.IntN(len(px)))
		if a == b {
			continue
		}
		s := mk(a, b)
		for p := range px {
			if onOpen(s, px[p], py[p]) {
				continue try
			}
		}
		for _, o := range segs {
			if meets(s, mk(o[0], o[1])) {
				continue try
			}
		}
		segs = append(segs, [2]int32{a, b})
	}
	return px, py, segs
}

func TestVoronoiOfRandomSegments(t *testing.T) {
	for _, c := range []struct{ n, tries, box, runs int }{
		{3, 2, 4, 100}, {4, 6, 4, 300}, {6, 12, 5, 300}, {12, 60, 6, 100}, {20, 100, 1000, 40},
		{30, 300, 8, 20}, {60, 1000, 1 << 20, 10}, {100, 1500, 12, 5},
	} {
		t.Run(fmt.Sprintf("%d in %d", c.n, c.box), func(t *testing.T) {
			if longRun() {
				c.runs *= 100
			}
			for seed := 0; seed < c.runs; seed++ {
				rng := rand.New(rand.NewPCG(uint64(seed), uint64(c.n)))
				px, py, segs := randomSegments(rng, c.n, c.tries, c.box)
				v, err := newVoronoi(px, py, segs, uint64(seed))
				require.NoError(t, err, "seed %d: %v %v %v", seed, px, py, segs)
				if t.Failed() {
					return
				}
				checkVoronoi(t, v)
			}
		})
	}
}

// overlap reports whether the segments cross inside both or share a stretch.
func overlap(s, t *vseg) bool {
	side := func(u *vseg, x, y float64) float64 { return cross64(u.dx, u.dy, x-u.ax, y-u.ay) }
	o1, o2 := side(s, t.ax, t.ay), side(s, t.ax+t.dx, t.ay+t.dy)
	if o1 == 0 && o2 == 0 {
		n := 0
		for _, on := range []bool{onOpen(s, t.ax, t.ay), onOpen(s, t.ax+t.dx, t.ay+t.dy), onOpen(t, s.ax, s.ay), onOpen(t, s.ax+s.dx, s.ay+s.dy)} {
			if on {
				n++
			}
		}
		return n > 0 || meets(s, t)
	}
	return o1*o2 < 0 && side(t, s.ax, s.ay)*side(t, s.ax+s.dx, s.ay+s.dy) < 0
}

// Points on segments cut them.
func TestVoronoiCutsSegmentsAtPoints(t *testing.T) {
	cut := 0
	for seed := uint64(0); seed < 200; seed++ {
		rng := rand.New(rand.NewPCG(seed, 3))
		px, py, _ := randomSegments(rng, 12, 0, 5)
		var segs [][2]int32
		mk := func(a, b int32) *vseg { s := newSeg(a, b, 0, px[a], py[a], px[b]-px[a], py[b]-py[a]); return &s }
	try:
		for i := 0; i < 60; i++ {
			a, b := int32(rng.IntN(len(px))), int32(rng.IntN(len(px)))
			if a == b {
				continue
			}
			for _, o := range segs {
				if overlap(mk(a, b), mk(o[0], o[1])) {
					continue try
				}
			}
			segs = append(segs, [2]int32{a, b})
		}
		v, err := newVoronoi(px, py, segs, seed)
		require.NoError(t, err, "seed %d: %v %v %v", seed, px, py, segs)
		checkVoronoi(t, v)
		cut += len(v.segs) - len(segs)
	}
	require.Positive(t, cut)
}

func TestVoronoiRefusesCrossings(t *testing.T) {
	px, py := []float64{0, 10, 0, 10, 5, -5, 20}, []float64{0, 10, 10, 0, 20, 5, 5}
	for _, segs := range [][][2]int32{
		{{0, 1}, {2, 3}}, {{0, 1}, {2, 3}, {5, 6}}, {{5, 6}, {0, 2}}, {{0, 1}, {0, 4}, {5, 6}},
	} {
		_, err := newVoronoi(px, py, segs, 1)
		require.Error(t, err, "%v", segs)
	}
}

func TestVoronoiCancelsOpposites(t *testing.T) {
	px, py := []float64{0, 10, 0, 20}, []float64{0, 10, 10, 5}
	v, err := newVoronoi(px, py, [][2]int32{{0, 1}, {2, 3}, {1, 0}}, 1)
	require.NoError(t, err)
	require.Len(t, v.segs, 1)
	require.Equal(t, int32(1), v.segs[0].src)
}
