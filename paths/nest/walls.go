package nest

import (
	"math"

	"proofcut/paths/geom"
)

// wall is one boundary element (a line or an arc) prepared for many nearest
// point queries: the search asks hundreds of millions of them, so directions
// and angle limits are computed once. The final check of a layout does not use
// walls: it measures with geom alone.
type wall struct {
	a, b       geom.Point
	dir        geom.Point // unit, of a line
	length     float64    // of a line
	arc        bool
	ccw        bool
	c          geom.Point
	r          float64
	mid        geom.Point // unit direction from c to the middle of an arc
	cosHalf    float64    // cosine of half its sweep; -1 or less for a full circle
	turnA      float64    // sine of the turn at a: positive where the contour turns left
	turnB      float64
	tanA, tanB geom.Point // unit tangents at the ends
}

// smoothTurn is the sine of a turn that counts as no corner: below it the side
// of a point is told from the tangent, which is then well defined.
const smoothTurn = 1e-9

// newWalls prepares the boundary of a region, corner turns included.
func newWalls(r geom.Region) []wall {
	var ws []wall
	for _, contour := range r {
		first := len(ws)
		for _, s := range contour {
			w := wall{a: s.A, b: s.B, c: s.C}
			if s.Turn == geom.Straight {
				w.length = s.A.Dist(s.B)
				if w.length == 0 {
					continue
				}
				w.dir = s.B.Sub(s.A).Mul(1 / w.length)
				w.tanA, w.tanB = w.dir, w.dir
			} else {
				w.arc, w.ccw = true, s.Turn == geom.CCW
				w.r = s.A.Dist(s.C)
				if w.r == 0 {
					continue
				}
				a0, a1 := s.A.Sub(s.C).Angle(), s.B.Sub(s.C).Angle()
				sign := 1.0
				if !w.ccw {
					sign = -1
				}
				sweep := math.Mod(sign*(a1-a0)+4*math.Pi, 2*math.Pi)
				if s.A == s.B || sweep == 0 {
					sweep = 2 * math.Pi
				}
				w.mid = geom.Polar(1, a0+sign*sweep/2)
				w.cosHalf = math.Cos(sweep / 2)
				if s.A == s.B {
					w.cosHalf = -2
				}
				w.tanA = s.A.Sub(s.C).Unit().Left().Mul(sign)
				w.tanB = s.B.Sub(s.C).Unit().Left().Mul(sign)
			}
			ws = append(ws, w)
		}
		for i, n := first, len(ws); i < n; i++ {
			j := i + 1
			if j == n {
				j = first
			}
			turn := ws[i].tanB.Cross(ws[j].tanA)
			if turn <= smoothTurn && turn >= -smoothTurn && ws[i].tanB.Dot(ws[j].tanA) < 0 {
				turn = 1 // a cusp: only the outside can be nearest to it
			}
			ws[i].turnB, ws[j].turnA = turn, turn
		}
	}
	return ws
}

// nearest returns the distance from p to the wall, the unit vector from the
// nearest point towards p, and whether p lies on the wall's left (material)
// side. On the wall itself the vector points to the left.
func (w *wall) nearest(px, py float64) (d, ux, uy float64, left bool) {
	if w.arc {
		vx, vy := px-w.c.X, py-w.c.Y
		l := math.Sqrt(vx*vx + vy*vy)
		if vx*w.mid.X+vy*w.mid.Y >= l*w.cosHalf {
			if l == 0 {
				vx, vy = w.mid.X, w.mid.Y
			} else {
				vx, vy = vx/l, vy/l
			}
			d = l - w.r
			if d < 0 || d == 0 && w.ccw {
				return -d, -vx, -vy, w.ccw
			}
			return d, vx, vy, !w.ccw
		}
	} else {
		vx, vy := px-w.a.X, py-w.a.Y
		t := vx*w.dir.X + vy*w.dir.Y
		if t >= 0 && t <= w.length {
			h := w.dir.X*vy - w.dir.Y*vx
			if h >= 0 {
				return h, -w.dir.Y, w.dir.X, true
			}
			return -h, w.dir.Y, -w.dir.X, false
		}
	}
	ax, ay := px-w.a.X, py-w.a.Y
	bx, by := px-w.b.X, py-w.b.Y
	da, db := ax*ax+ay*ay, bx*bx+by*by
	turn, tan := w.turnA, w.tanA
	if db < da {
		ax, ay, da = bx, by, db
		turn, tan = w.turnB, w.tanB
	}
	switch {
	case turn > smoothTurn:
		left = false
	case turn < -smoothTurn:
		left = true
	default:
		left = tan.X*ay-tan.Y*ax >= 0
	}
	d = math.Sqrt(da)
	if d == 0 {
		return 0, -tan.Y, tan.X, true
	}
	return d, ax / d, ay / d, left
}

