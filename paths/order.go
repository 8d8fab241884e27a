package paths

import (
	"math"

	"proofcut/paths/geom"
)

// order sorts strokes so that each starts near the end of the one before,
// turning open ones round where that is nearer: the nearest-neighbour rule, which
// commonly comes within a quarter of the best order. The first stays first.
func order(strokes []geom.Path) []geom.Path {
	if len(strokes) < 2 {
		return strokes
	}
	left := append([]geom.Path(nil), strokes[1:]...)
	out := make([]geom.Path, 0, len(strokes))
	out = append(out, strokes[0])
	for len(left) > 0 {
		at := out[len(out)-1].End()
		best, turn, dist := 0, false, math.Inf(1)
		for i, p := range left {
			if d := at.Dist(p.Start()); d < dist {
				best, turn, dist = i, false, d
			}
			if d := at.Dist(p.End()); d < dist && !p.Closed() {
				best, turn, dist = i, true, d
			}
		}
		p := left[best]
		if turn {
			p = p.Reverse()
		}
		out = append(out, p)
		left = append(left[:best], left[best+1:]...)
	}
	return out
}

// orderPoints returns the points so that each is near the one before, the
// first given first.
func orderPoints(points []geom.Point) []geom.Point {
	left := append([]geom.Point(nil), points...)
	for i := 1; i < len(left); i++ {
		best := i
		for j := i + 1; j < len(left); j++ {
			if left[i-1].Dist(left[j]) < left[i-1].Dist(left[best]) {
				best = j
			}
		}
		// Move, do not swap, so that equal distances keep the given order.
		p := left[best]
		copy(left[i+1:best+1], left[i:best])
		left[i] = p
	}
	return left
}

// joined makes one stroke of strokes that follow on each other without a gap.
func joined(strokes []geom.Path) []geom.Path {
	var out []geom.Path
	for _, p := range strokes {
		if n := len(out); n > 0 && out[n-1].End().Dist(p.Start()) <= geom.Tol {
			out[n-1] = append(out[n-1][:len(out[n-1]):len(out[n-1])], p...)
			continue
		}
		out = append(out, p)
	}
	return out
}
