package geom

import "math"

// Flatten returns the vertices of a polyline through the ends of the segments,
// with points added on arcs so that no arc leaves its chords by more than chord
// (mm), nor the chords the arc. The first point is the start and the last the
// end of the chain: a closed chain ends with the point it begins with. A chord
// error below Tol, or NaN, is taken as Tol.
func Flatten(segs []Seg, chord float64) []Point {
	return AppendFlatten(nil, segs, chord)
}

// AppendFlatten appends the points of Flatten to dst.
func AppendFlatten(dst []Point, segs []Seg, chord float64) []Point {
	if len(segs) == 0 {
		return dst
	}
	if !(chord >= Tol) {
		chord = Tol
	}
	dst = append(dst, segs[0].A)
	for _, s := range segs {
		n := chordCount(s, chord)
		for k := 1; k < n; k++ {
			dst = append(dst, s.At(float64(k)/float64(n)))
		}
		dst = append(dst, s.B)
	}
	return dst
}

// chordCount returns into how many equal chords the segment must be cut so that
// none leaves the arc by more than chord: the sagitta of a chord over angle w is
// r (1 - cos(w/2)) = 2 r sin2(w/4).
func chordCount(s Seg, chord float64) int {
	if s.Turn == Straight {
		return 1
	}
	_, r := s.band()
	step := 2 * math.Pi / 3 // three chords to a circle at the least
	if chord < r/2 {
		step = 4 * math.Asin(math.Sqrt(chord/(2*r)))
	}
	return max(1, int(math.Ceil(math.Abs(s.Sweep())/step*(1-1e-12)))) // no chord more for a rounding
}
