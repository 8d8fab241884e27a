package geom

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Offsets returns the offsets of r at each of the distances, in their order.
// All are offsets of r itself, none of another, so that no ring is lost and no
// error adds up; the cost of many is not much more than that of the first.
// Errors: as for Offset.
func Offsets(r Region, distances []float64, o OffsetOptions) ([]Region, error) {
	o, err := o.check()
	if err != nil {
		return nil, err
	}
	for _, d := range distances {
		if math.IsNaN(d) || math.Abs(d) > latticeReach {
			return nil, fmt.Errorf("offset distance %g mm is out of range", d)
		}
	}
	for i, c := range r {
		for j, s := range c {
			if err := checkSeg(s, c[(j+1)%len(c)], i, j); err != nil {
				return nil, err
			}
		}
	}
	out := make([]Region, len(distances))
	order := make([]int, len(distances))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Compare(math.Abs(distances[i]), math.Abs(distances[j]))
	})
	var sides [2]*levels
	var ahead [2]float64
	for _, d := range distances {
		ahead[0], ahead[1] = math.Max(ahead[0], d), math.Max(ahead[1], -d)
	}
	var fitted Region
	var slack float64
	tried := false
	for _, i := range order {
		d := distances[i]
		if d == 0 {
			if out[i], err = Resolve(r, NonZero); err != nil {
				return nil, err
			}
			continue
		}
		side := 0
		if d < 0 {
			side = 1
		}
		if math.Abs(d) < fitLeast || o.Join != RoundJoin {
			out[i], err = newLevels(r, d < 0, o).at(math.Abs(d))
		} else {
			if !tried {
				fitted, slack = fitDense(r)
				tried = true
			}
			if sides[side] == nil {
				sides[side] = newLevels(fitted, d < 0, o)
			}
			sides[side].t.ahead = ahead[side] + slack
			out[i], err = sides[side].at(math.Abs(d) + slack)
		}
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Dense polylines are fitted with arcs before they are offset: what follows then
// works on hundreds of segments instead of tens of thousands of chords. The
// offset is widened by the bound of the fit, so that it stays clear of the
// source by the full distance and misses no more than twice the bound.
const (
	fitTol   = 3e-4             // mm, under half of what an offset may miss
	fitSlack = fitTol + Tol/100 // and what rounding may add to it
	fitLeast = 100 * fitTol     // the least distance at which the fit is used
	fitSize  = 48               // the least number of segments of a contour to fit
	fitGain  = 3                // the least factor by which it must have fewer segments
)

// fitDense replaces the contours of r that are dense polylines and returns by
// how much the result may lie off r.
func fitDense(r Region) (Region, float64) {
	out, slack := r, 0.0
	for i, c := range r {
		if len(c) < fitSize || !dense(c) {
			continue
		}
		pts := make([]Point, len(c))
		for j, s := range c {
			pts[j] = s.A
		}
		f := FitArcs(pts, true, fitTol)
		if len(f) == 0 || len(f)*fitGain > len(c) {
			continue
		}
		if slack == 0 {
			out, slack = slices.Clone(r), fitSlack
		}
		out[i] = Contour(f)
	}
	return out, slack
}

// dense reports whether a contour may be a curve in chords: without arcs, and
// with few sharp turns.
func dense(c Contour) bool {
	sharp := 0
	for i, s := range c {
		if s.IsArc() {
			return false
		}
		u, v := s.B.Sub(s.A), c[(i+1)%len(c)].B.Sub(s.B)
		if d, x := u.Dot(v), u.Cross(v); d <= 0 || math.Abs(x) > d/2 {
			sharp++
		}
	}
	return sharp*2*fitGain < len(c)
}

// levels makes the offsets of one source to one side at growing distances.
type levels struct {
	src    []Contour
	inward bool // the offset side is to the left of src, else to the right
	o      OffsetOptions
	t      trimmer
	spans  []span
	live   int // segments in the tree
}

func newLevels(src []Contour, inward bool, o OffsetOptions) *levels {
	l := &levels{src: src, inward: inward, o: o}
	w := newWalls(src, inward)
	l.t.w = w
	l.spans = make([]span, 0, 2*len(w.segs))
	for k := range w.segs {
		if s := w.segs[k]; s.A != s.B || s.IsArc() {
			l.spans = append(l.spans, span{item: int32(2 * k), hi: 1})
		}
		if w.corners[k].sweep > 0 {
			l.spans = append(l.spans, span{item: int32(2*k + 1), hi: 1})
		}
	}
	l.live = math.MaxInt
	return l
}

// at returns the offset at distance d > 0, no less than that of the call before.
func (l *levels) at(d float64) (Region, error) {
	if l.o.Join != RoundJoin {
		return l.arranged(d)
	}
	l.plant()
	l.t.d, l.t.touch = d, false
	next := make([]span, 0, len(l.spans))
	for _, s := range l.spans {
		next = l.t.trim(s, next)
	}
	l.spans = next
	r, choice, ok := l.t.w.link(next, d)
	if !ok {
		return l.arranged(d)
	}
	r = dropSlivers(r)
	if l.inward {
		for i, c := range r {
			r[i] = c.Reverse()
		}
	}
	if choice || l.t.touch {
		// Parts may touch or have no width: let the arrangement sort it out.
		return arrange(r, nil, func(w windings) bool { return w[0] > 0 })
	}
	return r, nil
}

// plant makes the tree of the segments that still matter, when there are far
// fewer of them than in the one at hand.
func (l *levels) plant() {
	w := l.t.w
	alive := make([]bool, len(w.segs))
	n := 0
	mark := func(k int32) {
		if !alive[k] {
			alive[k] = true
			n++
		}
	}
	for _, s := range l.spans {
		k := s.item >> 1
		mark(k)
		if s.item&1 == 1 {
			mark(w.next[k])
		}
	}
	if n > l.live*3/4 {
		return
	}
	l.live = n
	items := make([]int32, 0, n)
	for k := range w.segs {
		if alive[k] {
			items = append(items, int32(k))
		}
	}
	l.t.tree = newWallTree(w.segs, items)
}

// arranged returns the offset by way of the arrangement of the whole raw curve.
func (l *levels) arranged(d float64) (Region, error) {
	if l.inward {
		// What is shrunk is the complement grown: its contours run the other
		// way, and its windings are one less everywhere.
		back := make([]Contour, len(l.src))
		for i, c := range l.src {
			back[i] = c.Reverse()
		}
		return rawOffset(back, d, l.o, func(w int32) bool { return w < 0 })
	}
	return rawOffset(l.src, d, l.o, func(w int32) bool { return w > 0 })
}

// dropSlivers drops contours without width.
func dropSlivers(r Region) Region {
	return slices.DeleteFunc(r, func(c Contour) bool { return math.Abs(c.Area()) <= Tol*c.Length() })
}
