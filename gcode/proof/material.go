package proof

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

const (
	// cellsPerRadius sets the resolution: cells of a tenth of the smallest
	// cutter's radius, so that two passes at any usual step-over share more
	// than a cell and a cell between them is wholly swept by one.
	cellsPerRadius = 10
	// maxCells bounds the memory of the height map (8 bytes a cell); larger
	// stock gets larger cells, and the record says so.
	maxCells = 4 << 20
	// leastRes keeps cells of very fine tools at a useful size.
	leastRes = 0.002
	// stepZ is the height step in which sloped motions are stamped, half the
	// usual tolerance of a floor.
	stepZ = 0.005
	// chordTol is how far the chords stamped for an arc lie from it.
	chordTol = 0.001
	// looseXY covers twice the chord error and rounding when a motion is held
	// against what an earlier one swept.
	looseXY = 2.5 * chordTol
	// looseZ covers the height step and the rounding of stored heights.
	looseZ = stepZ + 1e-4
)

// material is what is left of the stock: for each cell the greatest height
// that may remain anywhere in it and the least to which any sweep went that
// touched it.
type material struct {
	grid
	hi, lo []float32
	top    float64
	empty  float64 // height of a cell without stock
	uneven float64 // how far a measured face may be off its height at a cell's centre within the cell
	start  float64 // volume from the stock's top down to a measured face, mm3
}

// resolution chooses the cell size for a set-up.
func resolution(s *setup.Setup, wanted float64) float64 {
	res := wanted
	if res <= 0 {
		res = math.Inf(1)
		for _, t := range s.Tools {
			res = math.Min(res, t.Diameter/2/cellsPerRadius)
		}
		res = math.Max(res, leastRes)
	}
	b := s.Stock.Outline.Bounds().Size()
	return math.Max(res, math.Sqrt((b.X+4*res)*(b.Y+4*res)/maxCells))
}

func newMaterial(s *setup.Setup, res float64) *material {
	m := &material{grid: newGrid(s.Stock.Outline.Bounds(), res), top: s.Stock.Top, empty: math.Inf(-1)}
	if s.Stock.Backing.Present {
		m.empty = s.Stock.Lowest()
	}
	if s.Stock.Face != nil {
		m.uneven = s.Stock.Face.Lipschitz() * m.half
	}
	n := m.nx * m.ny
	m.hi, m.lo = make([]float32, n), make([]float32, n)
	for i, b := range m.cover(s.Stock.Outline, m.half).bits {
		h := float32(m.empty)
		if b != outside {
			h = float32(m.top)
		}
		m.hi[i], m.lo[i] = h, h
		if b != outside && s.Stock.Face != nil {
			m.heights(s, i, &m.hi[i], &m.lo[i])
		}
	}
	if s.Stock.Face != nil {
		m.start = m.total(m.cover(s.Stock.Outline, m.half))
	}
	return m
}

// slices calls f with straight pieces of constant height that together stand
// for the motion: f's hi is the highest and lo the lowest the tip gets while it
// is on that piece, pad how far it leaves the piece in plan. Straight plunges
// come as one piece at their lowest point.
func (mo *motion) slices(f func(a, b geom.Point, lo, hi, pad float64)) {
	p := mo.piece(0, 1)
	if !mo.arc && mo.from.XY() == mo.to.XY() {
		f(p.seg.A, p.seg.B, p.lo, p.lo, 0)
		return
	}
	n := pieces((p.hi - p.lo) / stepZ)
	if mo.arc {
		r := math.Max(mo.radius, chordTol)
		step := 2 * math.Acos(1-math.Min(1, chordTol/r))
		n = max(n, pieces(math.Abs(mo.sweep)/step))
	} else if p.hi == p.lo {
		f(p.seg.A, p.seg.B, p.lo, p.hi, 0)
		return
	}
	a := mo.at(0)
	for i := 1; i <= n; i++ {
		b := mo.at(float64(i) / float64(n))
		pad := mo.slack
		if mo.arc {
			pad += mo.sagitta(mo.sweep / float64(n))
		}
		lo, hi := math.Min(a.Z, b.Z), math.Max(a.Z, b.Z)
		if mo.upright() {
			lo, hi = lo-pad, hi+pad
		}
		f(a.XY(), b.XY(), lo, hi, pad)
		a = b
	}
}

