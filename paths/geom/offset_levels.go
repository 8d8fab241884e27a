package geom

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sync"
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
	var ahead [2]float64
	for _, d := range distances {
		ahead[0], ahead[1] = math.Max(ahead[0], d), math.Max(ahead[1], -d)
	}
	src := newStandIns(r, o)
	defer src.free()
	for n, i := range order {
		d := distances[i]
		if d == 0 {
			if out[i], err = Resolve(r, NonZero); err != nil {
				return nil, err
			}
			continue
		}
		if math.Abs(d) < fitLeast || o.Join != RoundJoin {
			l := newLevels(r, d < 0, o)
			out[i], err = l.at(math.Abs(d))
			l.free()
		} else {
			side, next := 0, 0.0
			if d < 0 {
				side = 1
			}
			for _, k := range order[n+1:] {
				if distances[k] < 0 == (d < 0) && distances[k] != d {
					next = math.Abs(distances[k])
					break
				}
			}
			out[i], err = src.at(math.Abs(d), side, next, ahead[side])
		}
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// levels makes the offsets of one source to one side at growing distances.
type levels struct {
	src    []Contour
	inward bool // the offset side is to the left of src, else to the right
	o      OffsetOptions
	paths  []Path // what src runs there and back along, where it does
	walls  walls
	t      trimmer
	link   linker
	spans  []span
	alive  []bool
	items  []int32
	live   int // segments in the tree
	slow   int // levels that were arranged because their spans did not join
}

// levelsPool keeps the memory of levels that are done with: clearing calls for
// offsets again and again.
var levelsPool = sync.Pool{New: func() any { return new(levels) }}

// poolSize is the number of segments beyond which memory is given back at once.
const poolSize = 1 << 14

// free gives l's memory to the next newLevels.
func (l *levels) free() {
	l.src, l.paths = nil, nil
	if cap(l.walls.segs) <= poolSize {
		levelsPool.Put(l)
	}
}

func newLevels(src []Contour, inward bool, o OffsetOptions) *levels {
	l := levelsPool.Get().(*levels)
	l.src, l.inward, l.o = src, inward, o
	w := &l.walls
	w.collect(src, inward)
	l.t.w, l.t.ahead, l.t.next, l.t.rivals = w, 0, 0, l.t.rivals[:0]
	l.t.hints, l.t.round = 0, 0
	l.t.seen = resized(l.t.seen, len(w.segs))
	clear(l.t.seen)
	items := 0
	for pass := range 2 {
		for k := range w.segs {
			if s := &w.segs[k]; s.A != s.B || s.IsArc() {
				if pass == 1 {
					l.spans = append(l.spans, span{item: int32(2 * k), rivals: nobody, hi: 1})
				}
				items++
			}
			if w.corners[k] > 0 {
				if pass == 1 {
					l.spans = append(l.spans, span{item: int32(2*k + 1), rivals: nobody, hi: 1})
				}
				items++
			}
		}
		if pass == 0 {
			l.spans = resized(l.spans, items)[:0]
		}
	}
	l.live, l.slow = math.MaxInt, 0
	return l
}

// at returns the offset at distance d > 0, no less than that of the call before.
func (l *levels) at(d float64) (Region, error) {
	if l.o.Join != RoundJoin {
		return l.arranged(d)
	}
	l.plant()
	l.t.d, l.t.touch = d, false
	// What is left is mostly less: it takes the place of what it is left of, and
	// moves out when it catches up with what is still to be trimmed.
	all, next, same := l.spans, l.spans[:0], true
	for i, s := range all {
		left := l.t.trim(&s)
		if same && len(next)+len(left) > i+1 {
			next, same = append(make([]span, 0, len(all)+len(all)/4+len(left)), next...), false
		}
		for _, v := range left {
			s.lo, s.hi = v[0], v[1]
			next = append(next, s)
			s.calm, s.rivals = 0, nobody // no list is for two
		}
	}
	l.spans = next
	r, choice, ok := l.link.link(l.t.w, next, d)
	if !ok {
		l.slow++
		return l.arranged(d)
	}
	r = dropSlivers(r)
	if l.walls.twin != nil {
		r = distinct(r)
	}
	if l.inward {
		for _, c := range r {
			turnBack(c)
		}
	}
	if choice || l.t.touch {
		// Parts may touch or have no width: let the arrangement sort it out.
		return arrange(r, nil, func(w windings) bool { return w[0] > 0 })
	}
	return r, nil
}

// turnBack reverses a contour in its own memory.
func turnBack(c Contour) {
	slices.Reverse(c)
	for i := range c {
		s := &c[i]
		s.A, s.B, s.Turn = s.B, s.A, -s.Turn
	}
}

// plant makes the tree of the segments that still matter, when there are far
// fewer of them than in the one at hand.
func (l *levels) plant() {
	w := l.t.w
	l.alive = resized(l.alive, len(w.segs))
	alive := l.alive
	clear(alive)
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
	items := resized(l.items, n)[:0]
	for k := range w.segs {
		if alive[k] {
			items = append(items, int32(k))
		}
	}
	l.items = items
	l.t.tree.plant(w, items)
}

// arranged returns the offset by way of the arrangement of the whole raw curve.
func (l *levels) arranged(d float64) (Region, error) {
	if l.paths != nil {
		return arrangedStroke(l.paths, d, l.o)
	}
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
	return slices.DeleteFunc(r, func(c Contour) bool {
		return !hasWidth(c) && math.Abs(c.Area()) <= Tol*c.Length()
	})
}

// hasWidth reports whether the area of a contour is certainly more than Tol times its
// length, from bounds that take no trigonometry: a circular segment of no more
// than half a turn covers 2/3 to pi/4 of the rectangle over its chord and height.
func hasWidth(c Contour) bool {
	var area, err, long float64
	for i := range c {
		s := &c[i]
		ax, ay := s.A.X-c[0].A.X, s.A.Y-c[0].A.Y
		ux, uy := s.B.X-s.A.X, s.B.Y-s.A.Y
		area += (ax*uy - ay*ux) / 2
		if s.Turn == Straight {
			long += length(ux, uy)
			continue
		}
		rx, ry := s.A.X-s.C.X, s.A.Y-s.C.Y
		r2, q2 := rx*rx+ry*ry, ux*ux+uy*uy
		r, chord := math.Sqrt(r2), math.Sqrt(q2)
		box := chord * q2 / (4 * (r + math.Sqrt(max(0, r2-q2/4))))
		const least, most = 2. / 3, math.Pi / 4
		turn := float64(s.Turn)
		part := box * (least + most) / 2
		if (rx*uy-ry*ux)*turn > 0 {
			long += chord * math.Pi / 2
		} else {
			part = math.Pi*r2 - part
			long += r * 2 * math.Pi
		}
		area += turn * part
		err += box * (most - least) / 2
	}
	const rounding = 1e-12 // relative, far more than what n terms lose
	return math.Abs(area)-err > Tol*long+rounding*long*long
}
