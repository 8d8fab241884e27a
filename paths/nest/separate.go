package nest

import (
	"math"

	"proofcut/paths/geom"
)

// separation parts the overlaps of a cluster. It alternates between moving all
// shapes downhill together and moving single shapes, those that overlap, to the
// best of many places; overlaps that stay get heavier, so that the search leaves
// every trap in the end (guided local search: C. Voudouris, E. Tsang, Guided
// local search and its application to the traveling salesman problem, 1999;
// used for nesting by J. Egeblad, B. K. Nielsen, A. Odgaard, Fast neighborhood
// search for two- and three-dimensional nesting problems, 2007).
type separation struct {
	s *shapeSearch
	c *cluster
	l lbfgs
	x []float64
}

const (
	descentSteps = 80
	// weightGrowth is by how much the largest overlap's weight grows in a round,
	// weightDecay by what factor those of the others fall.
	weightGrowth = 0.6
	weightDecay  = 0.95
	randomPlaces = 24 // tried for a shape that overlaps, anywhere
	nearPlaces   = 10 // and about where it is
	refined      = 3  // the best of these are moved downhill
)

// run reports whether it has parted all overlaps before stop says so.
func (p *separation) run(stop func() bool) bool {
	c, n := p.c, len(p.c.members)
	p.evenWeights()
	best := math.Inf(1)
	var keep []member
	stale := 0
	for !stop() {
		p.s.report(n, c.work)
		if p.descend() {
			return true
		}
		total := c.total()
		if total < best*0.999 {
			best, keep, stale = total, c.snapshot(), 0
		} else if stale++; stale > 20+n {
			// Start anew from the best with two shapes exchanged.
			c.copyFrom(keep)
			p.exchange()
			stale = 0
			p.evenWeights()
		}
		p.reweigh()
		for _, i := range p.s.rng.Perm(n) {
			if stop() {
				return false
			}
			if over := c.loneOverlap(i, math.Inf(1)); over > Rounding {
				p.relocate(i, over)
			}
		}
	}
	return false
}

// evenWeights forgets which overlaps were hard to part.
func (p *separation) evenWeights() {
	n := len(p.c.members)
	p.c.weight = resize(p.c.weight, n*n)
	for i := range p.c.weight {
		p.c.weight[i] = 1
	}
}

// descend moves all shapes downhill and reports whether nothing overlaps then.
func (p *separation) descend() bool {
	c := p.c
	c.ease = p.s.ease()
	p.x = c.vector(p.x)
	longest := math.Inf(1)
	for _, m := range c.members {
		longest = math.Min(longest, 0.3*c.kinds[m.kind].radius)
	}
	weight := c.weight
	before := math.Inf(1)
	for range 6 {
		f := p.l.minimise(c, p.x, 0, 1e-9, longest, descentSteps)
		c.set(p.x)
		p.clamp()
		c.ease = 0
		if c.fits() {
			c.weight = weight
			return true
		}
		c.ease = p.s.ease()
		if f > 0.5*before {
			break
		}
		before = f
		// The last of it by plain squares: weights make the valley narrow.
		if f < 1e-3*longest*longest {
			c.weight = nil
		}
	}
	c.weight, c.ease = weight, 0
	return false
}

// clamp brings the angles into their tolerances.
func (p *separation) clamp() {
	c := p.c
	for i := range c.members {
		m := &c.members[i]
		if c.slackAngle(m) == 0 {
			continue
		}
		t := c.kinds[m.kind].turning.Tolerance
		c.place(i, pose{m.pose.at, math.Max(m.base-t, math.Min(m.base+t, m.pose.angle))})
	}
	p.x = c.vector(p.x)
}

