package geom

import "slices"

// medialGraph is the part of a diagram inside the region, without the normals
// at the ends of segments. Nodes nearer than Tol to each other along an edge
// are one, and the graph numbers them anew, in the order of the diagram.
type medialGraph struct {
	d     *diagram
	nodes []int32 // the first node of the diagram that a node stands for
	edges []medialEdge
	start []int32 // edges about node n: spokes[start[n]:start[n+1]]
	spoke []int32 // edge index
	live  []int32 // per node: edges about it that are not dead
	dead  []bool  // per edge
	burnt []int32 // the last node of each part that burnt down altogether
}

// medialEdge joins the nodes of half-edge h and its twin.
type medialEdge struct {
	h      int32
	a, b   int32
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
	g := &medialGraph{d: d}
	// Of each node of the diagram inside the first that it is one with.
	rep := make([]int32, len(v.geo))
	find := func(n int32) int32 {
		for rep[n] != n {
			rep[n] = rep[rep[n]]
			n = rep[n]
		}
		return n
	}
	inside := 0
	for t, in := range d.inside {
		rep[t] = int32(t)
		if in {
			inside++
		}
	}
	g.edges = make([]medialEdge, 0, inside+inside/2)
	for t, in := range d.inside {
		if !in {
			continue
		}
		for h := 3 * int32(t); h < 3*int32(t)+3; h++ {
			f := &v.he[h]
			if f.twin < h || f.normal {
				continue // the twin does it, or it is no edge of the axis
			}
			e := medialEdge{h: h, a: int32(t), b: f.twin / 3, length: d.edgeLength(h)}
			if e.length <= Tol {
				a, b := find(e.a), find(e.b)
				rep[max(a, b)] = min(a, b)
				continue
			}
			g.edges = append(g.edges, e)
		}
	}
	// The representatives come first among what they stand for.
	g.nodes = make([]int32, 0, inside)
	for t, in := range d.inside {
		switch r := rep[t]; {
		case !in:
		case r == int32(t):
			rep[t] = int32(len(g.nodes))
			g.nodes = append(g.nodes, r)
		default:
			rep[t] = rep[r]
		}
	}
	n := len(g.nodes)
	g.start = make([]int32, n+1)
	for i := range g.edges {
		e := &g.edges[i]
		e.a, e.b = rep[e.a], rep[e.b]
		g.start[e.a]++
		g.start[e.b]++
	}
	g.live = slices.Clone(g.start[:n])
	sum := int32(0)
	for k := range g.start {
		sum += g.start[k]
		g.start[k] = sum
	}
	// Filled from the last edge to the first, start moves down to where each
	// node's edges begin.
	g.spoke = make([]int32, 2*len(g.edges))
	for i := len(g.edges) - 1; i >= 0; i-- {
		e := &g.edges[i]
		for _, k := range [2]int32{e.b, e.a} {
			g.start[k]--
			g.spoke[g.start[k]] = int32(i)
		}
	}
	g.dead = make([]bool, len(g.edges))
	return g
}

func (g *medialGraph) at(n int32) []int32 { return g.spoke[g.start[n]:g.start[n+1]] }

// disc returns the disc of a node.
func (g *medialGraph) disc(n int32) Disc { return g.d.node(g.nodes[n]) }

func (g *medialGraph) clearance(n int32) float64 { return g.d.clearance(g.nodes[n]) }

// only returns the one edge that is left about n.
func (g *medialGraph) only(n int32) int32 {
	for _, e := range g.at(n) {
		if !g.dead[e] {
			return e
		}
	}
	return -1
}

// edgeLength returns the length of the edge dual to half-edge h.
func (d *diagram) edgeLength(h int32) float64 {
	v := d.v
	o := v.he[h].twin
	p, q := v.he[o].site, v.he[h].site
	if (v.segment(p) == nil) == (v.segment(q) == nil) {
		return d.node(o / 3).C.Dist(d.node(h / 3).C)
	}
	return MedialPiece{From: d.node(o / 3), To: d.node(h / 3), P: d.bare(p), Q: d.bare(q)}.Length()
}

