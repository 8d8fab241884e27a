package job

import (
	"context"
	"fmt"
	"math"
	"slices"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/nest"
	"proofcut/paths/setup"
)

// Grain says how a shape has to lie in stock with a grain.
type Grain struct {
	Along     float64 // the direction in the shape's drawing that lies along the stock's grain, radians
	Tolerance float64 // by how much it may be off, radians
	HalfTurn  bool    // the other way round is as good
}

// kind reads what is nested, a disc or a shape, and how it counts beside others.
func (v *Nest) kind(m *mapping, j *Job) {
	v.Count = m.whole("count", "", ptr(0), 0, maxTableRows)
	if n, ok := m.get("count"); ok && m.has("at_most") {
		m.r.fail(n, "%s: give count (how many are wanted) or at_most, not both", m.what)
	}
	v.Priority = m.whole("priority", "", ptr(0), 0, maxTableRows)
	v.Common = m.yes("common_kerf", false)
	shaped := false
	for _, k := range shapeKeys {
		shaped = shaped || m.has(k)
	}
	if !shaped {
		if n, ok := m.get("grain"); ok {
			m.r.fail(n, "%s: a disc has no direction: grain is for shapes", m.what)
		}
		if v.Common {
			m.r.fail(m.at("common_kerf"), "%s: discs touch in a point and share no kerf: common_kerf is for shapes", m.what)
		}
		v.finished(m)
		m.order = append(m.order, shapeKeys...) // for the hint
		return
	}
	for _, k := range []string{"finished", "fit"} {
		if n, ok := m.get(k); ok {
			m.r.fail(n, "%s: %s is for discs; a shape is as large as it is drawn, and allowance is added on every side", m.what, k)
		}
	}
	if s, ok := m.shape(); ok {
		v.Shape = &s
	}
	n, ok := m.get("grain")
	if !ok {
		return
	}
	if j.Grain == nil {
		m.r.fail(n, "%s: grain: the stock has none; write for example 'grain: 30deg' (the direction of its layers) with the stock", m.what)
	}
	if g := m.r.mapping(n, m.what+": grain"); g != nil {
		v.Grain = &Grain{
			Along:     g.quantity("along", "0deg", nil, setup.ParseAngle),
			Tolerance: g.atLeast("tolerance", g.quantity("tolerance", "", ptr(0.0), setup.ParseAngle), 0),
			HalfTurn:  g.yes("half_turn", false),
		}
		if v.Grain.Tolerance > math.Pi/2 {
			m.r.fail(g.at("tolerance"), "%s: grain: a tolerance of more than 90deg is no grain; leave grain out for parts that may lie any way", m.what)
		}
		g.done()
	}
}

// most returns the greatest count that is asked for, 0 for any.
func (n *Nest) most() int { return max(n.AtMost, n.Count) }

// outline returns what is nested as cut, allowance included, in its own
// coordinates.
func (n *Nest) outline() (geom.Region, error) {
	if n.Shape == nil {
		return geom.RegionOf(geom.Circle(geom.Point{}, n.Cut()/2)), nil
	}
	r := geom.RegionOf(n.Shape.Contour)
	if n.Allowance == 0 {
		return r, nil
	}
	r, err := geom.Offset(r, n.Allowance, geom.OffsetOptions{})
	if err != nil {
		return nil, fmt.Errorf("allowance: %w", err)
	}
	return r, nil
}

// turning returns how a shape may be turned in the stock.
func (n *Nest) turning(grain *float64) nest.Turning {
	if n.Shape == nil || n.Grain == nil || grain == nil {
		return nest.Turning{Free: n.Shape != nil}
	}
	return nest.Turning{Angle: *grain - n.Grain.Along, Tolerance: n.Grain.Tolerance, HalfTurn: n.Grain.HalfTurn}
}

// room is the slab as the parts of a nest find it, in the frame of the slab's
// drawing, and the motion that takes places to the program's coordinates.
type room struct {
	nest.ShapeMix
	placed geom.Similarity
}

