package proof

import (
	"container/heap"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// gapTol is how near the bounds of a least distance have to come before the
// lower one is reported: a nanometre, far below what a control resolves.
const gapTol = 1e-6

// maxSplits bounds the work on one motion and one zone. Bisection halves the
// bracket, so the bound is met only by motions that follow a zone at almost
// constant distance; the lower bound that stands then is still safe.
const maxSplits = 4096

// plan answers distance questions about a region seen from above.
type plan struct {
	region geom.Region
	index  *geom.Index
	box    geom.Box
}

func newPlan(r geom.Region) *plan {
	return &plan{region: r, index: geom.NewIndex(r), box: r.Bounds()}
}

func (p *plan) empty() bool { return len(p.region) == 0 }

// distance returns the least distance from the region to anything within the
// piece's pad of its plan, never more than the truth.
func (p *plan) distance(pc piece) float64 {
	if p.empty() {
		return math.Inf(1)
	}
	return math.Max(0, p.index.Distance(pc.seg)-pc.pad)
}

// prism is a keep-out zone made ready for distance questions.
type prism struct {
	zone setup.Zone
	*plan
	least       float64
	block, line int
}

// bound returns a cheap lower bound of the distance between the prism and the
// tool on its motion, from boxes alone.
func (z *prism) bound(m *motion) float64 {
	return m.tool.gap(z.box.Distance(m.box.XY()), z.zone.Bottom-m.box.Max.Z, z.zone.Top-m.box.Min.Z)
}

// distance returns the least distance in space between the prism and any part
// of the tool on its motion. It is a lower bound at most gapTol below the
// truth, unless maxSplits is met.
func (z *prism) distance(m *motion) float64 {
	if m.level() && !m.upright() {
		return m.tool.gap(z.plan.distance(m.piece(0, 1)), z.zone.Bottom-m.from.Z, z.zone.Top-m.from.Z)
	}
	best := math.Min(z.exact(m, 0), z.exact(m, 1)) // upper bound of the least distance
	queue := spans{z.span(m, 0, 1)}
	for n := 0; len(queue) > 0; n++ {
		s := heap.Pop(&queue).(span)
		if s.bound >= best-gapTol || n == maxSplits {
			return math.Min(best, s.bound)
		}
		mid := (s.t0 + s.t1) / 2
		best = math.Min(best, z.exact(m, mid))
		heap.Push(&queue, z.span(m, s.t0, mid))
		heap.Push(&queue, z.span(m, mid, s.t1))
	}
	return best
}

// exact returns the distance with the tip at one place of the motion, give or
// take the motion's slack.
func (z *prism) exact(m *motion, t float64) float64 {
	p := m.at(t)
	d := z.plan.distance(piece{seg: geom.Line(p.XY(), p.XY()), pad: m.slack})
	s := 0.0
	if m.upright() {
		s = m.slack
	}
	return m.tool.gap(d, z.zone.Bottom-p.Z-s, z.zone.Top-p.Z+s)
}

// span is a part of a motion with a lower bound of its distance.
type span struct{ t0, t1, bound float64 }

func (z *prism) span(m *motion, t0, t1 float64) span {
	p := m.piece(t0, t1)
	// A tool anywhere between two heights meets the prism as a tool at the
	// lower height meets one that reaches as much deeper.
	return span{t0, t1, m.tool.gap(z.plan.distance(p), z.zone.Bottom-p.hi, z.zone.Top-p.lo)}
}

// spans is a heap with the least bound on top.
type spans []span

func (s spans) Len() int           { return len(s) }
func (s spans) Less(i, j int) bool { return s[i].bound < s[j].bound }
func (s spans) Swap(i, j int)      { s[i], s[j] = s[j], s[i] }
func (s *spans) Push(x any)        { *s = append(*s, x.(span)) }
func (s *spans) Pop() any {
	old := *s
	x := old[len(old)-1]
	*s = old[:len(old)-1]
	return x
}

// dogLeg returns a lower bound of the distance when the motion's axes run at
// rates of their own: the tip may be anywhere in the motion's block.
func (z *prism) dogLeg(m *motion) float64 {
	d := math.Inf(1)
	for _, e := range boxEdges(m.box.XY()) {
		d = math.Min(d, z.plan.distance(piece{seg: e}))
	}
	for _, c := range z.region {
		if len(c) > 0 && m.box.XY().Contains(c[0].A) {
			d = 0
		}
	}
	return m.tool.gap(d, z.zone.Bottom-m.box.Max.Z, z.zone.Top-m.box.Min.Z)
}

func boxEdges(b geom.Box) [4]geom.Seg {
	q := [4]geom.Point{b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)}
	return [4]geom.Seg{geom.Line(q[0], q[1]), geom.Line(q[1], q[2]), geom.Line(q[2], q[3]), geom.Line(q[3], q[0])}
}
