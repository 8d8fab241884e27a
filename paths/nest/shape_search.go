package nest

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"proofcut/paths/geom"
)

// shapeSearch is the state of one call of Shapes.
type shapeSearch struct {
	ctx     context.Context
	m       ShapeMix
	kinds   []shapeKind
	round   *surroundings
	rng     *rand.Rand
	best    []member // laid out, without overlaps
	bounds  []int
	work    int64 // booked; a cluster's own work comes on top until it is booked
	budget  int64
	end     int64 // of the present phase
	counter int
	ended   bool
}

// shapeWorkPerSecond turns nominal seconds into units of counted work of the
// search for shapes, as workPerSecond does for discs.
const shapeWorkPerSecond = 400e6

func newShapeSearch(ctx context.Context, m ShapeMix) (*shapeSearch, error) {
	effort := m.Effort
	if effort == 0 {
		effort = DefaultEffort
	}
	s := &shapeSearch{ctx: ctx, m: m, rng: rand.New(rand.NewPCG(m.Seed, 0x7368617065)),
		budget: int64(math.Min(effort, 1e9) * shapeWorkPerSecond)}
	s.end = s.budget
	var err error
	if s.round, err = newSurroundings(m.Stock, m.Edge, m.Keepouts); err != nil {
		return nil, err
	}
	for k, shape := range m.Shapes {
		kind, err := newShapeKind(shape)
		if err != nil {
			return nil, fmt.Errorf("nest: shape %d: %w", k, err)
		}
		s.kinds = append(s.kinds, kind)
	}
	if s.bounds, err = shapeBounds(m); err != nil {
		return nil, err
	}
	total := 0
	for k := range s.kinds {
		if s.kinds[k].count == 0 || s.kinds[k].count > s.bounds[k] {
			s.kinds[k].count = s.bounds[k]
		}
		if total += s.kinds[k].count; total > maxShapes {
			return nil, fmt.Errorf("nest: shape %d: room for about %d in all, more than the limit of %d; ask for a count", k, total, maxShapes)
		}
	}
	return s, nil
}

func newShapeKind(s Shape) (shapeKind, error) {
	c := s.filled()[0]
	k := shapeKind{area: c.Area(), turning: s.Turning, count: s.Count}
	parts, err := solids(c)
	if err != nil {
		return k, err
	}
	box := geom.EmptyBox()
	for _, p := range parts {
		for _, q := range p.pts {
			box = box.AddPoint(q)
		}
	}
	k.pivot = box.Center()
	k.round = len(parts) == 1 && len(parts[0].pts) == 1
	var all []geom.Point
	for _, p := range parts {
		pts := make([]geom.Point, len(p.pts))
		for i, q := range p.pts {
			pts[i] = q.Sub(k.pivot)
			k.radius = math.Max(k.radius, pts[i].Len()+p.r)
		}
		all = append(all, pts...)
		k.parts = append(k.parts, newSolid(pts, p.r))
	}
	k.hull = geom.ConvexHull(all)
	return k, nil
}

// shapeBounds returns for each shape how many of it the area allows: shapes
// grown by half the gap do not overlap, and they lie in the places that a shape
// may cover, grown as much. A shape covers no place that is farther from a place
// for the middle of its widest disc than its own outline is from that middle.
func shapeBounds(m ShapeMix) ([]int, error) {
	room, err := geom.Offset(m.Stock, regionSlack-m.Edge, geom.OffsetOptions{})
	if err != nil {
		return nil, fmt.Errorf("nest: stock: %w", err)
	}
	for i, k := range m.Keepouts {
		out := k.Area
		if len(out) == 0 {
			continue
		}
		if k.Margin > regionSlack {
			if out, err = geom.Offset(k.Area, k.Margin-regionSlack, geom.OffsetOptions{}); err != nil {
				return nil, fmt.Errorf("nest: keep-out %d: %w", i, err)
			}
		}
		if room, err = geom.Difference(room, out); err != nil {
			return nil, fmt.Errorf("nest: keep-out %d: %w", i, err)
		}
	}
	bounds := make([]int, len(m.Shapes))
	for k, s := range m.Shapes {
		grown, err := geom.Offset(s.filled(), m.Gap/2, geom.OffsetOptions{})
		if err != nil {
			return nil, fmt.Errorf("nest: shape %d: %w", k, err)
		}
		area, err := coverable(room, s, m.Gap/2)
		if err != nil {
			return nil, fmt.Errorf("nest: shape %d: %w", k, err)
		}
		// Areas are sums of a few thousand products: a millionth is ample.
		n := math.Floor(area/grown.Area()*(1+1e-6) + 1e-6)
		bounds[k] = int(math.Min(n, math.MaxInt32))
		if s.Count > 0 {
			bounds[k] = min(bounds[k], s.Count)
		}
	}
	return bounds, nil
}

