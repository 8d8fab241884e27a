package proof

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Where the stock's face was measured, some features follow it. Questions about
// them are asked in heights from the face: relative to it the tip of a motion has
// a least height (over), and a feature's floor is one height again. What the face
// does beside the axis is covered by its greatest slope. All bounds are one-sided:
// a tool is never taken to stand higher over the face than it does.

// face is the measured face of the stock.
type face struct {
	setup.Surface
	top   float64 // the stock's, no lower than any place of the face
	slope float64
}

// newFace returns nil where the stock's face is level.
func newFace(s *setup.Setup) *face {
	if s.Stock.Face == nil {
		return nil
	}
	return &face{s.Stock.Face, s.Stock.Top, s.Stock.Face.Lipschitz()}
}

// under returns how much lower the face is at a place than the stock's top.
func (f *face) under(p geom.Point) float64 { return f.top - f.Height(p) }

// overTol is how far a bound of the height over the face may lie below the truth
// for a division of the motion to stop, maxOver how often one is divided at most.
const (
	overTol = 1e-4
	maxOver = 2048
)

// over returns a lower bound, in heights as under the stock's top, of where the tip
// is on the part of a motion between two parameters: its height, and as much more
// as the face below it lies under the top.
func (f *face) over(m *motion, t0, t1 float64) float64 {
	p := m.piece(t0, t1)
	if m.upright() {
		_, hi := f.Range(p.seg.Bounds().Grow(p.pad))
		return p.lo + f.top - hi
	}
	z0, z1 := m.at(t0).Z, m.at(t1).Z
	length := p.seg.Length()
	at := func(u float64) float64 { return z0 + u*(z1-z0) + f.under(p.seg.At(u)) }
	low := math.Min(at(0), at(1)) // a straight plunge has no length in plan
	if length > 0 {
		bend := setup.Curvature(f, p.seg)
		from, last := 0.0, at(0)
		for _, to := range append(f.Kinks(p.seg), 1) {
			n := math.Ceil((to - from) * length * math.Sqrt(bend/(8*overTol)))
			n = math.Max(1, math.Min(n, maxOver))
			step := (to - from) / n
			sag := bend * math.Pow(step*length, 2) / 8
			for i := 1.0; i <= n; i++ {
				here := at(from + step*i)
				low = math.Min(low, math.Min(last, here)-sag)
				last = here
			}
			from = to
		}
	}
	// Kinks are known to the geometric tolerance.
	return low - f.slope*(p.pad+2*geom.Tol)
}

// rise returns by how much the tip has to stand above a face that rises at the
// slope for no part of the tool to be below it.
func (a *assembly) rise(slope float64) float64 {
	if a.body.ball {
		return a.body.r1 * (math.Sqrt(1+slope*slope) - 1)
	}
	rise := slope * a.body.r0
	for i := range a.sections {
		s := &a.sections[i]
		rise = math.Max(rise, math.Max(slope*s.r0-s.h0, slope*s.r1-s.h1))
	}
	return rise
}

// reachOn returns a bound of the distance from the axis at which the tool is below
// a face that lies h above the tip at the axis and rises at the slope from there;
// negative when it is below it nowhere.
func (a *assembly) reachOn(h, slope float64) float64 {
	r := a.rmax
	for range 64 {
		sunk := h + slope*r
		if sunk <= 0 {
			return -1
		}
		next := a.reach(sunk)
		if r-next <= geom.Tol {
			break
		}
		r = next
	}
	return r
}

// rel returns the least height of the motion's tip as under the stock's top.
func (g *ground) rel(m *motion) float64 {
	if !m.relKnown {
		m.relKnown, m.relLow = true, g.face.over(m, 0, 1)
	}
	return m.relLow
}

// fitsFace is fits where the face was measured.
func (g *ground) fitsFace(f *feature, m *motion, tool int, top float64) bool {
	if !f.takes(tool) || !f.box.Overlaps(m.box.XY()) {
		return false
	}
	rel := g.rel(m)
	low := m.box.Min.Z
	if f.Follows {
		low = rel
		if f.may != nil {
			low -= m.tool.rise(g.face.slope)
		}
	}
	if low < f.Floor-f.tolerance() {
		return false
	}
	p := m.piece(0, 1)
	p.lo = math.Max(p.lo, f.Floor) // the height has been judged
	r := math.Min(m.tool.reach(top-m.box.Min.Z), math.Max(0, m.tool.reachOn(g.top-rel, g.face.slope)))
	return f.holds(p, r)
}

// boundary is the floor of features, or the face, seen from the tip.
type boundary struct {
	above float64 // height above the tip, never less than it is anywhere under the tool
	f     *feature
}