// maxPieces bounds the pieces of one motion, which are then longer and judged
// by their bounds: 80 mm of height in steps of stepZ.
const maxPieces = 1 << 14

func pieces(n float64) int { return max(1, int(math.Ceil(math.Min(n, maxPieces)))) }

// cut takes away what the tool's cutting end sweeps. A gauge, when given, measures
// each piece before it is gone.
func (m *material) cut(mo *motion, g *gauge) {
	body := &mo.tool.body
	mo.slices(func(a, b geom.Point, lo, hi, pad float64) {
		if g != nil {
			g.piece(body, a, b, lo)
		}
		if lo < m.top {
			m.stamp(body, a, b, lo, hi, pad)
		}
	})
}

func (m *material) stamp(s *section, a, b geom.Point, lo, hi, pad float64) {
	r := s.wide()
	if h := m.top - lo; s.lower(r) > h { // only what lies below the top matters
		r = math.Min(r, s.radiusAbove(h))
	}
	outer := r + m.half + pad
	flat := s.r0 == s.r1 && !s.ball
	st, inner := stadium{a, b, outer}, stadium{a, b, s.wide() - m.half - pad}
	low, high := float32(lo), up32(hi)
	j0, j1 := m.rows(math.Min(a.Y, b.Y)-outer, math.Max(a.Y, b.Y)+outer)
	for j := j0; j < j1; j++ {
		y := m.y0 + (float64(j)+0.5)*m.res
		x0, x1, ok := st.row(y)
		if !ok {
			continue
		}
		i0, i1 := m.cols(x0, x1)
		if flat {
			row := m.lo[j*m.nx+i0 : j*m.nx+i1]
			for i, v := range row {
				if v > low {
					row[i] = low
				}
			}
			if inner.r < 0 {
				continue
			}
			if x0, x1, ok = inner.row(y); ok {
				i0, i1 = m.cols(x0, x1)
				row = m.hi[j*m.nx+i0 : j*m.nx+i1]
				for i, v := range row {
					if v > high {
						row[i] = high
					}
				}
			}
			continue
		}
		for i := i0; i < i1; i++ {
			d := math.Sqrt(squared(geom.Pt(m.x0+(float64(i)+0.5)*m.res, y), a, b))
			at := j*m.nx + i
			if h := float32(lo + s.lower(math.Max(0, d-m.half-pad))); h < m.lo[at] {
				m.lo[at] = h
			}
			if d <= inner.r {
				if h := up32(hi + s.lower(d+m.half+pad)); h < m.hi[at] {
					m.hi[at] = h
				}
			}
		}
	}
}

// radiusAbove returns the section's radius at height h over its foot.
func (s *section) radiusAbove(h float64) float64 {
	return s.at(s.h0 + math.Max(0, math.Min(h, s.h1-s.h0)))
}

// up32 rounds a height up to the next stored one.
func up32(h float64) float32 {
	f := float32(h)
	if float64(f) < h {
		f = math.Nextafter32(f, float32(math.Inf(1)))
	}
	return f
}

// contact is where a part of a tool meets material.
type contact struct {
	hit   bool
	at    geom.Point
	above float64 // how far the material reaches above the tool's surface
}