// field answers how far a point lies from everything that centres must keep
// away from. It is the stock's boundary and the keep-outs, each a group with a
// distance of its own, in a grid of cells that list the walls within reach.
type field struct {
	groups []group
	box    geom.Box // of the stock, a little grown
	nx, ny int
	sx, sy float64 // cells per millimetre
	reach  float64 // free radii beyond this are of no interest
	cells  []cell
}

// wallWork is the counted work of one wall looked at, in units of a pair.
const wallWork = 2

// group is a set of walls with one legal side and one extra distance.
type group struct {
	walls  []wall
	inside bool    // the legal side is the inside (the stock)
	offset float64 // distance of a disc's edge to it
}

type side uint8

const (
	legal side = iota
	illegal
	mixed
)

type cell struct{ entries []entry }

type entry struct {
	group int
	side  side
	walls []int32
}

// fieldLevels is the depth of the cell tree; 2^6 cells on an edge keep the
// lists of a slab's outline at a few walls a cell.
const fieldLevels = 6

// newField builds the cells. reach bounds the radius of a disc that the search
// will ever ask for.
func newField(groups []group, reach float64) *field {
	box := geom.EmptyBox()
	for _, w := range groups[0].walls {
		box = box.Union(w.bounds())
	}
	box = box.Grow(1e-3 * math.Max(box.Size().X, box.Size().Y))
	n := 1 << fieldLevels
	f := &field{groups: groups, box: box, nx: n, ny: n, reach: reach,
		sx: float64(n) / box.Size().X, sy: float64(n) / box.Size().Y,
		cells: make([]cell, n*n)}
	for g := range groups {
		all := make([]int32, len(groups[g].walls))
		for i := range all {
			all[i] = int32(i)
		}
		f.split(g, 0, 0, n, all)
	}
	return f
}

// bounds returns a box that holds the wall: for an arc its whole circle.
func (w *wall) bounds() geom.Box {
	if w.arc {
		if w.cosHalf <= -1 {
			return geom.Box{Min: w.c, Max: w.c}.Grow(w.r)
		}
		b := geom.EmptyBox().AddPoint(w.a).AddPoint(w.b)
		for _, u := range [4]geom.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
			if u.Dot(w.mid) >= w.cosHalf {
				b = b.AddPoint(w.c.Add(u.Mul(w.r)))
			}
		}
		return b
	}
	return geom.EmptyBox().AddPoint(w.a).AddPoint(w.b)
}

func (f *field) split(g, ix, iy, n int, candidates []int32) {
	cx := f.box.Min.X + (float64(ix)+float64(n)/2)/f.sx
	cy := f.box.Min.Y + (float64(iy)+float64(n)/2)/f.sy
	half := float64(n) / 2 * math.Hypot(1/f.sx, 1/f.sy)
	gr := &f.groups[g]
	dist := make([]float64, len(candidates))
	least, isLeft := math.Inf(1), false
	for k, i := range candidates {
		d, _, _, left := gr.walls[i].nearest(cx, cy)
		dist[k] = d
		if d < least {
			least, isLeft = d, left
		}
	}
	s := mixed
	if least > half {
		s = illegal
		if isLeft == gr.inside {
			s = legal
		}
	}
	limit := f.reach + gr.offset + half
	if s != legal {
		limit = math.Max(limit, least+2*half)
	}
	var keep []int32
	for k, i := range candidates {
		if dist[k] <= limit {
			keep = append(keep, i)
		}
	}
	if len(keep) == 0 {
		return // legal and out of reach everywhere in this cell
	}
	if n == 1 {
		c := &f.cells[iy*f.nx+ix]
		c.entries = append(c.entries, entry{g, s, keep})
		return
	}
	h := n / 2
	f.split(g, ix, iy, h, keep)
	f.split(g, ix+h, iy, h, keep)
	f.split(g, ix, iy+h, h, keep)
	f.split(g, ix+h, iy+h, h, keep)
}

