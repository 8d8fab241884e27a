package hold

import (
	"cmp"
	"math"
	"slices"

	"proofcut/paths/geom"
)

// Spread says how well a set of screws holds a slab. Neither figure is ever less
// than the true one; both exceed it by SpreadTol at most.
type Spread struct {
	Reach      float64    // greatest distance of a point of the slab from the lines between screws, mm
	ReachAt    geom.Point // such a point
	Overhang   float64    // greatest distance of a point of the slab from the screws' convex hull, mm
	OverhangAt geom.Point
}

// SpreadTol is how exact a Spread is, in mm: no one states such a distance to a
// micrometre.
const SpreadTol = 1e-3

const (
	// coverChord is how far the chords that stand for arcs may lie inside them;
	// half the tolerance is left to the bisection.
	coverChord = SpreadTol / 2
	// coverCorners is up to how many corners of a piece are asked one by one.
	coverCorners = 12
	// coverDepth ends the bisection at a slab's size over 2^24, under a
	// nanometre for any slab.
	coverDepth = 24
	// coverSteps bounds the pieces looked at for one answer. What is cut short
	// gives a greater figure, never a lesser one.
	coverSteps = 50000
)

// cover answers how far the points of a slab lie from a set of segments, by
// branch and bound over pieces of the slab. Pieces are cut once and kept, so
// many sets can be asked about. It is not safe for concurrent use.
type cover struct {
	root    *piece
	corners []geom.Point // of the slab, for a first lower bound
	hull    []geom.Point // of the slab, arcs included
}

// piece is the part of a slab in one square.
type piece struct {
	region geom.Region // nil: the whole square
	box    geom.Box
	hull   []geom.Point // a convex polygon round the piece but for coverChord
	on     []geom.Point // points of the piece
	kids   []*piece
	split  bool
	depth  int
}

func newCover(slab geom.Region) (*cover, error) {
	b := slab.Bounds()
	half := math.Max(b.Size().X, b.Size().Y)/2 + geom.Tol
	c := &cover{root: newPiece(slab, geom.Box{Min: b.Center(), Max: b.Center()}.Grow(half), 0)}
	for _, contour := range slab {
		for _, s := range contour {
			c.corners = append(c.corners, s.A)
		}
	}
	var all []geom.Point
	for _, contour := range slab {
		all = geom.AppendFlatten(all, contour, coverChord)
	}
	c.hull = geom.ConvexHull(all)
	return c, nil
}

func boxCorners(b geom.Box) []geom.Point {
	return []geom.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}

func newPiece(r geom.Region, box geom.Box, depth int) *piece {
	p := &piece{region: r, box: box, depth: depth}
	size := box.Size()
	const full = 1 - 1e-9 // of a square's area: nothing of it is missing
	if r == nil || r.Area() >= full*size.X*size.Y {
		p.region = nil
		p.hull = boxCorners(box)
		p.on = p.hull
		return p
	}
	var pts []geom.Point
	for _, contour := range r {
		pts = geom.AppendFlatten(pts, contour, coverChord)
	}
	p.hull = geom.ConvexHull(pts)
	p.on = p.hull
	if len(p.hull) > coverCorners {
		p.on = nil
		for i := 0; i < len(p.hull); i += (len(p.hull) + coverCorners - 1) / coverCorners {
			p.on = append(p.on, p.hull[i])
		}
		p.hull = boxCorners(box)
	}
	return p
}

// children cuts a piece into four, once.
func (p *piece) children() ([]*piece, error) {
	if p.split {
		return p.kids, nil
	}
	m := p.box.Center()
	for _, b := range []geom.Box{
		{Min: p.box.Min, Max: m},
		{Min: geom.Pt(m.X, p.box.Min.Y), Max: geom.Pt(p.box.Max.X, m.Y)},
		{Min: geom.Pt(p.box.Min.X, m.Y), Max: geom.Pt(m.X, p.box.Max.Y)},
		{Min: m, Max: p.box.Max},
	} {
		if p.region == nil {
			p.kids = append(p.kids, newPiece(nil, b, p.depth+1))
			continue
		}
		r, err := geom.Intersection(p.region, geom.RegionOf(geom.Rect(b.Min, b.Max, 0)))
		if err != nil {
			return nil, err
		}
		if len(r) > 0 {
			p.kids = append(p.kids, newPiece(r, b, p.depth+1))
		}
	}
	p.split = true
	return p.kids, nil
}

