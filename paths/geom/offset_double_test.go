package geom

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// sharedPaths returns three paths along a smooth curve of n chords, each over half
// of it, so that parts of them are the same chords.
func sharedPaths(n int) []Path {
	at := func(i int) Point {
		a := 2 * math.Pi * float64(i) / float64(n)
		return Polar(20*(1+0.15*math.Sin(2*a)+0.08*math.Sin(5*a)), a)
	}
	paths := make([]Path, 3)
	for k := range paths {
		for i := k * n / 5; i < k*n/5+n/2; i++ {
			paths[k] = append(paths[k], Line(at(i), at(i+1)))
		}
	}
	return paths
}

// The stroke put together from parts is that of all at once.
func TestArrangedStroke(t *testing.T) {
	bow := Path{Line(Pt(0, 0), Pt(10, 0)), Arc(Pt(10, 0), Pt(10, 6), Pt(10, 3), CCW), Line(Pt(10, 6), Pt(0, 0))}
	var wave Path
	for i := range 100 {
		x := float64(i) / 5
		wave = append(wave, Line(Pt(x, math.Sin(x)), Pt(x+0.2, math.Sin(x+0.2))))
	}
	for name, paths := range map[string][]Path{
		"shared":   sharedPaths(120),
		"closed":   {bow},
		"wave":     {wave},
		"crossing": {wave, bow, {Line(Pt(3, 3), Pt(3, 3))}},
	} {
		for _, d := range []float64{0.05, 0.7, 4, 25} {
			for _, o := range []OffsetOptions{{}, {Join: MiterJoin, MiterLimit: 3}} {
				o, err := o.check()
				require.NoError(t, err)
				got, err := arrangedStroke(paths, d, o)
				require.NoError(t, err)
				l := newPathLevels(paths, o)
				want, err := rawOffset(l.src, d, o, func(w int32) bool { return w > 0 })
				require.NoError(t, err)
				require.InEpsilon(t, want.Area(), got.Area(), 1e-9, "%s, distance %g, %v", name, d, o.Join)
				off, err := SymmetricDifference(got, want)
				require.NoError(t, err)
				require.Less(t, off.Area(), 1e-9*want.Area(), "%s, distance %g, %v", name, d, o.Join)
			}
		}
	}
}

// At a distance far beyond the chords all that crosses must go early.
func BenchmarkArrangedStroke(b *testing.B) {
	for n := 250; n <= 4000; n *= 4 {
		paths := sharedPaths(n)
		for _, d := range []float64{1, 25} {
			b.Run(fmt.Sprintf("chords-%d-distance-%g", n, d), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := OffsetPath(paths, d, OffsetOptions{}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