// room returns the slab as the parts of a nest find it. The cutter runs round
// every part, so a zone keeps a part away by its own clearance, by the cutter's
// diameter at the part and by how much the assembly (the shank, say) is thicker
// beside the zone. Parts that have their place already are kept free too.
func (j *Job) room(n *Nest) room {
	tool := j.tool(n.Cutter)
	reserve := paths.Reserve(j.bare())
	outline, zones, placed := j.drawn()
	m := room{placed: placed, ShapeMix: nest.ShapeMix{
		Stock: outline, Gap: tool.Diameter + n.Web + 2*reserve, Edge: n.Edge,
		Seed: n.Seed, Effort: n.Effort,
	}}
	for _, z := range zones {
		m.Keepouts = append(m.Keepouts, nest.Keepout{
			Area: z.Area, Margin: tool.Diameter/2 + j.reach(tool.Tool, z) + 2*reserve,
		})
	}
	m.avoid(j.drawnDefects(), reserve)
	for _, p := range j.Parts {
		if p.Nest == nil {
			m.Keepouts = append(m.Keepouts, nest.Keepout{Area: geom.RegionOf(p.Shape.Contour).Transform(placed.Inverse()), Margin: m.Gap})
		}
	}
	return m
}

// nestAll places all parts that are nested, together.
func (j *Job) nestAll(ctx context.Context, progress func(nest.Progress)) (map[string]*Layout, error) {
	var parts []*Part
	discs := true
	for i := range j.Parts {
		if p := &j.Parts[i]; p.Nest != nil {
			parts = append(parts, p)
			discs = discs && p.Nest.Shape == nil
		}
	}
	out := map[string]*Layout{}
	if len(parts) == 0 {
		return out, nil
	}
	slices.SortStableFunc(parts, func(a, b *Part) int { return a.Nest.Priority - b.Nest.Priority })
	for i, p := range parts {
		for _, o := range parts[:i] {
			if err := alike(o.Nest, p.Nest); err != nil {
				return nil, p.fail(err)
			}
		}
	}
	var list []*Layout
	var err error
	switch {
	case discs && len(parts) == 1:
		var l *Layout
		l, err = j.nest(ctx, parts[0], progress)
		list = []*Layout{l}
	case discs:
		list, err = j.nestMixed(ctx, parts, progress)
	default:
		list, err = j.nestShapes(ctx, parts, progress)
	}
	if err != nil {
		return nil, err
	}
	for _, l := range list {
		out[l.Part.Name] = l
	}
	return out, nil
}

// alike refuses parts on one slab that are not cut alike: the gaps between
// them would depend on who is whose neighbour.
func alike(a, b *Nest) error {
	for _, k := range []struct {
		name string
		same bool
	}{
		{"cutter", a.Cutter == b.Cutter},
		{"web", a.Web == b.Web},
		{"edge", a.Edge == b.Edge},
		{"common_kerf", a.Common == b.Common || a.Shape == nil || b.Shape == nil},
		{"seed", a.Seed == b.Seed},
		{"effort", a.Effort == b.Effort},
	} {
		if !k.same {
			return fmt.Errorf("nest: parts that are nested together on the slab need the same %s; give all of them the same", k.name)
		}
	}
	return nil
}

// nestMixed places discs of several sizes.
func (j *Job) nestMixed(ctx context.Context, parts []*Part, progress func(nest.Progress)) ([]*Layout, error) {
	room := j.room(parts[0].Nest)
	mix := nest.Mix{Stock: room.Stock, Keepouts: room.Keepouts, Gap: room.Gap, Edge: room.Edge, Seed: room.Seed, Effort: room.Effort, Progress: progress}
	for _, p := range parts {
		mix.Kinds = append(mix.Kinds, nest.Kind{Diameter: p.Nest.Cut(), Count: p.Nest.most()})
	}
	l, err := nest.Mixed(ctx, mix)
	if err == nil {
		err = mix.Check(*l)
	}
	if err != nil {
		return nil, parts[0].fail(err)
	}
	var out []*Layout
	for k, p := range parts {
		one := &Layout{Part: p, Edge: room.Edge, Web: p.Nest.Web, Gap: room.Gap, want: p.Nest.Count, Layout: &nest.Layout{
			Diameter: mix.Kinds[k].Diameter, StockArea: l.StockArea, Slack: l.Slack, Interrupted: l.Interrupted,
			Bound: l.Bounds[k], BoundName: l.BoundNames[k],
		}}
		for _, d := range l.Discs {
			if d.Kind == k {
				one.Centres = append(one.Centres, room.placed.Apply(d.Centre))
				one.Share += math.Pi * one.Diameter * one.Diameter / 4 / l.StockArea
			}
		}
		out = append(out, one)
	}
	return out, nil
}

