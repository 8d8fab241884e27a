package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleOutline = Rule{
	Name:     "part-outline",
	Severity: Fault,
	Reason:   "A part whose edge stands off its outline does not fit, one that is cut inside of it is scrap, one that is not cut all round does not come out.",
	watch:    func() watcher { return &outlineWatch{} },
}

const (
	// edgeStep is how far apart the places are at which the edge of a part is
	// measured, and edgePlaces the most that one part has.
	edgeStep   = 0.1
	edgePlaces = 8192
	// edgeGrid is the size of the cells in which places are looked up.
	edgeGrid = 1.0
)

// place is a place on the outline of a part.
type place struct {
	at    geom.Point
	least float64 // distance from the nearest edge of a sweep, negative: inside
	most  float64 // the same, not less than the truth
	asked bool    // a feature demands the cut beside it
}

// outline follows the cuts round one part that is no disc.
type outline struct {
	*piecework
	places      []place
	grid        [][]int32
	nx, ny      int
	box         geom.Box
	step        float64
	cut         bool
	block, line int // of the cut that goes deepest into the part
	deep        float64
}

type outlineWatch struct {
	ready    bool
	outlines []*outline
}

func (w *outlineWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || m.rapid || !m.known() || !m.tool.known || m.box.Min.Z >= c.s.Stock.Top-roundTol {
		return
	}
	if !w.ready {
		w.start(c)
	}
	r := m.tool.reach(c.s.Stock.Top - m.box.Min.Z)
	for _, o := range w.outlines {
		if o.plan.box.Distance(m.box.XY()) > r+m.slack+edgeGrid {
			continue
		}
		c.legal(m)
		if f := c.covered; f != nil && !o.round[f.number] ||
			f == nil && o.plan.index.Contains(m.at(0.5).XY()) == geom.Inside {
			continue // a cut in the part; whether it may be there is another rule's
		}
		o.follow(m, r, e)
	}
}

func (w *outlineWatch) start(c *checker) {
	w.ready = true
	for _, p := range c.pieces() {
		if p.part.Diameter > 0 || !p.bound {
			continue
		}
		o := &outline{piecework: p, deep: math.Inf(1)}
		o.spread(c)
		w.outlines = append(w.outlines, o)
	}
}

// spread lays places along the outline. A place is asked for where a feature
// that goes round the part has to remove what lies beside it: not in corners
// that the tool cannot enter, and not where a zone keeps the cut away.
func (o *outline) spread(c *checker) {
	length := 0.0
	for _, k := range o.plan.region {
		length += geom.Path(k).Length()
	}
	o.step = math.Max(edgeStep, length/edgePlaces)
	o.box = o.plan.box.Grow(edgeGrid)
	size := o.box.Size()
	o.nx, o.ny = int(size.X/edgeGrid)+1, int(size.Y/edgeGrid)+1
	o.grid = make([][]int32, o.nx*o.ny)
	for _, k := range o.plan.region {
		for _, s := range k {
			n := int(math.Ceil(s.Length() / o.step))
			for i := range n {
				t := (float64(i) + 0.5) / float64(n)
				p := place{at: s.At(t), least: math.Inf(1), most: math.Inf(1)}
				out := s.Tangent(t).Left().Mul(-1) // what is left of an outline is inside
				for _, f := range c.ground.features {
					if !o.round[f.number] || len(f.Must) == 0 || !o.borders(f.Around) {
						continue
					}
					if f.must == nil {
						f.must = newPlan(f.Must)
					}
					q := p.at.Add(out.Mul(1.5 * f.tolerance()))
					p.asked = p.asked || f.must.index.Contains(q) != geom.Outside
				}
				cell := o.cell(p.at)
				o.grid[cell] = append(o.grid[cell], int32(len(o.places)))
				o.places = append(o.places, p)
			}
		}
	}
}

func (o *outline) cell(p geom.Point) int {
	i := min(max(int((p.X-o.box.Min.X)/edgeGrid), 0), o.nx-1)
	j := min(max(int((p.Y-o.box.Min.Y)/edgeGrid), 0), o.ny-1)
	return j*o.nx + i
}

// follow measures the motion of a tool of radius r at the stock's surface.
func (o *outline) follow(m *motion, r float64, e *interp.Event) {
	p := m.piece(0, 1)
	reach := m.box.XY().Grow(r + p.pad + edgeGrid)
	lo, hi := o.cell(reach.Min), o.cell(reach.Max)
	for j := lo / o.nx; j <= hi/o.nx; j++ {
		for i := lo % o.nx; i <= hi%o.nx; i++ {
			for _, k := range o.grid[j*o.nx+i] {
				q := &o.places[k]
				d := p.seg.Distance(q.at) - r
				if d > edgeGrid {
					continue
				}
				o.cut = true
				q.most = math.Min(q.most, d+p.pad)
				if d -= p.pad; d < q.least {
					q.least = d
					if d < o.deep {
						o.deep, o.block, o.line = d, e.Block, e.Pos.Line
					}
				}
			}
		}
	}
}

func (w *outlineWatch) end(c *checker) {
	if !w.ready {
		w.start(c)
	}
	for _, o := range w.outlines {
		o.report(c)
	}
}

func (o *outline) report(c *checker) {
	edge := Edge{Least: math.Inf(1)}
	open, worst := 0, 0.0
	var at, low geom.Point
	for i := range o.places {
		q := &o.places[i]
		if q.least < edge.Least {
			edge.Least, low = q.least, q.at
		}
		if !q.asked {
			continue
		}
		if q.most > o.tol {
			open++
		}
		if !math.IsInf(q.most, 1) {
			edge.Most = math.Max(edge.Most, q.most)
		}
		if q.most > worst {
			worst, at = q.most, q.at
		}
	}
	edge.Open = round(float64(open) * o.step)
	for i := range c.rec.Parts {
		if r := &c.rec.Parts[i]; &c.s.Parts[i] == o.part && o.cut {
			e := Edge{round(edge.Least), round(edge.Most), edge.Open}
			r.Edge = &e
		}
	}
	switch {
	case !o.cut:
		p := o.part.At.At(c.s.Stock.Top)
		c.findEnd(0, 0, &p, "no cut goes round part %q: nothing comes near its outline; cut along it", o.part.Name)
	case edge.Least < -o.tol:
		p := low.At(c.s.Stock.Top)
		c.findEnd(o.block, o.line, &p, "part %q is cut %s into its outline, %s is allowed: move the cut outward",
			o.part.Name, c.mm(-edge.Least), c.mm(o.tol))
	}
	if o.cut && open > 0 {
		p := at.At(c.s.Stock.Top)
		off := "nothing comes near it"
		if !math.IsInf(worst, 1) {
			off = "it stands off by up to " + c.mm(worst)
		}
		c.findEnd(0, 0, &p, "part %q is not cut to its outline on %s of its edge, with %s allowed; at X%s Y%s %s: close the cut or move it inward",
			o.part.Name, c.mm(edge.Open), c.mm(o.tol), c.mm(at.X), c.mm(at.Y), off)
	}
}
