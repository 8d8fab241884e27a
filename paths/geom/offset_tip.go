package geom

import (
	"cmp"
	"math"
	"slices"
)

// A level made from a fit is up to twice the fit's slack farther from the source than
// it should be. Where two curves of it meet at an angle the corner of the true level
// is farther off, by that over the sine of half the angle. Such corners are put in
// their places, and what comes of that is held against the source itself.

// tip is a corner of a level.
type tip struct {
	contour, seg int // that ends at it
	at           Point
	sine         float64 // of half the angle
	sharp        bool    // it is off by too much

	// The way to where it should be leaves a segment, no later than that at the tip,
	// and comes back to one.
	first, last int
	in, out     Seg
}

// reach is how far the true corner may be from a tip.
func (t *tip) reach(slack float64) float64 { return 2 * slack / t.sine }

const (
	// bluntTip is the sine of half the angle from which on a corner is none.
	bluntTip = 0.98
	// tipMiss is how far in mm from the true one a corner may be put.
	tipMiss = 0.8e-3
	// tipRun is how far in mm before a tip the way to its place sets out, or farther.
	tipRun = 0.005
	// tipLong is the greatest part of the distance that a tip may have to be moved by.
	tipLong = 0.05
	// tipRounds is how often the place of a corner is made better.
	tipRounds = 3
)

// sharpen puts the corners of a level at distance d in their places for which the
// slack of the fit that it is made from is too much. It returns false, and leaves
// the level as it is, where that cannot be done for all of them.
func (s *standIns) sharpen(level Region, d float64) bool {
	slack := s.fit.slack
	tips := s.found[:0]
	some := false
	for i, c := range level {
		_, arriving := c[0].directions()
		for j := range c {
			next := &c[(j+1)%len(c)]
			from, to := next.directions()
			if sine := halfSine(arriving, from); sine < bluntTip {
				t := tip{contour: i, seg: j, at: next.A, sine: sine, sharp: sine*fitMiss < 2*slack}
				tips, some = append(tips, t), some || t.sharp
			}
			arriving = to
		}
	}
	if s.found = tips; !some {
		return true
	}
	if crowded(tips, slack) {
		return false
	}
	if s.index == nil {
		s.index = NewIndex(s.source.r)
	}
	put := make([]Contour, 0, len(level))
	for i, c := range level {
		n := 0
		for n < len(tips) && tips[n].contour == i {
			n++
		}
		c, ok := s.sharpened(c, tips[:n], d)
		if !ok {
			return false
		}
		put, tips = append(put, c), tips[n:]
	}
	copy(level, put)
	return true
}

// sharpened returns a contour with its sharp corners in their places. tips are all
// of its corners, in their order.
func (s *standIns) sharpened(c Contour, tips []tip, d float64) (Contour, bool) {
	if !slices.ContainsFunc(tips, func(t tip) bool { return t.sharp }) {
		return c, true
	}
	n := len(c)
	out, left := make(Contour, 0, n+2*len(tips)), slices.Clone(c)
	gone := make([]bool, n)
	for i := range tips {
		if t := &tips[i]; t.sharp {
			if !s.place(t, c, tips, d) {
				return nil, false
			}
			left[t.first].B, left[t.last].A = t.in.A, t.out.B
			for j := t.first; j != t.seg; {
				j = (j + 1) % n
				gone[j] = true
			}
			for j := (t.seg + 1) % n; j != t.last; j = (j + 1) % n {
				gone[j] = true
			}
		}
	}
	for j := range c {
		if !gone[j] {
			out = append(out, left[j])
		}
		for ; len(tips) > 0 && tips[0].seg == j; tips = tips[1:] {
			if t := &tips[0]; t.sharp {
				if gone[t.first] || gone[t.last] {
					return nil, false // two want the same
				}
				out = append(out, t.in, t.out)
			}
		}
	}
	return out, true
}

