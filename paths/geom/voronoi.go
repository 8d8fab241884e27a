package geom

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
)

// The Voronoi diagram of points and open segments in the plane.
//
// It is kept as its dual, a triangulation whose vertices are the sites and
// whose triangles are the nodes of the diagram: each touches three sites, named
// in counter-clockwise order. Points go in first (a Delaunay triangulation),
// then segments, in random order within growing rounds, so that the expected
// cost is n log n. A new site takes over the connected part of the diagram that
// is nearer to it than to all others (Green and Sibson 1978 for points;
// Karavelas, "A robust and efficient implementation for the segment Voronoi
// diagram", 2004, and Held, "VRONI", 2001, for segments): the nodes in conflict
// and the edges between them form a tree, the triangles on it are removed, and
// the hole is filled with a star about the new site.
//
// Sites lie on an integer lattice, so everything that decides topology has an
// exact answer; see voronoi_num.go for how it is found. Two triangles may share
// more than one edge, so neighbours are half-edges, not triangles.

// errVoronoi means that the tree of conflicts was not a tree: a fault of the
// input (segments that cross) or of this code, never a wrong diagram.
var errVoronoi = errors.New("geom: voronoi diagram: conflict region is not a tree")

// voronoi is the diagram. Sites 0..len(px)-1 are points (the last three the
// frame), the rest segments.
type voronoi struct {
	px, py []float64
	segs   []vseg

	he  []vhalf // half-edges 3t, 3t+1, 3t+2 of triangle t
	geo []vgeo  // per triangle

	inc   []int32 // a half-edge that starts at the point, -1 before it is in
	round int32   // counts what has been put in
	hole  []int32
	kept  []int32 // half-edges kept inside the last hole
	todo  []int32 // half-edges of the hole still to be looked at
	cycle []int32 // half-edges of the rim of the hole, counter-clockwise
	rim   []rimEdge
	walk  int32 // where the last point went in

	repairs []vrepair
	used    []bool // per point: an end of a segment before any repair

	exact int // how many predicates float64 could not decide
	last  int // how many double-double could not decide
}

// vhalf is a half-edge of a triangle.
type vhalf struct {
	site int32 // at its start
	twin int32 // -1 on the frame
	side int8  // of a segment site: where the node lies, +1 left, -1 right
	// normal: the edge joins a segment and its own end, and its dual is the
	// normal there.
	normal bool
	kept   bool // inside the hole of the present round, see voronoi.keeps
}

// vgeo is a node in float64: the centre (ux, uy) relative to (ox, oy), the
// clearance, and a bound for the error of each of the three.
type vgeo struct {
	ox, oy, ux, uy, r float64
	e                 float32
	stamp             int32 // taken or spared of the round in which it was looked at last
}

// taken is the stamp of a triangle that is put into the hole in this round,
// spared that of one that is found to be in no conflict.
func (v *voronoi) taken() int32  { return 2 * v.round }
func (v *voronoi) spared() int32 { return 2*v.round + 1 }

type rimEdge struct {
	a, b         int32
	sideA, sideB int8
	normal       bool
	outer        int32 // twin outside the hole, -1 on the frame, -2-place on the rim for a kept edge
}

func hnext(h int32) int32 {
	if h%3 == 2 {
		return h - 2
	}
	return h + 1
}

func hprev(h int32) int32 {
	if h%3 == 0 {
		return h + 2
	}
	return h - 1
}

const (
	// vframe is the half width of the frame in lattice steps: three points so
	// far out that they are nearest to nothing near the sites.
	vframe = 1 << 35
	// vReach is the largest coordinate of a site in lattice steps.
	vReach = 1 << 31
)

// newVoronoi builds the diagram of distinct points and of the segments between
// them. A segment that other points lie on, or cross by less than a lattice
// step, is cut there; two that run the opposite way between the same points
// cancel, and their ends go with them unless other segments end there.
// Segments that meet in any other way give errCross or errVoronoi.
func newVoronoi(px, py []float64, segs [][2]int32, seed uint64) (*voronoi, error) {
	v := &voronoi{}
	np := len(px)
	v.px = append(px[:np:np], -vframe, vframe, 0)
	v.py = append(py[:np:np], -vframe, -vframe, vframe)
	v.segs = make([]vseg, len(segs))
	for i, s := range segs {
		v.segs[i] = v.between(s[0], s[1], int32(i))
	}
	for range repairRounds {
		if err := v.assemble(seed); err != nil {
			return nil, err
		}
		if len(v.repairs) == 0 {
			return v, nil
		}
		v.repair()
	}
	return nil, errVoronoi
}

