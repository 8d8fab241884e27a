package geom

import (
	"bufio"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// bufferFacet is the chord error in mm of the stored GEOS buffers.
const bufferFacet = 0.002

type bufferCase struct {
	src Region
	d   float64
}

// bufferCases returns 200 polygons, half of them with a hole, and distances.
func bufferCases() []bufferCase {
	rng := rand.New(rand.NewSource(200))
	cases := make([]bufferCase, 200)
	for i := range cases {
		r := Region{starShaped(rng, Pt(0, 0), 4+rng.Intn(6), 3, 8)}
		if i%2 == 0 {
			r = append(r, starShaped(rng, Pt(0, 0), 3+rng.Intn(3), 0.4, 1.2).Reverse())
		}
		d := math.Round(100*(0.1+0.8*rng.Float64())) / 100
		if rng.Intn(2) == 0 {
			d = -d
		}
		cases[i] = bufferCase{r, d}
	}
	return cases
}

// readBuffers reads areas and rings as the driver writes them.
func readBuffers(t *testing.T, file string) (areas []float64, rings []Region) {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	sc := bufio.NewScanner(f)
	for sc.Scan() {
		var a float64
		_, err := fmt.Sscan(sc.Text(), &a)
		require.NoError(t, err)
		var r Region
		var pts []Point
		flush := func() {
			if len(pts) > 0 {
				r = append(r, Polygon(pts...))
				pts = nil
			}
		}
		for sc.Scan() && sc.Text() != "--" {
			if sc.Text() == "" {
				flush()
				continue
			}
			var p Point
			_, err := fmt.Sscan(sc.Text(), &p.X, &p.Y)
			require.NoError(t, err)
			pts = append(pts, p)
		}
		flush()
		areas, rings = append(areas, a), append(rings, r)
	}
	require.NoError(t, sc.Err())
	return areas, rings
}

func TestOffsetAgainstGEOS(t *testing.T) {
	areas, rings := readBuffers(t, filepath.Join(referenceDir, "geos_buffer.txt"))
	cases := bufferCases()
	require.Len(t, areas, len(cases))
	for i, c := range cases {
		got, err := Offset(c.src, c.d, OffsetOptions{})
		require.NoError(t, err)
		require.InDelta(t, areas[i], got.Area(), bufferFacet*(1+got.Perimeter()), "case %d", i)
		if len(rings[i]) == 0 || len(got) == 0 {
			require.Less(t, got.Area()+areas[i], bufferFacet, "case %d", i)
			continue
		}
		// Hausdorff distance of the boundaries. Where they end in a sharp corner
		// the facets move it by several times their own error.
		far := 0.0
		for _, k := range got {
			for _, s := range k {
				for _, u := range [...]float64{0, 0.25, 0.5, 0.75} {
					far = math.Max(far, rings[i].BoundaryDistance(s.At(u)))
				}
			}
		}
		for _, k := range rings[i] {
			for _, s := range k {
				far = math.Max(far, math.Max(got.BoundaryDistance(s.A), got.BoundaryDistance(s.At(0.5))))
			}
		}
		require.Less(t, far, 10*bufferFacet, "case %d", i)
	}
}

func TestOffsetGEOSAgain(t *testing.T) {
	var b strings.Builder
	for _, c := range bufferCases() {
		fmt.Fprintf(&b, "-- %g\n%s", c.d, shapeText(c.src))
	}
	again(t, "geos_buffer.txt", reference(t, "geos", []string{"-lgeos_c"}, b.String(), "buffer", fmt.Sprint(bufferFacet)))
}
