package geom

import "math"

// nearQuery is one search for the segment nearest to seg.
type nearQuery struct {
	seg    Seg
	bounds Box
	unit   Point // direction of a straight seg, zero without length
	lo, hi float64
	best   float64 // nothing farther is of interest
	first  bool    // any segment nearer than best ends the search
}

func newNearQuery(s Seg, within float64) nearQuery {
	q := nearQuery{seg: s, bounds: s.Bounds(), best: within}
	if s.Turn == Straight {
		q.unit = s.B.Sub(s.A).Unit()
	} else {
		q.lo, q.hi = s.band()
	}
	return q
}

// bound returns a distance from the query to the box that none of its points is
// nearer than: that of the bounds, and that across the line or circle, which
// alone tells a long slanting segment from its neighbours.
func (q *nearQuery) bound(b *Box) float64 {
	dx := max(0, b.Min.X-q.bounds.Max.X, q.bounds.Min.X-b.Max.X)
	dy := max(0, b.Min.Y-q.bounds.Max.Y, q.bounds.Min.Y-b.Max.Y)
	d2 := dx*dx + dy*dy
	if d2 >= q.best*q.best {
		return math.Sqrt(d2)
	}
	var across float64
	hx, hy := (b.Max.X-b.Min.X)/2, (b.Max.Y-b.Min.Y)/2
	if q.seg.Turn == Straight {
		if q.unit.X == 0 || q.unit.Y == 0 {
			return math.Sqrt(d2) // its bounds are itself
		}
		cx, cy := b.Min.X+hx-q.seg.A.X, b.Min.Y+hy-q.seg.A.Y
		across = math.Abs(q.unit.X*cy-q.unit.Y*cx) - (math.Abs(q.unit.X)*hy + math.Abs(q.unit.Y)*hx)
	} else {
		cx, cy := math.Abs(b.Min.X+hx-q.seg.C.X), math.Abs(b.Min.Y+hy-q.seg.C.Y)
		near := length(max(0, cx-hx), max(0, cy-hy))
		far := length(cx+hx, cy+hy)
		across = max(near-q.hi, q.lo-far)
	}
	return max(math.Sqrt(d2), across)
}

// within reports whether any segment is nearer than d to s.
func (x *Index) within(s Seg, d float64) bool {
	q := newNearQuery(s, d)
	q.first = true
	return x.nearest(&q) >= 0
}

// nearest finds the segment nearest to the query and leaves its distance in
// q.best; -1 when none is nearer than that was.
func (x *Index) nearest(q *nearQuery) int {
	if len(x.boxes) == 0 {
		return -1
	}
	return x.nearestIn(q, len(x.levels)-1, 0, -1)
}

// nearestIn searches under a node, children in the order of their bounds.
func (x *Index) nearestIn(q *nearQuery, level, k, found int) int {
	if level == 0 {
		if d := x.segs[k].DistanceTo(q.seg); d < q.best {
			q.best = d
			return k
		}
		return found
	}
	var order [fanout]struct {
		bound float64
		child int
	}
	n := 0
	base := x.levels[level-1]
	end := x.levels[level] - base
	for c := k * fanout; c < min((k+1)*fanout, end); c++ {
		b := q.bound(&x.boxes[base+c])
		if b >= q.best {
			continue
		}
		if level > 1 {
			// A smooth piece hugs its chord far closer than its box does.
			if b = max(b, x.chordBound(q, level-1, c)); b >= q.best {
				continue
			}
		}
		i := n
		for ; i > 0 && order[i-1].bound > b; i-- {
			order[i] = order[i-1]
		}
		order[i].bound, order[i].child = b, c
		n++
	}
	for _, o := range order[:n] {
		if o.bound >= q.best || q.best == 0 || q.first && found >= 0 {
			break
		}
		found = x.nearestIn(q, level-1, o.child, found)
	}
	return found
}

// chordBound returns a distance that no segment under the node is nearer than:
// that of the chord between the ends of the piece, less how far the piece leaves it.
func (x *Index) chordBound(q *nearQuery, level, k int) float64 {
	swell := x.swell[x.levels[level]+k-len(x.segs)]
	if math.IsInf(swell, 1) {
		return 0
	}
	i, j := x.span(level, k)
	chord := Line(x.segs[i].A, x.segs[j-1].B)
	return chord.DistanceTo(q.seg) - swell
}
