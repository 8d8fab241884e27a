package nest

import (
	"context"
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

// long reports whether the runs that take minutes are wanted.
func long() bool { return os.Getenv("PROOFCUT_LONG") == "1" }

// record is a row of testdata/packing.csv.
type record struct {
	container string
	n         int
	radius    float64
}

func records(t testing.TB) []record {
	t.Helper()
	file, err := os.Open("testdata/packing.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	var out []record
	for _, row := range rows[1:] {
		n, err := strconv.Atoi(row[1])
		require.NoError(t, err)
		r, err := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		out = append(out, record{row[0], n, r})
	}
	require.Len(t, out, 72)
	return out
}

func (r record) region() geom.Region {
	if r.container == "unit-circle" {
		return geom.RegionOf(geom.Circle(geom.Pt(0, 0), 1))
	}
	return geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(1, 1), 0))
}

// overRecord is the relative excess over a best-known radius that is taken for
// a broken layout and not for a new record.
const overRecord = 1e-9

// TestMaxRadiusReachesTheTable compares with the best-known radii
// (E. Specht's tables, see testdata/README.md).
func TestMaxRadiusReachesTheTable(t *testing.T) {
	for _, row := range records(t) {
		t.Run(row.container+"/"+strconv.Itoa(row.n), func(t *testing.T) {
			effort, demand := 1.0, 1-1e-6
			switch {
			case row.n > 14 && !long():
				t.Skip("set PROOFCUT_LONG=1")
			case row.n > 30:
				effort, demand = 60, 0.999
			case row.n > 14:
				effort = 10
			}
			p, err := MaxRadius(context.Background(), row.region(), row.n,
				RadiusOptions{Seed: 1, Effort: effort, Enough: row.radius * (1 - 1e-12)})
			require.NoError(t, err)
			require.Len(t, p.Centres, row.n)
			require.LessOrEqual(t, p.Radius, row.radius*(1+overRecord), "overlap, or a new record")
			require.GreaterOrEqual(t, p.Radius, row.radius*demand)
			require.Equal(t, p.Radius, measure(row.region(), p.Centres))
		})
	}
}

// TestPolishIsExact asks for the last digits: a record that is found is hit to
// 1e-12.
func TestPolishIsExact(t *testing.T) {
	for _, row := range records(t) {
		if row.n > 12 {
			continue
		}
		p, err := MaxRadius(context.Background(), row.region(), row.n, RadiusOptions{Effort: 0.015})
		require.NoError(t, err)
		if p.Radius > row.radius*(1-1e-6) {
			require.InEpsilon(t, row.radius, p.Radius, 1e-12, "%s %d", row.container, row.n)
		}
	}
}

// TestDiscsCountTheTable puts discs a little smaller and a little larger than
// the record's into the container: the count must change.
func TestDiscsCountTheTable(t *testing.T) {
	for _, row := range records(t) {
		switch {
		case row.n > 30, row.n > 8 && !long():
			continue
		case row.container == "unit-circle" && (row.n == 6 || row.n == 18):
			continue // the next count has the same radius
		}
		const scale = 30 // a blank of 30 mm
		stock := row.region().Transform(geom.Scale(scale))
		small := Problem{Stock: stock, Diameter: 2 * scale * row.radius * (1 - 1e-4), Effort: 1, Max: row.n}
		l, err := Discs(context.Background(), small)
		require.NoError(t, err)
		require.NoError(t, small.Check(*l))
		require.Len(t, l.Centres, row.n, "%s %d", row.container, row.n)
		require.GreaterOrEqual(t, l.Bound, row.n)

		large := Problem{Stock: stock, Diameter: 2 * scale * row.radius * (1 + 1e-6), Effort: 0.02}
		l, err = Discs(context.Background(), large)
		require.NoError(t, err)
		require.NoError(t, large.Check(*l))
		require.Less(t, len(l.Centres), row.n, "%s %d", row.container, row.n)
	}
}

