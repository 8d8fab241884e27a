package geom

import (
	"cmp"
	"errors"
	"slices"
)

var errUnbalanced = errors.New("the contours do not close on the lattice")

// winding numbers of the two groups
type windings [2]int32

// graph is the settled arrangement: for each vertex the edges that leave it,
// counter-clockwise, and for each edge the windings on both sides.
type graph struct {
	l      *lattice
	start  []int32 // first entry of each vertex in spokes
	spokes []int32 // half-edges: edge*2, +1 when it leaves from v1
	left   []windings
	right  []windings // of v0 -> v1
}

// from returns the vertex that a half-edge leaves.
func (g *graph) from(h int32) int32 {
	e := &g.l.edges[h>>1]
	if h&1 == 0 {
		return e.v0
	}
	return e.v1
}

// newGraph sorts the edges about their vertices and finds the windings.
func (l *lattice) newGraph() (*graph, error) {
	n := len(l.edges)
	g := &graph{l: l, start: make([]int32, len(l.pts)+1), spokes: make([]int32, 2*n),
		left: make([]windings, n), right: make([]windings, n)}
	for i := range l.edges {
		g.start[l.edges[i].v0+1]++
		g.start[l.edges[i].v1+1]++
	}
	for v := range l.pts {
		g.start[v+1] += g.start[v]
	}
	fill := slices.Clone(g.start)
	for i := range l.edges {
		e := &l.edges[i]
		g.spokes[fill[e.v0]] = int32(2 * i)
		fill[e.v0]++
		g.spokes[fill[e.v1]] = int32(2*i + 1)
		fill[e.v1]++
	}
	for v := range l.pts {
		if s := g.at(int32(v)); len(s) > 1 {
			g.sortSpokes(s)
		}
	}
	return g, g.wind()
}

// at returns the half-edges that leave v.
func (g *graph) at(v int32) []int32 { return g.spokes[g.start[v]:g.start[v+1]] }

// sortSpokes sorts half-edges counter-clockwise by direction from straight
// down, so that at the first vertex of a component the first spoke has the
// outer face to its right.
func (g *graph) sortSpokes(s []int32) {
	l := g.l
	slices.SortFunc(s, func(h, k int32) int {
		// A half-edge from v0 points right or straight up, one from v1 left or
		// straight down.
		if a, b := h&1, k&1; a != b {
			return cmp.Compare(a, b)
		}
		e, f := &l.edges[h>>1], &l.edges[k>>1]
		o := 0
		if h&1 == 0 {
			o = orient(l.pts[e.v0], l.pts[e.v1], l.pts[f.v1])
		} else {
			o = orient(l.pts[e.v1], l.pts[e.v0], l.pts[f.v0])
		}
		if o != 0 {
			return -o
		}
		// Twins too small to be told apart by halving.
		if h&1 == 0 {
			return cmp.Compare(e.bulge(), f.bulge())
		}
		return cmp.Compare(f.bulge(), e.bulge())
	})
}

// wind finds the windings beside every edge: within a connected component from
// edge to edge about the vertices, and from one component to the next by
// looking down from the leftmost vertex of each.
func (g *graph) wind() error {
	l := g.l
	seen := make([]bool, len(l.pts))
	var firsts []int32
	stack := make([]int32, 0, 64)
	for v := range l.pts {
		if seen[v] || g.start[v] == g.start[v+1] {
			continue
		}
		seen[v] = true
		first := int32(v)
		stack = append(stack[:0], int32(v))
		for len(stack) > 0 {
			u := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if l.pts[u].less(l.pts[first]) {
				first = u
			}
			for _, h := range g.at(u) {
				if w := g.from(h ^ 1); !seen[w] {
					seen[w] = true
					stack = append(stack, w)
				}
			}
		}
		firsts = append(firsts, first)
	}
	var t *chordTree
	if len(firsts) > 1 {
		t = newChordTree(l.edges)
	}
	for i := range seen {
		seen[i] = false
	}
	for _, v := range firsts {
		var w windings
		if t != nil {
			w = g.outside(t, v)
		}
		h := g.at(v)[0]
		g.setRight(h, w)
		if !g.turn(v, 0) {
			return errUnbalanced
		}
		seen[v] = true
		stack = append(stack[:0], v)
		for len(stack) > 0 {
			u := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for _, h := range g.at(u) {
				x := g.from(h ^ 1)
				if seen[x] {
					continue
				}
				seen[x] = true
				if !g.turn(x, slices.Index(g.at(x), h^1)) {
					return errUnbalanced
				}
				stack = append(stack, x)
			}
		}
	}
	return nil
}

