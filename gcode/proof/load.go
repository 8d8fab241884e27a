package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/cutdata"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// overload is from which multiple of its limit a load is a fault. The limits of
// cutdata hold a margin of two against the working stress of the tool, and its
// models agree with measurements to a quarter, to a factor of two for drills: over
// a limit a careful operator looks, over twice the limit nothing excuses it.
const overload = cutdata.Margin

// slotArc is from which engagement a cut is a slot. A slot is how a cut goes down;
// what takes less may finish a wall at its whole depth, corners included.
const slotArc = 0.9 * math.Pi

// Steps to which loads are rounded up before they are reckoned, so that equal cuts
// are reckoned once: well under what the height map resolves.
const (
	depthStep = 1.0 / 512 // mm
	arcStep   = math.Pi / 32
	slopeStep = 1.0 / 1024
	maxLoads  = 1 << 12 // kept at a time
)

// Loads beyond these are of a program that no machine takes; they only bound
// memory.
const maxToolLoads = 1 << 12

// loads reckons what cuts ask of tools and machine.
type loads struct {
	c       *checker
	gauge   *gauge
	grooves grooves
	stock   workpiece
	backing workpiece

	all   []*toolLoad
	last  *toolLoad
	cache map[loadKey]*cutdata.Load
	key   loadKey // of the cut before
	load  *cutdata.Load
}

// workpiece is a material that tools cut.
type workpiece struct {
	material  cutdata.Material
	unknown   error                     // why no load in it is reckoned
	met       bool                      // a cut met it though it is not known
	assessors map[int]*cutdata.Assessor // by tool
}

func newWorkpiece(material string, like setup.Like) workpiece {
	w := workpiece{assessors: map[int]*cutdata.Assessor{}}
	w.material, w.unknown = cutdata.Describe(material, like)
	return w
}

// assessor returns what reckons for a tool; the error says why the material
// forbids it.
func (w *workpiece) assessor(t *setup.Tool) (*cutdata.Assessor, error) {
	if a := w.assessors[t.Number]; a != nil {
		return a, nil
	}
	s, _ := cutdata.SubstrateOf(*t)
	a, err := cutdata.NewAssessor(*t, w.material, s)
	w.assessors[t.Number] = a
	return a, err
}

// toolLoad is what one tool meets in the cuts for one feature.
type toolLoad struct {
	tool    *setup.Tool
	feature *feature // nil: for none

	most    [figures]most
	length  float64 // of side cuts, mm
	rubbing float64 // of it with a chip too thin to form
	thin    most    // the longest of these chips
	shares  [shareBins]float64
	side    most // stress of level side cuts
	chip    most // thickest chip of side cuts
	wall    most // deflection where the cut shapes its feature's edge
	down    most // chip of plunges
	buckle  most // thrust of plunges
	speed   most // cutting speed, m/min
	deep    most // depth of slots
	ramp    most // descent of a tool that does not cut at its centre, radians
	drill   most // width of a side cut with a drill
	refused error
	lastCut *cutdata.Load
}

// most is the greatest value of a figure and where it is met.
type most struct {
	value, limit, ratio float64
	block, line         int
	at                  geom.Point3
}

// figure numbers the figures of a load.
type figure int

const (
	axialFigure figure = iota
	radialFigure
	arcFigure
	removalFigure
	chipFigure
	meanChipFigure
	forceFigure
	liftFigure
	thrustFigure
	torqueFigure
	powerFigure
	deflectionFigure
	stressFigure
	figures
)

// shareBins divides the ratio of stress to its limit, up to shareTop, for the
// length of path at each.
const (
	shareBins = 64
	shareTop  = 4.0
)

type loadKey struct {
	tool        int
	depth, arc  float64
	feed, speed float64
	slope       float64
	below       float64 // of the depth in the backing
	plunge      bool
}

func newLoads(c *checker) *loads {
	st := &c.s.Stock
	l := &loads{c: c, gauge: newGauge(c.mat, st.Outline), stock: newWorkpiece(st.Material, st.Like), cache: map[loadKey]*cutdata.Load{}}
	l.gauge.sample = l.sample
	l.grooves.grid = c.mat.grid
	if st.Backing.Present {
		l.backing = newWorkpiece(st.Backing.Material, st.Backing.Like)
	}
	return l
}