// coverable returns the area of the places that a shape may cover in a room,
// grown by half the gap.
func coverable(room geom.Region, s Shape, grown float64) (float64, error) {
	axis, err := geom.MedialAxis(s.filled(), geom.MedialOptions{})
	if err != nil {
		return 0, err
	}
	disc := axis.Widest()
	far := 0.0
	for _, p := range geom.Flatten(s.filled()[0], chordError) {
		far = math.Max(far, p.Dist(disc.C)+chordError)
	}
	// The offsets are off by a micrometre at most, to the safe side here.
	middle, err := geom.Offset(room, -math.Max(0, disc.R-regionSlack), geom.OffsetOptions{})
	if err != nil || len(middle) == 0 {
		return 0, err
	}
	reach, err := geom.Offset(middle, far+regionSlack, geom.OffsetOptions{})
	if err != nil {
		return 0, err
	}
	if room, err = geom.Intersection(room, reach); err != nil {
		return 0, err
	}
	if room, err = geom.Offset(room, grown, geom.OffsetOptions{}); err != nil {
		return 0, err
	}
	return room.Area(), nil
}

// cluster returns an empty cluster on the stock.
func (s *shapeSearch) cluster() *cluster {
	return &cluster{kinds: s.kinds, round: s.round, gap: s.m.Gap}
}

// stop reports whether the search has to end now; extra is work not booked.
func (s *shapeSearch) stop(extra int64) bool {
	if s.counter++; s.counter&15 == 0 && s.ctx.Err() != nil {
		s.ended = true
	}
	return s.ended || s.work+extra >= s.end
}

func (s *shapeSearch) report(trying int, extra int64) {
	if s.m.Progress != nil {
		bound := 0
		for _, k := range s.kinds {
			bound += k.count
		}
		s.m.Progress(Progress{Placed: len(s.best), Trying: trying, Bound: bound,
			Done: math.Min(1, float64(s.work+extra)/float64(s.budget))})
	}
}

// countsOf returns how many members there are of each kind.
func (s *shapeSearch) countsOf(ms []member) []int {
	n := make([]int, len(s.kinds))
	for _, m := range ms {
		n[m.kind]++
	}
	return n
}

const (
	// firstSlice is the effort of the first slice of the search, in nominal
	// seconds; every slice has twice as much as the one before.
	firstSlice = 0.05
	// layShare is the part of a slice that goes into laying shapes against each
	// other in many ways.
	layShare = 0.3
	// firstTurns is the number of turns tried in the first layouts, layTurns in
	// the others.
	firstTurns = 4
	layTurns   = 10
	// axes is the number of layouts along the axes that come first.
	axes = 4
)

// run searches in slices. What a slice does depends on those before it alone,
// so a search with more effort goes the same way and then further: it is never
// worse.
func (s *shapeSearch) run() {
	round := 0
	for slice := firstSlice; round == 0 || !s.stop(0) && !s.complete(); slice *= 2 {
		start := s.work
		until := func(share float64) { s.end = min(s.budget, start+int64(share*slice*shapeWorkPerSecond)) }
		for until(layShare); round == 0 || !s.stop(0) && !s.complete(); round++ {
			s.lay(round)
		}
		// Then more of each kind in the order of priority.
		for k := range s.kinds {
			until(layShare + (1-layShare)*float64(k+1)/float64(len(s.kinds)))
			s.grow(k)
		}
		s.end = s.budget
	}
}

