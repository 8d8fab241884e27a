package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestOffsetOfDenseCurves compares the offsets of curves in chords, which are made
// from fits, with those of the chords themselves: no point of the boundary of one
// may be farther than the promise from the other, corners too.
func TestOffsetOfDenseCurves(t *testing.T) {
	circle := func(x, y, r float64, n int) Contour { return RegularPolygon(Pt(x, y), r, n, 0).Reverse() }
	long := make([]Point, 1500) // an oval that closes to a ridge
	for i := range long {
		a := 2 * math.Pi * float64(i) / float64(len(long))
		long[i] = Pt(60*math.Cos(a), 9*math.Sin(a))
	}
	for _, tc := range []struct {
		name string
		r    Region
	}{
		{"few chords", Region{wavy(500)}},
		{"at the edge of the tolerance", Region{wavy(1000)}},
		{"many chords", Region{wavy(4000)}},
		{"oval", Region{Polygon(long...)}},
		{"islands", Region{wavy(3000), circle(10, 5, 4, 400), circle(-14, 3, 5, 300), circle(2, -20, 3, 300)}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var ds []float64
			for d := 0.7; d < 42; d += 4.3 {
				ds = append(ds, -d, d)
			}
			got, err := Offsets(tc.r, ds, OffsetOptions{})
			require.NoError(t, err)
			for i, d := range ds {
				l := newLevels(tc.r, d < 0, OffsetOptions{})
				want, err := l.at(math.Abs(d))
				l.free()
				require.NoError(t, err)
				if len(want) == 0 {
					require.Empty(t, got[i], "distance %g", d)
					continue
				}
				x, y := NewIndex(got[i]), NewIndex(want)
				for _, c := range want {
					for _, s := range c {
						at := Line(s.A, s.A)
						require.LessOrEqual(t, x.BoundaryDistance(at), miss, "distance %g, missed at %v", d, s.A)
					}
				}
				for _, c := range got[i] {
					for _, s := range c {
						m := s.At(0.5)
						require.LessOrEqual(t, y.BoundaryDistance(Line(m, m)), miss, "distance %g, off at %v", d, m)
					}
				}
				require.NoError(t, checkOffset(tc.r, d, got[i]))
			}
		})
	}
}
