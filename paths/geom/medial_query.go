package geom

import "math"

// Widest returns a largest disc that lies in the region: its centre within the
// chord error of a best one, its radius the exact distance of the centre from
// the boundary. Without a region it returns the zero disc.
func (m *Medial) Widest() Disc {
	d := m.inner
	best := int32(-1)
	for k, in := range d.inside {
		if t := int32(k); in && (best < 0 || d.clearance(t) > d.clearance(best)) {
			best = t
		}
	}
	if best < 0 {
		return Disc{}
	}
	widest := Disc{}
	try := func(p Point) {
		if !p.Finite() || p.Dist(d.node(best).C) > joinReach*2*math.Sqrt(2*m.chord*d.clearance(best))+m.chord {
			return
		}
		if r := m.region.BoundaryDistance(p); r > widest.R && m.region.Contains(p) == Inside {
			widest = Disc{p, r}
		}
	}
	try(d.node(best).C)
	var e [3]medialElem
	for i := range e {
		e[i] = d.elems[d.elem(d.v.he[int(3*best)+i].site)]
		if !e[i].vertex && e[i].seg.IsArc() {
			try(e[i].seg.C)
		}
	}
	try(touching(e, d.node(best)))
	// Between an arc about the region and one within, the widest place lies on
	// the line of the centres.
	for i := range e {
		a, b := e[i].seg, e[(i+1)%3].seg
		if a.Turn*b.Turn == CCW*CW && !e[i].vertex && !e[(i+1)%3].vertex {
			u := a.C.Sub(b.C).Mul(float64(a.Turn)).Unit()
			try(a.C.Add(u.Mul(a.Radius())).Lerp(b.C.Add(u.Mul(b.Radius())), 0.5))
		}
	}
	return widest
}

// touching improves a disc to touch three elements: Newton's method on their
// distances. The result is NaN where they do not fix a disc.
func touching(e [3]medialElem, d Disc) Point {
	const rounds = 4 // from a micrometre, each squares the relative error
	for k := 0; k < rounds; k++ {
		var g [3]Point
		var f [3]float64
		for i := range e {
			f[i], g[i] = e[i].misfit(d.C, d.R), e[i].away(d.C)
		}
		// Subtracting the first equation leaves two in the centre.
		a, b := g[1].Sub(g[0]), g[2].Sub(g[0])
		u, v := f[0]-f[1], f[0]-f[2]
		det := a.Cross(b)
		step := Pt((u*b.Y-v*a.Y)/det, (a.X*v-b.X*u)/det)
		d.C = d.C.Add(step)
		d.R += f[0] + g[0].Dot(step)
	}
	return d.C
}

// away returns the direction in which the distance of p from the element grows.
func (e medialElem) away(p Point) Point {
	switch {
	case e.vertex:
		return p.Sub(e.seg.A).Unit()
	case e.seg.Turn == CCW:
		return e.seg.C.Sub(p).Unit()
	case e.seg.Turn == CW:
		return p.Sub(e.seg.C).Unit()
	}
	return e.seg.B.Sub(e.seg.A).Unit().Left()
}

// Narrow is a connected part of the medial axis with clearance below a tool
// radius: a corner, a tapering end or a channel that the centre of the tool
// cannot follow.
type Narrow struct {
	// Axis holds the pieces of the part, each with its way shortened to where
	// the clearance is below the radius.
	Axis []MedialPiece
	// Gates are the discs of the tool radius at which the part begins: the
	// tool's last places. A region that holds no such disc has none.
	Gates []Disc
	// Ends are the discs at the dead ends: for a sharp corner the corner
	// itself, with radius 0.
	Ends []Disc
}

// Depth returns how far the ends stand out of the nearest gate disc: the
// material that a tool of the gates' radius leaves in a corner, measured along
// the bisector; 0 for a channel without dead ends and +Inf without a gate.
func (n Narrow) Depth() float64 {
	depth := 0.0
	for _, e := range n.Ends {
		least := math.Inf(1)
		for _, g := range n.Gates {
			least = math.Min(least, g.C.Dist(e.C)+e.R-g.R)
		}
		depth = math.Max(depth, least)
	}
	return depth
}

