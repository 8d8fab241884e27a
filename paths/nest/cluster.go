package nest

import (
	"math"

	"proofcut/paths/geom"
)

// shapeKind is a kind of shape prepared for the search, in coordinates about a
// pivot in its middle.
type shapeKind struct {
	parts   []solid
	hull    []geom.Point
	pivot   geom.Point // in the shape's own coordinates
	radius  float64    // of the circle about the pivot that holds it
	round   bool       // a disc about the pivot: turning changes nothing
	area    float64    // holes filled
	turning Turning
	count   int // wanted, limited by what can fit
}

// pose is where a shape's pivot lies and how far the shape is turned.
type pose struct {
	at    geom.Point
	angle float64
}

// member is a shape of a cluster in its present pose.
type member struct {
	kind   int
	pose   pose
	base   float64 // the angle that the tolerance is about
	solids []solid
}

// cluster is a set of shapes on the stock, which may overlap. Its variables are
// three for each member: x, y, and the angle times the shape's radius.
type cluster struct {
	kinds   []shapeKind
	round   *surroundings
	gap     float64
	ease    float64 // extra on every distance
	members []member
	work    int64
	// weight, if set, holds factors for the overlaps of pairs, n by n, with the
	// surroundings on the diagonal.
	weight []float64
}

// Units of work: for a pair of corners that two solids compare, for a pair of
// solids, for a pair of shapes.
const (
	cornerWork = 2
	solidWork  = 16
	pairWork   = 2
)

// place moves member i.
func (c *cluster) place(i int, p pose) {
	m := &c.members[i]
	m.pose = p
	k := &c.kinds[m.kind]
	if len(m.solids) != len(k.parts) {
		m.solids = make([]solid, len(k.parts))
	}
	sin, cos := math.Sincos(p.angle)
	for j := range k.parts {
		k.parts[j].put(&m.solids[j], cos, sin, p.at)
	}
}

// add appends a member.
func (c *cluster) add(kind int, p pose, base float64) {
	c.members = append(c.members, member{kind: kind, base: base})
	c.place(len(c.members)-1, p)
}

// copyFrom makes c's members those of another cluster.
func (c *cluster) copyFrom(o []member) {
	c.members = c.members[:0]
	for _, m := range o {
		c.add(m.kind, m.pose, m.base)
	}
}

// snapshot returns the members' poses.
func (c *cluster) snapshot() []member {
	out := make([]member, len(c.members))
	for i, m := range c.members {
		out[i] = member{kind: m.kind, pose: m.pose, base: m.base}
	}
	return out
}

// slackAngle returns by how much a member is turned beyond its tolerance, with
// the sign of the excess.
func (c *cluster) slackAngle(m *member) float64 {
	t := c.kinds[m.kind].turning
	if t.Free {
		return 0
	}
	switch off := m.pose.angle - m.base; {
	case off > t.Tolerance:
		return off - t.Tolerance
	case off < -t.Tolerance:
		return off + t.Tolerance
	}
	return 0
}

// eachWall calls visit for every half-plane and obstacle that is nearer to
// member m than it may be, with the overlap.
func (c *cluster) eachWall(m *member, visit func(over float64, e encounter)) {
	r := c.kinds[m.kind].radius
	for _, h := range c.round.outside {
		need := c.round.edge + c.ease
		c.work += pairWork
		if h.c-h.n.Dot(m.pose.at)-r >= need {
			continue
		}
		for j := range m.solids {
			s := &m.solids[j]
			far, at := math.Inf(-1), 0
			for k, p := range s.pts {
				if v := h.n.Dot(p); v > far {
					far, at = v, k
				}
			}
			c.work += int64(len(s.pts))
			if over := need - (h.c - far - s.r); over > 0 {
				visit(over, encounter{n: h.n, pa: s.pts[at]})
			}
		}
	}
	for i := range c.round.solids {
		o := &c.round.solids[i]
		need := o.need + c.ease
		reach := r + o.reach + need
		c.work += pairWork
		if d := m.pose.at.Sub(o.mid); d.Dot(d) >= reach*reach {
			continue
		}
		for j := range m.solids {
			c.meet(&m.solids[j], &o.solid, need, visit)
		}
	}
}

// eachPair calls visit for every pair of solids of two members that are nearer
// than they may be.
func (c *cluster) eachPair(a, b *member, visit func(over float64, e encounter)) {
	need := c.gap + c.ease
	reach := c.kinds[a.kind].radius + c.kinds[b.kind].radius + need
	c.work += pairWork
	if d := a.pose.at.Sub(b.pose.at); d.Dot(d) >= reach*reach {
		return
	}
	for i := range a.solids {
		for j := range b.solids {
			c.meet(&a.solids[i], &b.solids[j], need, visit)
		}
	}
}