// span is a straight line between two screws, or one screw.
type span struct{ a, b geom.Point }

// dist2 returns the square of the distance of q from the span: it is asked for
// millions of times.
func (s span) dist2(q geom.Point) float64 {
	dx, dy := s.b.X-s.a.X, s.b.Y-s.a.Y
	vx, vy := q.X-s.a.X, q.Y-s.a.Y
	if t, l := vx*dx+vy*dy, dx*dx+dy*dy; t >= l && l > 0 {
		vx, vy = q.X-s.b.X, q.Y-s.b.Y
	} else if t > 0 {
		t /= l
		vx, vy = vx-t*dx, vy-t*dy
	}
	return vx*vx + vy*vy
}

// spans returns the lines between all pairs of places.
func spans(places []geom.Point) []span {
	if len(places) == 1 {
		return []span{{places[0], places[0]}}
	}
	var out []span
	for i, a := range places {
		for _, b := range places[i+1:] {
			out = append(out, span{a, b})
		}
	}
	return out
}

func nearestSpan(list []span, q geom.Point) float64 {
	d := math.Inf(1)
	for _, s := range list {
		if e := s.dist2(q); e < d {
			d = e
		}
	}
	return math.Sqrt(d)
}

// reach returns the greatest distance of a point of the slab from the nearest
// span. The distance from one span is convex, so over a polygon it is greatest
// at a corner, and the least of these greatest values bounds the piece.
func (c *cover) reach(list []span) (float64, geom.Point, error) {
	best, at := math.Inf(-1), geom.Point{}
	try := func(q geom.Point) {
		if d := nearestSpan(list, q); d > best {
			best, at = d, q
		}
	}
	for _, q := range c.corners {
		try(q)
	}
	top := best
	type open struct {
		p     *piece
		upper float64
	}
	bound := func(p *piece) float64 {
		upper := math.Inf(1)
		for _, s := range list {
			d := 0.0
			for _, q := range p.hull {
				if e := s.dist2(q); e > d {
					if d = e; d >= upper {
						break
					}
				}
			}
			upper = math.Min(upper, d)
		}
		return math.Sqrt(upper)
	}
	stack := []open{{c.root, bound(c.root)}}
	for steps := 0; len(stack) > 0; steps++ {
		o := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if o.upper <= best+SpreadTol-coverChord || o.p.depth >= coverDepth || steps >= coverSteps {
			top = math.Max(top, o.upper)
			continue
		}
		kids, err := o.p.children()
		if err != nil {
			return 0, geom.Point{}, err
		}
		from := len(stack)
		for _, k := range kids {
			for _, q := range k.on {
				try(q)
			}
			stack = append(stack, open{k, bound(k)})
		}
		slices.SortStableFunc(stack[from:], func(a, b open) int { return cmp.Compare(a.upper, b.upper) })
	}
	return math.Max(best, top) + coverChord, at, nil
}

// overhang returns the greatest distance of a point of the slab from the convex
// hull of the places. It is convex too: a corner of the slab's own hull has it.
func (c *cover) overhang(places []geom.Point) (float64, geom.Point) {
	hull := geom.ConvexHull(places)
	worst, at := -1.0, geom.Point{}
	for _, q := range c.hull {
		if d := hullDistance(hull, q); d > worst {
			worst, at = d, q
		}
	}
	return worst + coverChord, at
}

// spread measures both.
func (c *cover) spread(places []geom.Point) (Spread, error) {
	var s Spread
	var err error
	s.Reach, s.ReachAt, err = c.reach(spans(places))
	s.Overhang, s.OverhangAt = c.overhang(places)
	return s, err
}

// hullDistance returns how far q lies outside a counter-clockwise convex polygon.
func hullDistance(hull []geom.Point, q geom.Point) float64 {
	d, inside := math.Inf(1), len(hull) >= 3
	a := hull[len(hull)-1]
	for _, b := range hull {
		if b.Sub(a).Cross(q.Sub(a)) < 0 {
			inside = false
		}
		d = math.Min(d, span{a, b}.dist2(q))
		a = b
	}
	if inside {
		return 0
	}
	return math.Sqrt(d)
}
