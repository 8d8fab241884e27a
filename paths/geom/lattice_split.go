package geom

import (
	"cmp"
	"slices"
)

// cut asks for edge to be split at vertex v.
type cut struct {
	edge, v int32
	along   float64
}

// ask records a split of edge i at v, unless v lies at or beyond one of its ends.
func (l *lattice) ask(i, v int32) bool {
	e := &l.edges[i]
	if v == e.v0 || v == e.v1 {
		return false
	}
	a, b, p := l.pts[e.v0], l.pts[e.v1], l.pts[v]
	dx, dy := float64(b.x-a.x), float64(b.y-a.y)
	along := dx*float64(p.x-a.x) + dy*float64(p.y-a.y)
	if along <= 0 || dx*float64(p.x-b.x)+dy*float64(p.y-b.y) >= 0 {
		return false
	}
	l.cuts = append(l.cuts, cut{i, v, along})
	return true
}

// askNear is ask for a vertex where curves meet: of an edge that is flat it takes
// only vertices within a step of the chord. Two edges a step or two long could
// else be split at each other's ends in turn for ever.
func (l *lattice) askNear(i, v int32) bool {
	e := &l.edges[i]
	if e.sag <= l.flat {
		a, b := l.pts[e.v0], l.pts[e.v1]
		dx, dy := float64(b.x-a.x), float64(b.y-a.y)
		if h := cross(a, b, l.pts[v]).float(); h*h > dx*dx+dy*dy {
			return false
		}
	}
	return l.ask(i, v)
}

// halve asks for the arc of edge i to be split in the middle.
func (l *lattice) halve(i int32) bool {
	e := &l.edges[i]
	a, b := l.pos[e.v0], l.pos[e.v1]
	// From the chord, not from the centre: that may be far away.
	m := a.Lerp(b, 0.5).Add(b.Sub(a).Unit().Left().Mul(e.bulge()))
	return l.ask(i, l.vertex(m))
}

func (l *lattice) halveRound(i, j int32) {
	if l.edges[i].sag > l.flat {
		l.halve(i)
	}
	if l.edges[j].sag > l.flat {
		l.halve(j)
	}
}

// applyCuts splits the edges where asked and reports whether any was.
func (l *lattice) applyCuts() bool {
	if len(l.cuts) == 0 {
		return false
	}
	slices.SortFunc(l.cuts, func(a, b cut) int {
		if a.edge != b.edge {
			return cmp.Compare(a.edge, b.edge)
		}
		if a.along != b.along {
			return cmp.Compare(a.along, b.along)
		}
		return cmp.Compare(a.v, b.v)
	})
	next := l.swap[:0]
	k := 0
	for i := range l.edges {
		e := l.edges[i]
		if k == len(l.cuts) || int(l.cuts[k].edge) != i {
			next = append(next, e)
			continue
		}
		at := e.v0
		piece := func(to int32) {
			if to == at {
				return
			}
			p := e
			p.v0, p.v1 = at, to
			next = append(next, l.finish(p))
			at = to
		}
		for last := 0.0; k < len(l.cuts) && int(l.cuts[k].edge) == i; k++ {
			// Of vertices side by side the first is taken; the next pass sees to
			// the others.
			if c := l.cuts[k]; c.along > last {
				piece(c.v)
				last = c.along
			}
		}
		piece(e.v1)
	}
	l.edges, l.swap = next, l.edges
	return true
}

// bulge returns the height of the arc over its chord, positive to the left.
func (e *chord) bulge() float64 { return -float64(e.turn) * e.sag }

// mergeTwins makes one edge of edges between the same vertices that are the
// same curve on the scale of the lattice, and drops those along which all
// contours cancel. Twins that are different curves are halved; it reports
// whether any were.
func (l *lattice) mergeTwins() bool {
	order := make([]int32, len(l.edges))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(i, j int32) int {
		e, f := &l.edges[i], &l.edges[j]
		if e.v0 != f.v0 {
			return cmp.Compare(e.v0, f.v0)
		}
		if e.v1 != f.v1 {
			return cmp.Compare(e.v1, f.v1)
		}
		if a, b := e.bulge(), f.bulge(); a != b {
			return cmp.Compare(a, b)
		}
		return cmp.Compare(i, j)
	})
	l.cuts = l.cuts[:0]
	dead := false
	for k := 0; k < len(order); {
		i := order[k]
		e := &l.edges[i]
		m := k + 1
		differ := false
		for ; m < len(order); m++ {
			f := &l.edges[order[m]]
			if f.v0 != e.v0 || f.v1 != e.v1 {
				break
			}
			if f.bulge()-e.bulge() > 2*l.flat {
				differ = true
			}
		}
		switch {
		case m == k+1:
		case differ:
			for _, x := range order[k:m] {
				if l.edges[x].sag > l.flat {
					l.halve(x)
				}
			}
		default:
			for _, x := range order[k+1 : m] {
				f := &l.edges[x]
				e.w[0] += f.w[0]
				e.w[1] += f.w[1]
				l.standFor(e, f)
				f.w = [2]int32{}
			}
			dead = true
		}
		k = m
	}
	split := l.applyCuts()
	if dead {
		l.edges = slices.DeleteFunc(l.edges, func(e chord) bool { return e.w == [2]int32{} })
	}
	return split
}

// curves appends to dst the curves that a chord stands for, as they run from v0 to
// v1 or, where back, the other way.
func (l *lattice) curves(dst []curve, e *chord, back bool) []curve {
	from := len(dst)
	if e.more == 0 {
		dst = append(dst, e.curve)
	} else {
		dst = append(dst, l.sets[e.more]...)
		back = back != e.flip
	}
	if back {
		for i := from; i < len(dst); i++ {
			dst[i].turn = -dst[i].turn
		}
	}
	return dst
}

// standFor makes the chord e stand for the curves of its twin f too. However many
// curves run within a step of each other, each finds itself in the chords along
// which it runs, so that it can be followed through them.
func (l *lattice) standFor(e, f *chord) {
	if e.more == 0 && f.more == 0 && e.curve == f.curve {
		return
	}
	var few [4]curve
	set := l.curves(nil, e, false)
	n := len(set)
next:
	for _, c := range l.curves(few[:0], f, false) {
		for i, have := range set {
			if both, ok := l.sameCarrier(have, c); ok {
				set[i] = both
				continue next
			}
		}
		set = append(set, c)
	}
	if len(set) > n {
		l.sets = append(l.sets, set)
		e.more, e.flip = int32(len(l.sets)-1), false
	}
}