// repairRounds bounds how often the diagram is begun again after repairs of
// its segments; cuts can call for further ones nearby.
const repairRounds = 10

// assemble inserts all points and segments.
func (v *voronoi) assemble(seed uint64) error {
	np := len(v.px) - 3
	sites := len(v.px) + len(v.segs)
	tri := 2*sites + 8
	v.he, v.geo = make([]vhalf, 0, 3*tri), make([]vgeo, 0, tri)
	v.inc = make([]int32, np+3)
	v.round, v.walk, v.kept = 0, 0, v.kept[:0]
	for i := range v.inc {
		v.inc[i] = -1
	}
	v.grow()
	for i := int32(0); i < 3; i++ {
		v.he[i] = vhalf{site: int32(np) + i, twin: -1}
		v.inc[int32(np)+i] = i
	}
	used := make([]bool, np)
	for i := range v.segs {
		used[v.segs[i].a], used[v.segs[i].b] = true, true
	}
	if v.used == nil {
		v.used = used
	}
	rng := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))
	for _, p := range roundsOf(np, rng, func(i int) (float64, float64) { return v.px[i], v.py[i] }) {
		if v.used[p] && !used[p] {
			continue // its segments have cancelled
		}
		if err := v.addPoint(p); err != nil {
			return err
		}
	}
	for t := range v.geo {
		v.place(int32(t))
	}
	mid := func(i int) (float64, float64) {
		s := &v.segs[i]
		return s.ax + s.dx/2, s.ay + s.dy/2
	}
	n := len(v.segs)
	order := roundsOf(n, rng, mid)
	for k := 0; k < len(v.segs); k++ {
		i := int32(k)
		if k < n {
			i = order[k]
		} // then the remainders of segments that points lie on
		if err := v.addSegment(i); err != nil {
			if len(v.repairs) > 0 {
				return nil // for want of the segments to be repaired
			}
			return err
		}
	}
	return nil
}

func (v *voronoi) between(a, b, src int32) vseg {
	return newSeg(a, b, src, v.px[a], v.py[a], v.px[b]-v.px[a], v.py[b]-v.py[a])
}

// points returns the number of points without the frame.
func (v *voronoi) points() int32 { return int32(len(v.px) - 3) }

// segment returns the segment of a site, nil for a point.
func (v *voronoi) segment(site int32) *vseg {
	if i := int(site) - len(v.px); i >= 0 {
		return &v.segs[i]
	}
	return nil
}

func (v *voronoi) grow() int32 {
	t := int32(len(v.geo))
	v.he = append(v.he, vhalf{}, vhalf{}, vhalf{})
	v.geo = append(v.geo, vgeo{})
	return t
}

// corner describes the site at the start of half-edge h.
func (v *voronoi) corner(h int32) vcorner {
	id := v.he[h].site
	if i := int(id) - len(v.px); i >= 0 {
		return vcorner{seg: &v.segs[i], side: float64(v.he[h].side)}
	}
	return vcorner{point: true, id: id, x: v.px[id], y: v.py[id]}
}

func (v *voronoi) corners(t int32) [3]vcorner {
	return [3]vcorner{v.corner(3 * t), v.corner(3*t + 1), v.corner(3*t + 2)}
}

// bound32 returns a float32 that is not below e; NaN becomes +Inf.
func bound32(e float64) float32 {
	const up = 1 + 1.0/(1<<22)
	f := float32(e * up)
	switch {
	case f != f:
		return float32(math.Inf(1))
	case f == 0 && e > 0:
		return math.SmallestNonzeroFloat32
	}
	return f
}