// TestGapAndEdgeRescale uses the rule of a spacing and a margin: a square of
// side S with gap g and edge distance m is one of side S-2m+g for discs of
// diameter d+g.
func TestGapAndEdgeRescale(t *testing.T) {
	const g, m, d = 1.5, 2.0, 10.0
	for _, row := range records(t) {
		if row.container != "unit-square" || row.n > 9 {
			continue
		}
		side := (d+g)/2/row.radius*(1+1e-5) + 2*m - g
		p := Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(3, 4), geom.Pt(3+side, 4+side), 0)),
			Diameter: d, Gap: g, Edge: m, Effort: 1, Max: row.n}
		l, err := Discs(context.Background(), p)
		require.NoError(t, err)
		require.NoError(t, p.Check(*l))
		require.Len(t, l.Centres, row.n)
	}
}

// Integer facts. Discs of unit area in a square of area n (OEIS A337020) and
// discs of diameter 1 in a square of area n (OEIS A084616).
var (
	unitAreaInSquare = []int{0, 1, 1, 2, 3, 4, 4, 5, 5, 6, 8, 9, 9, 9, 10, 11, 12, 13, 13, 15, 16, 16, 16, 18, 18, 20, 20,
		21, 22, 22, 24, 25, 25, 25, 27, 27, 28, 30, 30}
	unitDiameterInSquare = []int{1, 1, 2, 4, 4, 5, 5, 6, 9, 9, 9, 10, 12, 13, 14, 16, 16, 16, 18, 19, 20, 21, 22, 23, 25,
		25, 26, 27, 28, 30}
)

func TestIntegerFacts(t *testing.T) {
	for _, c := range []struct {
		name     string
		diameter float64
		counts   []int
	}{
		{"OEIS A337020", 2 / math.Sqrt(math.Pi), unitAreaInSquare},
		{"OEIS A084616", 1, unitDiameterInSquare},
	} {
		t.Run(c.name, func(t *testing.T) {
			for k, want := range c.counts {
				if k >= 10 && !long() {
					break
				}
				// Ten times as large, so that rounding is that of a real slab.
				side := 10 * math.Sqrt(float64(k+1))
				p := Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(side, side), 0)),
					Diameter: 10 * c.diameter, Effort: 5, Max: want}
				if want == 0 {
					p.Max = 1
				}
				l, err := Discs(context.Background(), p)
				require.NoError(t, err)
				require.NoError(t, p.Check(*l))
				require.Len(t, l.Centres, want, "area %d", k+1)
				require.GreaterOrEqual(t, l.Bound, want)
				// And not one more.
				p.Max, p.Effort = 0, 0.02
				l, err = Discs(context.Background(), p)
				require.NoError(t, err)
				require.LessOrEqual(t, len(l.Centres), want, "area %d", k+1)
			}
		})
	}
}

// TestLatticeFormulas uses rectangles that lattices fill exactly.
func TestLatticeFormulas(t *testing.T) {
	for _, k := range []int{1, 2, 3, 5, 8} {
		s := 7.0 * float64(k)
		p := Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(s, s), 0)), Diameter: 7, Effort: 0.05}
		l, err := Discs(context.Background(), p)
		require.NoError(t, err)
		require.Equal(t, k*k, l.Square, "square lattice %d x %d", k, k)
		require.GreaterOrEqual(t, len(l.Centres), k*k)
	}
	// Hexagonal: rows of k and k-1 discs by turns, the height
	// 1 + (rows-1) sqrt(3)/2 diameters.
	for _, c := range []struct{ k, rows int }{{3, 2}, {4, 3}, {5, 5}} {
		w, h := 6*float64(c.k), 6*(1+float64(c.rows-1)*math.Sqrt(3)/2)
		want := c.k*c.rows - c.rows/2
		for _, turn := range []float64{0, 0.3} {
			stock := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(w, h+1e-9), 0)).Transform(geom.Rotate(turn))
			p := Problem{Stock: stock, Diameter: 6, Effort: 0.05}
			l, err := Discs(context.Background(), p)
			require.NoError(t, err)
			require.GreaterOrEqual(t, l.Hexagonal, want, "%d x %d turned %g", c.k, c.rows, turn)
			require.GreaterOrEqual(t, len(l.Centres), want)
		}
	}
}
