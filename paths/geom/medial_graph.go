package geom

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
)

// medialGraph is the part of a diagram inside the region, without the normals
// at the ends of segments. Nodes nearer than Tol to each other along an edge
// are one.
type medialGraph struct {
	d     *diagram
	rep   []int32 // representative of a diagram node, -1 outside
	edges []medialEdge
	start []int32 // edges about node n: spokes[start[n]:start[n+1]]
	spoke []int32 // edge index
	dead  []bool
}

// medialEdge joins the nodes of half-edge h and its twin.
type medialEdge struct {
	h      int32
	a, b   int32 // representatives
	length float64
}

func (e medialEdge) other(n int32) int32 {
	if e.a == n {
		return e.b
	}
	return e.a
}

func newMedialGraph(d *diagram) *medialGraph {
	v := d.v
	g := &medialGraph{d: d, rep: make([]int32, len(v.geo))}
	for t := range g.rep {
		g.rep[t] = -1
		if d.inside[t] {
			g.rep[t] = int32(t)
		}
	}
	find := func(n int32) int32 {
		for g.rep[n] != n {
			g.rep[n] = g.rep[g.rep[n]]
			n = g.rep[n]
		}
		return n
	}
	count := 0
	for h := range v.he {
		if v.he[h].twin > int32(h) && d.inside[h/3] && !v.he[h].normal {
			count++
		}
	}
	g.edges = make([]medialEdge, 0, count)
	for h := range v.he {
		o := v.he[h].twin
		if o < int32(h) || !d.inside[h/3] || v.he[h].normal {
			continue // the twin does it, or it is no edge of the axis
		}
		e := medialEdge{h: int32(h), a: int32(h / 3), b: o / 3}
		if (v.segment(v.he[h].site) == nil) != (v.segment(v.he[hnext(e.h)].site) == nil) {
			e.length = d.piece(e.h).Length()
		} else {
			e.length = d.node[e.a].C.Dist(d.node[e.b].C)
		}
		if e.length <= Tol {
			a, b := find(e.a), find(e.b)
			g.rep[max(a, b)] = min(a, b)
			continue
		}
		g.edges = append(g.edges, e)
	}
	g.start = make([]int32, len(v.geo)+1)
	for i := range g.edges {
		e := &g.edges[i]
		e.a, e.b = find(e.a), find(e.b)
		g.start[e.a+1]++
		g.start[e.b+1]++
	}
	for t := range v.geo {
		if g.rep[t] >= 0 {
			g.rep[t] = find(int32(t))
		}
		g.start[t+1] += g.start[t]
	}
	g.spoke = make([]int32, 2*len(g.edges))
	next := append([]int32(nil), g.start[:len(v.geo)]...)
	for i, e := range g.edges {
		g.spoke[next[e.a]] = int32(i)
		next[e.a]++
		g.spoke[next[e.b]] = int32(i)
		next[e.b]++
	}
	g.dead = make([]bool, len(g.edges))
	return g
}

func (g *medialGraph) at(n int32) []int32 { return g.spoke[g.start[n]:g.start[n+1]] }

// live returns how many edges are left about n, and one of them.
func (g *medialGraph) live(n int32) (count int, edge int32) {
	edge = -1
	for _, e := range g.at(n) {
		if !g.dead[e] {
			count++
			edge = e
		}
	}
	return count, edge
}

// piece returns the stretch of the axis dual to half-edge h, from the node
// of its twin to its own.
func (d *diagram) piece(h int32) MedialPiece {
	v := d.v
	o := v.he[h].twin
	return MedialPiece{From: d.node[o/3], To: d.node[h/3], P: d.site(v.he[hnext(h)].site), Q: d.site(v.he[h].site)}
}