// reweigh makes the overlaps that are left heavier.
func (p *separation) reweigh() {
	c, n := p.c, len(p.c.members)
	over := make([]float64, n*n)
	most := 0.0
	for i := range c.members {
		a := &c.members[i]
		add := func(j int) func(float64, encounter) {
			return func(v float64, _ encounter) {
				over[i*n+j] += v
				most = math.Max(most, over[i*n+j])
			}
		}
		c.eachWall(a, add(i))
		for j := i + 1; j < n; j++ {
			c.eachPair(a, &c.members[j], add(j))
		}
	}
	for i := range over {
		if over[i] > 0 {
			c.weight[i] *= 1 + weightGrowth*over[i]/most
		} else {
			c.weight[i] = math.Max(1, c.weight[i]*weightDecay)
		}
	}
}

// relocate moves member i to the place with the least weighted overlap of many,
// if that is less than the present one.
func (p *separation) relocate(i int, over float64) {
	c, rng := p.c, p.s.rng
	m := &c.members[i]
	k := &c.kinds[m.kind]
	from := m.pose
	fromBase := m.base
	type trial struct {
		at   pose
		base float64
		over float64
	}
	top := make([]trial, 0, refined+1)
	consider := func(at pose, base float64) {
		enough := math.Inf(1)
		if len(top) == refined {
			enough = top[refined-1].over
		}
		m.base = base
		c.place(i, at)
		v := c.loneOverlap(i, enough)
		if v >= enough {
			return
		}
		top = append(top, trial{at, base, v})
		for j := len(top) - 1; j > 0 && top[j].over < top[j-1].over; j-- {
			top[j], top[j-1] = top[j-1], top[j]
		}
		top = top[:min(len(top), refined)]
	}
	consider(from, fromBase)
	for range randomPlaces {
		t := p.s.anyTurn(k)
		consider(pose{p.s.anywhere(), t.angle}, t.base)
	}
	for range nearPlaces {
		d := geom.Polar(k.radius*rng.Float64(), 2*math.Pi*rng.Float64())
		a, base := from.angle, fromBase
		switch {
		case k.fixed():
		case k.turning.Free:
			a += 0.3 * (2*rng.Float64() - 1)
			base = a
		default:
			a = base + k.turning.Tolerance*(2*rng.Float64()-1)
		}
		consider(pose{from.at.Add(d), a}, base)
	}
	best := trial{from, fromBase, over}
	for _, t := range top {
		m.base = t.base
		c.place(i, t.at)
		if v := p.slide(i, t.over); v < best.over {
			best = trial{m.pose, t.base, v}
		}
	}
	m.base = best.base
	c.place(i, best.at)
}

// slideSteps bounds the moves of a single shape downhill.
const slideSteps = 12

// slide moves member i alone out of its overlaps as long as that helps, and
// returns what is left.
func (p *separation) slide(i int, over float64) float64 {
	c, n := p.c, len(p.c.members)
	m := &c.members[i]
	k := &c.kinds[m.kind]
	factor := 1.0
	for range slideSteps {
		if over == 0 {
			break
		}
		var push geom.Point
		spin, sum := 0.0, 0.0
		w := 1.0
		pull := func(v float64, at, nrm geom.Point) {
			push = push.Sub(nrm.Mul(w * v))
			if !k.fixed() {
				spin -= w * v * at.Sub(m.pose.at).Cross(nrm) / k.radius
			}
			sum += w
		}
		w = c.weight[i*n+i]
		c.eachWall(m, func(v float64, e encounter) { pull(v, e.pa, e.n) })
		for j := range c.members {
			if j != i {
				w = c.weight[min(i, j)*n+max(i, j)]
				c.eachPair(m, &c.members[j], func(v float64, e encounter) { pull(v, e.pa, e.n) })
			}
		}
		if sum == 0 {
			return 0
		}
		from := m.pose
		to := pose{from.at.Add(push.Mul(factor * 1.5 / sum)), from.angle + spin*factor*1.5/sum/k.radius}
		if !k.turning.Free {
			t := k.turning.Tolerance
			to.angle = math.Max(m.base-t, math.Min(m.base+t, to.angle))
		}
		c.place(i, to)
		if v := c.loneOverlap(i, over); v < over {
			over = v
			continue
		}
		c.place(i, from)
		if factor /= 3; factor < 0.1 {
			break
		}
	}
	return over
}

