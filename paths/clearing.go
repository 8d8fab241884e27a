package paths

import (
	"math"
	"slices"

	"proofcut/paths/geom"
)

// clearing is the plan view of a pocket: what the tool does in every level of
// depth. Its nodes are the connected parts of the offsets of the places that
// the axis may be in; the parts of one offset lie inside those of the offset
// before, which makes a tree for each part of the first.
//
// Why nothing stays: a point at depth t below the first boundary lies at
// exactly t - k*step from the boundary of offset k (erosions by discs add up),
// so it is within one step of an offset's boundary, and the tool covers it when
// step <= radius. For wider steps a line half way between two offsets is within
// half a step of whatever both leave; it is cut where something is left.
type clearing struct {
	p           Pocket
	angle, step float64
	base        geom.Region
	room        *geom.Index // of base
	roots       []*node
}

type node struct {
	region   geom.Region // one outer contour and the holes in it
	index    *geom.Index
	loops    []geom.Path // its boundary, in the direction of cutting
	between  []geom.Path // clean-up lines between it and its children
	children []*node
	entry    geom.Point // of a leaf: the place furthest from its boundary
}

// grow builds the tree.
func (c *clearing) grow() error {
	c.room = geom.NewIndex(c.base)
	c.roots = c.nodes(c.base)
	level := c.roots
	for k := 1; len(level) > 0; k++ {
		if k > maxOffsets {
			return c.p.errorf("the pocket takes more than %d passes", maxOffsets)
		}
		inner, err := geom.Offset(c.base, -float64(k)*c.step, geom.OffsetOptions{})
		if err != nil {
			return c.p.errorf("pass %d: %w", k, err)
		}
		next := c.nodes(inner)
		for _, n := range next {
			at := n.loops[0].Start()
			parent := level[0]
			for _, l := range level {
				if l.index.Contains(at) == geom.Inside {
					parent = l
					break
				}
			}
			parent.children = append(parent.children, n)
		}
		if c.step > c.p.Tool.Diameter/2-coverTol {
			half, err := geom.Offset(c.base, -(float64(k)-0.5)*c.step, geom.OffsetOptions{})
			if err != nil {
				return c.p.errorf("pass %d: %w", k, err)
			}
			for _, l := range level {
				if err := c.cleanUp(l, half); err != nil {
					return c.p.errorf("pass %d: %w", k, err)
				}
			}
		}
		for _, l := range level {
			if len(l.children) == 0 {
				l.entry = pole(l.region, l.index, c.p.Tool.Diameter/2*poleTol)
			}
		}
		level = next
	}
	return nil
}

// coverTol is by how much less than its radius the tool is taken to cover when
// what passes leave is looked for.
const coverTol = 2 * cutTol

// nodes splits a region into its connected parts. Parts too small for a move
// are left out: what surrounds them covers them.
func (c *clearing) nodes(r geom.Region) []*node {
	var out []*node
	var holes []geom.Contour
	for _, k := range r {
		switch {
		case k.Area() < 0:
			holes = append(holes, k)
		case k.Length() > coverTol:
			out = append(out, &node{region: geom.Region{k}})
		}
	}
	for _, h := range holes {
		for _, n := range out {
			if n.region[:1].Contains(h[0].A) == geom.Inside {
				n.region = append(n.region, h)
				break
			}
		}
	}
	for _, n := range out {
		n.index = geom.NewIndex(n.region)
		for _, k := range n.region {
			n.loops = append(n.loops, c.p.travel(k.Path()))
		}
	}
	return out
}

// cleanUp adds to a node the lines that take away what its passes and those of
// its children leave between them; half is the offset half way.
func (c *clearing) cleanUp(n *node, half geom.Region) error {
	lines := slices.Clone(n.loops)
	var inner geom.Region
	for _, k := range n.children {
		lines = append(lines, k.loops...)
		inner = append(inner, k.region...)
	}
	cut, err := geom.OffsetPath(lines, c.p.Tool.Diameter/2-coverTol, geom.OffsetOptions{})
	if err != nil {
		return err
	}
	left, err := geom.Difference(n.region, inner)
	if err != nil {
		return err
	}
	if left, err = geom.Difference(left, cut); err != nil || len(left) == 0 {
		return err
	}
	near, err := geom.Offset(left, c.step/2+coverTol, geom.OffsetOptions{})
	if err != nil {
		return err
	}
	for _, k := range half {
		if n.index.Contains(k[0].A) != geom.Inside {
			continue
		}
		line := c.p.travel(k.Path())
		in, out, err := geom.Clip(line, near)
		if err != nil {
			return err
		}
		if len(out) > 0 {
			in = acrossSeam(line, in)
		}
		for _, l := range in {
			if l.Length() > geom.Tol {
				n.between = append(n.between, l)
			}
		}
	}
	return nil
}

// pass is the tool's way through one level of depth.
type pass struct {
	*clearing
	top, z float64
	cuts   []Cut
}

// cut clears one level from the height top down to z.
func (c *clearing) cut(top, z float64) ([]Cut, error) {
	w := &pass{clearing: c, top: top, z: z}
	for _, n := range c.roots {
		if err := w.node(n); err != nil {
			return nil, err
		}
	}
	return w.cuts, nil
}