// Narrows returns the parts of the medial axis that a tool of radius r cannot
// enter, in the order of the branches. Without a positive r there is none.
func (m *Medial) Narrows(r float64) []Narrow {
	if !(r > 0) {
		return nil
	}
	// Parts are joined where they meet at a node below r.
	part := make([]int, len(m.Nodes))
	for i := range part {
		part[i] = -1
	}
	var parts []Narrow
	var rep []int
	find := func(i int) int {
		for rep[i] != i {
			i = rep[i]
		}
		return i
	}
	fresh := func() int {
		parts = append(parts, Narrow{})
		rep = append(rep, len(rep))
		return len(rep) - 1
	}
	degree := make([]int, len(m.Nodes))
	at := func(n int) int {
		if part[n] < 0 {
			part[n] = fresh()
		}
		return find(part[n])
	}
	for _, b := range m.Branches {
		degree[b.From]++
		degree[b.To]++
		in := -1 // the part that the way so far belongs to
		if m.Nodes[b.From].R < r {
			in = at(b.From)
		}
		for _, p := range b.Pieces() {
			q, gateA, gateB, ok := p.below(r)
			if !ok {
				in = -1
				continue
			}
			if gateA || in < 0 {
				in = fresh()
			}
			if gateA {
				parts[in].Gates = append(parts[in].Gates, q.From)
			}
			parts[in].Axis = append(parts[in].Axis, q)
			if gateB {
				parts[in].Gates = append(parts[in].Gates, q.To)
				in = -1
			}
		}
		if in >= 0 && m.Nodes[b.To].R < r {
			if a, c := find(in), at(b.To); a != c {
				lo, hi := min(a, c), max(a, c)
				rep[hi] = lo
			}
		}
	}
	for n, k := range degree {
		if m.Nodes[n].R < r && k <= 1 {
			p := at(n)
			parts[p].Ends = append(parts[p].Ends, m.Nodes[n])
			if k == 0 {
				parts[p].Axis = append(parts[p].Axis, MedialPiece{From: m.Nodes[n], To: m.Nodes[n]})
			}
		}
	}
	var out []Narrow
	place := make(map[int]int)
	for i := range parts {
		k := find(i)
		if _, ok := place[k]; !ok {
			place[k] = len(out)
			out = append(out, Narrow{})
		}
		o := &out[place[k]]
		o.Axis = append(o.Axis, parts[i].Axis...)
		o.Gates = append(o.Gates, parts[i].Gates...)
		o.Ends = append(o.Ends, parts[i].Ends...)
	}
	return out
}

// below returns the stretch of the piece with clearance under r, and whether it
// begins and ends at a gate within the piece. Clearance is convex along a piece.
func (m MedialPiece) below(r float64) (p MedialPiece, from, to, ok bool) {
	low := m.Least()
	if low.R >= r {
		return m, false, false, false
	}
	p = m
	if m.From.R >= r {
		from = true
		p.From = m.gate(m.From, low, r)
	}
	if m.To.R >= r {
		to = true
		p.To = m.gate(m.To, low, r)
	}
	return p, from, to, true
}

// gate returns the disc of radius r on the piece between high and low.
func (m MedialPiece) gate(high, low Disc, r float64) Disc {
	if f, foot, along, ok := m.parabola(); ok {
		if h := f.Dist(foot); h > 0 {
			x := math.Copysign(math.Sqrt(math.Max(0, h*(2*r-h))), high.C.Sub(foot).Dot(along))
			return Disc{foot.Add(along.Mul(x)).Add(f.Sub(foot).Mul(r / h)), r}
		}
	}
	if m.P.Vertex() && m.Q.Vertex() {
		mid := m.P.A.Lerp(m.Q.A, 0.5)
		h := m.P.A.Dist(m.Q.A) / 2
		up := high.C.Sub(mid).Unit()
		return Disc{mid.Add(up.Mul(math.Sqrt(math.Max(0, (r-h)*(r+h))))), r}
	}
	return Disc{high.C.Lerp(low.C, (high.R-r)/(high.R-low.R)), r}
}
