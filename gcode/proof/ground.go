package proof

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// roundTol is what rounding a coordinate for output may add to a depth: half
// of 0.0001 in, the coarsest step that programs are written in.
const roundTol = 0.0013

// feature is a setup.Feature made ready for questions about single motions.
type feature struct {
	*setup.Feature
	number int
	box    geom.Box
	may    *plan    // nil when the feature is bounded by lines
	must   *plan    // built when first needed
	lines  *lineSet // nil when it is bounded by a region
	region geom.Region
	ready  bool // region is computed
}

// ground knows where a tool may be below the stock's top.
type ground struct {
	stock    *plan
	top      float64
	face     *face             // nil: level at top
	sets     map[string]*level // by the numbers of their features, see without
	features []*feature
	last     *feature // covered the motion before, most likely the next one too
	levels   map[int][]level
	err      error // of plane geometry, the first one
}

// level is a height above which the same features are allowed, with what is
// forbidden from there up to the next level.
type level struct {
	floor float64
	slack float64
	all   []*feature
	plan  *plan // stock without the features; built when first needed
}

// allTools is the key of the levels that no tool restricts.
const allTools = -1

func newGround(s *setup.Setup, stock *plan) *ground {
	g := &ground{stock: stock, top: s.Stock.Top, face: newFace(s), levels: map[int][]level{}}
	for i := range s.Features {
		f := &feature{Feature: &s.Features[i], number: i}
		f.box = geom.EmptyBox()
		if len(f.May) > 0 {
			f.may = newPlan(f.May)
			f.box = f.may.box
		}
		if len(f.Along) > 0 && f.may == nil {
			f.lines = newLineSet(f.Along)
			f.box = f.lines.box.Grow(f.Reach + f.tolerance())
		}
		g.features = append(g.features, f)
	}
	return g
}

// tolerance is the error in height and plan that the feature allows, at least
// the rounding of a program's coordinates.
func (f *feature) tolerance() float64 { return math.Max(f.Tol, roundTol) }

// takes reports whether the feature may be cut with the tool.
func (f *feature) takes(tool int) bool {
	return tool == allTools || len(f.Tools) == 0 || slices.Contains(f.Tools, tool)
}

// holds reports whether a tool of footprint r on the piece stays inside the
// feature. A false answer may be wrong where the question is close.
func (f *feature) holds(p piece, r float64) bool {
	if p.lo < f.Floor-f.tolerance() {
		return false
	}
	room := r + p.pad - f.tolerance()
	if f.may == nil {
		return f.lines != nil && f.lines.holds(p.seg, f.Reach-room)
	}
	return f.may.index.Contains(p.seg.A) == geom.Inside &&
		f.may.index.BoundaryDistance(p.seg) >= math.Max(room, geom.Tol)
}

// area returns what the feature may take away, seen from above. An error is
// kept in g.err and leaves the area empty, which forbids more.
func (g *ground) area(f *feature) geom.Region {
	switch {
	case f.may != nil:
		return f.may.region
	case f.ready || len(f.Along) == 0:
		return f.region
	}
	f.ready = true
	r, err := geom.OffsetPath(f.Along, f.Reach, geom.OffsetOptions{})
	if err != nil {
		g.fail(fmt.Errorf("feature %q: %w", f.Name, err))
		return nil
	}
	f.region = r
	return r
}

func (g *ground) fail(err error) {
	if g.err == nil {
		g.err = err
	}
}

// cover returns the single feature that the whole motion stays in, or nil.
func (g *ground) cover(m *motion, tool int) *feature { return g.coverBelow(m, tool, g.top) }

// coverBelow is cover where no material reaches above the given height.
func (g *ground) coverBelow(m *motion, tool int, top float64) *feature {
	if g.last != nil && g.fits(g.last, m, tool, top) {
		return g.last
	}
	b := m.box.XY()
	for _, f := range g.features {
		if f != g.last && f.box.Overlaps(b) && g.fits(f, m, tool, top) {
			g.last = f
			return f
		}
	}
	return nil
}

func (g *ground) fits(f *feature, m *motion, tool int, top float64) bool {
	if g.face != nil {
		return g.fitsFace(f, m, tool, top)
	}
	if !f.takes(tool) || m.box.Min.Z < f.Floor-f.tolerance() {
		return false
	}
	if !f.box.Overlaps(m.box.XY()) {
		return false
	}
	return f.holds(m.piece(0, 1), m.tool.reach(top-m.box.Min.Z))
}

