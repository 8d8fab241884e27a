package geom

import (
	"math"
	"slices"
)

// Index answers distance and location queries on a region or on paths in about
// the logarithm of their size, without allocating. It is a tree of boxes over
// the segments in the order of travel, so every node is a piece of chain: pieces
// of a curve are compact, and of a piece that lies wholly to one side of a point
// the two ends alone tell how it crosses a ray. It never changes once made and
// is safe for concurrent use.
type Index struct {
	segs   []Seg
	refs   []Ref
	first  []int32   // of each segment: where its chain starts in segs
	boxes  []Box     // level by level, segments first
	swell  []float64 // of the boxes after the segments: how far the chain leaves its chord, +Inf for several chains
	levels []int     // where each level starts in boxes
	broken bool      // a segment is not finite: no answer may call anything clear
	closed bool
}

// Ref names a segment of the region or paths an index was made from, both
// numbers counted from 0.
type Ref struct{ Contour, Seg int }

// fanout is the number of children of a node: 8 boxes of 32 bytes fill four
// cache lines.
const fanout = 8

// NewIndex makes the index of the region. Empty contours are passed over. The
// region should be valid; one with coordinates that are not finite (or beyond
// 1e12 mm) is as good as everywhere: every distance from it is 0.
func NewIndex(r Region) *Index {
	x := &Index{closed: true}
	chains := make([][]Seg, len(r))
	for i, c := range r {
		chains[i] = c
	}
	x.build(chains)
	return x
}

// NewPathIndex makes the index of open paths. They have no inside: Contains
// answers Boundary or Outside.
func NewPathIndex(paths []Path) *Index {
	x := &Index{}
	chains := make([][]Seg, len(paths))
	for i, p := range paths {
		chains[i] = p
	}
	x.build(chains)
	return x
}

func (x *Index) build(chains [][]Seg) {
	n := 0
	for _, c := range chains {
		n += len(c)
	}
	x.segs = make([]Seg, 0, n)
	x.refs = make([]Ref, 0, n)
	x.first = make([]int32, 0, n)
	for _, i := range hilbertOrder(chains) {
		c := chains[i]
		start := int32(len(x.segs))
		push := func(s Seg, k int) {
			x.broken = x.broken || !finiteSeg(s)
			x.segs = append(x.segs, s)
			x.refs = append(x.refs, Ref{i, k})
			x.first = append(x.first, start)
		}
		last := c[0].A
		if x.closed {
			last = c[len(c)-1].B
		}
		for k, s := range c {
			if last != s.A { // a gap within Tol is closed, or rays would slip through
				push(Line(last, s.A), k)
			}
			push(s, k)
			last = s.B
		}
	}
	x.buildBoxes()
}

func (x *Index) buildBoxes() {
	n := len(x.segs)
	if n == 0 || x.broken {
		return
	}
	total := n
	for k := n; k > 1; {
		k = (k + fanout - 1) / fanout
		total += k
	}
	x.boxes = make([]Box, 0, total)
	x.levels = append(x.levels, 0)
	for _, s := range x.segs {
		b := s.Bounds()
		if s.Turn != Straight { // what counts as on the arc must lie in its box
			_, r := s.band()
			b = b.Grow(2 * arcSlack * r)
		}
		x.boxes = append(x.boxes, b)
	}
	for from, to := 0, n; to-from > 1; {
		x.levels = append(x.levels, to)
		for i := from; i < to; i += fanout {
			b := x.boxes[i]
			for _, o := range x.boxes[i+1 : min(i+fanout, to)] {
				b = b.Union(o)
			}
			x.boxes = append(x.boxes, b)
			x.swell = append(x.swell, x.swellOf(len(x.levels)-1, (i-from)/fanout))
		}
		from, to = to, len(x.boxes)
	}
}

// swellOf returns how far the piece of chain under the node leaves the chord
// between its ends, or a little more.
func (x *Index) swellOf(level, k int) float64 {
	i, j := x.span(level, k)
	if x.first[i] != x.first[j-1] {
		return math.Inf(1)
	}
	a, b := x.segs[i].A, x.segs[j-1].B
	d := 0.0
	for _, s := range x.segs[i:j] {
		far := lineDistance(a, b, s.B)
		if s.Turn != Straight {
			far = max(far, lineDistance(a, b, s.A)) + s.sagitta()
		}
		d = max(d, far)
	}
	return d
}

