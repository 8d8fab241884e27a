package geom

import (
	"fmt"
	"math"
)

// Offset returns the region grown by d (mm) where d > 0 and shrunk by -d where
// d < 0, as Offset does with round joins. Every level is drawn anew from the
// diagram, so none inherits the errors of another and no ring is lost; a level
// costs a time linear in the size of the diagram. The first growth
// builds the diagram of the outside.
//
// Lines stay lines, arcs become arcs about the same centre and vertices arcs
// about the vertex. Where two events of the diagram fall within the chord error
// of each other a stretch is drawn along the chords instead, which leaves up to
// that error more material and never less.
//
// Errors: d is not finite, or so large that the diagram does not reach (some
// six times the size of the region).
func (m *Medial) Offset(d float64) (Region, error) {
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return nil, fmt.Errorf("offset distance %g mm is not finite", d)
	}
	if d == 0 || m.inner.v == nil {
		return cloneContours(m.region), nil
	}
	if d < 0 {
		return m.inner.level(-d, m.chord)
	}
	outer, err := m.outer()
	if err != nil {
		return nil, fmt.Errorf("medial offset: %w", err)
	}
	r, err := outer.level(d, m.chord)
	for i := range r {
		r[i] = r[i].Reverse()
	}
	return r, err
}

// levelPiece is a stretch of a level line within one cell.
type levelPiece struct {
	site int32
	from int32 // half-edge by which it enters, see level
	// near is the end, in levelWalk.near, of the half-edges whose nodes or edges
	// on the far side of the cell come within nearLevel chords of the level.
	near int
}

// levelWalk is a closed walk along a level.
type levelWalk struct {
	pieces []levelPiece
	near   []int32
}

// nearLevel is how near, in chord errors, an event of the diagram may come to
// a level before the chords could have decided it differently from the curves:
// twice the error of each of two chords would do for one, and one is added.
const nearLevel = 3

// level returns the contours of the points at clearance dist, the wider side
// on their left.
func (d *diagram) level(dist, chord float64) (Region, error) {
	v := d.v
	if v == nil {
		return nil, nil // contours without area
	}
	// Beyond this the frame is nearer than the region somewhere on the level.
	if dist > (vframe-2*vReach)/2*d.step {
		return nil, fmt.Errorf("offset distance %g mm is beyond the reach of the diagram", dist)
	}
	// crossed[g]: the level crosses the edge dual to g next to the node of g's
	// twin, which is higher; there the level line enters the cell of site[g].
	const yes, done = 1, 2
	crossed := make([]uint8, len(v.he))
	var starts []int32
	for k := range v.he {
		g, o := int32(k), v.he[k].twin
		if o < 0 || !d.inside[o/3] || !(d.clearance(o/3) > dist) {
			continue
		}
		if !d.inside[g/3] || d.clearance(g/3) <= dist || d.least(g) <= dist {
			crossed[g] = yes
			starts = append(starts, g)
		}
	}
	var out Region
	var walk levelWalk
	for _, start := range starts {
		if crossed[start] != yes {
			continue
		}
		walk.pieces, walk.near = walk.pieces[:0], walk.near[:0]
		for g := start; ; {
			crossed[g] = done
			p := levelPiece{site: v.he[g].site, from: g}
			if p.site >= v.points() && int(p.site) < len(v.px) {
				return nil, fmt.Errorf("offset distance %g mm is beyond the reach of the diagram", dist)
			}
			// Clockwise round the cell, from node to node above the level.
			k := hnext(v.he[g].twin)
			for {
				if d.chords && d.clearance(k/3)-dist < nearLevel*chord {
					walk.near = append(walk.near, k)
				}
				o := v.he[k].twin
				if o < 0 || k == g {
					return nil, errVoronoi
				}
				if crossed[o] != 0 {
					break
				}
				if d.chords && d.least(k)-dist < nearLevel*chord {
					walk.near = append(walk.near, k)
				}
				k = hnext(o)
			}
			p.near = len(walk.near)
			walk.pieces = append(walk.pieces, p)
			if g = v.he[k].twin; g == start {
				break
			}
			if crossed[g] == done || len(walk.pieces) > len(v.he) {
				return nil, errVoronoi
			}
		}
		if c := d.levelContour(&walk, dist, chord); len(c) > 0 {
			out = append(out, c)
		}
	}
	return out, nil
}

// least returns the least clearance strictly within the edge dual to h, both
// nodes of which are inside, +Inf where it is least at a node. From either end it
// is the same, or levels would cross the edge on one side only.
func (d *diagram) least(h int32) float64 {
	v := d.v
	a, b := v.he[h].site, v.he[hnext(h)].site
	s, t := v.segment(a), v.segment(b)
	if s != nil && t != nil {
		return math.Inf(1)
	}
	if s != nil {
		a, b, t = b, a, s
	}
	na, nb := d.node(h/3).C, d.node(v.he[h].twin/3).C
	p := d.mm(v.px[a], v.py[a])
	if t == nil {
		w := d.mm(v.px[b], v.py[b]).Sub(p)
		mid := p.Add(w.Mul(0.5))
		if !(na.Sub(mid).Cross(w)*nb.Sub(mid).Cross(w) < 0) {
			return math.Inf(1)
		}
		return w.Len() / 2
	}
	if t.a == a || t.b == a {
		return math.Inf(1) // a normal: from the point outward
	}
	along := Pt(t.dx, t.dy)
	if !(na.Sub(p).Dot(along)*nb.Sub(p).Dot(along) < 0) {
		return math.Inf(1)
	}
	return lineHeight(d.mm(t.ax, t.ay), along, p) / 2
}

// lineHeight returns the distance of p from the line through a.
func lineHeight(a, along, p Point) float64 {
	return math.Abs(along.Cross(p.Sub(a))) / along.Len()
}

// crossing returns the point of the level on the edge dual to g, next to the
// node of g's twin.
func (d *diagram) crossing(g int32, dist float64) Point {
	v := d.v
	a, b := v.he[g].site, v.he[hnext(g)].site
	s, t := v.segment(a), v.segment(b)
	high, low := d.node(v.he[g].twin/3), d.node(g/3)
	if s != nil && t != nil {
		f := (high.R - dist) / (high.R - low.R)
		return high.C.Lerp(low.C, math.Max(0, math.Min(1, f)))
	}
	if s != nil {
		a, b, t = b, a, s
	}
	p := d.mm(v.px[a], v.py[a])
	if t == nil {
		q := d.mm(v.px[b], v.py[b])
		w := q.Sub(p)
		mid := p.Add(w.Mul(0.5))
		up := w.Left().Unit()
		x := math.Sqrt(math.Max(0, dist*dist-w.Dot(w)/4))
		return mid.Add(up.Mul(math.Copysign(x, high.C.Sub(mid).Dot(up))))
	}
	along := Pt(t.dx, t.dy).Unit()
	if t.a == a || t.b == a {
		return p.Add(along.Left().Mul(dist))
	}
	h := lineHeight(d.mm(t.ax, t.ay), along, p)
	x := math.Sqrt(math.Max(0, h*(2*dist-h)))
	x = math.Copysign(x, high.C.Sub(p).Dot(along))
	return p.Add(along.Mul(x)).Add(along.Left().Mul(dist - h))
}
