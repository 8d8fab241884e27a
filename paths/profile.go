package paths

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Side is the side of a shape that a profile cuts.
type Side uint8

// The sides of a profile.
const (
	Outside Side = iota // the shape is the part: what is inside it stays
	Inside              // the shape is an opening: what is outside it stays
)

// Profile cuts along the whole boundary of a shape, holes first. The tool goes
// down by ramps along the contour, level by level, and never lifts between
// levels unless it leads in and out.
type Profile struct {
	Op
	Shape geom.Region
	Side  Side
	Keep  geom.Region // what else must stay: neighbouring parts
	Part  bool        // the shape is parts of the job: the cut may enter no other

	// CommonKerf lets neighbours whose walls lie one cutter diameter apart share
	// the cut between them: it is made once, with the first of them. What holds
	// them there, a skin, holds both. Beside are neighbours that an earlier
	// operation has cut round with the same tool, allowance and depth.
	CommonKerf bool
	Beside     geom.Region

	Allowance float64 // mm that stay on the wall for later
	Ramp      float64 // slope of the entry along the contour, radians; 0: RampAngle

	// Conventional mills against the feed. The zero value climbs: with the
	// spindle turning clockwise the material that stays is on the right of the
	// travel, so the tool runs clockwise round a part and counter-clockwise in
	// an opening.
	Conventional bool

	// Lead is the radius of the arcs by which the tool comes to the wall and
	// leaves it; they get smaller, or are left out with a finding, where there
	// is no room. 0: none.
	Lead float64

	// Finish is what the passes leave on the wall for one last cut at full
	// depth; 0: none.
	Finish float64

	Bridges Bridges

	// Held is what holds the stock down: screws, clamps. The part farthest from it
	// is cut first and the nearest last, so that each is cut while all the material
	// between it and what holds it is whole; cut the other way round, the last
	// would hang on webs. Empty: short ways decide.
	Held geom.Region
}

// profileRail is one line of the tool's axis.
type profileRail struct {
	rail
	closed  bool
	bridges []bridge
}

// Plan works the operation out.
func (p Profile) Plan(s *setup.Setup) (Plan, error) {
	plan := Plan{Op: p.Op}
	angle, err := p.check(s)
	if err != nil {
		return plan, err
	}
	solid := p.Shape // what bounds the cut: the part, or the opening
	if p.Allowance > 0 {
		if solid, err = geom.Offset(p.Shape, p.outward(p.Allowance), geom.OffsetOptions{}); err != nil {
			return plan, p.errorf("allowance: %w", err)
		}
	}
	zones, err := newKeepOuts(s, p.Tool)
	if err != nil {
		return plan, p.errorf("%w", err)
	}
	wall, findings, err := p.rails(s, zones, 0)
	if err != nil {
		return plan, err
	}
	plan.Findings = findings
	room := newRoom(s, p, solid, zones, wall)
	if err := room.checkKeep(p, wall); err != nil {
		return plan, err
	}
	if p.CommonKerf {
		if err := room.checkShared(p, wall); err != nil {
			return plan, err
		}
	}
	rough := wall
	if p.Finish > 0 {
		if rough, _, err = p.rails(s, zones, p.Finish); err != nil {
			return plan, err
		}
		if err := p.alignBridges(rough, wall); err != nil {
			return plan, err
		}
	}
	for _, r := range append(slices.Clone(rough), wall...) {
		if err := p.checkRamp(r.rail, angle); err != nil {
			return plan, err
		}
	}
	for i := range rough {
		cuts, note := p.passes(&rough[i], angle, room)
		plan.Cuts = append(plan.Cuts, cuts...)
		plan.Findings = append(plan.Findings, note...)
	}
	if p.Finish > 0 {
		for i := range wall {
			plan.Cuts = append(plan.Cuts, p.finish(&wall[i], angle, room))
		}
	}
	out, err := forbidden(zones, p.Bottom)
	if err != nil {
		return plan, p.errorf("%w", err)
	}
	centres, err := p.centres(s, 0)
	if err != nil {
		return plan, err
	}
	plan.Features, err = p.profiled(s, solid, centres, wall, out)
	return plan, err
}

