package nest

import (
	"math"

	"proofcut/paths/geom"
)

// packer is the state of one search: discs of given relative radii in a field.
// A configuration is a slice of 2n+1 numbers: x0, y0, x1, y1, ..., and the
// common size y, a length; disc i has the radius y*size[i].
type packer struct {
	field *field
	size  []float64 // relative radii, mean 1
	gap   float64
	yMax  float64 // sizes beyond this are not looked at (reach of the field)
	fine  float64 // relative gain in size at which polishing ends

	work  int64 // units of work done, one per pair or wall looked at
	pairs []int32
	ref   []float64 // configuration for which pairs was made
	skin  float64
	near  []contact
	cells cellGrid
}

// lastDigit is below the rounding of a float64: polish until nothing moves.
const lastDigit = 1e-16

func newPacker(f *field, size []float64, gap, yMax float64) *packer {
	return &packer{field: f, size: size, gap: gap, yMax: yMax, fine: lastDigit}
}

// listPairs collects the pairs that can touch while no centre moves by more
// than a quarter of the skin and the size grows by no more than a quarter.
func (p *packer) listPairs(x []float64) {
	n := len(p.size)
	y := x[2*n]
	p.skin = 0.7 * math.Max(math.Abs(y), 1e-3*p.yMax)
	p.ref = append(p.ref[:0], x...)
	p.pairs = p.pairs[:0]
	if n > 150 {
		p.cells.pairs(p, x)
		return
	}
	p.work += int64(n*n) / 8
	for i := 0; i < n; i++ {
		xi, yi, si := x[2*i], x[2*i+1], p.size[i]
		for j := i + 1; j < n; j++ {
			dx, dy := xi-x[2*j], yi-x[2*j+1]
			c := p.gap + y*(si+p.size[j]) + p.skin
			if dx*dx+dy*dy < c*c {
				p.pairs = append(p.pairs, int32(i), int32(j))
			}
		}
	}
}

// stale reports whether the pair list may miss a pair.
func (p *packer) stale(x []float64) bool {
	n := len(p.size)
	if len(p.ref) != len(x) {
		return true
	}
	// Pairs are complete while 2*move + grow*(si+sj) <= skin.
	big := 1.0
	for _, s := range p.size {
		big = math.Max(big, s)
	}
	grow := math.Max(0, x[2*n]-p.ref[2*n]) * 2 * big
	m := (p.skin - grow) / 2
	if m < 0 {
		return true
	}
	m *= m
	for i := 0; i < n; i++ {
		dx, dy := x[2*i]-p.ref[2*i], x[2*i+1]-p.ref[2*i+1]
		if dx*dx+dy*dy > m {
			return true
		}
	}
	return false
}

// energy returns f = -force*y + sum(v^2)/2 over the amounts v by which discs
// overlap each other or a wall, its gradient in g, and sum(v^2). With force 0
// the size is held: its gradient is 0.
func (p *packer) energy(x, g []float64, force float64) (f, squares float64) {
	n := len(p.size)
	if p.stale(x) {
		p.listPairs(x)
	}
	for i := range g {
		g[i] = 0
	}
	y := x[2*n]
	gy := 0.0
	p.work += int64(len(p.pairs)/2 + n)
	for k := 0; k < len(p.pairs); k += 2 {
		i, j := int(p.pairs[k]), int(p.pairs[k+1])
		dx, dy := x[2*i]-x[2*j], x[2*i+1]-x[2*j+1]
		s := p.size[i] + p.size[j]
		need := p.gap + y*s
		d2 := dx*dx + dy*dy
		if d2 >= need*need || need <= 0 {
			continue
		}
		d := math.Sqrt(d2)
		v := need - d
		squares += v * v
		gy += v * s
		if d == 0 {
			dx, d = 1, 1
		}
		vx, vy := v*dx/d, v*dy/d
		g[2*i] -= vx
		g[2*i+1] -= vy
		g[2*j] += vx
		g[2*j+1] += vy
	}
	for i := 0; i < n; i++ {
		need := y * p.size[i]
		var looked int
		p.near, looked = p.field.contacts(p.near[:0], x[2*i], x[2*i+1], need)
		p.work += int64(wallWork * looked)
		for _, c := range p.near {
			v := need - c.free
			squares += v * v
			gy += v * p.size[i]
			g[2*i] -= v * c.ux
			g[2*i+1] -= v * c.uy
		}
	}
	if y > p.yMax {
		v := (y - p.yMax) * float64(n)
		squares += v * v
		gy += v * float64(n)
	}
	f = squares / 2
	if force > 0 {
		f -= force * y
		g[2*n] = gy - force
	}
	return f, squares
}

// fit returns the largest common size at which the centres of x keep every
// distance, measured against the walls of the field.
func (p *packer) fit(x []float64) float64 {
	n := len(p.size)
	best := p.yMax
	for i := 0; i < n; i++ {
		best = math.Min(best, p.field.free(x[2*i], x[2*i+1])/p.size[i])
		for j := i + 1; j < n; j++ {
			d := math.Hypot(x[2*i]-x[2*j], x[2*i+1]-x[2*j+1]) - p.gap
			if s := p.size[i] + p.size[j]; d < best*s {
				best = d / s
			}
		}
	}
	p.work += int64(n*n/2 + n)
	return best
}

// cellGrid lists near pairs of many discs in linear time.
type cellGrid struct {
	head []int32
	next []int32
}

func (c *cellGrid) pairs(p *packer, x []float64) {
	n := len(p.size)
	big := 0.0
	for _, s := range p.size {
		big = math.Max(big, s)
	}
	step := p.gap + 2*big*x[2*n] + p.skin
	box := geom.EmptyBox()
	for i := 0; i < n; i++ {
		box = box.AddPoint(geom.Pt(x[2*i], x[2*i+1]))
	}
	nx := int(math.Min(1024, math.Max(1, box.Size().X/step)))
	ny := int(math.Min(1024, math.Max(1, box.Size().Y/step)))
	kx := float64(nx) / math.Max(box.Size().X, step)
	ky := float64(ny) / math.Max(box.Size().Y, step)
	at := func(i int) (int, int) {
		return min(nx-1, int((x[2*i]-box.Min.X)*kx)), min(ny-1, int((x[2*i+1]-box.Min.Y)*ky))
	}
	if cap(c.head) < nx*ny {
		c.head = make([]int32, nx*ny)
	}
	c.head = c.head[:nx*ny]
	for i := range c.head {
		c.head[i] = -1
	}
	if cap(c.next) < n {
		c.next = make([]int32, n)
	}
	c.next = c.next[:n]
	for i := n - 1; i >= 0; i-- {
		ix, iy := at(i)
		c.next[i] = c.head[iy*nx+ix]
		c.head[iy*nx+ix] = int32(i)
	}
	y := x[2*n]
	for i := 0; i < n; i++ {
		ix, iy := at(i)
		for by := max(0, iy-1); by <= min(ny-1, iy+1); by++ {
			for bx := max(0, ix-1); bx <= min(nx-1, ix+1); bx++ {
				for j := c.head[by*nx+bx]; j >= 0; j = c.next[j] {
					if int(j) <= i {
						continue
					}
					dx, dy := x[2*i]-x[2*j], x[2*i+1]-x[2*j+1]
					r := p.gap + y*(p.size[i]+p.size[j]) + p.skin
					if dx*dx+dy*dy < r*r {
						p.pairs = append(p.pairs, int32(i), j)
					}
				}
			}
		}
	}
	p.work += int64(16 * n)
}
