package geom

import (
	"cmp"
	"slices"
)

// newPathLevels is newLevels for paths. There and back again is a contour without
// area; offsetting it to the right covers both sides, and its ends are corners.
// A closed path has no ends: it is two contours.
func newPathLevels(paths []Path, o OffsetOptions) *levels {
	loops := make([]Contour, 0, len(paths))
	closed := make([]bool, 0, len(paths))
	for _, p := range paths {
		if len(p) == 0 {
			continue
		}
		back := Contour(p.Reverse())
		if c := p.Closed() && p.Length() > joinTol; c {
			loops, closed = append(loops, Contour(p), back), append(closed, c)
		} else {
			loops, closed = append(loops, append(append(Contour{}, p...), back...)), append(closed, c)
		}
	}
	l := newLevels(loops, false, o)
	l.walls.pairTwins(closed)
	return l
}

// pairTwins tells each segment of paths its other run. A path that is open runs
// there and back on one contour; of one that is closed the way back is a contour
// of its own, the next.
func (w *walls) pairTwins(closed []bool) {
	w.twin = make([]int32, len(w.segs))
	first := int32(0)
	for _, c := range closed {
		last := w.prev[first]
		if c {
			last = w.prev[last+1]
		}
		for k := first; k <= last; k++ {
			w.twin[k] = first + last - k
		}
		first = last + 1
	}
}

// distinct drops the contours that another runs along all the way. Where paths
// share a stretch that closes, each of them draws what bounds it; where they
// share any other, the ends do not link up and the arrangement is called.
func distinct(r Region) Region {
	boxes := make([]Box, len(r))
	order := make([]int, len(r))
	for i, c := range r {
		boxes[i], order[i] = c.Bounds(), i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(boxes[i].Min.X, boxes[j].Min.X) })
	again := make([]bool, len(r))
	any := false
	for k, i := range order {
		for _, j := range order[k+1:] {
			a, b := boxes[i], boxes[j]
			if b.Min.X-a.Min.X > Tol {
				break
			}
			if !again[i] && !again[j] && a.Min.Dist(b.Min) <= Tol && a.Max.Dist(b.Max) <= Tol && sameContour(r[i], r[j]) {
				again[j], any = true, true
			}
		}
	}
	if !any {
		return r
	}
	out := make(Region, 0, len(r))
	for i, c := range r {
		if !again[i] {
			out = append(out, c)
		}
	}
	return out
}

// sameContour reports whether two contours run along each other within Tol and
// the same way round.
func sameContour(a, b Contour) bool {
	if a.Area()*b.Area() <= 0 {
		return false
	}
	for _, pair := range [2][2]Contour{{a, b}, {b, a}} {
		x := NewIndex(Region{pair[0]})
		for _, s := range pair[1] {
			for _, p := range [2]Point{s.A, s.At(0.5)} {
				if x.BoundaryDistance(Line(p, p)) > Tol {
					return false
				}
			}
		}
	}
	return true
}