// touch looks for material in the way of a section of the tool on its motion.
// grow widens the section: 0 asks for material inside it, a cell's size for
// material against it.
// allow, when given, is the height in each cell from which upward material
// does not count.
func (m *material) touch(mo *motion, s *section, grow float64, allow []float32) contact {
	var c contact
	if mo.box.Min.Z+s.h0 >= m.top-looseZ {
		return c
	}
	mo.slices(func(a, b geom.Point, lo, hi, pad float64) {
		if !c.hit && hi+s.h0 < m.top-looseZ {
			c = m.touchAt(s, a, b, hi+s.h0, grow-pad, allow)
		}
	})
	return c
}

func (m *material) touchAt(s *section, a, b geom.Point, z, grow float64, allow []float32) contact {
	r := s.wide() + grow
	outer := r + m.half - looseXY
	st := stadium{a, b, outer}
	if outer <= 0 {
		return contact{}
	}
	j0, j1 := m.rows(math.Min(a.Y, b.Y)-outer, math.Max(a.Y, b.Y)+outer)
	for j := j0; j < j1; j++ {
		y := m.y0 + (float64(j)+0.5)*m.res
		x0, x1, ok := st.row(y)
		if !ok {
			continue
		}
		i0, i1 := m.cols(x0, x1)
		for i := i0; i < i1; i++ {
			at := j*m.nx + i
			if float64(m.hi[at]) <= z+looseZ {
				continue
			}
			p := geom.Pt(m.x0+(float64(i)+0.5)*m.res, y)
			d := math.Sqrt(squared(p, a, b))
			near := z + s.lower(math.Max(0, math.Min(d-m.half+looseXY-grow, s.wide())))
			if allow != nil && near >= float64(allow[at])-looseZ {
				continue
			}
			if over := float64(m.lo[at]) - near; over > looseZ {
				return contact{true, p, over}
			}
			if far := d + m.half + looseXY; far <= r {
				if over := float64(m.hi[at]) - z - s.lower(math.Max(0, far-grow)); over > looseZ {
					return contact{true, p, over}
				}
			}
		}
	}
	return contact{}
}

// highest returns how high material may reach anywhere within r of the motion.
func (m *material) highest(mo *motion, r float64) float64 {
	top := math.Inf(-1)
	p := mo.piece(0, 1)
	chords(p.seg, chordTol, func(a, b geom.Point) {
		if top >= m.top {
			return
		}
		st := stadium{a, b, r + m.half + looseXY + p.pad}
		j0, j1 := m.rows(math.Min(a.Y, b.Y)-st.r, math.Max(a.Y, b.Y)+st.r)
		for j := j0; j < j1 && top < m.top; j++ {
			x0, x1, ok := st.row(m.y0 + (float64(j)+0.5)*m.res)
			if !ok {
				continue
			}
			i0, i1 := m.cols(x0, x1)
			for _, h := range m.hi[j*m.nx+i0 : j*m.nx+i1] {
				top = math.Max(top, float64(h))
			}
		}
	})
	return top
}

// higher looks for material above height z anywhere within r of a rectangle.
func (m *material) higher(b geom.Box, r, z float64) contact {
	b = b.Grow(r)
	j0, j1 := m.rows(b.Min.Y, b.Max.Y)
	i0, i1 := m.cols(b.Min.X, b.Max.X)
	for j := j0; j < j1; j++ {
		for i := i0; i < i1; i++ {
			if over := float64(m.hi[j*m.nx+i]) - z; over > looseZ {
				return contact{true, m.centre(i, j), over}
			}
		}
	}
	return contact{}
}

// removed returns the volume taken away. A cell that is partly swept counts
// half, which is right in the mean along an edge.
func (m *material) removed(stock *mask) float64 { return m.total(stock) - m.start }

// total returns the volume between the stock's top and what is left.
func (m *material) total(stock *mask) float64 {
	sum := 0.0
	for i, b := range stock.bits {
		if b != outside {
			share := 1.0
			if b == edge {
				share = 0.5
			}
			sum += share * (m.top - (float64(m.hi[i])+float64(m.lo[i]))/2)
		}
	}
	return sum * m.res * m.res
}