// build returns the levels for a tool: for each floor, lowest first, what must
// not be touched between it and the next.
func (g *ground) build(tool int) []level {
	if l, ok := g.levels[tool]; ok {
		return l
	}
	var sorted []*feature
	for _, f := range g.features {
		if f.takes(tool) {
			sorted = append(sorted, f)
		}
	}
	low := func(f *feature) float64 { return f.Floor - f.tolerance() }
	slices.SortStableFunc(sorted, func(a, b *feature) int { return cmp.Compare(low(a), low(b)) })
	out := []level{{floor: math.Inf(-1), slack: roundTol, plan: g.stock}}
	for i, f := range sorted {
		if last := &out[len(out)-1]; last.floor == low(f) {
			last.all = sorted[:i+1]
			last.slack = math.Min(last.slack, f.tolerance())
			continue
		}
		slack := f.tolerance()
		if len(out) > 1 {
			slack = math.Min(slack, out[len(out)-1].slack)
		}
		out = append(out, level{floor: low(f), slack: slack, all: sorted[:i+1]})
	}
	g.levels[tool] = out
	return out
}

// forbidden returns the stock without the level's features. When the plane
// geometry fails the whole stock is forbidden and g.err is set.
func (g *ground) forbidden(l *level) *plan {
	if l.plan != nil {
		return l.plan
	}
	l.plan = g.stock
	// Regions wind once round what is inside, so what any of them holds is what
	// all of them together wind round.
	var all []geom.Contour
	for _, f := range l.all {
		all = append(all, g.area(f)...)
	}
	may, err := geom.Resolve(all, geom.NonZero)
	if err != nil {
		g.fail(fmt.Errorf("features together: %w", err))
		return l.plan
	}
	rest, err := geom.Difference(g.stock.region, may)
	if err != nil {
		g.fail(fmt.Errorf("stock without its features: %w", err))
		return l.plan
	}
	l.plan = newPlan(rest)
	return l.plan
}

// trespass is where a motion leaves what it may cut.
type trespass struct {
	found bool
	t     float64 // parameter of the motion
	by    float64 // how far the tool reaches into what must stay, in plan
}

// minPiece ends the division of a motion: pieces this short are judged by
// their bounds.
const minPiece = 1e-4

// maxParts bounds the divisions of one motion; one that is still in doubt then
// is taken to trespass.
const maxParts = 1 << 14

// trespass looks for a place where the tool is below the stock's top and not in
// the features that the tool may cut, floors and overlaps taken into account.
func (g *ground) trespass(m *motion, tool int) trespass {
	levels := g.build(tool)
	into := func(t0, t1 float64) float64 { return g.into(levels, m.piece(t0, t1), m.tool) }
	if g.face != nil {
		into = func(t0, t1 float64) float64 { return g.intoFace(tool, m, t0, t1) }
	}
	type part struct{ t0, t1 float64 }
	stack := []part{{0, 1}}
	for n := 0; len(stack) > 0; n++ {
		q := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		by := into(q.t0, q.t1)
		if by <= 0 {
			continue
		}
		mid := (q.t0 + q.t1) / 2
		if here := into(mid, mid); here > 0 {
			return trespass{true, mid, here}
		}
		if (q.t1-q.t0)*m.length < minPiece || n > maxParts {
			return trespass{true, mid, by}
		}
		stack = append(stack, part{mid, q.t1}, part{q.t0, mid})
	}
	return trespass{}
}

// into returns how far the tool on a piece reaches into forbidden ground at any
// level, 0 or less when it does not.
func (g *ground) into(levels []level, p piece, tool *assembly) float64 {
	worst := math.Inf(-1)
	for i := range levels {
		l := &levels[i]
		next := g.top
		if i+1 < len(levels) {
			next = math.Min(next, levels[i+1].floor)
		}
		if next <= p.lo || l.floor >= g.top {
			continue
		}
		r := tool.reach(next - p.lo)
		f := g.forbidden(l)
		if f.empty() || f.box.Distance(p.seg.Bounds()) > r+p.pad {
			continue
		}
		// A tool narrower than the tolerance still may not stand in forbidden ground.
		worst = math.Max(worst, r-l.slack-f.distance(p))
		if r <= l.slack && f.index.Contains(p.seg.At(0.5)) == geom.Inside {
			worst = math.Max(worst, geom.Tol)
		}
	}
	return worst
}

// floorAt returns the lowest floor of the features at a place and that feature,
// the stock's top and nil where there is none.
func (g *ground) floorAt(p geom.Point, tool int) (float64, *feature) {
	low, which := g.top, (*feature)(nil)
	for _, f := range g.features {
		if !f.takes(tool) || !f.box.Contains(p) || g.floor(f, p) >= low {
			continue
		}
		in := false
		if f.may != nil {
			in = f.may.index.Contains(p) != geom.Outside
		} else if f.lines != nil {
			in = f.lines.holds(geom.Line(p, p), f.Reach)
		}
		if in {
			low, which = g.floor(f, p), f
		}
	}
	return low, which
}
