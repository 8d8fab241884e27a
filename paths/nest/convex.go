package nest

import (
	"math"

	"proofcut/paths/geom"
)

// solid is a convex polygon, counter-clockwise, grown by a radius: one point
// makes a disc, two make a stadium. Shapes, stock and keep-outs are made of
// solids for the search; what the search finds is measured with the shapes
// themselves.
type solid struct {
	pts    []geom.Point
	normal []geom.Point // outward, of the edge that starts at each point; none for a single point
	r      float64
	mid    geom.Point // of a circle round the points
	reach  float64    // its radius, r included
}

func newSolid(pts []geom.Point, r float64) solid {
	s := solid{pts: pts, r: r}
	if len(pts) > 1 {
		s.normal = make([]geom.Point, len(pts))
		for i, p := range pts {
			s.normal[i] = pts[(i+1)%len(pts)].Sub(p).Left().Mul(-1).Unit()
		}
	}
	b := geom.EmptyBox()
	for _, p := range pts {
		b = b.AddPoint(p)
	}
	s.mid = b.Center()
	for _, p := range pts {
		s.reach = math.Max(s.reach, p.Dist(s.mid))
	}
	s.reach += r
	return s
}

// put writes the solid turned by the rotation (cos, sin) and moved by at into
// dst, whose buffers are kept.
func (s *solid) put(dst *solid, cos, sin float64, at geom.Point) {
	turn := func(p geom.Point) geom.Point { return geom.Point{X: p.X*cos - p.Y*sin, Y: p.X*sin + p.Y*cos} }
	dst.pts, dst.normal = dst.pts[:0], dst.normal[:0]
	for _, p := range s.pts {
		dst.pts = append(dst.pts, turn(p).Add(at))
	}
	for _, n := range s.normal {
		dst.normal = append(dst.normal, turn(n))
	}
	dst.r, dst.reach, dst.mid = s.r, s.reach, turn(s.mid).Add(at)
}

// encounter is where two solids come nearest to each other, or how deep one is in
// the other.
type encounter struct {
	n      geom.Point // unit, from the first to the second
	pa, pb geom.Point // on the cores of the first and the second
	d      float64    // distance of the solids; negative: the least way that parts them
}

// meet returns the encounter of two solids that are nearer than limit. The
// distance of disjoint ones is exact; for others it is that along the best of
// the edges' normals, which parts convex polygons (separating axes).
func meet(a, b *solid, limit float64) (encounter, bool) {
	need := limit + a.r + b.r
	best := math.Inf(-1)
	var c encounter
	exact := false // the nearest point of the side lies on the side
	for turn := range 2 {
		from, to := a, b
		if turn == 1 {
			from, to = b, a
		}
		core := to.reach - to.r
		for i, n := range from.normal {
			p := from.pts[i]
			// All of the other lies about its middle.
			switch middle := n.X*(to.mid.X-p.X) + n.Y*(to.mid.Y-p.Y); {
			case middle-core >= need:
				return encounter{}, false
			case middle+core <= best:
				continue
			}
			s, at := math.Inf(1), 0
			for k, q := range to.pts {
				if v := n.X*(q.X-p.X) + n.Y*(q.Y-p.Y); v < s {
					s, at = v, k
				}
			}
			if s >= need {
				return encounter{}, false
			}
			if s <= best {
				continue
			}
			best = s
			q := to.pts[at]
			foot := q.Sub(n.Mul(s))
			end := from.pts[(i+1)%len(from.pts)]
			exact = foot.Sub(p).Dot(end.Sub(p)) >= 0 && foot.Sub(end).Dot(p.Sub(end)) >= 0
			if c = (encounter{n: n, pa: foot, pb: q}); turn == 1 {
				c = encounter{n: n.Mul(-1), pa: q, pb: foot}
			}
		}
	}
	if best > 0 && !exact || math.IsInf(best, -1) {
		c.pa, c.pb = closest(a.pts, b.pts)
		best = c.pa.Dist(c.pb)
		if best >= need {
			return encounter{}, false
		}
		if best > 0 {
			c.n = c.pb.Sub(c.pa).Mul(1 / best)
		} else if c.n = b.mid.Sub(a.mid).Unit(); c.n == (geom.Point{}) {
			c.n = geom.Pt(1, 0)
		}
	}
	c.d = best - a.r - b.r
	return c, true
}

// closest returns the nearest points of two disjoint convex polygons.
func closest(a, b []geom.Point) (pa, pb geom.Point) {
	least := math.Inf(1)
	try := func(p, q geom.Point, swap bool) {
		if d := p.Sub(q); d.Dot(d) < least {
			least = d.Dot(d)
			if pa, pb = p, q; swap {
				pa, pb = q, p
			}
		}
	}
	side := func(a, b []geom.Point, swap bool) {
		for i, p := range a {
			q := a[(i+1)%len(a)]
			e := q.Sub(p)
			l := e.Dot(e)
			for _, v := range b {
				t := 0.0
				if l > 0 {
					t = math.Max(0, math.Min(1, v.Sub(p).Dot(e)/l))
				}
				try(p.Add(e.Mul(t)), v, swap)
			}
		}
	}
	side(a, b, false)
	side(b, a, true)
	return pa, pb
}

// sumOf returns the Minkowski sum of two convex polygons: their edges in the
// order of their directions.
func sumOf(a, b []geom.Point) []geom.Point {
	if len(a) == 1 {
		a, b = b, a
	}
	out := make([]geom.Point, 0, len(a)+len(b))
	if len(b) == 1 {
		for _, p := range a {
			out = append(out, p.Add(b[0]))
		}
		return out
	}
	i0, j0 := lowest(a), lowest(b)
	for i, j := 0, 0; i < len(a) || j < len(b); {
		p, q := a[(i0+i)%len(a)], b[(j0+j)%len(b)]
		out = append(out, p.Add(q))
		cross := a[(i0+i+1)%len(a)].Sub(p).Cross(b[(j0+j+1)%len(b)].Sub(q))
		switch {
		case j == len(b) || i < len(a) && cross > 0:
			i++
		case i == len(a) || cross < 0:
			j++
		default:
			i++
			j++
		}
	}
	return out
}

// lowest returns the index of the lowest point, of several the leftmost.
func lowest(p []geom.Point) int {
	k := 0
	for i := range p {
		if p[i].Y < p[k].Y || p[i].Y == p[k].Y && p[i].X < p[k].X {
			k = i
		}
	}
	return k
}