// piece returns the stretch of the axis dual to half-edge h, from the node
// of its twin to its own.
func (d *diagram) piece(h int32) MedialPiece {
	v := d.v
	o := v.he[h].twin
	return MedialPiece{From: d.node(o / 3), To: d.node(h / 3), P: d.site(v.he[hnext(h)].site), Q: d.site(v.he[h].site)}
}

// site describes a site in mm.
func (d *diagram) site(id int32) MedialSite {
	site := d.bare(id)
	if v := d.v; v.segment(id) != nil || id < v.points() {
		site.Source = d.elems[d.elem(id)].ref
	}
	return site
}

// bare describes a site in mm without its source.
func (d *diagram) bare(id int32) MedialSite {
	v := d.v
	if s := v.segment(id); s != nil {
		return MedialSite{d.mm(s.ax, s.ay), d.mm(s.ax+s.dx, s.ay+s.dy), Ref{-1, -1}}
	}
	p := d.mm(v.px[id], v.py[id])
	return MedialSite{p, p, Ref{-1, -1}}
}

// flame is an end of the axis that burns towards the edge left at it.
type flame struct {
	arrival float64 // length burnt when the far end of the edge is reached
	node    int32
	edge    int32
}

func (f flame) before(g flame) bool {
	if f.arrival != g.arrival {
		return f.arrival < g.arrival
	}
	return f.edge < g.edge || f.edge == g.edge && f.node < g.node
}

// flames is a heap, the first to arrive on top.
type flames []flame

func (f *flames) push(x flame) {
	q := append(*f, x)
	*f = q
	for k := len(q) - 1; k > 0; {
		up := (k - 1) / 2
		if !x.before(q[up]) {
			break
		}
		q[k], q[up] = q[up], x
		k = up
	}
}

func (f *flames) pop() flame {
	q := *f
	top, n := q[0], len(q)-1
	q[0] = q[n]
	*f = q[:n]
	f.sink(0)
	return top
}

// heapify makes a heap of flames in any order.
func (f *flames) heapify() {
	for k := len(*f)/2 - 1; k >= 0; k-- {
		f.sink(k)
	}
}

func (f *flames) sink(k int) {
	q := *f
	for {
		down := 2*k + 1
		if down >= len(q) {
			return
		}
		if down+1 < len(q) && q[down+1].before(q[down]) {
			down++
		}
		if !q[down].before(q[k]) {
			return
		}
		q[k], q[down] = q[down], q[k]
		k = down
	}
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
	burnt := make([]float64, len(g.nodes))
	from := make([]int32, len(g.nodes)) // edge that the longest fire came along
	at := func(n int32) flame {
		e := g.only(n)
		return flame{burnt[n] + g.edges[e].length, n, e}
	}
	ends := 0
	for n, k := range g.live {
		from[n] = -1
		burnt[n] = g.clearance(int32(n))
		if k == 1 {
			ends++
		}
	}
	queue := make(flames, 0, ends)
	for n, k := range g.live {
		if k == 1 {
			queue = append(queue, at(int32(n)))
		}
	}
	queue.heapify()
	var stopped []int32
	for len(queue) > 0 {
		f := queue.pop()
		if g.dead[f.edge] {
			continue // burnt from the other end
		}
		m := g.edges[f.edge].other(f.node)
		if f.arrival-g.clearance(m) > limit {
			stopped = append(stopped, f.node)
			continue
		}
		g.dead[f.edge] = true
		g.live[f.node]--
		g.live[m]--
		if from[m] < 0 || f.arrival > burnt[m] {
			burnt[m], from[m] = f.arrival, f.edge
		}
		if g.live[m] == 0 {
			g.burnt = append(g.burnt, m)
		}
		if g.live[m] == 1 {
			queue.push(at(m))
		}
	}
	for _, n := range stopped {
		if burnt[n]-g.clearance(n) < cornerThickness*burnt[n] {
			continue
		}
		for from[n] >= 0 {
			e := from[n]
			g.dead[e] = false
			g.live[n]++
			n = g.edges[e].other(n)
			g.live[n]++
		}
	}
}
