package scan

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"proofcut/paths/geom"
)

const (
	// squareTrim is the share of a side left out at each end, where the corner
	// bends the edge.
	squareTrim = 0.08
	// straightest is the greatest root mean square error of a side, in pixels.
	straightest = 0.5
	// squareRatio is how much longer the longest side or diagonal of a square may
	// look than the shortest: a camera square-on is turned by a few degrees.
	squareRatio = 1.25
	// leastSquare is the least side in pixels: the corners of a smaller one are
	// too rough a measure.
	leastSquare = 60
)

// quad is a quadrilateral found in the picture.
type quad struct {
	corners [4]geom.Point // round the loop
	rms     float64       // of the edge points from the sides, pixels
	label   int           // of the set pixels it borders
	hole    bool
	loop    int
}

// middle is where the diagonals cross.
func (q quad) middle() geom.Point {
	a, b := q.corners[0], q.corners[2]
	c, d := q.corners[1], q.corners[3]
	u, v := b.Sub(a), d.Sub(c)
	return a.Add(u.Mul(c.Sub(a).Cross(v) / u.Cross(v)))
}

// findSquare returns the one loop that looks like a square.
func findSquare(s sampler, loops []loop, near *geom.Point) (quad, error) {
	var found []quad
	for i, l := range loops {
		if l.frame {
			continue
		}
		if q, ok := asQuad(s, l); ok {
			q.label, q.hole, q.loop = l.label, l.hole, i
			found = append(found, q)
		}
	}
	if len(found) == 0 {
		return quad{}, fmt.Errorf("no reference square is found: it has to lie wholly in the picture, filled or with a line of its own, in a tone that stands out from the bed, %d pixels or more on a side, with nothing touching it", leastSquare)
	}
	if near != nil {
		best := 0
		for i, q := range found {
			if q.middle().Dist(*near) < found[best].middle().Dist(*near) {
				best = i
			}
		}
		return found[best], nil
	}
	// The line of a printed frame is a square inside and outside: the outer counts.
	kept := found[:0]
	for _, q := range found {
		inner := false
		for _, o := range found {
			inner = inner || q.hole && !o.hole && q.label == o.label
		}
		if !inner {
			kept = append(kept, q)
		}
	}
	if found = kept; len(found) > 1 {
		var list []string
		for _, q := range found {
			m := q.middle()
			list = append(list, fmt.Sprintf("(%.0f, %.0f)", m.X, m.Y))
		}
		return quad{}, faulty(SeveralSquares, "%d shapes look like the reference square, at the pixels %s: say which it is", len(found), strings.Join(list, ", "))
	}
	return found[0], nil
}

// asQuad takes a loop for a quadrilateral that could be a square seen at a slant.
func asQuad(s sampler, l loop) (quad, bool) {
	at := fourCorners(l.at)
	if at == nil {
		return quad{}, false
	}
	var rough [4]geom.Point
	for i, k := range at {
		rough[i] = geom.Pt(float64(l.at[k].x), float64(l.at[k].y))
	}
	if !squarish(rough, leastSquare-2) {
		return quad{}, false
	}
	b := fitBorder(s, l)
	if b.seen < leastSeen {
		return quad{}, false
	}
	// Every point goes to the side that it is nearest to, without the ends.
	var sides [4][]geom.Point
	for _, p := range b.points {
		best, side := math.Inf(1), 0
		for i := range rough {
			if d := geom.Line(rough[i], rough[(i+1)%4]).Distance(p); d < best {
				best, side = d, i
			}
		}
		u := rough[(side+1)%4].Sub(rough[side])
		if t := p.Sub(rough[side]).Dot(u) / u.Dot(u); t > squareTrim && t < 1-squareTrim {
			sides[side] = append(sides[side], p)
		}
	}
	var q quad
	var lines [4]fitted
	for i, pts := range sides {
		f, ok := fitLine(pts)
		if !ok || f.rms > straightest {
			return quad{}, false
		}
		lines[i] = f
		q.rms = math.Max(q.rms, f.rms)
	}
	for i := range lines {
		c, ok := lines[(i+3)%4].cross(lines[i])
		if !ok || c.Dist(rough[i]) > 0.1*rough[0].Dist(rough[2]) {
			return quad{}, false
		}
		q.corners[i] = c
	}
	return q, squarish(q.corners, leastSquare)
}

