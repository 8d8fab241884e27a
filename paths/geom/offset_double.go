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
		if c := closes(p); c {
			loops, closed = append(loops, Contour(p), back), append(closed, c)
		} else {
			loops, closed = append(loops, append(append(Contour{}, p...), back...)), append(closed, c)
		}
	}
	l := newLevels(loops, false, o)
	l.walls.pairTwins(closed)
	l.paths = paths
	return l
}

// closes reports whether a path has no ends.
func closes(p Path) bool { return p.Closed() && p.Length() > joinTol }

// strokePart is the number of segments that arrangedStroke takes at a time. Within
// a part all that crosses is worked out, which is quadratic; so it is small.
const strokePart = 16

// arrangedStroke returns the points within d of the paths by way of arrangements:
// of parts of the paths, which have their last segment in common with the next so
// that each corner is within one, and then of two results at a time. What crosses
// inside a stroke is gone before it meets the rest: where d is far more than the
// length of a segment, the raw curve of the whole crosses itself n^2 times.
func arrangedStroke(paths []Path, d float64, o OffsetOptions) (Region, error) {
	var rs []Region
	add := func(part Path) error {
		loop := append(append(Contour{}, part...), part.Reverse()...)
		r, err := rawOffset([]Contour{loop}, d, o, func(w int32) bool { return w > 0 })
		rs = append(rs, r)
		return err
	}
	for _, p := range paths {
		for i := 0; i == 0 && len(p) > 0 || i+1 < len(p); i += strokePart {
			if err := add(p[i:min(i+strokePart+1, len(p))]); err != nil {
				return nil, err
			}
		}
		if closes(p) && len(p) > 1 {
			if err := add(Path{p[len(p)-1], p[0]}); err != nil {
				return nil, err
			}
		}
	}
	for len(rs) > 1 {
		next := rs[:0]
		for i := 0; i < len(rs); i += 2 {
			r := rs[i]
			if i+1 < len(rs) {
				var err error
				if r, err = Union(r, rs[i+1]); err != nil {
					return nil, err
				}
			}
			next = append(next, r)
		}
		rs = next
	}
	if len(rs) == 0 {
		return nil, nil
	}
	return dropSlivers(rs[0]), nil
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
