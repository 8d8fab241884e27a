package geom

import (
	"cmp"
	"math"
	"slices"
)

// branches writes the nodes and branches of what is left.
func (g *medialGraph) branches(m *Medial) {
	d := g.d
	index := make([]int32, len(g.nodes))
	for n := range index {
		index[n] = -1
	}
	number := func(n int32) int {
		if index[n] < 0 {
			index[n] = int32(len(m.Nodes))
			m.Nodes = append(m.Nodes, g.disc(n))
		}
		return int(index[n])
	}
	// From here on an edge that is in a branch is dead as well.
	left := 0
	for _, dead := range g.dead {
		if !dead {
			left++
		}
	}
	ends, spokes := 1, 1
	for _, k := range g.live {
		if k > 0 && k != 2 {
			ends++
			spokes += int(k)
		}
	}
	m.Nodes = make([]Disc, 0, ends)
	m.Branches = make([]MedialBranch, 0, (spokes+1)/2)
	edges := make([]int32, 0, left)
	follow := func(n int32, e int32) {
		b := MedialBranch{From: number(n), d: d}
		first := len(edges)
		for {
			g.dead[e] = true
			edge := &g.edges[e]
			if edge.b == n {
				edges = append(edges, edge.h)
			} else {
				edges = append(edges, d.v.he[edge.h].twin)
			}
			n = edge.other(n)
			if g.live[n] != 2 || index[n] >= 0 {
				break
			}
			e = g.only(n)
		}
		b.To = number(n)
		b.edges = edges[first:len(edges):len(edges)]
		m.Branches = append(m.Branches, b)
	}
	for n, k := range g.live {
		if k == 0 || k == 2 {
			continue
		}
		for _, e := range g.at(int32(n)) {
			if !g.dead[e] {
				follow(int32(n), e)
			}
		}
	}
	// Rings without a fork.
	for e := range g.edges {
		if !g.dead[e] {
			follow(g.edges[e].b, int32(e))
		}
	}
	g.points(number)
	m.order()
}

// points numbers the widest node of each connected part of which nothing is
// left: the axis of a disc is its centre.
func (g *medialGraph) points(number func(int32) int) {
	for n := range g.nodes {
		if g.start[n] == g.start[n+1] {
			number(int32(n))
		}
	}
	if len(g.burnt) == 0 {
		return
	}
	seen := make([]bool, len(g.nodes))
	var stack []int32
	for _, n := range g.burnt {
		if seen[n] {
			continue
		}
		seen[n] = true
		stack = append(stack[:0], n)
		best := n
		for len(stack) > 0 {
			k := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if r := cmp.Compare(g.clearance(k), g.clearance(best)); r > 0 || r == 0 && k < best {
				best = k
			}
			for _, e := range g.at(k) {
				if o := g.edges[e].other(k); !seen[o] {
					seen[o] = true
					stack = append(stack, o)
				}
			}
		}
		number(best)
	}
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
		switch {
		case a.x != b.x:
			return cmp.Compare(a.x, b.x)
		case a.y != b.y:
			return cmp.Compare(a.y, b.y)
		}
		return cmp.Compare(a.i, b.i)
	})
	place := make([]int, len(by))
	nodes := make([]Disc, len(by))
	for k, n := range by {
		place[n.i], nodes[k] = k, m.Nodes[n.i]
	}
	m.Nodes = nodes
	start := make([]int, len(nodes)+1) // of the branches from each node
	for i := range m.Branches {
		b := &m.Branches[i]
		b.From, b.To = place[b.From], place[b.To]
		if from, to := grid(nodes[b.From].R), grid(nodes[b.To].R); from > to || from == to && b.From > b.To {
			b.From, b.To = b.To, b.From
			slices.Reverse(b.edges)
			for k, h := range b.edges {
				b.edges[k] = b.d.v.he[h].twin
			}
		}
		start[b.From+1]++
	}
	for n := range nodes {
		start[n+1] += start[n]
	}
	next := slices.Clone(start)
	branches := make([]MedialBranch, len(m.Branches))
	for _, b := range m.Branches {
		branches[next[b.From]] = b
		next[b.From]++
	}
	for n := range nodes {
		slices.SortStableFunc(branches[start[n]:start[n+1]], func(a, b MedialBranch) int {
			if a.To != b.To {
				return cmp.Compare(a.To, b.To)
			}
			// Between the same nodes by the end of the first piece.
			p, q := a.d.node(a.edges[0]/3).C, b.d.node(b.edges[0]/3).C
			return cmp.Or(cmp.Compare(grid(p.X), grid(q.X)), cmp.Compare(grid(p.Y), grid(q.Y)))
		})
	}
	m.Branches = branches
}