// outside returns the windings of the face to the left of v, the first vertex
// of its component.
func (g *graph) outside(t *chordTree, v int32) windings {
	l := g.l
	p, q := l.pts[v], l.pos[v]
	var w windings
	t.below(1, q.X, q.Y+2*l.step, func(e *chord) {
		a, b := l.pts[e.v0], l.pts[e.v1]
		if a.x <= p.x && p.x < b.x && orient(a, b, p) > 0 {
			w[0] += e.w[0]
			w[1] += e.w[1]
		}
	})
	return w
}

func (g *graph) setRight(h int32, w windings) {
	e := &g.l.edges[h>>1]
	if h&1 == 0 {
		g.right[h>>1] = w
		g.left[h>>1] = windings{w[0] + e.w[0], w[1] + e.w[1]}
	} else {
		g.left[h>>1] = w
		g.right[h>>1] = windings{w[0] - e.w[0], w[1] - e.w[1]}
	}
}

// leftOf returns the windings to the left of a half-edge as it leaves.
func (g *graph) leftOf(h int32) windings {
	if h&1 == 0 {
		return g.left[h>>1]
	}
	return g.right[h>>1]
}

// turn carries the windings from spoke k of v to all others, and reports
// whether they come out the same after the full turn.
func (g *graph) turn(v int32, k int) bool {
	s := g.at(v)
	w := g.leftOf(s[k])
	for i := 1; i < len(s); i++ {
		h := s[(k+i)%len(s)]
		g.setRight(h, w)
		w = g.leftOf(h)
	}
	return w == g.leftOf(s[k]^1)
}

// region returns the faces for which inside holds, bounded by simple contours.
func (g *graph) region(inside func(windings) bool) (Region, error) {
	l := g.l
	// keep holds for each half-edge whether it bounds the result on its left.
	keep := make([]bool, 2*len(l.edges))
	for i := range l.edges {
		a, b := inside(g.left[i]), inside(g.right[i])
		keep[2*i] = a && !b
		keep[2*i+1] = b && !a
	}
	var out Region
	depth := make([]int32, len(l.pts)) // place on the walk plus one
	var walk []int32
	for h0 := range keep {
		if !keep[h0] {
			continue
		}
		h := int32(h0)
		walk = walk[:0]
		for {
			keep[h] = false
			walk = append(walk, h)
			depth[g.from(h)] = int32(len(walk))
			v := g.from(h ^ 1)
			if d := depth[v]; d > 0 {
				// The walk is back at a vertex: what lies between is a contour.
				for _, x := range walk[d-1:] {
					depth[g.from(x)] = 0
				}
				out = append(out, g.contours(walk[d-1:])...)
				walk = walk[:d-1]
				if len(walk) == 0 {
					break
				}
			}
			s := g.at(v)
			k := slices.Index(s, h^1)
			next := int32(-1)
			for i := 1; i < len(s); i++ {
				if x := s[(k-i+len(s))%len(s)]; keep[x] {
					next = x
					break
				}
			}
			if next < 0 {
				return nil, errUnbalanced
			}
			h = next
		}
	}
	return l.dropLeftovers(out), nil
}