// site describes a site in mm.
func (d *diagram) site(id int32) MedialSite {
	v := d.v
	if s := v.segment(id); s != nil {
		return MedialSite{d.mm(s.ax, s.ay), d.mm(s.ax+s.dx, s.ay+s.dy), d.elems[d.ofSeg[s.src]].ref}
	}
	p := d.mm(v.px[id], v.py[id])
	site := MedialSite{A: p, B: p, Source: Ref{-1, -1}}
	if int(id) < len(d.ofPt) {
		site.Source = d.elems[d.ofPt[id]].ref
	}
	return site
}

// flame is an end of the axis that burns towards the edge left at it.
type flame struct {
	arrival float64 // length burnt when the far end of the edge is reached
	node    int32
	edge    int32
}

type flames []flame

func (f flames) Len() int { return len(f) }
func (f flames) Less(i, j int) bool {
	return f[i].arrival < f[j].arrival || f[i].arrival == f[j].arrival && f[i].edge < f[j].edge
}
func (f flames) Swap(i, j int) { f[i], f[j] = f[j], f[i] }
func (f *flames) Push(x any)   { *f = append(*f, x.(flame)) }
func (f *flames) Pop() any {
	l := len(*f) - 1
	x := (*f)[l]
	*f = (*f)[:l]
	return x
}

// cornerThickness is the erosion thickness per length above which a burnt end
// is a corner of the shape and not a curve: 1 - sin(a/2) for an inner angle a
// of 164 degrees. Ends that survive are followed into such corners.
const cornerThickness = 0.01

// prune burns the axis from its ends, shortest burnt length first, as long as
// the erosion thickness stays within limit, and then gives the ends that are
// left their corners back.
func (g *medialGraph) prune(limit float64) {
	if limit < 0 {
		return
	}
	d := g.d
	burnt := make([]float64, len(g.rep))
	from := make([]int32, len(g.rep)) // edge that the longest fire came along
	var queue flames
	light := func(n int32) {
		if count, e := g.live(n); count == 1 {
			queue = append(queue, flame{burnt[n] + g.edges[e].length, n, e})
			if len(queue) > 1 {
				heap.Fix(&queue, len(queue)-1)
			}
		}
	}
	for n := range g.rep {
		from[n] = -1
		if g.rep[n] == int32(n) {
			burnt[n] = d.node[n].R
			light(int32(n))
		}
	}
	var stopped []int32
	for len(queue) > 0 {
		f := heap.Pop(&queue).(flame)
		if g.dead[f.edge] {
			continue // burnt from the other end
		}
		m := g.edges[f.edge].other(f.node)
		if f.arrival-d.node[m].R > limit {
			stopped = append(stopped, f.node)
			continue
		}
		g.dead[f.edge] = true
		if from[m] < 0 || f.arrival > burnt[m] {
			burnt[m], from[m] = f.arrival, f.edge
		}
		light(m)
	}
	for _, n := range stopped {
		if burnt[n]-d.node[n].R < cornerThickness*burnt[n] {
			continue
		}
		for from[n] >= 0 {
			e := from[n]
			g.dead[e] = false
			n = g.edges[e].other(n)
		}
	}
}

