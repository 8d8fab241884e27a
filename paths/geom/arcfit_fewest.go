package geom

import "slices"

// fewestPoints is the number of points up to which FitArcs looks at all chains:
// that takes time in the square of it, some tens of milliseconds.
const fewestPoints = 512

// fewest returns a chain with the fewest pieces for the points that have been
// fitted, best itself where none has fewer. A piece that ends short of the
// longest may let the next one end farther on, where the points are as uneven as
// the tolerance: so all the places that one piece reaches are noted, then all
// that two reach, and so on to the end.
func (f *fitter) fewest(best Path) Path {
	n := len(f.pts)
	if len(best) < 3 { // two pieces become one only where the first reached the end
		return best
	}
	from := make([]int, n) // where the piece that ends at a point starts
	for i := range from {
		from[i] = -1
	}
	level, next := []int{0}, []int(nil)
	for pieces := 1; pieces < len(best); pieces++ {
		next = next[:0]
		for _, i := range level {
			for j := n - 1; j > i; j-- {
				if from[j] >= 0 {
					continue
				}
				if _, ok := f.piece(i, j, n); ok {
					from[j] = i
					next = append(next, j)
				}
			}
			if from[n-1] >= 0 {
				return f.trace(from)
			}
		}
		level, next = next, level
		slices.SortFunc(level, func(a, b int) int { return b - a }) // those far on reach farthest
	}
	return best
}

// trace returns the pieces that lead to the last point.
func (f *fitter) trace(from []int) Path {
	var out Path
	for j := len(from) - 1; j > 0; j = from[j] {
		s, _ := f.piece(from[j], j, len(from))
		out = append(out, s)
	}
	slices.Reverse(out)
	return out
}