// exchange swaps the places of two members, preferably of different kinds, or
// moves one anywhere.
func (p *separation) exchange() {
	c, rng := p.c, p.s.rng
	n := len(c.members)
	i, j := rng.IntN(n), rng.IntN(n)
	for range 10 {
		if c.members[i].kind != c.members[j].kind {
			break
		}
		j = rng.IntN(n)
	}
	if i == j || c.members[i].kind == c.members[j].kind {
		t := p.s.anyTurn(&c.kinds[c.members[i].kind])
		c.members[i].base = t.base
		c.place(i, pose{p.s.anywhere(), t.angle})
		return
	}
	a, b := c.members[i].pose, c.members[j].pose
	c.place(i, pose{b.at, a.angle})
	c.place(j, pose{a.at, b.angle})
}

// anywhere returns a random place in the stock's box.
func (s *shapeSearch) anywhere() geom.Point {
	b := s.round.box
	return geom.Pt(b.Min.X+s.rng.Float64()*b.Size().X, b.Min.Y+s.rng.Float64()*b.Size().Y)
}

// anyTurn returns a random angle that a kind may have.
func (s *shapeSearch) anyTurn(k *shapeKind) turn {
	t := k.turning
	switch {
	case k.round:
		return turn{t.Angle, t.Angle}
	case t.Free:
		a := 2 * math.Pi * s.rng.Float64()
		return turn{a, a}
	}
	base := t.Angle
	if t.HalfTurn && s.rng.IntN(2) == 0 {
		base += math.Pi
	}
	return turn{base + t.Tolerance*(2*s.rng.Float64()-1), base}
}

// ease returns the extra that every distance should have.
func (s *shapeSearch) ease() float64 { return 2 * Ease }

// grow adds shapes of a kind one by one as long as overlaps can be parted.
// Shapes of later kinds make way and come back where there is room left.
func (s *shapeSearch) grow(kind int) {
	for !s.stop(0) && s.countsOf(s.best)[kind] < s.kinds[kind].count {
		c := s.cluster()
		for _, m := range s.best {
			if m.kind <= kind {
				c.add(m.kind, m.pose, m.base)
			}
		}
		t := s.anyTurn(&s.kinds[kind])
		c.add(kind, pose{s.anywhere(), t.angle}, t.base)
		n := len(c.members)
		p := &separation{s: s, c: c}
		p.evenWeights()
		for range firstTries { // a good place for the new one
			p.relocate(n-1, math.Inf(1))
		}
		s.report(n, 0)
		parted := p.run(func() bool { return s.stop(c.work) })
		s.work += c.work
		if !parted {
			return
		}
		s.best = c.snapshot()
		s.refill(kind + 1)
		s.report(len(s.best), 0)
	}
}

// firstTries is how often a place is sought for a shape that is added.
const firstTries = 4

// refill lays shapes of the kinds from first on into the room that is left.
func (s *shapeSearch) refill(first int) {
	c := s.cluster()
	c.copyFrom(s.best)
	end := s.end
	s.end = math.MaxInt64
	for k := first; k < len(s.kinds); k++ {
		s.fill(c, k, geom.Pt(0, 1), firstTurns, false)
	}
	s.end = end
	s.work += c.work
	s.best = c.snapshot()
}

// settle gives every distance a little more than asked, where there is room,
// unless neighbours shall touch.
func (s *shapeSearch) settle() {
	if s.m.Touch || len(s.best) == 0 {
		return
	}
	c := s.cluster()
	c.copyFrom(s.best)
	p := &separation{s: s, c: c}
	if p.descend() {
		s.best = c.snapshot()
	}
}
