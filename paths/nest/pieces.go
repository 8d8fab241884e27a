package nest

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

const (
	// chordError is how far the polygon that stands for a curve may lie outside
	// it, in mm: what a shape may lose in room, never what it may take.
	chordError = 0.01
	// maxVertices bounds the polygon that stands for an outline.
	maxVertices = 4000
)

var errTooFine = fmt.Errorf("the outline needs more than %d chords of %g mm error: simplify it", maxVertices, chordError)

// outerPolygon returns a polygon that holds the contour's inside (which lies to
// the left of it), no farther than chordError outside: tangents stand for arcs
// that bulge outward, chords for those that bulge inward.
func outerPolygon(c geom.Contour) ([]geom.Point, error) {
	var out []geom.Point
	for _, s := range c {
		out = append(out, s.A)
		if !s.IsArc() {
			continue
		}
		r, sweep := s.Radius(), s.Sweep()
		half := math.Acos(math.Max(0.5, 1-chordError/r))
		if sweep > 0 {
			half = math.Acos(math.Max(0.5, r/(r+chordError)))
		}
		n := int(math.Ceil(math.Abs(sweep) / (2 * half)))
		if n > maxVertices || len(out) > maxVertices {
			return nil, errTooFine
		}
		start, step := s.A.Sub(s.C).Angle(), sweep/float64(n)
		for k := range n {
			switch {
			case sweep > 0:
				out = append(out, s.C.Add(geom.Polar(r/math.Cos(step/2), start+(float64(k)+0.5)*step)))
			case k > 0:
				out = append(out, s.C.Add(geom.Polar(r, start+float64(k)*step)))
			}
		}
	}
	if len(out) > maxVertices {
		return nil, errTooFine
	}
	return tidy(out), nil
}

// tidy leaves out points that are no corners.
func tidy(ps []geom.Point) []geom.Point {
	for changed := true; changed && len(ps) > 2; {
		changed = false
		kept := make([]geom.Point, 0, len(ps))
		for i, p := range ps {
			prev := ps[len(ps)-1]
			if len(kept) > 0 {
				prev = kept[len(kept)-1]
			} else if i > 0 {
				prev = ps[i-1]
			}
			next := ps[(i+1)%len(ps)]
			in, to := p.Sub(prev), next.Sub(p)
			// A corner flatter than a tenth of a nanometre is rounding.
			if math.Abs(in.Cross(to)) <= Rounding/10*math.Max(in.Len(), to.Len()) && in.Dot(to) >= 0 {
				changed = true
				continue
			}
			kept = append(kept, p)
		}
		ps = kept
	}
	return ps
}

// solids returns convex solids that together hold the inside of a
// counter-clockwise contour and exceed it by no more than chordError: a disc as
// it is, everything else as polygons.
func solids(c geom.Contour) ([]solid, error) {
	if len(c) == 1 && c[0].IsCircle() {
		return []solid{newSolid([]geom.Point{c[0].C}, c[0].Radius())}, nil
	}
	ps, err := outerPolygon(c)
	if err != nil {
		return nil, err
	}
	return polygonSolids(ps)
}

// polygonSolids returns the convex parts of a polygon. One that crosses itself,
// which tangents can bring about in a slit narrower than their error, is
// replaced by its hull.
func polygonSolids(ps []geom.Point) ([]solid, error) {
	if len(ps) < 3 || (geom.Region{geom.Polygon(ps...)}).Validate() != nil {
		hull := geom.ConvexHull(ps)
		if len(hull) < 2 {
			return nil, errors.New("the outline has no extent")
		}
		return []solid{newSolid(hull, 0)}, nil
	}
	var out []solid
	for _, part := range convexParts(ps) {
		out = append(out, newSolid(part, 0))
	}
	return out, nil
}