// sagitta returns how far the arc leaves its chord, 0 for a straight line.
func (s Seg) sagitta() float64 {
	if s.Turn == Straight {
		return 0
	}
	_, r := s.band()
	quarter := math.Sin(s.Sweep() / 4)
	return 2 * r * quarter * quarter
}

// hilbertOrder returns the chains that are not empty so that those near each
// other in the plane come near each other in the order.
func hilbertOrder(chains [][]Seg) []int {
	type placed struct {
		i   int
		key uint64
		c   Point
	}
	list := make([]placed, 0, len(chains))
	all := EmptyBox()
	for i, c := range chains {
		if len(c) == 0 {
			continue
		}
		p := boundsOf(c).Center()
		all = all.AddPoint(p)
		list = append(list, placed{i: i, c: p})
	}
	side := math.Max(all.Max.X-all.Min.X, all.Max.Y-all.Min.Y)
	const cells = 1 << 16
	cell := func(v float64) uint32 {
		if !(side > 0) || !(v >= 0) {
			return 0
		}
		return uint32(math.Min(v/side*cells, cells-1))
	}
	for k := range list {
		list[k].key = hilbertKey(cell(list[k].c.X-all.Min.X), cell(list[k].c.Y-all.Min.Y))
	}
	slices.SortStableFunc(list, func(a, b placed) int {
		switch {
		case a.key < b.key:
			return -1
		case a.key > b.key:
			return 1
		}
		return 0
	})
	order := make([]int, len(list))
	for k, p := range list {
		order[k] = p.i
	}
	return order
}

// hilbertKey returns how far along the Hilbert curve of a 2^16 grid the cell lies.
func hilbertKey(x, y uint32) uint64 {
	var d uint64
	for s := uint32(1 << 15); s > 0; s >>= 1 {
		var rx, ry uint32
		if x&s != 0 {
			rx = 1
		}
		if y&s != 0 {
			ry = 1
		}
		d += uint64(s) * uint64(s) * uint64((3*rx)^ry)
		if ry == 0 {
			if rx == 1 {
				x, y = s-1-(x&(s-1)), s-1-(y&(s-1))
			}
			x, y = y, x
		}
	}
	return d
}

// Bounds returns the least box that holds everything indexed, the whole plane
// where a coordinate is not finite.
func (x *Index) Bounds() Box {
	if x.broken {
		inf := math.Inf(1)
		return Box{Point{-inf, -inf}, Point{inf, inf}}
	}
	if len(x.boxes) == 0 {
		return EmptyBox()
	}
	return x.boxes[len(x.boxes)-1]
}

// Len returns the number of segments indexed.
func (x *Index) Len() int { return len(x.segs) }

// Distance returns the least distance from the segment to the region: 0 where
// it touches or lies inside, +Inf for the empty region. A disc of radius R swept
// along s stays clear of the region if and only if Distance(s) >= R. A segment
// that is not finite is as good as touching: 0.
func (x *Index) Distance(s Seg) float64 {
	if x.Contains(s.A) != Outside {
		return 0
	}
	return x.BoundaryDistance(s)
}

// Depth returns the least distance from the segment to the outside of the
// region: 0 where it touches the boundary or leaves. A disc of radius R swept
// along s stays within the region if and only if Depth(s) >= R. A segment that is
// not finite is as good as outside: 0.
func (x *Index) Depth(s Seg) float64 {
	if x.Contains(s.A) != Inside {
		return 0
	}
	return x.BoundaryDistance(s)
}

// BoundaryDistance returns the least distance from the segment to the contours
// or paths themselves, +Inf where there are none.
func (x *Index) BoundaryDistance(s Seg) float64 {
	_, d := x.Nearest(s)
	return d
}

// Nearest returns the segment that comes nearest to s, and its distance. With
// nothing indexed the distance is +Inf and the reference is zero.
func (x *Index) Nearest(s Seg) (Ref, float64) {
	if !finiteSeg(s) || x.broken {
		return Ref{}, 0
	}
	q := newNearQuery(s, math.Inf(1))
	i := x.nearest(&q)
	if i < 0 {
		return Ref{}, math.Inf(1)
	}
	return x.refs[i], q.best
}