// intoFace is into for the part of a motion between two parameters where the face
// was measured. Every point of the tool below the face has to lie in a feature
// whose floor is not above it. Floors that follow the face and floors that do not
// are put in one order by upper bounds of their heights above the tip, so what is
// taken for allowed at a height is allowed there.
func (g *ground) intoFace(tool int, m *motion, t0, t1 float64) float64 {
	p := m.piece(t0, t1)
	rel := g.face.over(m, t0, t1)
	slope := g.face.slope
	foot := math.Min(m.tool.reachOn(g.top-rel, slope), m.tool.reach(g.top-p.lo))
	if foot < 0 {
		return math.Inf(-1)
	}
	var list []boundary
	follow := true
	for _, f := range g.features {
		if !f.takes(tool) {
			continue
		}
		b := boundary{f.Floor - f.tolerance() - p.lo, f}
		if f.Follows {
			b.above = f.Floor - f.tolerance() - rel
		}
		follow = follow && f.Follows
		list = append(list, b)
	}
	if !follow {
		for i := range list {
			if list[i].f.Follows {
				list[i].above += slope * foot
			}
		}
	}
	slices.SortStableFunc(list, func(a, b boundary) int { return cmp.Compare(a.above, b.above) })
	worst := math.Inf(-1)
	slack := roundTol
	for i := 0; i <= len(list); i++ {
		r := foot
		if i < len(list) {
			next := list[i].above
			if i > 0 && next == list[i-1].above {
				slack = math.Min(slack, list[i].f.tolerance())
				continue
			}
			if follow {
				r = m.tool.reachOn(next, slope)
			} else if r = m.tool.reach(next); next <= 0 {
				r = -1
			}
			r = math.Min(r, foot)
		}
		if r >= 0 {
			worst = math.Max(worst, g.reaches(g.without(list[:i]), p, r, slack))
		}
		if i < len(list) {
			if i == 0 {
				slack = list[i].f.tolerance()
			} else {
				slack = math.Min(slack, list[i].f.tolerance())
			}
		}
	}
	return worst
}

// reaches returns how far a tool of radius r on a piece reaches into forbidden
// ground.
func (g *ground) reaches(f *plan, p piece, r, slack float64) float64 {
	if f.empty() || f.box.Distance(p.seg.Bounds()) > r+p.pad {
		return math.Inf(-1)
	}
	by := r - slack - f.distance(p)
	if r <= slack && f.index.Contains(p.seg.At(0.5)) == geom.Inside {
		by = math.Max(by, geom.Tol)
	}
	return by
}

// without returns the stock without the features of a list; kept, since there are
// few such lists in a program.
func (g *ground) without(list []boundary) *plan {
	var numbers []int
	for _, b := range list {
		numbers = append(numbers, b.f.number)
	}
	slices.Sort(numbers)
	var key []byte
	for _, n := range numbers {
		key = strconv.AppendInt(append(key, ','), int64(n), 10)
	}
	if l, ok := g.sets[string(key)]; ok {
		return g.forbidden(l)
	}
	l := &level{}
	for _, n := range numbers {
		l.all = append(l.all, g.features[n])
	}
	if len(l.all) == 0 {
		l.plan = g.stock
	}
	if g.sets == nil {
		g.sets = map[string]*level{}
	}
	g.sets[string(key)] = l
	return g.forbidden(l)
}

// floor returns the floor of a feature at a place.
func (g *ground) floor(f *feature, p geom.Point) float64 {
	if g.face == nil || !f.Follows {
		return f.Floor
	}
	return f.Floor - g.face.under(p)
}

// lowest returns the least height of a motion as under the stock's top where the
// lower face follows the upper one, and its least height otherwise. The edge of the
// tool counts with its axis.
func (c *checker) lowest(m *motion) float64 {
	if f := c.s.Stock.Face; f == nil || !f.Parallel {
		return m.box.Min.Z
	}
	return c.ground.rel(m) - m.tool.rise(c.ground.face.slope)
}

// heights sets the material's cells to the measured face: as high as it is anywhere
// in the cell, and as low as a probed point may lie under it.
func (m *material) heights(s *setup.Setup, i int, hi, lo *float32) {
	f := s.Stock.Face
	h := f.Height(m.centre(i%m.nx, i/m.nx))
	*hi, *lo = up32(math.Min(h+m.uneven, m.top)), -up32(2*f.Worst+m.uneven-h)
}

// over returns the height of a place, for a feature that follows the face as under
// the stock's top.
func (g *ground) over(f *feature, p geom.Point3) float64 {
	if g.face == nil || !f.Follows {
		return p.Z
	}
	return p.Z + g.face.under(p.XY())
}

// visitShare is the share of a feature's tolerance that the height over the face
// may change on one step along a motion that is held against the lines.
const visitShare = 8

// visits marks the points of a trail that a motion visits at their depth under the
// face: all along a step the tip is at the floor within the tolerance.
func (f *face) visits(m *motion, t *feature, tr *trail) {
	tol := t.tolerance()
	lo, hi := f.Range(m.box.XY())
	if m.box.Max.Z+f.top-lo < t.Floor-tol || m.box.Min.Z+f.top-hi > t.Floor+tol {
		return
	}
	// The height over the face changes no faster than tip and face together.
	rate := f.slope
	if m.length > 0 {
		rate += math.Abs(m.to.Z-m.from.Z) / m.length
	}
	if m.upright() {
		rate = f.slope + 1
	}
	n := pieces(m.length * rate / (tol / visitShare))
	if m.arc {
		n = max(n, pieces(math.Abs(m.sweep)/(2*math.Acos(1-math.Min(1, chordTol/math.Max(m.radius, chordTol))))))
	}
	pad := m.slack
	if m.arc {
		pad += m.sagitta(m.sweep / float64(n))
	}
	loose := rate*m.length/float64(n)/2 + f.slope*pad
	a := m.at(0)
	for i := 1; i <= n; i++ {
		b, middle := m.at(float64(i)/float64(n)), m.at((float64(i)-0.5)/float64(n))
		if off := middle.Z + f.under(middle.XY()) - t.Floor; math.Abs(off) <= tol-loose {
			tr.visit(a.XY(), b.XY(), tol-pad)
		}
		a = b
	}
}
