package paths

import (
	"math"
	"sort"

	"proofcut/paths/geom"
)

// knot is a height at a distance along a path. Between knots the height changes
// evenly; two knots at one distance are a straight move up or down.
type knot struct{ s, z float64 }

// rail is a path that can be asked by length.
type rail struct {
	path geom.Path
	at   []float64 // at[i] is the length before segment i, the last entry the whole
}

func newRail(p geom.Path) rail {
	r := rail{path: p, at: make([]float64, len(p)+1)}
	for i, g := range p {
		r.at[i+1] = r.at[i] + g.Length()
	}
	return r
}

func (r rail) length() float64 { return r.at[len(r.path)] }

// locate returns the segment at length s and the fraction of it before s.
func (r rail) locate(s float64) (int, float64) {
	i := sort.Search(len(r.path)-1, func(i int) bool { return r.at[i+1] > s })
	l := r.at[i+1] - r.at[i]
	if l <= 0 {
		return i, 0
	}
	return i, math.Max(0, math.Min(1, (s-r.at[i])/l))
}

func (r rail) point(s float64) geom.Point {
	i, t := r.locate(s)
	return r.path[i].At(t)
}

// tangent returns the unit direction of travel at length s.
func (r rail) tangent(s float64) geom.Point {
	i, t := r.locate(s)
	return r.path[i].Tangent(t)
}

// part returns the stretch between two lengths.
func (r rail) part(s0, s1 float64) geom.Path {
	var out geom.Path
	for i, g := range r.path {
		l := r.at[i+1] - r.at[i]
		a, b := math.Max(s0, r.at[i]), math.Min(s1, r.at[i+1])
		if b-a <= geom.Tol || l <= 0 {
			continue
		}
		out = append(out, piece(g, (a-r.at[i])/l, (b-r.at[i])/l))
	}
	return out
}

// piece returns the stretch of a segment between two fractions of its length.
func piece(g geom.Seg, t0, t1 float64) geom.Seg {
	p := g
	if t0 > 0 {
		p.A = g.At(t0)
	}
	if t1 < 1 {
		p.B = g.At(t1)
	}
	return p
}

// repeat returns the closed path run n times in a row.
func repeat(p geom.Path, n int) geom.Path {
	out := make(geom.Path, 0, n*len(p))
	for range n {
		out = append(out, p...)
	}
	return out
}

// fold returns the open path run n times in a row, there and back.
func fold(p geom.Path, n int) geom.Path {
	back := p.Reverse()
	out := make(geom.Path, 0, n*len(p))
	for i := range n {
		if i%2 == 0 {
			out = append(out, p...)
		} else {
			out = append(out, back...)
		}
	}
	return out
}

// rotated returns a closed path that starts at length s.
func rotated(p geom.Path, s float64) geom.Path {
	r := newRail(p)
	if s <= geom.Tol || s >= r.length()-geom.Tol {
		return p
	}
	if len(p) == 1 && p[0].IsArc() { // a full circle stays one segment
		g := p[0]
		a := r.point(s)
		g.A, g.B = a, a
		return geom.Path{g}
	}
	return append(r.part(s, r.length()), r.part(0, s)...)
}

// follow runs along a path at the heights of the knots, from the first knot's
// distance to the last one's. Where that would take the tool down faster than
// the plunge feed, the feed is less.
func follow(r rail, knots []knot, feed, plunge float64) Cut {
	first := knots[0]
	c := Cut{Start: r.point(first.s).At(first.z)}
	for i := 1; i < len(knots); i++ {
		k0, k1 := knots[i-1], knots[i]
		f := feed
		if down := k0.z - k1.z; down > 0 {
			f = math.Min(feed, plunge*math.Hypot(k1.s-k0.s, down)/down)
		}
		if k1.s-k0.s <= geom.Tol {
			if math.Abs(k1.z-k0.z) > geom.Tol {
				c.Moves = append(c.Moves, Move{To: c.End().XY().At(k1.z), Feed: f})
			}
			continue
		}
		j, _ := r.locate(k0.s)
		for ; j < len(r.path) && r.at[j] < k1.s-geom.Tol; j++ {
			l := r.at[j+1] - r.at[j]
			a, b := math.Max(k0.s, r.at[j]), math.Min(k1.s, r.at[j+1])
			if b-a <= geom.Tol {
				continue
			}
			t0, t1 := (a-r.at[j])/l, (b-r.at[j])/l
			if l-(b-r.at[j]) <= geom.Tol {
				t1, b = 1, r.at[j+1]
			}
			g := piece(r.path[j], t0, t1)
			z := k0.z + (k1.z-k0.z)*math.Min(1, (b-k0.s)/(k1.s-k0.s))
			if k1.s-b <= geom.Tol {
				z = k1.z
			}
			c.Moves = append(c.Moves, Move{To: g.B.At(z), C: g.C, Turn: g.Turn, Feed: f})
		}
	}
	return c
}