// at returns the cell of a point, nil outside the grid.
func (f *field) at(x, y float64) *cell {
	ix, iy := int((x-f.box.Min.X)*f.sx), int((y-f.box.Min.Y)*f.sy)
	if x < f.box.Min.X || y < f.box.Min.Y || ix >= f.nx || iy >= f.ny {
		return nil
	}
	return &f.cells[iy*f.nx+ix]
}

// contact is a wall near a centre: the signed distance by which the centre may
// still come nearer for a disc of radius 0, and the direction that widens it.
type contact struct {
	free   float64
	ux, uy float64
}

// contacts appends every wall with less than limit between it and the disc's
// edge of radius 0 at (x, y). On the wrong side of a group only its nearest
// wall counts, with a negative distance. looked is the number of walls tried.
func (f *field) contacts(dst []contact, x, y, limit float64) (near []contact, looked int) {
	c := f.at(x, y)
	if c == nil {
		return append(dst, f.outside(x, y)), len(f.groups[0].walls)
	}
	for i := range c.entries {
		e := &c.entries[i]
		g := &f.groups[e.group]
		looked += len(e.walls)
		if e.side == legal {
			for _, k := range e.walls {
				d, ux, uy, _ := g.walls[k].nearest(x, y)
				if d-g.offset < limit {
					dst = append(dst, contact{d - g.offset, ux, uy})
				}
			}
			continue
		}
		start := len(dst)
		least := math.Inf(1)
		var lx, ly float64
		ok := false
		for _, k := range e.walls {
			d, ux, uy, left := g.walls[k].nearest(x, y)
			if d < least {
				least, lx, ly, ok = d, ux, uy, left == g.inside
			}
			if d-g.offset < limit {
				dst = append(dst, contact{d - g.offset, ux, uy})
			}
		}
		if e.side == illegal || !ok {
			dst = append(dst[:start], contact{-least - g.offset, -lx, -ly})
		} else if least == 0 {
			// On the boundary itself the stored direction points left.
			if !g.inside {
				dst = append(dst[:start], contact{-g.offset, -lx, -ly})
			}
		}
	}
	return dst, looked
}

// outside is the contact of a point beyond the grid: the way back to the stock.
func (f *field) outside(x, y float64) contact {
	g := &f.groups[0]
	least := contact{free: math.Inf(1)}
	for i := range g.walls {
		d, ux, uy, _ := g.walls[i].nearest(x, y)
		if d < least.free {
			least = contact{d, ux, uy}
		}
	}
	return contact{-least.free - g.offset, -least.ux, -least.uy}
}

// free returns the largest radius of a disc at (x, y) that keeps every
// distance, at most the field's reach; negative where not even a point may lie.
func (f *field) free(x, y float64) float64 {
	c := f.at(x, y)
	if c == nil {
		return f.outside(x, y).free
	}
	best := f.reach
	for i := range c.entries {
		e := &c.entries[i]
		g := &f.groups[e.group]
		least, ok := math.Inf(1), e.side == legal
		for _, k := range e.walls {
			d, _, _, left := g.walls[k].nearest(x, y)
			if d < least {
				least = d
				if e.side == mixed {
					ok = left == g.inside
				}
			}
		}
		if !ok {
			least = -least
		}
		best = math.Min(best, least-g.offset)
	}
	return best
}
