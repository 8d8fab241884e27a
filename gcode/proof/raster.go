package proof

import (
	"math"
	"slices"

	"proofcut/paths/geom"
)

// grid divides a rectangle of the plan into square cells, rows along X.
type grid struct {
	x0, y0 float64
	res    float64
	half   float64 // from a cell's centre to its corner
	nx, ny int
}

func newGrid(b geom.Box, res float64) grid {
	g := grid{x0: b.Min.X - res, y0: b.Min.Y - res, res: res, half: res / math.Sqrt2}
	g.nx = int(math.Ceil((b.Max.X-g.x0)/res)) + 1
	g.ny = int(math.Ceil((b.Max.Y-g.y0)/res)) + 1
	return g
}

func (g *grid) centre(i, j int) geom.Point {
	return geom.Pt(g.x0+(float64(i)+0.5)*g.res, g.y0+(float64(j)+0.5)*g.res)
}

// rows returns the rows whose centres lie between two heights, end exclusive.
func (g *grid) rows(lo, hi float64) (int, int) { return cells(lo, hi, g.y0, g.res, g.ny) }

// cols returns the columns whose centres lie between two abscissae.
func (g *grid) cols(lo, hi float64) (int, int) { return cells(lo, hi, g.x0, g.res, g.nx) }

func cells(lo, hi, origin, res float64, n int) (int, int) {
	a, b := math.Ceil((lo-origin)/res-0.5), math.Floor((hi-origin)/res-0.5)+1
	a, b = math.Max(a, 0), math.Min(b, float64(n))
	if !(a < b) {
		return 0, 0
	}
	return int(a), int(b)
}

// stadium is the set of points within r of a straight segment.
type stadium struct {
	a, b geom.Point
	r    float64
}

// row returns the stadium's extent on the line at height y.
func (s stadium) row(y float64) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	disc := func(c geom.Point) {
		if v := y - c.Y; math.Abs(v) <= s.r {
			w := math.Sqrt(s.r*s.r - v*v)
			lo, hi = math.Min(lo, c.X-w), math.Max(hi, c.X+w)
		}
	}
	disc(s.a)
	if s.a == s.b {
		return lo, hi, lo <= hi
	}
	disc(s.b)
	d := s.b.Sub(s.a)
	n := d.Left().Mul(s.r / d.Len())
	edge := func(p, q geom.Point) {
		if (p.Y-y)*(q.Y-y) <= 0 && p.Y != q.Y {
			x := p.X + (q.X-p.X)*(y-p.Y)/(q.Y-p.Y)
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	edge(s.a.Add(n), s.b.Add(n))
	edge(s.a.Sub(n), s.b.Sub(n))
	return lo, hi, lo <= hi
}

// squared returns the square of the distance from p to the segment a-b.
func squared(p, a, b geom.Point) float64 {
	d, v := b.Sub(a), p.Sub(a)
	l := d.Dot(d)
	if l > 0 {
		t := v.Dot(d) / l
		switch {
		case t >= 1:
			v = p.Sub(b)
		case t > 0:
			v = v.Sub(d.Mul(t))
		}
	}
	return v.Dot(v)
}

// chords calls f with straight segments that together lie within tol of s.
func chords(s geom.Seg, tol float64, f func(a, b geom.Point)) {
	if s.Turn == geom.Straight {
		f(s.A, s.B)
		return
	}
	r, sweep := s.Radius(), math.Abs(s.Sweep())
	step := math.Pi / 2
	if tol < r {
		step = math.Min(step, 2*math.Acos(1-tol/r))
	}
	n := int(math.Ceil(sweep / step))
	n = max(n, 1)
	a0, sign := s.A.Sub(s.C).Angle(), float64(s.Turn)
	p := s.A
	for i := 1; i <= n; i++ {
		q := s.B
		if i < n {
			q = s.C.Add(geom.Polar(r, a0+sign*sweep*float64(i)/float64(n)))
		}
		f(p, q)
		p = q
	}
}

// mask marks cells of a grid.
type mask struct {
	grid
	bits []uint8
}

// The marks of a cell in a mask.
const (
	outside uint8 = iota
	edge          // the boundary passes within the margin of the cell's centre
	inside
)

// each calls f for the cells that lie inside a region or at its boundary, see
// cover, with their index in the grid. The work is that of the region's box.
func (g *grid) each(r geom.Region, margin float64, f func(at int, mark uint8)) {
	if len(r) == 0 {
		return
	}
	b := r.Bounds().Grow(margin + g.res)
	i0, i1 := g.cols(b.Min.X, b.Max.X)
	j0, j1 := g.rows(b.Min.Y, b.Max.Y)
	if i0 >= i1 || j0 >= j1 {
		return
	}
	w := grid{g.x0 + float64(i0)*g.res, g.y0 + float64(j0)*g.res, g.res, g.half, i1 - i0, j1 - j0}
	for k, m := range w.cover(r, margin).bits {
		if m != outside {
			f((j0+k/w.nx)*g.nx+i0+k%w.nx, m)
		}
	}
}

// cover marks how the cells lie to a region: edge when the boundary passes
// within margin of the centre, otherwise inside or outside as the centre.
func (g *grid) cover(r geom.Region, margin float64) *mask {
	m := &mask{grid: *g, bits: make([]uint8, g.nx*g.ny)}
	rows := make([][]float64, g.ny)
	for _, c := range r {
		for _, s := range c {
			chords(s, g.res/64, func(a, b geom.Point) {
				m.near(stadium{a, b, margin})
				lo, hi := math.Min(a.Y, b.Y), math.Max(a.Y, b.Y)
				j0, j1 := g.rows(lo, hi)
				for j := j0; j < j1; j++ {
					y := g.y0 + (float64(j)+0.5)*g.res
					// Half open, so that a corner on the line counts once.
					if (a.Y <= y) != (b.Y <= y) {
						rows[j] = append(rows[j], a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
					}
				}
			})
		}
	}
	for j, xs := range rows {
		slices.Sort(xs)
		for k := 0; k+1 < len(xs); k += 2 {
			i0, i1 := g.cols(xs[k], xs[k+1])
			for i := i0; i < i1; i++ {
				if at := j*g.nx + i; m.bits[at] == outside {
					m.bits[at] = inside
				}
			}
		}
	}
	return m
}

func (m *mask) near(s stadium) {
	j0, j1 := m.rows(math.Min(s.a.Y, s.b.Y)-s.r, math.Max(s.a.Y, s.b.Y)+s.r)
	for j := j0; j < j1; j++ {
		lo, hi, ok := s.row(m.y0 + (float64(j)+0.5)*m.res)
		if !ok {
			continue
		}
		i0, i1 := m.cols(lo, hi)
		for i := i0; i < i1; i++ {
			m.bits[j*m.nx+i] = edge
		}
	}
}