// convexParts cuts a simple polygon, counter-clockwise, into convex ones: ears
// are cut off (G. H. Meisters, Polygons have ears, 1975), then put together
// again as long as the result stays convex (S. Hertel, K. Mehlhorn, Fast
// triangulation of simple polygons, 1983).
func convexParts(ps []geom.Point) [][]geom.Point {
	var parts [][]int
	left := make([]int, len(ps))
	for i := range left {
		left[i] = i
	}
	for len(left) > 3 {
		ear := -1
		widest := math.Inf(-1)
		for k := range left {
			a, b, c := left[(k+len(left)-1)%len(left)], left[k], left[(k+1)%len(left)]
			if !isEar(ps, left, a, b, c) {
				continue
			}
			// The ear with the least sharp corners makes the roundest parts.
			if w := sharpest(ps[a], ps[b], ps[c]); w > widest {
				ear, widest = k, w
			}
		}
		if ear < 0 {
			break // no ear left but for rounding: the rest is taken as its hull
		}
		k := ear
		parts = append(parts, []int{left[(k+len(left)-1)%len(left)], left[k], left[(k+1)%len(left)]})
		left = append(left[:k:k], left[k+1:]...)
	}
	parts = append(parts, left)
	parts = mergeParts(ps, parts)
	out := make([][]geom.Point, 0, len(parts))
	for _, p := range parts {
		var pts []geom.Point
		for _, i := range p {
			pts = append(pts, ps[i])
		}
		// Rounding may leave a corner that is a hair hollow.
		if hull := geom.ConvexHull(pts); len(hull) > 2 {
			out = append(out, hull)
		}
	}
	return out
}

// sharpest returns the least sine of a triangle's angles.
func sharpest(a, b, c geom.Point) float64 {
	area := b.Sub(a).Cross(c.Sub(a))
	x, y, z := a.Dist(b), b.Dist(c), c.Dist(a)
	return math.Min(area/(x*y), math.Min(area/(y*z), area/(z*x)))
}

func isEar(ps []geom.Point, left []int, a, b, c int) bool {
	pa, pb, pc := ps[a], ps[b], ps[c]
	if pb.Sub(pa).Cross(pc.Sub(pb)) <= 0 {
		return false
	}
	for _, i := range left {
		if i == a || i == b || i == c {
			continue
		}
		q := ps[i]
		if q == pa || q == pb || q == pc {
			continue
		}
		if pb.Sub(pa).Cross(q.Sub(pa)) >= 0 && pc.Sub(pb).Cross(q.Sub(pb)) >= 0 && pa.Sub(pc).Cross(q.Sub(pc)) >= 0 {
			return false
		}
	}
	return true
}

// mergeParts joins parts over common diagonals while they stay convex.
func mergeParts(ps []geom.Point, parts [][]int) [][]int {
	for merged := true; merged; {
		merged = false
		owner := map[[2]int]int{}
		for k, p := range parts {
			for i, v := range p {
				owner[[2]int{v, p[(i+1)%len(p)]}] = k
			}
		}
		gone := make([]bool, len(parts))
		for k := range parts {
			for i := 0; i < len(parts[k]) && !gone[k]; i++ {
				u, v := parts[k][i], parts[k][(i+1)%len(parts[k])]
				o, ok := owner[[2]int{v, u}]
				if !ok || o == k || gone[o] {
					continue
				}
				joint := joinParts(parts[k], parts[o], u, v)
				if joint == nil || !isConvex(ps, joint) {
					continue
				}
				parts[k], gone[o], merged = joint, true, true
				for j, w := range joint {
					owner[[2]int{w, joint[(j+1)%len(joint)]}] = k
				}
				i = -1
			}
		}
		var kept [][]int
		for k, p := range parts {
			if !gone[k] {
				kept = append(kept, p)
			}
		}
		parts = kept
	}
	return parts
}

// joinParts joins two parts over the edge from u to v of the first, which the
// second has from v to u.
func joinParts(a, b []int, u, v int) []int {
	i, j := indexOf(a, v), indexOf(b, u)
	if i < 0 || j < 0 {
		return nil
	}
	var out []int
	for k := range a { // from v round to u
		out = append(out, a[(i+k)%len(a)])
	}
	for k := 1; k < len(b)-1; k++ { // after u, before v
		out = append(out, b[(j+k)%len(b)])
	}
	return out
}

