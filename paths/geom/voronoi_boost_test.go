package geom

import (
	"bufio"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
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

const (
	boostCases = 100
	boostFar   = 1 << 30 // farther out than any case by far
	boostDigit = 1e-3    // the last digit of the stored values, in steps
)

// boostVertex is a vertex of Boost's diagram and its clearance.
type boostVertex struct {
	p Point
	r float64
}

// TestVoronoiAgainstBoost compares the nodes of 100 polygons with the vertices
// that Boost.Polygon finds and its clearances there, as stored.
func TestVoronoiAgainstBoost(t *testing.T) {
	f, err := os.Open(filepath.Join(referenceDir, "boost_voronoi.txt"))
	require.NoError(t, err)
	defer f.Close()
	in := bufio.NewReader(f)
	for k := range boostCases {
		var n int
		_, err := fmt.Fscan(in, &n)
		require.NoError(t, err)
		var want []boostVertex
		for range n {
			var b boostVertex
			_, err := fmt.Fscan(in, &b.p.X, &b.p.Y, &b.r)
			require.NoError(t, err)
			// Beyond some way out our frame is nearer than the polygon.
			if b.p.Len() < boostFar {
				want = append(want, b)
			}
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
		var got []boostVertex
		for i := range v.geo {
			// Where three cells meet at an end of a segment Boost has no vertex of
			// its own.
			g := &v.geo[i]
			if p := Pt(g.ox+g.ux, g.oy+g.uy); p.Len() < boostFar && !v.framed(int32(i)) {
				got = append(got, boostVertex{p, g.r})
			}
		}
		// Each has the other's vertex within what a double leaves of coordinates,
		// with the same clearance.
		matched := func(a boostVertex, list []boostVertex) bool {
			tol := boostDigit + 1e-9*a.p.Len()
			for _, b := range list {
				if a.p.Dist(b.p) <= tol && math.Abs(a.r-b.r) <= 2*tol {
					return true
				}
			}
			return false
		}
		for _, b := range want {
			require.True(t, matched(b, got), "case %d: vertex %v of Boost", k, b)
		}
		for _, g := range got {
			require.True(t, matched(g, want), "case %d: node %v of ours", k, g)
		}
	}
}

func TestVoronoiBoostAgain(t *testing.T) {
	var b strings.Builder
	for k := range boostCases {
		c := boostCase(k)
		fmt.Fprintln(&b, len(c))
		for _, pts := range c {
			fmt.Fprintln(&b, len(pts))
			for _, p := range pts {
				fmt.Fprintln(&b, p[0], p[1])
			}
		}
	}
	again(t, "boost_voronoi.txt", reference(t, "boost_voronoi", nil, b.String()))
}