// Clear reports whether Distance(s) >= d, and stops at the first obstacle it
// meets: cheaper than Distance where most sweeps are far from clear or far from touching.
func (x *Index) Clear(s Seg, d float64) bool {
	if !finiteSeg(s) || math.IsNaN(d) || x.Contains(s.A) != Outside {
		return d <= 0
	}
	return !x.within(s, d)
}

// Closest returns the point of the contours or paths nearest to p; p itself
// where there are none.
func (x *Index) Closest(p Point) Point {
	if !ordinary(p) {
		return p
	}
	q := newNearQuery(Line(p, p), math.Inf(1))
	i := x.nearest(&q)
	if i < 0 {
		return p
	}
	return x.segs[i].Closest(p)
}

// finiteSeg reports whether all numbers of the segment are ordinary: squares of
// theirs, too, are far from infinity.
func finiteSeg(s Seg) bool {
	return ordinary(s.A) && ordinary(s.B) && (s.Turn == Straight || ordinary(s.C))
}

func ordinary(p Point) bool {
	return math.Abs(p.X) <= maxCoordinate && math.Abs(p.Y) <= maxCoordinate
}

// Contains returns where p lies, by the same rules as Region.Contains.
func (x *Index) Contains(p Point) Location {
	if !ordinary(p) || x.broken {
		return Boundary
	}
	if len(x.boxes) == 0 {
		return Outside
	}
	w, on := x.winding(p, len(x.levels)-1, 0)
	switch {
	case on:
		return Boundary
	case w != 0 && x.closed:
		return Inside
	}
	return Outside
}

// winding returns the crossings of the ray from p to the right by the piece of
// chain under node k of the level, and whether p lies on it.
func (x *Index) winding(p Point, level, k int) (w int, on bool) {
	b := &x.boxes[x.levels[level]+k]
	if p.Y < b.Min.Y || p.Y > b.Max.Y || p.X > b.Max.X {
		return 0, false
	}
	if p.X < b.Min.X {
		return x.net(p.Y, level, k), false
	}
	if level == 0 {
		return x.segs[k].crossing(p)
	}
	end := x.levels[level] - x.levels[level-1]
	for c := k * fanout; c < min((k+1)*fanout, end); c++ {
		n, on := x.winding(p, level-1, c)
		if on {
			return 0, true
		}
		w += n
	}
	return w, false
}

// net returns how often the piece of chain under the node crosses the height y
// upward less downward: its ends decide, and whole contours add nothing.
func (x *Index) net(y float64, level, k int) int {
	i, j := x.span(level, k)
	from, to := x.first[i], x.first[j-1]
	if from == to || !x.closed {
		return rises(x.segs[i].A.Y, x.segs[j-1].B.Y, y)
	}
	return rises(x.segs[i].A.Y, x.segs[from].A.Y, y) + rises(x.segs[to].A.Y, x.segs[j-1].B.Y, y)
}

// span returns the range of segments under the node.
func (x *Index) span(level, k int) (i, j int) {
	i, j = k, k+1
	for ; level > 0; level-- {
		i, j = i*fanout, j*fanout
	}
	return i, min(j, len(x.segs))
}

// Visit calls fn for every segment whose bounds share a point with b, until fn
// returns false. The order is the same each time.
func (x *Index) Visit(b Box, fn func(Ref, Seg) bool) {
	if len(x.boxes) > 0 {
		x.visit(b, fn, len(x.levels)-1, 0)
	}
}

func (x *Index) visit(b Box, fn func(Ref, Seg) bool, level, k int) bool {
	if !x.boxes[x.levels[level]+k].Overlaps(b) {
		return true
	}
	if level == 0 {
		return fn(x.refs[k], x.segs[k])
	}
	end := x.levels[level] - x.levels[level-1]
	for c := k * fanout; c < min((k+1)*fanout, end); c++ {
		if !x.visit(b, fn, level-1, c) {
			return false
		}
	}
	return true
}