func (c *cluster) meet(a, b *solid, need float64, visit func(over float64, e encounter)) {
	reach := a.reach + b.reach + need
	if d := a.mid.Sub(b.mid); d.Dot(d) >= reach*reach {
		return
	}
	c.work += int64(solidWork + cornerWork*len(a.pts)*len(b.pts))
	if e, near := meet(a, b, need); near && e.d < need {
		visit(need-e.d, e)
	}
}

// energy is the weighted sum of the squares of all overlaps; see objective.
func (c *cluster) energy(x, g []float64, _ float64) (f, squares float64) {
	c.set(x)
	clear(g)
	n := len(c.members)
	pull := func(i int, over float64, at, n geom.Point, w float64) {
		m := &c.members[i]
		g[3*i] += 2 * w * over * n.X
		g[3*i+1] += 2 * w * over * n.Y
		if k := &c.kinds[m.kind]; !k.fixed() {
			g[3*i+2] += 2 * w * over * at.Sub(m.pose.at).Cross(n) / k.radius
		}
	}
	for i := range c.members {
		a := &c.members[i]
		w := 1.0
		if c.weight != nil {
			w = c.weight[i*n+i]
		}
		c.eachWall(a, func(over float64, e encounter) {
			f += w * over * over
			pull(i, over, e.pa, e.n, w)
		})
		if off := c.slackAngle(a); off != 0 {
			r := c.kinds[a.kind].radius
			f += off * off * r * r
			g[3*i+2] += 2 * off * r
		}
		for j := i + 1; j < n; j++ {
			w := 1.0
			if c.weight != nil {
				w = c.weight[i*n+j]
			}
			c.eachPair(a, &c.members[j], func(over float64, e encounter) {
				f += w * over * over
				pull(i, over, e.pa, e.n, w)
				pull(j, over, e.pb, e.n.Mul(-1), w)
			})
		}
	}
	return f, f
}

// fixed reports whether a shape's angle is no variable.
func (k *shapeKind) fixed() bool { return k.round || !k.turning.Free && k.turning.Tolerance == 0 }

// vector returns the variables.
func (c *cluster) vector(x []float64) []float64 {
	x = resize(x, 3*len(c.members))
	for i, m := range c.members {
		x[3*i], x[3*i+1], x[3*i+2] = m.pose.at.X, m.pose.at.Y, m.pose.angle*c.kinds[m.kind].radius
	}
	return x
}

// set moves the members to the variables.
func (c *cluster) set(x []float64) {
	for i := range c.members {
		m := &c.members[i]
		p := pose{geom.Pt(x[3*i], x[3*i+1]), m.pose.angle}
		if k := &c.kinds[m.kind]; !k.fixed() {
			p.angle = x[3*i+2] / k.radius
		}
		if p != m.pose {
			c.place(i, p)
		}
	}
}

// total returns the sum of all overlaps.
func (c *cluster) total() float64 {
	sum := 0.0
	count := func(over float64, _ encounter) { sum += over }
	for i := range c.members {
		a := &c.members[i]
		c.eachWall(a, count)
		sum += math.Abs(c.slackAngle(a)) * c.kinds[a.kind].radius
		for j := i + 1; j < len(c.members); j++ {
			c.eachPair(a, &c.members[j], count)
		}
	}
	return sum
}

// fits reports whether nothing overlaps by more than the rounding.
func (c *cluster) fits() bool {
	ok := true
	look := func(over float64, _ encounter) { ok = ok && over <= Rounding/2 }
	for i := range c.members {
		a := &c.members[i]
		if c.slackAngle(a) != 0 {
			return false
		}
		c.eachWall(a, look)
		for j := i + 1; j < len(c.members) && ok; j++ {
			c.eachPair(a, &c.members[j], look)
		}
		if !ok {
			return false
		}
	}
	return true
}

// loneOverlap returns the weighted overlaps of member i alone, and stops early
// once they exceed enough.
func (c *cluster) loneOverlap(i int, enough float64) float64 {
	n := len(c.members)
	sum, w := 0.0, 1.0
	count := func(over float64, _ encounter) { sum += w * over }
	a := &c.members[i]
	if c.weight != nil {
		w = c.weight[i*n+i]
	}
	c.eachWall(a, count)
	for j := 0; j < n && sum < enough; j++ {
		if j == i {
			continue
		}
		if c.weight != nil {
			w = c.weight[min(i, j)*n+max(i, j)]
		}
		c.eachPair(a, &c.members[j], count)
	}
	return sum
}