// check refuses what makes no sense and returns the ramp's angle.
func (p Profile) check(s *setup.Setup) (float64, error) {
	if err := p.validate(s); err != nil {
		return 0, err
	}
	switch {
	case p.Tool.Shape != setup.Flat && p.Tool.Shape != setup.Ball:
		return 0, p.errorf("tool %d: a profile needs an end mill", p.Tool.Number)
	case !finite(p.Allowance, p.Lead, p.Finish) || p.Allowance < 0 || p.Lead < 0 || p.Finish < 0:
		return 0, p.errorf("allowance, lead and finish have to be zero or positive")
	case p.Finish >= p.Tool.Diameter:
		return 0, p.errorf("the finishing cut of %g mm is wider than the tool", p.Finish)
	case len(p.Shape) == 0:
		return 0, p.errorf("the shape is empty")
	case p.CommonKerf && (p.Side == Inside || p.Bridges.Count > 0 || p.Finish > 0):
		return 0, p.errorf("neighbours that share a kerf are cut outside, without a finishing cut and without bridges, which would hold them to each other and to nothing else: leave a skin")
	}
	if err := p.Shape.Validate(); err != nil {
		return 0, p.errorf("shape: %w", err)
	}
	if len(p.Keep) > 0 {
		if err := p.Keep.Validate(); err != nil {
			return 0, p.errorf("parts to keep: %w", err)
		}
	}
	if err := p.Bridges.validate(p.Op); err != nil {
		return 0, err
	}
	return p.rampAngle(p.Ramp)
}

// outward gives a distance from the wall the sign that Offset needs.
func (p Profile) outward(d float64) float64 {
	if p.Side == Inside {
		return -d
	}
	return d
}

// waste tells on which side of the travel the waste lies.
func (p Profile) waste() geom.Turn {
	if p.Conventional {
		return geom.CW
	}
	return geom.CCW
}

// centres returns the regions along whose boundaries the tool's axis runs when
// it leaves extra on the wall: one, or one for each part where neighbours may
// share a kerf, since their regions may touch.
func (p Profile) centres(s *setup.Setup, extra float64) ([]geom.Region, error) {
	d := p.Tool.Diameter/2 + p.Allowance + extra + Reserve(s)
	parts := []geom.Region{p.Shape}
	if p.CommonKerf {
		parts = apiece(p.Shape)
	}
	out := make([]geom.Region, len(parts))
	for i, part := range parts {
		var err error
		if out[i], err = geom.Offset(part, p.outward(d), geom.OffsetOptions{}); err != nil {
			return nil, p.errorf("offset: %w", err)
		}
		if len(out[i]) == 0 {
			return nil, p.errorf("tool %d (%.3f mm) does not fit into the opening", p.Tool.Number, p.Tool.Diameter)
		}
	}
	return out, nil
}