// node clears a node from the inside out.
func (w *pass) node(n *node) error {
	for _, k := range n.children {
		if err := w.node(k); err != nil {
			return err
		}
	}
	left := append(slices.Clone(n.between), n.loops...)
	down := len(n.children) > 0
	if !down {
		at, ok := w.helix(n)
		if ok {
			down = true
		} else {
			// No room for a helix: the first line is its own ramp.
			i := nearest(left, at)
			if err := w.ramp(n, left[i]); err != nil {
				return err
			}
			left = slices.Delete(left, i, i+1)
			down = true
		}
	}
	// Lines between come before the loops: they stand furthest in.
	for _, group := range [][]geom.Path{left[:min(len(n.between), len(left))], left[min(len(n.between), len(left)):]} {
		group = slices.Clone(group)
		for len(group) > 0 {
			end := w.cuts[len(w.cuts)-1].End().XY()
			i := nearest(group, end)
			if err := w.line(n, group[i]); err != nil {
				return err
			}
			group = slices.Delete(group, i, i+1)
		}
	}
	return nil
}

// nearest returns the line that comes nearest to a place.
func nearest(lines []geom.Path, q geom.Point) int {
	best, dist := 0, math.Inf(1)
	for i, l := range lines {
		d := l.Distance(q)
		if !l.Closed() {
			d = math.Min(l.Start().Dist(q), l.End().Dist(q))
		}
		if d < dist {
			best, dist = i, d
		}
	}
	return best
}

// Helix sizes as parts of the tool's radius: the largest leaves no core, the
// smallest still makes chips and does not only bore.
const (
	helixMost  = 0.9
	helixLeast = 0.25
)

// helix enters a leaf by a helix round the place with the most room. It reports
// where that is and whether there was room.
func (w *pass) helix(n *node) (geom.Point, bool) {
	r := w.p.Tool.Diameter / 2
	h := math.Min(helixMost*r, w.room.BoundaryDistance(geom.Line(n.entry, n.entry))-geom.Tol)
	if h < helixLeast*r || w.room.Contains(n.entry) != geom.Inside {
		return n.entry, false
	}
	loop := w.p.travel(geom.Circle(n.entry, h).Path())
	length := loop.Length()
	knots := laps(length, w.top, []float64{w.z}, w.angle)
	laps := int(math.Ceil(knots[len(knots)-1].s/length)) + 1
	w.cuts = append(w.cuts, follow(newRail(repeat(loop, laps)), knots, w.p.Feed, w.p.Plunge))
	return n.entry, true
}

// maxRampLaps bounds the turns of a ramp: a loop that needs more is so small
// that the tool does not ramp but bores.
const maxRampLaps = 200

// ramp enters along a line itself.
func (w *pass) ramp(n *node, l geom.Path) error {
	length := l.Length()
	if (w.top-w.z)/math.Tan(w.angle) > maxRampLaps*length {
		if !w.p.Tool.CentreCuts {
			at := l.Start()
			return w.p.errorf("tool %d has no room to go down by a ramp near x %.3f y %.3f and does not cut over its centre", w.p.Tool.Number, at.X, at.Y)
		}
		w.cuts = append(w.cuts, follow(newRail(l), []knot{{0, w.top}, {0, w.z}, {length, w.z}}, w.p.Feed, w.p.Plunge))
		return nil
	}
	var knots []knot
	if l.Closed() {
		knots = laps(length, w.top, []float64{w.z}, w.angle)
		l = repeat(l, int(math.Ceil(knots[len(knots)-1].s/length))+1)
	} else {
		knots = traverses(length, w.top, []float64{w.z}, w.angle)
		l = fold(l, int(math.Ceil(knots[len(knots)-1].s/length))+1)
	}
	w.cuts = append(w.cuts, follow(newRail(l), knots, w.p.Feed, w.p.Plunge))
	return nil
}

// line cuts one line of a node. The tool stays down on the way to it where it
// may; elsewhere it comes out and enters anew.
func (w *pass) line(n *node, l geom.Path) error {
	cur := &w.cuts[len(w.cuts)-1]
	from := cur.End().XY()
	if l.Closed() {
		at, _ := newRail(l).closest(from)
		l = rotated(l, at)
	} else if l.End().Dist(from) < l.Start().Dist(from) {
		l = l.Reverse()
	}
	if from.Dist(l.Start()) > geom.Tol {
		if !w.staysDown(n, geom.Line(from, l.Start())) {
			return w.ramp(n, l)
		}
		cur.Moves = append(cur.Moves, Move{To: l.Start().At(w.z), Feed: w.p.Feed})
	}
	next := follow(newRail(l), []knot{{0, w.z}, {l.Length(), w.z}}, w.p.Feed, w.p.Plunge)
	cur.Moves = append(cur.Moves, next.Moves...)
	return nil
}

// staysDown reports whether the tool may go straight from one line of a node to
// the next at full depth: inside the node, which is cleared but for a strip of
// a step's width along its boundary, or a short way inside the pocket, as from
// a helix that is wider than its node.
func (w *pass) staysDown(n *node, g geom.Seg) bool {
	inside := func(x *geom.Index) bool {
		_, out := x.Clip(geom.Path{g})
		for _, o := range out {
			if o.Length() > linkSlack {
				return false
			}
		}
		return true
	}
	return inside(n.index) || g.Length() <= shortLink*w.p.Tool.Diameter && inside(w.room)
}

// shortLink is the length in tool diameters up to which a link may cut its way.
const shortLink = 1.5

// linkSlack is how much of a link may seem to lie outside because its ends lie
// on the boundary.
const linkSlack = 10 * geom.Tol