// nestShapes places closed shapes, and discs among them. Where a common kerf is
// allowed it is taken only if more parts get out.
func (j *Job) nestShapes(ctx context.Context, parts []*Part, progress func(nest.Progress)) ([]*Layout, error) {
	first := parts[0].Nest
	room := j.room(first)
	mix := room.ShapeMix
	mix.Progress = progress
	cuts := make([]geom.Region, len(parts))
	for k, p := range parts {
		var err error
		if cuts[k], err = p.Nest.outline(); err != nil {
			return nil, p.fail(err)
		}
		mix.Shapes = append(mix.Shapes, nest.Shape{Outline: cuts[k], Count: p.Nest.most(), Turning: p.Nest.turning(j.Grain)})
	}
	var l *nest.ShapeLayout
	run := func(m nest.ShapeMix) (*nest.ShapeLayout, error) {
		l, err := nest.Shapes(ctx, m)
		if err == nil {
			err = m.Check(*l)
		}
		if err != nil {
			return nil, parts[0].fail(err)
		}
		return l, nil
	}
	common, share := false, false
	for _, p := range parts {
		share = share || p.Nest.Common // discs have no say in it
	}
	var err error
	if first.Web > 0 || !share {
		if first.Web == 0 {
			// Without a hair between them two cuts would be one.
			mix.Gap += webHair
		}
		if l, err = run(mix); err != nil {
			return nil, err
		}
	}
	if share && (l == nil || len(l.Short) > 0 || !counted(parts)) {
		shared := mix
		shared.Gap -= first.Web
		shared.Touch = true
		// Nothing is eased then, and a zone is not to be touched.
		shared.Keepouts = slices.Clone(mix.Keepouts)
		for i := range shared.Keepouts {
			shared.Keepouts[i].Margin += webHair
		}
		s, err := run(shared)
		if err != nil {
			return nil, err
		}
		if l == nil || slices.Compare(s.Counts, l.Counts) > 0 {
			l, mix, common = s, shared, true
		}
	}
	turned := room.placed.ApplyVector(geom.Pt(1, 0)).Angle()
	var out []*Layout
	for k, p := range parts {
		one := &Layout{Part: p, Edge: mix.Edge, Web: p.Nest.Web, Gap: mix.Gap, Common: common, want: p.Nest.Count,
			Layout: &nest.Layout{StockArea: l.StockArea, Slack: l.Slack, Interrupted: l.Interrupted, Bound: l.Bounds[k], BoundName: l.BoundName()}}
		if p.Nest.Shape == nil {
			one.Diameter = p.Nest.Cut()
		} else {
			one.cut = cuts[k]
		}
		for _, s := range l.Places {
			switch {
			case s.Kind != k:
				continue
			case p.Nest.Shape == nil:
				one.Centres = append(one.Centres, room.placed.Apply(s.At))
			default:
				s.At, s.Angle = room.placed.Apply(s.At), math.Remainder(s.Angle+turned, 2*math.Pi)
				one.Shapes = append(one.Shapes, s)
			}
			one.Share += cuts[k].Area() / l.StockArea
		}
		if one.Count() == 0 {
			one.Reason = "no place was found for one"
		}
		out = append(out, one)
	}
	return out, nil
}

// webHair is the web that is left where none is asked for and none shared: the
// lines of two cuts have to be two lines.
const webHair = 0.002

// counted reports whether every part has a count.
func counted(parts []*Part) bool {
	for _, p := range parts {
		if p.Nest.most() == 0 {
			return false
		}
	}
	return true
}

// shapes puts the shapes of a layout into the set-up.
func (w *planner) shapes(l *Layout) {
	for i, s := range l.Shapes {
		w.kinds = append(w.kinds, l.Part.Name)
		w.setup.Parts = append(w.setup.Parts, setup.Part{
			Name: l.name(i), At: s.At, Outline: l.cut.Transform(s.Move()),
		})
	}
}

// neighbours tells a profile of a part which nested parts it may share a kerf
// with that are cut already.
func (w *planner) neighbours(p *Profile, s *paths.Profile) {
	if p.Part == "" || p.Inside || len(w.layouts) == 0 {
		return
	}
	l := w.layouts[p.Part]
	if l == nil {
		return
	}
	s.CommonKerf = l.Common
	for _, before := range w.round {
		if l.Common && before.Part != p.Part && before.Tool.Diameter == p.Tool.Diameter && before.Allowance == p.Allowance && before.Floor <= p.Floor {
			s.Beside = append(s.Beside, w.outline(before.Part)...)
		}
	}
	w.round = append(w.round, p)
}
