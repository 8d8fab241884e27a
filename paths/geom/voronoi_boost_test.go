package geom

import (
	"bufio"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// boostCase returns the contours of one of the polygons that are compared with
// Boost.Polygon: rays of random length about a middle, with a shrunk copy as a
// hole in every other, on a lattice of a few thousand or of 2^26 steps.
func boostCase(k int) [][][2]int {
	rng := rand.New(rand.NewPCG(uint64(k), 2026))
	n := 3 + rng.IntN(28)
	size := 3000.0
	if k%4 >= 2 {
		size = 1 << 26
	}
	outer := make([][2]int, n)
	hole := make([][2]int, n)
	for i := range outer {
		a := 2 * math.Pi * (float64(i) + 0.7*rng.Float64()) / float64(n)
		p := Polar(size*(0.3+0.7*rng.Float64()), a)
		outer[i] = [2]int{int(p.X), int(p.Y)}
		q := p.Mul(0.2 + 0.3*rng.Float64())
		hole[n-1-i] = [2]int{int(q.X), int(q.Y)}
	}
	if k%2 == 0 {
		return [][][2]int{outer}
	}
	return [][][2]int{outer, hole}
}

const boostCases = 100

// TestWriteBoostInput writes the polygons for the reference program when
// PROOFCUT_BOOST_INPUT names a file; testdata/reference/medial.sh calls it.
func TestWriteBoostInput(t *testing.T) {
	name := os.Getenv("PROOFCUT_BOOST_INPUT")
	if name == "" {
		t.Skip("PROOFCUT_BOOST_INPUT is not set")
	}
	f, err := os.Create(name)
	require.NoError(t, err)
	w := bufio.NewWriter(f)
	for k := 0; k < boostCases; k++ {
		c := boostCase(k)
		fmt.Fprintln(w, len(c))
		for _, pts := range c {
			fmt.Fprintln(w, len(pts))
			for _, p := range pts {
				fmt.Fprintln(w, p[0], p[1])
			}
		}
	}
	require.NoError(t, w.Flush())
	require.NoError(t, f.Close())
}

// TestVoronoiAgreesWithBoost compares the nodes of 100 polygons with the
// vertices that Boost.Polygon 1.74 (Debian's libboost-dev) finds, stored in
// testdata/voronoi_boost.txt by testdata/reference/medial.sh.
func TestVoronoiAgreesWithBoost(t *testing.T) {
	f, err := os.Open("testdata/voronoi_boost.txt")
	require.NoError(t, err)
	defer f.Close()
	in := bufio.NewReader(f)
	for k := 0; k < boostCases; k++ {
		var n int
		_, err := fmt.Fscan(in, &n)
		require.NoError(t, err)
		want := make([]Point, n)
		for i := range want {
			_, err := fmt.Fscan(in, &want[i].X, &want[i].Y)
			require.NoError(t, err)
		}
		var px, py []float64
		var segs [][2]int32
		for _, pts := range boostCase(k) {
			from := int32(len(px))
			for i, p := range pts {
				px, py = append(px, float64(p[0])), append(py, float64(p[1]))
				segs = append(segs, [2]int32{from + int32(i), from + int32((i+1)%len(pts))})
			}
		}
		v, err := newVoronoi(px, py, segs, 1)
		require.NoError(t, err, "case %d", k)
		var got []Point
		for i := range v.geo {
			// Beyond some way out our frame is nearer than the polygon, and where
			// three cells meet at an end of a segment Boost has no vertex of its own.
			g := &v.geo[i]
			if p := Pt(g.ox+g.ux, g.oy+g.uy); p.Len() < 1<<30 && !v.framed(int32(i)) {
				got = append(got, p)
			}
		}
		nearest := func(p Point, list []Point) float64 {
			d := math.Inf(1)
			for _, q := range list {
				d = math.Min(d, p.Dist(q))
			}
			return d
		}
		for _, p := range want {
			if p.Len() >= 1<<30 {
				continue
			}
			require.LessOrEqual(t, nearest(p, got), 1e-3+1e-9*p.Len(), "case %d: vertex %v of Boost", k, p)
			// Clearance: the vertex touches three sites of ours as nearly.
			d := math.Inf(1)
			for id := int32(0); int(id) < len(v.px)+len(v.segs); id++ {
				d = math.Min(d, v.siteDistance(id, p.X, p.Y))
			}
			least := math.Inf(1)
			for i := range v.geo {
				g := &v.geo[i]
				if Pt(g.ox+g.ux, g.oy+g.uy).Dist(p) <= 1e-3+1e-9*p.Len() {
					least = math.Min(least, math.Abs(g.r-d))
				}
			}
			require.LessOrEqual(t, least, 2e-3+1e-9*p.Len(), "case %d: clearance at %v", k, p)
		}
		for _, p := range got {
			require.LessOrEqual(t, nearest(p, want), 1e-3+1e-9*p.Len(), "case %d: node %v of ours", k, p)
		}
	}
}