// lay makes a layout in which every shape lies against others, and keeps it if
// it is the best.
func (s *shapeSearch) lay(round int) {
	c := s.cluster()
	dir, turns := geom.Polar(1, math.Pi/2*float64(round)), firstTurns
	if round >= axes {
		dir, turns = geom.Polar(1, 2*math.Pi*s.rng.Float64()), layTurns
		if s.rng.IntN(2) == 0 { // along a side of the stock
			dir = s.round.outside[s.rng.IntN(len(s.round.outside))].n.Mul(-1)
		}
	}
	for k := range s.kinds {
		s.fill(c, k, dir, turns, round == 0)
		if round > 0 && slices.Compare(s.countsOf(c.members)[:k+1], s.countsOf(s.best)[:k+1]) < 0 {
			break // no later kind makes up for that
		}
	}
	s.work += c.work
	if s.better(c.members) {
		s.best = c.snapshot()
		s.report(len(s.best), 0)
	}
}

// complete reports whether as many are placed as can be.
func (s *shapeSearch) complete() bool {
	for k, n := range s.countsOf(s.best) {
		if n < s.kinds[k].count {
			return false
		}
	}
	return true
}

// better reports whether members are more than the best, earlier kinds first.
func (s *shapeSearch) better(ms []member) bool {
	return slices.Compare(s.countsOf(ms), s.countsOf(s.best)) > 0
}

// fill lays shapes of a kind into a cluster, each as far against dir as it
// goes, until none fits or there are enough.
func (s *shapeSearch) fill(c *cluster, kind int, dir geom.Point, turns int, first bool) {
	have := 0
	for _, m := range c.members {
		if m.kind == kind {
			have++
		}
	}
	angles := s.turnsFor(kind, dir, turns)
	side := dir.Left().Mul(sideways)
	score := func(q geom.Point) float64 { return q.Dot(dir) + q.Dot(side) }
	touchers := make([]*toucher, len(angles))
	for i, a := range angles {
		touchers[i] = newToucher(c, kind, a.angle, score)
	}
	for ; have < s.kinds[kind].count && (first || !s.stop(c.work)); have++ {
		low := math.Inf(1)
		var at pose
		var base float64
		for i, a := range angles {
			far := reachAlong(s.kinds[kind].hull, s.kinds[kind].parts, a.angle, dir)
			q, ok := touchers[i].best()
			if !ok {
				continue
			}
			if v := score(q) + far; v < low-Rounding {
				low, at, base = v, pose{q, a.angle}, a.base
			}
		}
		if math.IsInf(low, 1) || s.ended {
			return
		}
		c.add(kind, at, base)
	}
}

// sideways is how much a place to the side counts beside one against the
// direction in which shapes are laid.
const sideways = 0.05

// reachAlong returns how far a turned shape reaches from its pivot along dir.
func reachAlong(hull []geom.Point, parts []solid, angle float64, dir geom.Point) float64 {
	far, r := math.Inf(-1), 0.0
	back := turnPoint(dir, -angle)
	for _, p := range hull {
		far = math.Max(far, p.Dot(back))
	}
	for _, p := range parts {
		r = math.Max(r, p.r)
	}
	return far + r
}

func turnPoint(p geom.Point, a float64) geom.Point {
	sin, cos := math.Sincos(a)
	return geom.Pt(p.X*cos-p.Y*sin, p.X*sin+p.Y*cos)
}

// turn is an angle to try and the angle that its tolerance is about.
type turn struct{ angle, base float64 }

