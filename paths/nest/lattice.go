package nest

import (
	"cmp"
	"container/heap"
	"math"
	"slices"

	"proofcut/paths/geom"
)

// lattice is a regular arrangement of centres: the points
// pivot + R(angle) * spacing * ((i+u) e1 + (j+v) e2).
type lattice struct {
	hexagonal  bool
	spacing    float64
	angle      float64
	u, v       float64 // 0 to 1
	pivot      geom.Point
	reachLimit float64 // points farther from the pivot are left out
	stretch    float64 // of the distance between rows; 0 means 1
}

// basis returns the two steps of the lattice.
func (l lattice) basis() (e1, e2 geom.Point) {
	e1 = geom.Polar(l.spacing, l.angle)
	turn := math.Pi / 2
	if l.hexagonal {
		turn = math.Pi / 3
	}
	e2 = geom.Polar(l.spacing, l.angle+turn)
	if l.stretch != 0 {
		up := geom.Polar(1, l.angle+math.Pi/2)
		e2 = e2.Add(up.Mul((l.stretch - 1) * e2.Dot(up)))
	}
	return e1, e2
}

// each calls visit with every lattice point inside the box and the reach.
func (l lattice) each(box geom.Box, visit func(geom.Point)) {
	e1, e2 := l.basis()
	det := e1.Cross(e2)
	o := l.pivot.Add(e1.Mul(l.u)).Add(e2.Mul(l.v))
	height := det / l.spacing // distance of rows along e1
	rows := int(math.Ceil(l.reachLimit/height)) + 1
	dir := e1.Mul(1 / l.spacing)
	for j := -rows; j <= rows; j++ {
		q := o.Add(e2.Mul(float64(j)))
		// The stretch of the row within the box.
		lo, hi := math.Inf(-1), math.Inf(1)
		clip := func(p, d, low, high float64) {
			switch {
			case d > 1e-12:
				lo, hi = math.Max(lo, (low-p)/d), math.Min(hi, (high-p)/d)
			case d < -1e-12:
				lo, hi = math.Max(lo, (high-p)/d), math.Min(hi, (low-p)/d)
			case p < low || p > high:
				lo, hi = 1, 0
			}
		}
		clip(q.X, dir.X, box.Min.X, box.Max.X)
		clip(q.Y, dir.Y, box.Min.Y, box.Max.Y)
		// A hair more, so that rounding drops no point on the box.
		hair := 1e-9 * l.spacing
		for i := math.Ceil((lo - hair) / l.spacing); i*l.spacing <= hi+hair; i++ {
			visit(q.Add(e1.Mul(i)))
		}
	}
}

// latticeSearch finds the best lattice over all angles and shifts by branch
// and bound: within a cell of the parameters no point moves by more than a
// known distance, so the points that are that near to the free set bound the
// count from above.
type latticeSearch struct {
	f       *field
	radius  float64
	box     geom.Box // of the free set
	base    lattice
	reach   float64 // farthest point of the box from the pivot
	best    int
	bestAt  lattice
	work    *int64
	queue   latticeQueue
	serial  int
	maxTurn float64
}

type latticeCell struct {
	l          lattice
	ha, hu, hv float64 // half widths
	upper      int
	move       float64
	serial     int
	count      int
}

type latticeQueue []latticeCell

func (q latticeQueue) Len() int { return len(q) }
func (q latticeQueue) Less(i, j int) bool {
	switch {
	case q[i].upper != q[j].upper:
		return q[i].upper > q[j].upper
	case q[i].count != q[j].count:
		return q[i].count > q[j].count
	}
	return q[i].serial < q[j].serial
}
func (q latticeQueue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *latticeQueue) Push(x any)   { *q = append(*q, x.(latticeCell)) }
func (q *latticeQueue) Pop() any {
	old := *q
	c := old[len(old)-1]
	*q = old[:len(old)-1]
	return c
}

// latticeFine is the movement, relative to the spacing, below which a cell is
// not split again: what a lattice could gain inside is out of any machine's
// reach.
const latticeFine = 1e-6

func newLatticeSearch(f *field, radius, spacing float64, hexagonal bool, work *int64) *latticeSearch {
	box := f.box.Grow(-radius)
	s := &latticeSearch{f: f, radius: radius, box: box, work: work,
		base:    lattice{hexagonal: hexagonal, spacing: spacing, pivot: box.Center()},
		reach:   box.Size().Len() / 2,
		maxTurn: math.Pi / 2,
	}
	if hexagonal {
		s.maxTurn = math.Pi / 3
	}
	s.base.reachLimit = s.reach + 2*spacing
	if box.Empty() {
		return s
	}
	s.tryCorners()
	s.tryCentre()
	turns := int(math.Min(64, math.Max(4, math.Ceil(s.reach/spacing*2))))
	const shifts = 3
	for i := range turns {
		for j := range shifts {
			for k := range shifts {
				c := latticeCell{l: s.base, ha: s.maxTurn / float64(turns) / 2, hu: 0.5 / shifts, hv: 0.5 / shifts}
				c.l.angle = (2*float64(i) + 1) * c.ha
				c.l.u = (2*float64(j) + 1) * c.hu
				c.l.v = (2*float64(k) + 1) * c.hv
				s.push(c)
			}
		}
	}
	return s
}