// addSegment inserts segment i.
func (v *voronoi) addSegment(i int32) error {
	s := &v.segs[i]
	v.round++
	for _, h := range v.kept {
		v.he[h].kept = false
	}
	v.kept = v.kept[:0]
	// Some node on the cell of the first end is in conflict.
	start, h := int32(-1), v.inc[s.a]
	v.cycle = v.cycle[:0]
	for first := h; ; {
		if v.conflict(h/3, s) {
			start = h / 3
			break
		}
		v.cycle = append(v.cycle, hnext(h))
		h = v.he[hprev(h)].twin
		if h == first || h < 0 {
			break
		}
	}
	if start < 0 {
		// The end lies on the wrong side of a segment by less than a step.
		if done, err := v.mend(i); done || err != nil {
			return err
		}
		return errVoronoi
	}
	// Counter-clockwise through the hole, which brings the rim in order.
	taken, tree := v.taken(), true
	v.enter(start)
	for len(v.todo) > 0 {
		h := v.todo[len(v.todo)-1]
		v.todo = v.todo[:len(v.todo)-1]
		o := v.he[h].twin
		if o < 0 || v.he[h].kept {
			v.cycle = append(v.cycle, h)
			continue
		}
		in := v.geo[o/3].stamp == taken
		switch {
		case !in && !v.conflict(o/3, s):
			v.cycle = append(v.cycle, h)
		case v.keeps(h, s):
			v.he[h].kept, v.he[o].kept = true, true
			v.kept = append(v.kept, h, o)
			v.cycle = append(v.cycle, h)
		case in:
			tree = false
		default:
			v.take(o)
		}
	}
	if tree {
		v.rimOf()
	} else {
		// Look at everything near for the reason.
		v.cycle = v.cycle[:0]
		for _, t := range v.hole {
			v.cycle = append(v.cycle, 3*t, 3*t+1, 3*t+2)
		}
	}
	if done, err := v.mend(i); done || err != nil {
		return err
	}
	if !tree {
		return errVoronoi
	}
	return v.fill(int32(len(v.px))+i, s)
}

// enter begins the hole with triangle t.
func (v *voronoi) enter(t int32) {
	v.geo[t].stamp = v.taken()
	v.hole, v.cycle = append(v.hole[:0], t), v.cycle[:0]
	v.todo = append(v.todo[:0], 3*t+2, 3*t+1, 3*t)
}

// take adds the triangle of half-edge o to the hole, reached over o, and has its
// other edges looked at next. The triangles of the hole hang together in a tree
// then, unless one is reached twice, and k of them have a rim of k+2 edges.
func (v *voronoi) take(o int32) {
	t := o / 3
	v.geo[t].stamp = v.taken()
	v.hole = append(v.hole, t)
	v.todo = append(v.todo, hprev(o), hnext(o))
}

// rimOf copies the rim from the half-edges of v.cycle before they are
// overwritten.
func (v *voronoi) rimOf() {
	v.rim = v.rim[:0]
	for _, h := range v.cycle {
		a, b := &v.he[h], &v.he[hnext(h)]
		e := rimEdge{a.site, b.site, a.side, b.side, a.normal, a.twin}
		if a.kept && v.geo[e.outer/3].stamp == v.taken() {
			e.outer = -2 - int32(slices.Index(v.cycle, e.outer)) // rare
		}
		v.rim = append(v.rim, e)
	}
}

// fill replaces the hole by the star of site id about the rim. For a segment,
// s tells its ends.
func (v *voronoi) fill(id int32, s *vseg) error {
	n := len(v.rim)
	start := 0
	if s != nil {
		// Counter-clockwise about a segment from a to b: from its start the
		// right side, from its end the left one.
		starts, ends := 0, 0
		for k := range v.rim {
			switch v.rim[k].a {
			case s.a:
				start = k
				starts++
			case s.b:
				ends++
			}
		}
		if starts != 1 || ends != 1 {
			return errVoronoi
		}
	}
	for len(v.hole) < n {
		v.hole = append(v.hole, v.grow())
	}
	side := int8(0)
	if s != nil {
		side = -1
	}
	last := int32(start - 1) // then the last half-edge of the triangle before
	if last < 0 {
		last = int32(n - 1)
	}
	last = 3*v.hole[last] + 2
	for j := 0; j < n; j++ {
		k := start + j
		if k >= n {
			k -= n
		}
		e := &v.rim[k]
		if s != nil && e.a == s.b {
			side = 1
		}
		t := v.hole[k]
		next := k + 1
		if next == n {
			next = 0
		}
		h := 3 * t
		outer := e.outer
		if outer < -1 {
			outer = 3*v.hole[-2-outer] + 1
		}
		f := v.he[h : h+3 : h+3]
		f[0] = vhalf{site: id, twin: last, side: side, normal: s != nil && (e.a == s.a || e.a == s.b)}
		f[1] = vhalf{site: e.a, twin: outer, side: e.sideA, normal: e.normal}
		f[2] = vhalf{site: e.b, twin: 3 * v.hole[next], side: e.sideB, normal: s != nil && (e.b == s.a || e.b == s.b)}
		if e.outer >= 0 {
			v.he[e.outer].twin = h + 1
		}
		last = h + 2
		if int(e.a) < len(v.px) {
			v.inc[e.a] = h + 1
		}
		if s != nil {
			v.place(t)
		}
	}
	if s == nil {
		v.inc[id] = 3 * v.hole[0]
	}
	return nil
}