// branches writes the nodes and branches of what is left.
func (g *medialGraph) branches(m *Medial) {
	d := g.d
	index := make([]int32, len(g.rep))
	for n := range index {
		index[n] = -1
	}
	number := func(n int32) int {
		if index[n] < 0 {
			index[n] = int32(len(m.Nodes))
			m.Nodes = append(m.Nodes, d.node[n])
		}
		return int(index[n])
	}
	done := make([]bool, len(g.edges))
	left := 0
	for _, dead := range g.dead {
		if !dead {
			left++
		}
	}
	ends, spokes := 1, 1
	for n := range g.rep {
		if g.rep[n] != int32(n) {
			continue
		}
		if count, _ := g.live(int32(n)); count > 0 && count != 2 {
			ends++
			spokes += count
		}
	}
	m.Nodes = make([]Disc, 0, ends)
	m.Branches = make([]MedialBranch, 0, (spokes+1)/2)
	edges := make([]int32, 0, left)
	follow := func(n int32, e int32) {
		b := MedialBranch{From: number(n), d: d}
		first := len(edges)
		for {
			done[e] = true
			edge := g.edges[e]
			if edge.b == n {
				edges = append(edges, edge.h)
			} else {
				edges = append(edges, d.v.he[edge.h].twin)
			}
			n = edge.other(n)
			if count, _ := g.live(n); count != 2 || index[n] >= 0 {
				break
			}
			for _, o := range g.at(n) {
				if !g.dead[o] && !done[o] {
					e = o
				}
			}
			if done[e] {
				break
			}
		}
		b.To = number(n)
		b.edges = edges[first:len(edges):len(edges)]
		m.Branches = append(m.Branches, b)
	}
	for n := range g.rep {
		if g.rep[n] != int32(n) {
			continue
		}
		if count, _ := g.live(int32(n)); count == 0 || count == 2 {
			continue
		}
		for _, e := range g.at(int32(n)) {
			if !g.dead[e] && !done[e] {
				follow(int32(n), e)
			}
		}
	}
	// Rings without a fork.
	for e := range g.edges {
		if !g.dead[e] && !done[e] {
			follow(g.edges[e].b, int32(e))
		}
	}
	g.points(number)
	m.order()
}

// order sorts nodes from left to right and branches by their nodes, and turns
// each branch to run from its narrower end to its wider one. Differences below
// Tol do not count.
func (m *Medial) order() {
	grid := func(x float64) int64 { return int64(math.Round(x / Tol)) }
	type nodeKey struct {
		x, y int64
		i    int
	}
	by := make([]nodeKey, len(m.Nodes))
	for i, n := range m.Nodes {
		by[i] = nodeKey{grid(n.C.X), grid(n.C.Y), i}
	}
	slices.SortFunc(by, func(a, b nodeKey) int {
		return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y), cmp.Compare(a.i, b.i))
	})
	place := make([]int, len(by))
	nodes := make([]Disc, len(by))
	for k, n := range by {
		place[n.i], nodes[k] = k, m.Nodes[n.i]
	}
	m.Nodes = nodes
	type branchKey struct {
		from, to int
		x, y     int64 // of the end of the first piece, for branches between the same nodes
		i        int
	}
	keys := make([]branchKey, len(m.Branches))
	for i := range m.Branches {
		b := &m.Branches[i]
		b.From, b.To = place[b.From], place[b.To]
		from, to := nodes[b.From], nodes[b.To]
		if cmp.Or(cmp.Compare(grid(from.R), grid(to.R)), cmp.Compare(b.From, b.To)) > 0 {
			b.From, b.To = b.To, b.From
			slices.Reverse(b.edges)
			for k, h := range b.edges {
				b.edges[k] = b.d.v.he[h].twin
			}
		}
		first := b.d.node[b.edges[0]/3].C
		keys[i] = branchKey{b.From, b.To, grid(first.X), grid(first.Y), i}
	}
	slices.SortFunc(keys, func(a, b branchKey) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to),
			cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y), cmp.Compare(a.i, b.i))
	})
	branches := make([]MedialBranch, len(keys))
	for k, key := range keys {
		branches[k] = m.Branches[key.i]
	}
	m.Branches = branches
}

// points numbers the widest node of each connected part of which nothing is
// left: the axis of a disc is its centre.
func (g *medialGraph) points(number func(int32) int) {
	seen := make([]bool, len(g.rep))
	var stack []int32
	for n := range g.rep {
		if seen[n] || g.rep[n] != int32(n) {
			continue
		}
		seen[n] = true
		stack = append(stack[:0], int32(n))
		best, left := int32(n), false
		for len(stack) > 0 {
			k := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if g.d.node[k].R > g.d.node[best].R {
				best = k
			}
			for _, e := range g.at(k) {
				left = left || !g.dead[e]
				if o := g.edges[e].other(k); !seen[o] {
					seen[o] = true
					stack = append(stack, o)
				}
			}
		}
		if !left {
			number(best)
		}
	}
}