// place finds where the tip t of contour c should be, and the way there. It returns
// false where the source does not bear it out.
func (s *standIns) place(t *tip, c Contour, tips []tip, d float64) bool {
	x := s.index
	reach := t.reach(s.fit.slack)
	run := max(reach, min(tipRun, tipLong*d))
	if reach > tipLong*d || t.sine < s.fit.turn {
		return false
	}
	from, to, ok := ends(t, c, tips, run)
	if !ok {
		run = reach // another tip is near
		if from, to, ok = ends(t, c, tips, run); !ok {
			return false
		}
	}
	// The sides must not bend so much that they could meet more than once.
	bend := 0.0
	for j := t.first; ; j = (j + 1) % len(c) {
		if c[j].IsArc() {
			bend = max(bend, 1/c[j].Radius())
		}
		if j == t.last {
			break
		}
	}
	if (2.5*reach+run)*bend > t.sine/2 {
		return false
	}
	// The corner is where the tangents at the feet of two points near it, one nearer
	// to either side, are as far from them as they should be.
	apex, near := t.at, [2]Point{from, to}
	var foot, normal [2]Point
	for range tipRounds {
		for i, p := range near {
			foot[i] = x.Closest(p)
			normal[i] = p.Sub(foot[i]).Unit()
		}
		u, v := normal[0], normal[1]
		p, q, k := d-u.Dot(apex.Sub(foot[0])), d-v.Dot(apex.Sub(foot[1])), u.Cross(v)
		apex = apex.Add(Point{(p*v.Y - q*u.Y) / k, (q*u.X - p*v.X) / k})
		if !(apex.Dist(t.at) <= 1.5*reach) {
			return false
		}
		for i := range near {
			near[i] = apex.Sub(normal[i].Mul(2 * s.fit.slack))
		}
	}
	way := apex.Sub(t.at)
	if way.Dot(from.Add(to).Sub(t.at.Mul(2))) > 0 {
		return false
	}
	for part := 1. / 64; ; part *= 2 {
		t.in, t.out = like(&c[t.first], from, apex), like(&c[t.last], apex, to)
		if !x.within(t.in, d-Tol/2) && !x.within(t.out, d-Tol/2) {
			break
		}
		if part > 1 {
			return false
		}
		apex = t.at.Add(way.Mul(1 - part))
	}
	// No farther than this from either side it is no farther than tipMiss from the
	// true corner.
	far := tipMiss * t.sine
	for i, p := range foot {
		if apex.Dist(p) <= d+far {
			continue
		}
		nearer := apex.Sub(normal[i].Mul(far))
		if normal[0].Dot(normal[1]) > 0 || !x.within(Line(nearer, nearer), d) {
			return false
		}
	}
	return true
}

// ends returns the points of contour c by run before and after the tip t, and notes
// the segments that they lie on. It returns false where another tip is in between.
func ends(t *tip, c Contour, tips []tip, run float64) (from, to Point, ok bool) {
	n := len(c)
	between := func(j int) bool { // the tip at the end of segment j, if any
		return slices.ContainsFunc(tips, func(o tip) bool { return o.seg == j })
	}
	j, rest := t.seg, run
	for rest > c[j].Length()/2 {
		rest -= c[j].Length()
		if j = (j + n - 1) % n; rest < 0 || between(j) {
			return from, to, false
		}
	}
	t.first, from = j, c[j].At(1-rest/c[j].Length())
	j, rest = (t.seg+1)%n, run
	for rest > c[j].Length()/2 {
		if rest -= c[j].Length(); rest < 0 || between(j) {
			return from, to, false
		}
		j = (j + 1) % n
	}
	t.last, to = j, c[j].At(rest/c[j].Length())
	return from, to, true
}

// like returns the segment from p to q that bends as s does, a line where that is less
// than counts.
func like(s *Seg, p, q Point) Seg {
	half, r := q.Sub(p).Mul(0.5), s.Radius()
	l := half.Len()
	if s.Turn == Straight || l*l < r*Tol/2 || l >= r {
		return Line(p, q)
	}
	up := float64(s.Turn) * math.Sqrt((r-l)*(r+l)) / l
	return Arc(p, q, p.Add(half).Add(half.Left().Mul(up)), s.Turn)
}

// crowded reports whether another corner lies within reach of a sharp one. There a
// neck of the source may be about as wide as the level is off, and what the level
// has on either side of it may be one.
func crowded(tips []tip, slack float64) bool {
	order := make([]*tip, len(tips))
	most := 0.0
	for i := range tips {
		order[i] = &tips[i]
		if tips[i].sharp {
			most = max(most, tips[i].reach(slack))
		}
	}
	slices.SortFunc(order, func(a, b *tip) int { return cmp.Compare(a.at.X, b.at.X) })
	for i, a := range order {
		for _, b := range order[i+1:] {
			if b.at.X-a.at.X > 2*most {
				break
			}
			reach := 0.0
			for _, t := range [2]*tip{a, b} {
				if t.sharp {
					reach = max(reach, t.reach(slack))
				}
			}
			if a.at.Dist(b.at) <= 2*reach {
				return true
			}
		}
	}
	return false
}

// halfSine returns the sine of half the angle between a segment that arrives in
// direction u and the next that sets out in direction v, 1 where it is all but straight.
func halfSine(u, v Point) float64 {
	dot, size := u.Dot(v), u.Dot(u)*v.Dot(v)
	if dot > 0 && dot*dot > 0.9*size {
		return 1
	}
	return math.Sqrt(math.Max(0, (1+dot/math.Sqrt(size))/2))
}