// rails returns the lines of the tool's axis that leave extra on the wall, the
// holes' first, with their bridges.
func (p Profile) rails(s *setup.Setup, zones []keepOut, extra float64) ([]profileRail, []Finding, error) {
	centres, err := p.centres(s, extra)
	if err != nil {
		return nil, nil, err
	}
	narrow := false
	parts := []geom.Region{p.Shape}
	if p.CommonKerf {
		parts = apiece(p.Shape)
	}
	var all geom.Region
	for i := range centres {
		n, err := p.apart(parts[i], centres[i])
		if err != nil {
			return nil, nil, err
		}
		narrow = narrow || n
		all = append(all, centres[i]...)
	}
	shared, err := p.newShared(s, extra)
	if err != nil {
		return nil, nil, err
	}
	// The offset's inside is on its left: of an outside profile that is the
	// part, which climbing wants on the right.
	turn := p.Side == Outside != p.Conventional
	contours := p.sorted(all)
	var out []profileRail
	var findings []Finding
	if narrow {
		findings = append(findings, Finding{Operation: p.label(), Text: fmt.Sprintf("tool %d (%.3f mm) does not pass the narrowest places of the shape: they stay uncut", p.Tool.Number, p.Tool.Diameter)})
	}
	for _, c := range contours {
		line := c.Path()
		if turn {
			line = line.Reverse()
		}
		left, err := p.keepClear(zones, []geom.Path{line})
		if err != nil {
			return nil, nil, err
		}
		findings = append(findings, left.findings...)
		parts, cut := left.paths, left.cut
		if p.CommonKerf {
			var once bool
			if parts, once, err = shared.once(parts); err != nil {
				return nil, nil, p.errorf("common kerf: %w", err)
			}
			cut = cut || once
		}
		if cut {
			parts = acrossSeam(line, parts)
		}
		for _, l := range parts {
			r := profileRail{rail: newRail(l), closed: !cut}
			if r.length() <= cutTol {
				continue
			}
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		return nil, nil, p.errorf("the zones leave nothing of the profile")
	}
	for i := range out {
		if extra == 0 {
			if out[i].bridges, err = p.Bridges.place(p.Op, out, i); err != nil {
				return nil, nil, err
			}
		}
	}
	return out, findings, nil
}

// apart refuses parts so near to each other that the tool cannot pass between
// them, or holes that it cannot enter: their offsets run into one or vanish. It
// reports whether one falls into several because the shape is narrow somewhere.
func (p Profile) apart(shape, centres geom.Region) (narrow bool, err error) {
	count := func(r geom.Region) (outer, holes int) {
		for _, c := range r {
			if c.Area() < 0 {
				holes++
			} else {
				outer++
			}
		}
		return outer, holes
	}
	outer, holes := count(shape)
	got, gotHoles := count(centres)
	tool := fmt.Sprintf("tool %d (%.3f mm)", p.Tool.Number, p.Tool.Diameter)
	switch {
	case p.Side == Outside && got < outer:
		return false, p.errorf("%s does not pass between all of the parts: they have to be further apart", tool)
	case p.Side == Outside && gotHoles < holes:
		return false, p.errorf("%s does not fit into all of the holes", tool)
	case p.Side == Inside && got < outer:
		return false, p.errorf("%s does not fit into all of the openings", tool)
	case p.Side == Inside && gotHoles < holes:
		return false, p.errorf("%s does not pass all round the islands in the opening", tool)
	}
	return got > outer || gotHoles > holes, nil
}

// sorted returns contours with the holes of parts first, each near the one
// before, or the farthest from what holds the stock first.
func (p Profile) sorted(r geom.Region) []geom.Contour {
	var holes, outer []geom.Path
	for _, c := range r {
		if c.Area() < 0 && p.Side == Outside {
			holes = append(holes, c.Path())
		} else {
			outer = append(outer, c.Path())
		}
	}
	outer = order(outer)
	if len(p.Held) > 0 {
		index := geom.NewIndex(p.Held)
		far := func(c geom.Path) float64 {
			m := geom.Contour(c).Centroid()
			return index.Distance(geom.Line(m, m))
		}
		slices.SortStableFunc(outer, func(a, b geom.Path) int { return cmp.Compare(far(b), far(a)) })
	}
	var out []geom.Contour
	for _, c := range append(order(holes), outer...) {
		out = append(out, geom.Contour(c))
	}
	return out
}

// acrossSeam joins the first and the last of the parts of a closed line where
// the line's own start has parted them.
func acrossSeam(line geom.Path, parts []geom.Path) []geom.Path {
	n := len(parts)
	if n < 2 || parts[0].Start().Dist(line.Start()) > geom.Tol || parts[n-1].End().Dist(line.Start()) > geom.Tol {
		return parts
	}
	first := append(slices.Clone(parts[n-1]), parts[0]...)
	return append([]geom.Path{first}, parts[1:n-1]...)
}

// passes cuts one rail level by level.
func (p Profile) passes(r *profileRail, angle float64, room *room) ([]Cut, []Finding) {
	length, levels := r.length(), p.levels()
	if !r.closed {
		knots := traverses(length, p.Top, levels, angle)
		total := knots[len(knots)-1].s
		knots = over(knots, p.Bridges.ridges(r.bridges, length, total, p.Bottom, false), p.Bottom)
		n := int(math.Ceil(total/length-levelSlack)) + 1
		return []Cut{follow(newRail(fold(r.path, n)), knots, p.Feed, p.Plunge)}, nil
	}
	var notes []Finding
	if p.Lead > 0 && p.Finish == 0 {
		if cuts := p.leadPasses(r, levels, angle, room); cuts != nil {
			return cuts, nil
		}
		notes = append(notes, Finding{Operation: p.label(), Text: fmt.Sprintf("no room for a lead of %g mm: the tool enters and leaves on the contour", p.Lead)})
	}
	knots := laps(length, p.Top, levels, angle)
	total := knots[len(knots)-1].s
	knots = over(knots, p.Bridges.ridges(r.bridges, length, total, p.Bottom, true), p.Bottom)
	n := int(math.Ceil(total/length-levelSlack)) + 1
	return []Cut{follow(newRail(repeat(r.path, n)), knots, p.Feed, p.Plunge)}, notes
}