// turnsFor returns the angles to lay a kind of shape at: those that the turning
// names, or for a free shape those that lay its longest sides across dir or
// along the longest sides of the stock, and a few at random.
func (s *shapeSearch) turnsFor(kind int, dir geom.Point, n int) []turn {
	k := &s.kinds[kind]
	t := k.turning
	if k.round {
		return []turn{{t.Angle, t.Angle}}
	}
	if !t.Free {
		out := []turn{{t.Angle, t.Angle}}
		if t.HalfTurn {
			out = append(out, turn{t.Angle + math.Pi, t.Angle + math.Pi})
		}
		if t.Tolerance > 0 {
			for _, b := range slices.Clone(out) {
				a := b.base + t.Tolerance*(2*s.rng.Float64()-1)
				out = append(out, turn{a, b.base}, turn{b.base + t.Tolerance, b.base}, turn{b.base - t.Tolerance, b.base})
			}
		}
		return out
	}
	var out []turn
	add := func(a float64) {
		for _, o := range out {
			if math.Abs(math.Remainder(a-o.angle, 2*math.Pi)) < 1e-9 {
				return
			}
		}
		out = append(out, turn{a, a})
	}
	sides := longestSides(k.hull, n)
	across := dir.Left().Angle()
	for i, e := range sides {
		if i < (n+1)/2 {
			add(math.Remainder(across-e.Angle(), 2*math.Pi))
			add(math.Remainder(across-e.Angle()+math.Pi, 2*math.Pi))
		}
	}
	walls := longestSides(s.round.hull, 4)
	for len(out) < n {
		e := sides[s.rng.IntN(len(sides))]
		if s.rng.IntN(3) == 0 {
			add(2 * math.Pi * s.rng.Float64())
			continue
		}
		add(math.Remainder(walls[s.rng.IntN(len(walls))].Angle()-e.Angle(), 2*math.Pi))
		add(2 * math.Pi * s.rng.Float64())
	}
	return out[:min(n, len(out))]
}

// longestSides returns up to n sides of a convex polygon, longest first.
func longestSides(hull []geom.Point, n int) []geom.Point {
	var sides []geom.Point
	for i, p := range hull {
		sides = append(sides, hull[(i+1)%len(hull)].Sub(p))
	}
	slices.SortStableFunc(sides, func(a, b geom.Point) int { return compare(b.Dot(b), a.Dot(a), 0, 0) })
	return sides[:min(n, len(sides))]
}

// finish settles the shapes, puts them in order and measures the layout.
func (s *shapeSearch) finish() (*ShapeLayout, error) {
	l := &ShapeLayout{StockArea: s.m.Stock.Area(), Bounds: s.bounds, Interrupted: s.ended}
	s.settle()
	l.Counts = s.countsOf(s.best)
	for k, n := range l.Counts {
		if n > s.bounds[k] {
			return nil, fmt.Errorf("nest: %d of shape %d placed above the bound of %d (%s): one of them is wrong", n, k, s.bounds[k], boundArea)
		}
	}
	for _, m := range s.best {
		k := &s.kinds[m.kind]
		a := m.pose.angle
		if k.round {
			a = k.turning.Angle
		}
		l.Places = append(l.Places, PlacedShape{Kind: m.kind, Angle: math.Remainder(a, 2*math.Pi),
			At: m.pose.at.Sub(turnPoint(k.pivot, a))})
		l.Share += s.m.Shapes[m.kind].Outline.Area() / l.StockArea
	}
	at := make([]geom.Point, len(s.best))
	narrow := math.Inf(1)
	for i, m := range s.best {
		at[i] = m.pose.at
		narrow = math.Min(narrow, s.kinds[m.kind].radius)
	}
	ordered := make([]PlacedShape, 0, len(at))
	for _, i := range rowOrder(at, narrow) {
		ordered = append(ordered, l.Places[i])
	}
	l.Places = ordered
	for k, n := range l.Counts {
		if n < s.m.Shapes[k].Count {
			l.Short = append(l.Short, k)
		}
	}
	slack, err := s.m.slack(l.Places)
	if err != nil {
		return nil, fmt.Errorf("nest: layout failed its own check: %w", err)
	}
	if len(l.Places) > 0 {
		l.Slack = slack
	}
	return l, nil
}