// exactCorners bounds the edges whose corners are tried, longest first.
const exactCorners = 24

// tryCorners counts the lattices that lie flush in a corner of the stock: the
// ones that fit exactly into rectangles and are hit by no bisection.
func (s *latticeSearch) tryCorners() {
	g := &s.f.groups[0]
	var edges []int
	for i := range g.walls {
		if !g.walls[i].arc {
			edges = append(edges, i)
		}
	}
	slices.SortStableFunc(edges, func(a, b int) int { return cmp.Compare(g.walls[b].length, g.walls[a].length) })
	inset := s.radius + g.offset
	for _, i := range edges[:min(len(edges), exactCorners)] {
		e := &g.walls[i]
		for k := range g.walls {
			o := &g.walls[k]
			if o.arc || k == i || o.a != e.b && o.b != e.a {
				continue
			}
			cross := e.dir.Cross(o.dir)
			if math.Abs(cross) < smoothTurn {
				continue
			}
			// Where the two edges, moved inwards, meet.
			p, q := e.a.Add(e.dir.Left().Mul(inset)), o.a.Add(o.dir.Left().Mul(inset))
			s.tryAt(e.dir.Angle(), p.Add(e.dir.Mul(q.Sub(p).Cross(o.dir)/cross)))
		}
	}
}

// tryCentre counts the lattices that are symmetric about the middle of the
// stock, which fit exactly into discs and regular polygons.
func (s *latticeSearch) tryCentre() {
	const angles = 12
	for k := range angles {
		l := s.base
		l.angle = s.maxTurn * float64(k) / angles
		for _, u := range [4]float64{0, 1. / 3, 0.5, 2. / 3} {
			for _, v := range [4]float64{0, 1. / 3, 0.5, 2. / 3} {
				l.u, l.v = u, v
				s.try(l)
			}
		}
	}
}

// tryAt counts the lattice at an angle with a point at q.
func (s *latticeSearch) tryAt(angle float64, q geom.Point) {
	l := s.base
	l.angle = angle
	e1, e2 := l.basis()
	det := e1.Cross(e2)
	d := q.Sub(l.pivot)
	l.u, l.v = d.Cross(e2)/det, e1.Cross(d)/det
	l.u -= math.Floor(l.u)
	l.v -= math.Floor(l.v)
	s.try(l)
}

func (s *latticeSearch) try(l lattice) {
	if n, _ := s.count(l, 0); n > s.best {
		s.best, s.bestAt = n, l
	}
}

// count returns how many points of the lattice are free, and how many are at
// most move away from being free by the measure of their distances.
func (s *latticeSearch) count(l lattice, move float64) (free, near int) {
	box := s.box.Grow(move)
	seen := 0
	l.each(box, func(q geom.Point) {
		seen++
		switch r := s.f.free(q.X, q.Y) - s.radius; {
		case r >= -Rounding/4:
			free++
			near++
		case r >= -move:
			near++
		}
	})
	*s.work += int64(2*wallWork*seen + 4)
	return free, near
}

func (s *latticeSearch) push(c latticeCell) {
	shift := math.Hypot(c.hu, c.hv)
	if s.base.hexagonal {
		shift = math.Sqrt(c.hu*c.hu + c.hv*c.hv + c.hu*c.hv)
	}
	c.move = s.reach*c.ha*1.0001 + shift*s.base.spacing
	c.count, c.upper = s.count(c.l, c.move)
	if c.count > s.best {
		s.best, s.bestAt = c.count, c.l
	}
	if c.upper > s.best && c.move > latticeFine*s.base.spacing {
		c.serial = s.serial
		s.serial++
		heap.Push(&s.queue, c)
	}
}

// run splits cells until the best lattice is certain, the given work is used
// up or stop says so. It reports whether the count is certain.
func (s *latticeSearch) run(work int64, stop func() bool) bool {
	end := *s.work + work
	for len(s.queue) > 0 {
		if *s.work >= end || stop() {
			return false
		}
		c := heap.Pop(&s.queue).(latticeCell)
		if c.upper <= s.best {
			s.queue = s.queue[:0]
			return true
		}
		a, b := c, c
		turn := s.reach * c.ha
		switch u, v := c.hu*s.base.spacing, c.hv*s.base.spacing; {
		case turn >= u && turn >= v:
			a.ha /= 2
			b.ha = a.ha
			a.l.angle -= a.ha
			b.l.angle += a.ha
		case u >= v:
			a.hu /= 2
			b.hu = a.hu
			a.l.u -= a.hu
			b.l.u += a.hu
		default:
			a.hv /= 2
			b.hv = a.hv
			a.l.v -= a.hv
			b.l.v += a.hv
		}
		s.push(a)
		s.push(b)
	}
	return true
}

// centres returns the free points of the best lattice.
func (s *latticeSearch) centres() []geom.Point {
	var ps []geom.Point
	if s.best == 0 {
		return nil
	}
	s.bestAt.each(s.box, func(q geom.Point) {
		if s.f.free(q.X, q.Y) >= s.radius-Rounding/4 {
			ps = append(ps, q)
		}
	})
	return ps
}
