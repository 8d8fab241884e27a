package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// checkEased measures the bound of a fit whose pieces meet near the points: each
// chord against the piece over it, and the part of the piece between the rays to the
// ends of the chord against the chord, in closed form. The parts follow each other
// from the start of the piece to its end.
func checkEased(t require.TestingT, f *fitter, fit Path) {
	require.NoError(t, fit.Validate())
	i, worst := 0, 0.0
	for _, piece := range fit {
		require.Equal(t, f.via[i], piece.A)
		j := i + 1
		for ; ; j++ {
			require.Less(t, j, len(f.pts), "a piece ends at no place")
			if s, ok := f.piece(i, j, len(f.pts)); f.via[j] == piece.B && ok && s == piece {
				break
			}
		}
		onto := func(k int) Point {
			switch k {
			case i:
				return piece.A
			case j:
				return piece.B
			}
			if piece.IsArc() {
				return piece.C.Add(f.pts[k].Sub(piece.C).Unit().Mul(piece.Radius()))
			}
			return piece.Closest(f.pts[k])
		}
		for k := i; k < j; k++ {
			l := Line(f.pts[k], f.pts[k+1])
			part := Line(onto(k), onto(k+1))
			worst = math.Max(worst, farthestOnLine(l, piece))
			if piece.IsArc() {
				if part = Arc(part.A, part.B, piece.C, piece.Turn); part.A != part.B {
					require.Less(t, math.Abs(part.Sweep()), math.Pi, "%v runs against %v", l, piece)
					worst = math.Max(worst, farthestOnArc(part, l))
				}
			} else {
				worst = math.Max(worst, farthestOnLine(part, l))
			}
		}
		i = j
	}
	require.Equal(t, len(f.pts)-1, i)
	require.LessOrEqual(t, worst, f.tol*(1+1e-9)+1e-12)
}

func TestEasedFitBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts, tol := genPolyline(t)
		f := &fitter{tol: tol, ease: true}
		fit := f.fit(pts, true)
		if len(fit) > 0 && !fit[0].IsCircle() {
			checkEased(t, f, fit)
		}
	})
}

// TestEasedFitGains measures what it is for: chords so long that arcs through their
// ends leave their middles by nearly the tolerance.
func TestEasedFitGains(t *testing.T) {
	var pts []Point
	for _, s := range wavy(1000) {
		pts = append(pts, s.A)
	}
	const tol = 4e-4
	f := &fitter{tol: tol, ease: true}
	eased := f.fit(pts, true)
	checkEased(t, f, eased)
	through := (&fitter{tol: tol}).fit(pts, true)
	require.Less(t, len(eased)*3, len(through)*2)
}