// squarish reports whether four points could be a square seen at a slant.
func squarish(c [4]geom.Point, least float64) bool {
	shortest, longest := math.Inf(1), 0.0
	for i := range c {
		d := c[i].Dist(c[(i+1)%4])
		shortest, longest = math.Min(shortest, d), math.Max(longest, d)
		if c[(i+1)%4].Sub(c[i]).Cross(c[(i+2)%4].Sub(c[(i+1)%4])) == 0 {
			return false
		}
	}
	d, e := c[0].Dist(c[2]), c[1].Dist(c[3])
	return shortest >= least && longest <= squareRatio*shortest && math.Max(d, e) <= squareRatio*math.Min(d, e)
}

// fourCorners returns the places of a loop's four corners: those that are left
// when it is simplified (U. Ramer, 1972; D. H. Douglas, T. K. Peucker, 1973) to a
// fiftieth of its size. Nil when there are not just four.
func fourCorners(at []corner) []int {
	n := len(at)
	if n < 4*leastSquare/2 {
		return nil
	}
	p := func(i int) geom.Point { return geom.Pt(float64(at[i%n].x), float64(at[i%n].y)) }
	var c geom.Point
	for i := range n {
		c = c.Add(p(i).Mul(1 / float64(n)))
	}
	furthest := func(from geom.Point) int {
		best, k := -1.0, 0
		for i := range n {
			if d := p(i).Dist(from); d > best {
				best, k = d, i
			}
		}
		return k
	}
	a := furthest(c)
	b := furthest(p(a))
	tol := p(a).Dist(p(b)) / 50
	var keep []int
	var split func(i, j int)
	split = func(i, j int) {
		best, k := tol, -1
		chord := geom.Line(p(i), p(j))
		for m := i + 1; m < j; m++ {
			if d := chord.Distance(p(m)); d > best {
				best, k = d, m
			}
		}
		if k < 0 || len(keep) > 4 {
			return
		}
		split(i, k)
		keep = append(keep, k%n)
		split(k, j)
	}
	if b < a {
		b += n
	}
	keep = append(keep, a)
	split(a, b)
	keep = append(keep, b%n)
	split(b, a+n)
	if len(keep) != 4 {
		return nil
	}
	sort.Ints(keep)
	return keep
}

// fitted is a line: a point, a unit direction, and the root mean square distance
// of the points it was fitted to.
type fitted struct {
	at, along geom.Point
	rms       float64
}

// fitLine returns the line of least squared distances, which is along the main
// axis of the points' second moments (K. Pearson, 1901).
func fitLine(pts []geom.Point) (fitted, bool) {
	if len(pts) < 8 {
		return fitted{}, false
	}
	c := middle(pts)
	var xx, xy, yy float64
	for _, p := range pts {
		d := p.Sub(c)
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
	}
	sin, cos := math.Sincos(math.Atan2(2*xy, xx-yy) / 2)
	f := fitted{at: c, along: geom.Pt(cos, sin)}
	for _, p := range pts {
		d := f.along.Cross(p.Sub(c))
		f.rms += d * d
	}
	f.rms = math.Sqrt(f.rms / float64(len(pts)))
	return f, true
}

// cross returns where two lines meet.
func (f fitted) cross(g fitted) (geom.Point, bool) {
	d := f.along.Cross(g.along)
	if math.Abs(d) < 0.1 {
		return geom.Point{}, false
	}
	return f.at.Add(f.along.Mul(g.at.Sub(f.at).Cross(g.along) / d)), true
}

// squareMap returns the map from pixels to mm, Y up, in which the corners are a
// square of the given side with the origin at its lower left. Which corner that
// is is as it looks in the picture.
func (q quad) squareMap(side float64) (homography, error) {
	m := q.middle()
	first, best := 0, math.Inf(-1)
	for i, c := range q.corners {
		if d := c.Sub(m).Unit(); d.Y-d.X > best { // Y down: left and low
			best, first = d.Y-d.X, i
		}
	}
	var from [4]geom.Point
	for i := range from {
		from[i] = q.corners[(first+i)%4]
	}
	to := [4]geom.Point{{X: 0, Y: 0}, {X: 0, Y: side}, {X: side, Y: side}, {X: side, Y: 0}}
	// Loops round set pixels go clockwise as seen: from the lower left up. Those of
	// holes the other way.
	if q.hole {
		from[1], from[3] = from[3], from[1]
	}
	return throughCorners(from, to)
}