// cut takes in a motion that may cut, and takes its material away.
func (l *loads) cut(m *motion, e *interp.Event) {
	g := l.gauge
	if m.tool.tool.Shape == setup.Tap {
		// Its chips are those of its thread, not of its feed: the rule tapping
		// judges them by pitch and hole.
		g.close()
		l.c.mat.cut(m, nil)
		return
	}
	now := cutting{
		load: l.of(m), feed: math.Min(m.feed(e.State), l.c.s.Machine.FeedMax), speed: e.State.SpindleSpeed,
		slope: m.steepest(), block: e.Block, line: e.Pos.Line, place: m.to, low: m.box.Min.Z,
	}
	now.wall = now.load.shapes(m)
	if g.resolved(m) {
		g.begin(m, now)
		l.c.mat.cut(m, g)
		return
	}
	g.close()
	l.fine(m, now)
	l.c.mat.cut(m, nil)
}

// leave tells that the tool is out of the cut.
func (l *loads) leave() {
	l.gauge.close()
	l.grooves.leave()
}

// fine takes in a cut with an end too fine for the map: a slot.
func (l *loads) fine(m *motion, now cutting) {
	mat := l.c.mat
	r := l.gauge.radius(&m.tool.body, m.box.Min.Z)
	top := math.Min(mat.highest(m, r), mat.top)
	if !(top-m.box.Min.Z > looseZ) {
		l.grooves.leave()
		return
	}
	plunge := m.from.XY() == m.to.XY() && !m.arc
	depth := 0.0
	if plunge {
		l.grooves.leave()
		depth = math.Min(top, l.grooves.floor(m, r)) - m.box.Min.Z
		if now.slope == 0 {
			return // upward
		}
	} else {
		depth = l.grooves.depth(m, top, r)
	}
	if g := l.c.ground; g.face != nil { // the motion may slope with the face
		depth = math.Min(depth, g.top-g.rel(m)+g.face.slope*r)
	}
	if !(depth > looseZ) {
		return
	}
	b := bin{cutting: now, any: true, depth: depth, radius: m.tool.tool.CutRadius(depth)}
	if plunge {
		b.plunge = true
		l.sample(&b, 0)
		return
	}
	b.end = math.Pi * b.radius * b.radius
	b.area, b.volume, b.middle = 2*b.radius*m.length, 2*b.radius*m.length*depth, b.radius*m.length*depth
	l.sample(&b, m.length)
}

// of returns the place for a motion's loads.
func (l *loads) of(m *motion) *toolLoad {
	f := l.c.owner(m)
	t := &m.tool.tool
	same := func(x *toolLoad) bool {
		return x.tool.Number == t.Number && (x.feature == f || x.feature != nil && f != nil && x.feature.Name == f.Name)
	}
	if l.last != nil && same(l.last) {
		return l.last
	}
	for _, x := range l.all {
		if same(x) {
			l.last = x
			return x
		}
	}
	l.last = &toolLoad{tool: t, feature: f}
	if len(l.all) < maxToolLoads {
		l.all = append(l.all, l.last)
	}
	return l.last
}

// shapes reports whether a motion runs along the edge of its feature, which then
// gets its size from it.
func (t *toolLoad) shapes(m *motion) bool {
	switch {
	case t.feature == nil:
		return false
	case t.feature.may == nil:
		return true
	}
	p := m.piece(0, 1)
	return t.feature.may.index.BoundaryDistance(p.seg)-p.pad <= t.tool.Diameter/2+2*t.feature.tolerance()
}

