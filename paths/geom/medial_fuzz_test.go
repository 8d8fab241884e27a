package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzMedial reads contours from pairs of small numbers, so that coincidences
// are common; the pair 0x80, n ends a contour and bulges its sides when n is odd.
// Run it with -fuzzminimizetime=1x: otherwise up to a minute at a time goes into
// making a find smaller, and the count of runs stands still.
func FuzzMedial(f *testing.F) {
	f.Add([]byte{0, 0, 30, 0, 30, 10, 0, 10})
	f.Add([]byte{0, 0, 40, 0, 40, 10, 10, 10, 10, 40, 0, 40, 0x80, 1, 2, 2, 4, 2, 4, 4})
	f.Add([]byte{0, 0, 20, 20, 20, 0, 0, 20, 0x80, 0, 5, 5, 5, 5, 9, 5, 7, 9})
	f.Add([]byte{0, 0, 10, 0, 20, 0, 20, 20, 10, 20, 0, 20, 0x80, 1, 10, 0, 12, 9, 8, 9})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 160 {
			return
		}
		var contours []Contour
		var pts []Point
		flush := func(bulge bool) {
			if len(pts) > 2 {
				c := Polygon(pts...)
				for i, s := range c {
					if bulge && s.A != s.B {
						mid := s.A.Lerp(s.B, 0.5)
						c[i] = Arc(s.A, s.B, mid.Add(s.B.Sub(s.A).Left().Mul(0.75)), CCW)
					}
				}
				contours = append(contours, c)
			}
			pts = nil
		}
		for i := 0; i+1 < len(data); i += 2 {
			if data[i] == 0x80 {
				flush(data[i+1]&1 != 0)
				continue
			}
			pts = append(pts, Pt(float64(int8(data[i])), float64(int8(data[i+1]))))
		}
		flush(false)
		// As it comes it may be refused, but must not fall over.
		if m, err := MedialAxis(contours, MedialOptions{}); err == nil {
			_, _ = m.Offset(-1)
			_, _ = m.Offset(1)
			m.Widest()
			m.Narrows(2)
		}
		r, err := Resolve(contours, EvenOdd)
		if err != nil {
			return
		}
		m, err := MedialAxis(r, MedialOptions{})
		require.NoError(t, err)
		// So many that looking at them does not cost more than the axis.
		for _, p := range somePieces(m, 500) {
			d := p.At(0.5)
			require.InDelta(t, r.BoundaryDistance(d.C), d.R, 2*DefaultChord)
		}
		for _, d := range []float64{-0.5, -3, 2} {
			level, err := m.Offset(d)
			require.NoError(t, err)
			for _, c := range level {
				for _, s := range c {
					require.GreaterOrEqual(t, r.BoundaryDistance(s.A), math.Abs(d)-Tol)
					require.LessOrEqual(t, r.BoundaryDistance(s.A), math.Abs(d)+2*DefaultChord)
				}
			}
		}
	})
}
