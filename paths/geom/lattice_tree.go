package geom

import (
	"cmp"
	"math"
	"slices"
)

// chordTree is a binary tree of boxes over the edges in their order. Edges
// follow their contours, so neighbours in the order are neighbours in the
// plane and no sorting is needed to make the tree a good one.
type chordTree struct {
	edges  []chord
	leaves int // a power of two
	boxes  []Box
	dirty  []bool
}

// leafSize is the number of edges in a leaf; runSize the number that keep
// together when the order is made.
const (
	leafSize = 4
	runSize  = 8
)

// sortRuns orders the edges so that short runs along the contours which lie
// near each other come near each other: along a Hilbert curve through the
// middles of the runs (D. Hilbert, 1891).
func (l *lattice) sortRuns() {
	n := len(l.edges)
	if n <= runSize {
		return
	}
	all := EmptyBox()
	for i := range l.edges {
		all = all.Union(l.edges[i].box)
	}
	type run struct {
		from, to int
		key      uint64
	}
	var runs []run
	size := math.Max(all.Size().X, all.Size().Y)
	for i := 0; i < n; {
		j := i + 1
		b := l.edges[i].box
		for j < n && j-i < runSize && b.Overlaps(l.edges[j].box) {
			b = b.Union(l.edges[j].box)
			j++
		}
		c := b.Center().Sub(all.Min).Mul(65535 / size)
		runs = append(runs, run{i, j, hilbertKey(uint32(c.X), uint32(c.Y))})
		i = j
	}
	slices.SortStableFunc(runs, func(a, b run) int { return cmp.Compare(a.key, b.key) })
	next := make([]chord, 0, cap(l.edges))
	for _, r := range runs {
		next = append(next, l.edges[r.from:r.to]...)
	}
	l.edges, l.swap = next, l.edges
}

func newChordTree(edges []chord) *chordTree {
	n := (len(edges) + leafSize - 1) / leafSize
	t := &chordTree{edges: edges, leaves: 1}
	for t.leaves < n {
		t.leaves *= 2
	}
	t.boxes = make([]Box, 2*t.leaves)
	t.dirty = make([]bool, 2*t.leaves)
	for i := range t.boxes {
		t.boxes[i] = EmptyBox()
	}
	for i := range edges {
		k := t.leaves + i/leafSize
		t.boxes[k] = unite(t.boxes[k], edges[i].box)
		t.dirty[k] = t.dirty[k] || edges[i].dirty
	}
	for k := t.leaves - 1; k > 0; k-- {
		t.boxes[k] = unite(t.boxes[2*k], t.boxes[2*k+1])
		t.dirty[k] = t.dirty[2*k] || t.dirty[2*k+1]
	}
	return t
}

// unite is Box.Union for finite boxes, without the care that math.Min takes.
func unite(a, b Box) Box {
	if b.Min.X < a.Min.X {
		a.Min.X = b.Min.X
	}
	if b.Min.Y < a.Min.Y {
		a.Min.Y = b.Min.Y
	}
	if b.Max.X > a.Max.X {
		a.Max.X = b.Max.X
	}
	if b.Max.Y > a.Max.Y {
		a.Max.Y = b.Max.Y
	}
	return a
}

// pairs calls f once for each pair of edges whose boxes overlap and of which at
// least one is dirty.
func (t *chordTree) pairs(f func(i, j int32)) {
	if len(t.edges) > 0 {
		t.self(1, f)
	}
}

func (t *chordTree) leaf(k int) (from, to int) {
	from = min((k-t.leaves)*leafSize, len(t.edges))
	return from, min(from+leafSize, len(t.edges))
}

func (t *chordTree) self(k int, f func(i, j int32)) {
	if !t.dirty[k] {
		return
	}
	if k >= t.leaves {
		from, to := t.leaf(k)
		for i := from; i < to; i++ {
			for j := i + 1; j < to; j++ {
				t.try(i, j, f)
			}
		}
		return
	}
	t.self(2*k, f)
	t.self(2*k+1, f)
	t.cross(2*k, 2*k+1, f)
}

func (t *chordTree) cross(a, b int, f func(i, j int32)) {
	if !t.dirty[a] && !t.dirty[b] || !t.boxes[a].Overlaps(t.boxes[b]) {
		return
	}
	if a >= t.leaves {
		from, to := t.leaf(a)
		bf, bt := t.leaf(b)
		for i := from; i < to; i++ {
			if !t.edges[i].box.Overlaps(t.boxes[b]) {
				continue
			}
			for j := bf; j < bt; j++ {
				t.try(i, j, f)
			}
		}
		return
	}
	t.cross(2*a, 2*b, f)
	t.cross(2*a, 2*b+1, f)
	t.cross(2*a+1, 2*b, f)
	t.cross(2*a+1, 2*b+1, f)
}

func (t *chordTree) try(i, j int, f func(i, j int32)) {
	e, g := &t.edges[i], &t.edges[j]
	if (e.dirty || g.dirty) && e.box.Overlaps(g.box) {
		f(int32(i), int32(j))
	}
}

// below visits the edges whose boxes hold x in their width and reach below y.
func (t *chordTree) below(k int, x, y float64, f func(e *chord)) {
	b := &t.boxes[k]
	if x < b.Min.X || x > b.Max.X || b.Min.Y > y {
		return
	}
	if k >= t.leaves {
		from, to := t.leaf(k)
		for i := from; i < to; i++ {
			f(&t.edges[i])
		}
		return
	}
	t.below(2*k, x, y, f)
	t.below(2*k+1, x, y, f)
}