// sample reckons the load of a bin of that length.
func (l *loads) sample(b *bin, length float64) {
	t := b.load
	if l.stock.unknown != nil {
		l.stock.met = true
		return
	}
	width, arc := 0.0, 2*math.Pi
	if !b.plunge {
		width, arc = b.engagement(t.tool, length)
		if !(arc > 0) {
			return
		}
	}
	k := loadKey{tool: t.tool.Number, depth: up(b.depth, depthStep), feed: b.feed, speed: b.speed, plunge: b.plunge}
	if below := l.c.s.Stock.Lowest() - b.low; below > roundTol && l.c.s.Stock.Backing.Present {
		if l.backing.unknown == nil {
			k.below = math.Min(up(below, depthStep), k.depth)
		} else {
			l.backing.met = true
		}
	}
	if !b.plunge {
		k.arc = math.Min(up(arc, arcStep), math.Pi)
		if b.slope > 0 && b.end > endShare*math.Pi*b.radius*b.radius {
			k.slope = up(b.slope, slopeStep)
			t.descend(b)
		}
	}
	x := l.reckon(t, k, b, width)
	if x == nil {
		return
	}
	if !b.plunge {
		t.length += length
		share := x.Checks[cutdata.StressLimit].Ratio
		t.shares[min(int(share/shareTop*shareBins), shareBins-1)] += length
		if x.Checks[cutdata.RubbingLimit].Ratio > 1 {
			t.rubbing += length
			t.thin.note(x.ChipMax, cutdata.LeastChip, x.ChipMax, b)
		}
	}
	t.most[axialFigure].note(b.depth, 0, b.depth, b)
	t.most[radialFigure].note(width, 0, width, b)
	if !b.plunge && arc >= slotArc {
		t.deep.note(b.depth, 0, b.depth, b)
	}
	if x != t.lastCut { // the same cut as before is no greater
		t.lastCut = x
		t.note(x, b, k)
	}
	if b.wall && t.feature != nil && x.Deflection > 0 {
		tol := t.feature.tolerance()
		t.wall.note(x.Deflection, tol, x.Deflection/tol, b)
	}
}

// reckon returns the load of a cut, nil when it cannot be told.
func (l *loads) reckon(t *toolLoad, k loadKey, b *bin, width float64) *cutdata.Load {
	if l.load != nil && k == l.key {
		return l.load
	}
	x, ok := l.cache[k]
	if !ok {
		x = l.assess(t, k, b, width)
		if len(l.cache) >= maxLoads {
			clear(l.cache)
		}
		l.cache[k] = x
	}
	l.key, l.load = k, x
	return x
}

// assess reckons the load of a cut. Where it goes into the backing, that has its
// share of the depth, at the tip; the stock's share counts as spread over all of it.
func (l *loads) assess(t *toolLoad, k loadKey, b *bin, width float64) *cutdata.Load {
	if t.tool.Shape == setup.Drill && !k.plunge {
		t.drill.note(width, 0, width, b)
		return nil
	}
	if k.below <= 0 {
		return l.in(&l.stock, t, k, b, k.depth)
	}
	down := l.in(&l.backing, t, k, b, k.below)
	if down == nil || k.below >= k.depth {
		return down
	}
	x := l.in(&l.stock, t, k, b, k.depth)
	if x == nil {
		return nil
	}
	share := 1 - k.below/k.depth
	add := func(v *float64, w float64) { *v = *v*share + w }
	add(&x.Force, down.Force)
	add(&x.Side, down.Side)
	add(&x.Thrust, down.Thrust)
	add(&x.Torque, down.Torque)
	add(&x.Power, down.Power)
	add(&x.Deflection, down.Deflection)
	add(&x.Stress, down.Stress)
	for _, which := range []cutdata.Limit{cutdata.StressLimit, cutdata.BucklingLimit, cutdata.PowerLimit, cutdata.TorqueLimit} {
		add(&x.Checks[which].Value, down.Checks[which].Value)
		add(&x.Checks[which].Ratio, down.Checks[which].Ratio)
	}
	for _, which := range []cutdata.Limit{cutdata.ChipLimit, cutdata.SpeedLimit} {
		if c := down.Checks[which]; c.Ratio > x.Checks[which].Ratio {
			x.Checks[which] = c
		}
	}
	return x
}

