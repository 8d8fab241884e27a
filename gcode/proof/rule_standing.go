package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleStanding = Rule{
	Name:     "left-standing",
	Severity: Fault,
	Reason:   "What had to be removed and was not makes the piece useless, and the next tool runs into it.",
	watch:    func() watcher { return &standingWatch{} },
}

// maxSwaths bounds what is kept for the second look (64 bytes each). A program
// with more deep cuts than this is judged by the height map alone, which may
// call a cusp that is gone standing but never the other way round.
const maxSwaths = 1 << 20

// maxDoubts bounds the cells that get a second look: more of them are no cusps.
const maxDoubts = 20000

// swath is the ground that a flat end went over at one height or lower.
type swath struct {
	a, b geom.Point
	r    float64 // of the tool, without what the piece is off in plan
	hi   float64
}

// standingWatch asks the height map what is left in the end. The map takes a
// cell for removed only when one cut swept it whole; between two swaths that
// overlap by less than a cell it shows cusps that are not there. Cells in doubt
// are therefore looked at again with the swaths themselves.
type standingWatch struct {
	swaths []swath
	full   bool
	lowest float64 // no feature with a demand has a higher limit
	ready  bool
}

// limit returns the height above which material counts as standing; under a face
// that is lower than the stock's top it is as much lower, see limitAt.
func (w *standingWatch) limit(f *feature) float64 {
	return f.Floor + f.tolerance() + f.Lift + looseZ
}

// limitAt is limit in a cell of the height map.
func (w *standingWatch) limitAt(c *checker, f *feature, cell int) float64 {
	if c.ground.face == nil || !f.Follows {
		return w.limit(f)
	}
	p := c.mat.centre(cell%c.mat.nx, cell/c.mat.nx)
	return w.limit(f) - c.ground.face.under(p) + c.ground.face.slope*c.mat.half
}

func (w *standingWatch) see(c *checker, _ *interp.Event, m *motion) {
	if !w.ready {
		w.ready, w.lowest = true, math.Inf(-1)
		for _, f := range c.ground.features {
			if len(f.Must) > 0 {
				w.lowest = math.Max(w.lowest, w.limit(f))
			}
		}
	}
	if m == nil || m.rapid || !m.known() || !m.tool.known || m.box.Min.Z > w.lowest || w.full {
		return
	}
	s := &m.tool.body
	if s.r0 != s.r1 || s.ball {
		return
	}
	m.slices(func(a, b geom.Point, lo, hi, pad float64) {
		if hi > w.lowest || w.full {
			return
		}
		w.full = len(w.swaths) == maxSwaths
		w.swaths = append(w.swaths, swath{a, b, s.r0 - pad, hi})
	})
}

func (w *standingWatch) end(c *checker) {
	for _, f := range c.ground.features {
		if len(f.Must) == 0 {
			continue
		}
		limit := w.limit(f)
		// A cell at the edge of what must go is not wholly swept even by a
		// perfect cut: the answer leaves out a strip of the resolution.
		var doubts []int
		var limits []float64
		c.mat.each(f.Must, 2*c.mat.half+looseXY, func(at int, mark uint8) {
			if mark != inside {
				return
			}
			if l := w.limitAt(c, f, at); float64(c.mat.hi[at]) > l {
				doubts, limits = append(doubts, at), append(limits, l)
			}
		})
		area, worst := 0.0, 0.0
		var at geom.Point
		var near [][]int32
		if second := len(doubts) <= maxDoubts && !w.full; second {
			near = w.near(c.mat, doubts, limits, limit)
		}
		look := look{w.swaths, f.tolerance()}
		for k, i := range doubts {
			p := c.mat.centre(i%c.mat.nx, i/c.mat.nx)
			left := math.Pow(c.mat.res, 2)
			if near != nil {
				left = look.standing(near[k], p, c.mat.res/2)
			}
			if left == 0 {
				continue
			}
			area += left
			if over := float64(c.mat.hi[i]) - limits[k]; over > worst {
				worst, at = over, p
			}
		}
		if area == 0 {
			continue
		}
		p := at.At(c.ground.floor(f, at))
		c.findEnd(0, 0, &p, "%.4g mm2 of %q are left standing, up to %s above the floor Z%s, most at X%s Y%s: cut down to the floor there",
			area, f.Name, c.mm(worst+limit-f.Floor), c.mm(p.Z), c.mm(at.X), c.mm(at.Y))
	}
}

// maxNear bounds the swaths that are kept for one cell in doubt: it takes a few
// to cover a cell that none covers whole, but they may be cut into short pieces.
const maxNear = 512

// near returns for each cell in doubt the numbers of the swaths down to the
// limit of its own that reach it; limit is no lower than any.
func (w *standingWatch) near(m *material, doubts []int, limits []float64, limit float64) [][]int32 {
	number := map[int]int{}
	for k, i := range doubts {
		number[i] = k
	}
	near := make([][]int32, len(doubts))
	for n, s := range w.swaths {
		if s.hi > limit || len(doubts) == 0 {
			continue
		}
		st := stadium{s.a, s.b, s.r + m.res}
		j0, j1 := m.rows(math.Min(s.a.Y, s.b.Y)-st.r, math.Max(s.a.Y, s.b.Y)+st.r)
		for j := j0; j < j1; j++ {
			x0, x1, ok := st.row(m.y0 + (float64(j)+0.5)*m.res)
			if !ok {
				continue
			}
			i0, i1 := m.cols(x0, x1)
			for i := i0; i < i1; i++ {
				if k, ok := number[j*m.nx+i]; ok && s.hi <= limits[k] && len(near[k]) < maxNear {
					near[k] = append(near[k], int32(n))
				}
			}
		}
	}
	return near
}

// look answers from swaths how much of a square is standing.
type look struct {
	swaths []swath
	tol    float64 // in plan: what lies this near to a swath counts as removed
}

// standing returns the area of the square about p with the given half side that
// no swath comes near enough to. Squares are quartered until a swath holds one
// whole, or until they are smaller than the tolerance and count as standing.
func (l look) standing(numbers []int32, p geom.Point, half float64) float64 {
	reach := half * math.Sqrt2
	var near []int32
	for _, n := range numbers {
		s := &l.swaths[n]
		d := math.Sqrt(squared(p, s.a, s.b)) - s.r - l.tol
		if d+reach <= 0 {
			return 0
		}
		if d-reach < 0 {
			near = append(near, n)
		}
	}
	if len(near) == 0 || reach < l.tol/4 {
		return 4 * half * half
	}
	q := half / 2
	return l.standing(near, geom.Pt(p.X-q, p.Y-q), q) + l.standing(near, geom.Pt(p.X+q, p.Y-q), q) +
		l.standing(near, geom.Pt(p.X-q, p.Y+q), q) + l.standing(near, geom.Pt(p.X+q, p.Y+q), q)
}
