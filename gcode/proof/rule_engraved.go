package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleEngraved = Rule{
	Name:     "not-engraved",
	Severity: Fault,
	Reason:   "A line that the tool did not follow at its depth is a stroke missing from a letter.",
	watch:    func() watcher { return &engravedWatch{} },
}

const (
	// engraveStep is how densely engraving lines are sampled: finer than the
	// eye resolves.
	engraveStep = 0.05
	// maxSamples bounds the samples of one feature; longer lines are sampled
	// more coarsely.
	maxSamples = 1 << 21
)

// trail is the samples of a feature's lines that wait to be visited, sorted by
// the cells of a grid.
type trail struct {
	f       *feature
	grid    grid
	points  []geom.Point
	first   []int32 // of each cell: where its points start
	count   []int32 // of each cell: those that still wait, which come first
	waiting int
}

type engravedWatch struct {
	trails []*trail
	ready  bool
}

func (w *engravedWatch) prepare(c *checker) {
	if w.ready {
		return
	}
	w.ready = true
	for _, f := range c.ground.features {
		if len(f.Along) > 0 {
			w.trails = append(w.trails, newTrail(f))
		}
	}
}

func newTrail(f *feature) *trail {
	t := &trail{f: f}
	length, box := 0.0, geom.EmptyBox()
	for _, p := range f.Along {
		length += p.Length()
		box = box.Union(p.Bounds())
	}
	step := math.Max(engraveStep, length/maxSamples)
	size := box.Size()
	side := math.Max(4*step, math.Sqrt((size.X+1)*(size.Y+1)/maxSamples))
	t.grid = newGrid(box.Grow(f.tolerance()), side)
	var points []geom.Point
	for _, p := range f.Along {
		for _, s := range p {
			n := max(1, int(math.Ceil(s.Length()/step)))
			for i := 0; i <= n; i++ {
				points = append(points, s.At(float64(i)/float64(n)))
			}
		}
	}
	n := t.grid.nx * t.grid.ny
	t.first, t.count = make([]int32, n), make([]int32, n)
	for _, p := range points {
		t.count[t.place(p)]++
	}
	for i, sum := 0, int32(0); i < n; i++ {
		t.first[i] = sum
		sum += t.count[i]
		t.count[i] = 0
	}
	t.points = make([]geom.Point, len(points))
	for _, p := range points {
		at := t.place(p)
		t.points[t.first[at]+t.count[at]] = p
		t.count[at]++
	}
	t.waiting = len(points)
	return t
}

func (t *trail) place(p geom.Point) int {
	i, j := int((p.X-t.grid.x0)/t.grid.res), int((p.Y-t.grid.y0)/t.grid.res)
	return min(max(j, 0), t.grid.ny-1)*t.grid.nx + min(max(i, 0), t.grid.nx-1)
}

func (w *engravedWatch) see(c *checker, _ *interp.Event, m *motion) {
	w.prepare(c)
	if m == nil || m.rapid || !m.known() || !m.tool.known {
		return
	}
	for _, t := range w.trails {
		f := t.f
		if t.waiting == 0 || !f.takes(m.tool.tool.Number) || !f.box.Overlaps(m.box.XY()) {
			continue
		}
		tol := f.tolerance()
		if face := c.ground.face; face != nil && f.Follows {
			face.visits(m, f, t)
			continue
		}
		if m.box.Max.Z < f.Floor-tol || m.box.Min.Z > f.Floor+tol {
			continue
		}
		m.slices(func(a, b geom.Point, lo, hi, pad float64) {
			if lo >= f.Floor-tol && lo <= f.Floor+tol {
				t.visit(a, b, tol-pad)
			}
		})
	}
}

func (t *trail) visit(a, b geom.Point, r float64) {
	g := &t.grid
	st := stadium{a, b, math.Max(0, r) + g.half}
	j0, j1 := g.rows(math.Min(a.Y, b.Y)-st.r, math.Max(a.Y, b.Y)+st.r)
	for j := j0; j < j1; j++ {
		x0, x1, ok := st.row(g.y0 + (float64(j)+0.5)*g.res)
		if !ok {
			continue
		}
		i0, i1 := g.cols(x0, x1)
		for i := i0; i < i1; i++ {
			at := j*g.nx + i
			list := t.points[t.first[at] : t.first[at]+t.count[at]]
			for n := 0; n < len(list); {
				if squared(list[n], a, b) > r*r {
					n++
					continue
				}
				last := len(list) - 1
				list[n], list[last] = list[last], list[n]
				list = list[:last]
				t.waiting--
			}
			t.count[at] = int32(len(list))
		}
	}
}

func (w *engravedWatch) end(c *checker) {
	w.prepare(c)
	for _, t := range w.trails {
		if t.waiting == 0 {
			continue
		}
		cell := 0
		for t.count[cell] == 0 {
			cell++
		}
		p := t.points[t.first[cell]]
		at := p.At(c.ground.floor(t.f, p))
		c.findEnd(0, 0, &at, "%.3g %% of the lines of %q are not engraved at Z%s, beginning at X%s Y%s: cut them with the feature's tool",
			100*float64(t.waiting)/float64(len(t.points)), t.f.Name, c.mm(at.Z), c.mm(at.X), c.mm(at.Y))
	}
}