// in reckons the load of a cut of that depth in the stock or in the backing.
func (l *loads) in(w *workpiece, t *toolLoad, k loadKey, b *bin, depth float64) *cutdata.Load {
	a, err := w.assessor(t.tool)
	if err != nil {
		t.refused = err
		return nil
	}
	s, known := cutdata.SubstrateOf(*t.tool)
	d := &l.c.s.Machine.Drive
	c := cutdata.Cut{
		Speed: k.speed, Feed: k.feed, Depth: depth, Engagement: k.arc, Plunge: k.plunge,
		Ramp: math.Asin(math.Min(k.slope, 1)), Substrate: s, Runout: t.tool.Runout,
		Spindle: cutdata.Spindle{Power: d.Power, Torque: d.Torque, Stiffness: d.Stiffness},
	}
	if k.plunge && t.tool.Shape == setup.Drill {
		// The whole hole is round the drill, not only the present bite.
		c.Depth = math.Max(c.Depth, math.Min(l.c.s.Stock.Top-b.low, t.tool.FluteLength))
	}
	x, err := a.Assess(c)
	if err != nil {
		return nil // without a speed or feed, which other rules report
	}
	if !known { // a speed that the tool's material decides is not known
		x.Checks[cutdata.SpeedLimit] = cutdata.Check{}
	}
	return &x
}

// up rounds up to a multiple of a step.
func up(v, step float64) float64 { return math.Ceil(v/step-1e-9) * step }

// descend notes the slope of a ramp into material.
func (t *toolLoad) descend(b *bin) {
	if t.tool.CentreCuts || t.tool.Shape == setup.Drill || pointed(t.tool) {
		return
	}
	a := math.Asin(math.Min(1, b.slope))
	t.ramp.note(a, blindRamp, a/blindRamp, b)
}

func (m *most) note(value, limit, ratio float64, b *bin) {
	if ratio > m.ratio {
		*m = most{value, limit, ratio, b.block, b.line, b.place}
	}
}

// note keeps what is greater than before.
func (t *toolLoad) note(x *cutdata.Load, b *bin, k loadKey) {
	put := func(f figure, v float64, which cutdata.Limit, limited bool) {
		m := &t.most[f]
		if !limited || !x.Checks[which].Known {
			if v > m.value {
				m.note(v, m.limit, v, b)
			}
			return
		}
		m.note(v, x.Checks[which].Limit, x.Checks[which].Ratio, b)
	}
	const none = cutdata.StressLimit // not read
	put(removalFigure, x.Removal, none, false)
	put(chipFigure, x.ChipMax, cutdata.ChipLimit, true)
	put(meanChipFigure, x.ChipMean, none, false)
	put(forceFigure, x.Force, none, false)
	put(thrustFigure, x.Thrust, none, false)
	put(torqueFigure, x.Torque, cutdata.TorqueLimit, true)
	put(powerFigure, x.Power, cutdata.PowerLimit, true)
	put(deflectionFigure, x.Deflection, none, false)
	stress := x.Checks[cutdata.StressLimit]
	put(stressFigure, x.Stress, cutdata.StressLimit, true)
	if c := x.Checks[cutdata.SpeedLimit]; c.Known {
		t.speed.note(c.Value, c.Limit, c.Ratio, b)
	}
	if b.plunge {
		if c := x.Checks[cutdata.ChipLimit]; c.Known {
			t.down.note(c.Value, c.Limit, c.Ratio, b)
		}
		if c := x.Checks[cutdata.BucklingLimit]; c.Known {
			t.buckle.note(c.Value, c.Limit, c.Ratio, b)
		}
		return
	}
	put(arcFigure, k.arc*180/math.Pi, none, false)
	// A helix draws on the work along the axis (geometry of the edge).
	put(liftFigure, x.Force*math.Tan(t.tool.Helix), none, false)
	if k.slope == 0 {
		t.side.note(stress.Value, stress.Limit, stress.Ratio, b)
	}
	if c := x.Checks[cutdata.ChipLimit]; c.Known {
		t.chip.note(c.Value, c.Limit, c.Ratio, b)
	}
}

// usual returns the ratio of stress to its limit that half of the cut's length
// stays under.
func (t *toolLoad) usual() float64 {
	sum := 0.0
	for i, l := range t.shares {
		if sum += l; sum >= t.length/2 {
			return float64(i+1) * shareTop / shareBins
		}
	}
	return shareTop
}

// name returns the feature's name.
func (t *toolLoad) name() string {
	if t.feature == nil {
		return ""
	}
	return t.feature.Name
}

// where says in which cut a load is met.
func (t *toolLoad) where() string {
	if t.feature == nil {
		return ""
	}
	return " in " + t.feature.Name
}