// laps returns the knots of passes round a closed path of the given length: a
// ramp from each level to the next along the path and one level lap.
func laps(length, top float64, levels []float64, angle float64) []knot {
	u, z := 0.0, top
	knots := []knot{{u, z}}
	for _, level := range levels {
		u += (z - level) / math.Tan(angle)
		knots = append(knots, knot{u, level}, knot{u + length, level})
		u += length
		z = level
	}
	return knots
}

// traverses returns the knots of passes there and back along an open path of
// the given length: a ramp down, to the end of the path, and back over the ramp.
func traverses(length, top float64, levels []float64, angle float64) []knot {
	u, z := 0.0, top
	knots := []knot{{u, z}}
	for _, level := range levels {
		bottom := u + (z-level)/math.Tan(angle)
		knots = append(knots, knot{bottom, level})
		end := math.Ceil((bottom-geom.Tol)/length) * length
		u = end + length
		knots = append(knots, knot{u, level})
		z = level
	}
	return knots
}

// ridge is a stretch of a path over which the tool keeps above a height: flat
// from a to b, and sloping down to both sides over run (0: vertical).
type ridge struct{ a, b, top, run float64 }

// over lifts knots above ridges; ridges are sorted, apart from each other and
// lie in the knots' range of distances. No knot lies below floor.
func over(knots []knot, ridges []ridge, floor float64) []knot {
	if len(ridges) == 0 {
		return knots
	}
	var stops []float64
	for _, k := range knots {
		stops = append(stops, k.s)
	}
	for _, r := range ridges {
		stops = append(stops, r.a-r.run, r.a, r.b, r.b+r.run)
	}
	sort.Float64s(stops)
	lo, hi := knots[0].s, knots[len(knots)-1].s
	out := []knot{}
	add := func(s, z float64) {
		z = math.Max(z, floor) // not a rounding error below it
		if n := len(out); n > 0 && math.Abs(out[n-1].s-s) <= geom.Tol && math.Abs(out[n-1].z-z) <= geom.Tol {
			return
		}
		out = append(out, knot{s, z})
	}
	for i := 1; i < len(stops); i++ {
		s0, s1 := math.Max(lo, stops[i-1]), math.Min(hi, stops[i])
		if s1-s0 <= geom.Tol {
			continue
		}
		mid := (s0 + s1) / 2
		b0, b1 := onKnots(knots, mid, s0, s1)
		h0, h1 := onRidges(ridges, mid, s0, s1, floor)
		add(s0, math.Max(b0, h0))
		if d0, d1 := b0-h0, b1-h1; d0*d1 < 0 {
			t := d0 / (d0 - d1)
			add(s0+t*(s1-s0), b0+t*(b1-b0))
		}
		add(s1, math.Max(b1, h1))
	}
	return straightened(out)
}

// straightened leaves out knots that lie on the line between their neighbours.
func straightened(knots []knot) []knot {
	out := knots[:0]
	for i, k := range knots {
		if n := len(out); n > 0 && i+1 < len(knots) {
			a, b := out[n-1], knots[i+1]
			if d := b.s - a.s; k.s-a.s > geom.Tol && b.s-k.s > geom.Tol && math.Abs(a.z+(b.z-a.z)*(k.s-a.s)/d-k.z) <= geom.Tol/2 {
				continue
			}
		}
		out = append(out, k)
	}
	return out
}

// onKnots returns the heights at s0 and s1 on the straight line of the pair of
// knots round mid.
func onKnots(knots []knot, mid, s0, s1 float64) (float64, float64) {
	i := sort.Search(len(knots)-1, func(i int) bool { return knots[i].s > mid })
	i = max(i, 1)
	for i < len(knots)-1 && knots[i].s < mid {
		i++
	}
	a, b := knots[i-1], knots[i]
	slope := (b.z - a.z) / (b.s - a.s)
	return a.z + slope*(s0-a.s), a.z + slope*(s1-a.s)
}

func onRidges(ridges []ridge, mid, s0, s1, floor float64) (float64, float64) {
	for _, r := range ridges {
		switch {
		case mid < r.a-r.run || mid > r.b+r.run:
			continue
		case mid < r.a:
			return r.top - (r.top-floor)*(r.a-s0)/r.run, r.top - (r.top-floor)*(r.a-s1)/r.run
		case mid > r.b:
			return r.top - (r.top-floor)*(s0-r.b)/r.run, r.top - (r.top-floor)*(s1-r.b)/r.run
		}
		return r.top, r.top
	}
	return math.Inf(-1), math.Inf(-1)
}