func indexOf(p []int, v int) int {
	for i, w := range p {
		if w == v {
			return i
		}
	}
	return -1
}

func isConvex(ps []geom.Point, part []int) bool {
	n := len(part)
	for i := range part {
		a, b, c := ps[part[i]], ps[part[(i+1)%n]], ps[part[(i+2)%n]]
		if b.Sub(a).Cross(c.Sub(b)) < 0 {
			return false
		}
	}
	return true
}

// halfPlane is an obstacle that reaches from a line to infinity: all points p
// with n.p >= c.
type halfPlane struct {
	n geom.Point // unit
	c float64
}

// obstacle is something fixed that shapes keep away from.
type obstacle struct {
	solid
	need float64 // distance to keep, mm
}

// surroundings are what shapes keep away from: half-planes beyond the hull of
// the stock, solids for its bays and holes and for keep-outs.
type surroundings struct {
	outside []halfPlane
	edge    float64 // distance to keep from the half-planes
	solids  []obstacle
	hull    []geom.Point // of the stock
	box     geom.Box
}

// newSurroundings prepares the stock, which has one outline, and keep-outs.
func newSurroundings(stock geom.Region, edge float64, keepouts []Keepout) (*surroundings, error) {
	s := &surroundings{edge: edge}
	add := func(c geom.Contour, need float64) error {
		parts, err := solids(c)
		for _, p := range parts {
			s.solids = append(s.solids, obstacle{p, need})
		}
		return err
	}
	for _, c := range stock {
		if c.Area() < 0 {
			if err := add(c.Reverse(), edge); err != nil {
				return nil, fmt.Errorf("nest: stock: %w", err)
			}
			continue
		}
		if s.hull != nil {
			return nil, errors.New("nest: the stock consists of several pieces: nest on one at a time")
		}
		// The outside is to the left of the outline travelled the other way.
		ps, err := outerPolygon(c.Reverse())
		if err != nil {
			return nil, fmt.Errorf("nest: stock: %w", err)
		}
		if s.hull = geom.ConvexHull(ps); len(s.hull) < 3 {
			return nil, errors.New("nest: stock: the outline has no extent")
		}
		if err := s.bays(ps); err != nil {
			return nil, fmt.Errorf("nest: stock: %w", err)
		}
	}
	for i, k := range keepouts {
		for _, c := range k.Area {
			if c.Area() < 0 {
				continue // no shape fits into a hole of a zone: it counts as filled
			}
			if err := add(c, k.Margin); err != nil {
				return nil, fmt.Errorf("nest: keep-out %d: %w", i, err)
			}
		}
	}
	s.box = geom.EmptyBox()
	for i, p := range s.hull {
		q := s.hull[(i+1)%len(s.hull)]
		n := q.Sub(p).Left().Mul(-1).Unit()
		s.outside = append(s.outside, halfPlane{n, math.Min(n.Dot(p), n.Dot(q))})
		s.box = s.box.AddPoint(p)
	}
	return s, nil
}

// bays adds the solids between a stock's outline, given clockwise, and its hull.
func (s *surroundings) bays(ps []geom.Point) error {
	onHull := map[geom.Point]bool{}
	for _, p := range s.hull {
		onHull[p] = true
	}
	start := 0
	for !onHull[ps[start]] {
		start++
	}
	var bay []geom.Point
	for k := 0; k <= len(ps); k++ {
		p := ps[(start+k)%len(ps)]
		bay = append(bay, p)
		if !onHull[p] || len(bay) == 1 {
			continue
		}
		if len(bay) > 2 {
			parts, err := polygonSolids(tidy(bay))
			if err != nil {
				return err
			}
			for _, q := range parts {
				s.solids = append(s.solids, obstacle{q, s.edge})
			}
		}
		bay = []geom.Point{p}
	}
	return nil
}
