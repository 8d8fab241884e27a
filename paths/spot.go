package paths

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Spot marks the middles of holes with the point of a spot drill or a vee, so
// that the drill does not wander; with a mouth as wide as the thread it also takes
// the edge off the hole. Op.Bottom follows from Mouth and is not read.
type Spot struct {
	Op
	At    []geom.Point
	Mouth float64 // diameter of the cone at Top
	Dwell float64 // s at the bottom
}

// SpotDepth returns how deep the tip of a tool goes for a cone of that diameter.
func SpotDepth(t setup.Tool, mouth float64) float64 {
	tip := t.TipDiameter
	if t.Shape == setup.Drill {
		tip = 0
	}
	return (mouth - tip) / 2 / math.Tan(t.Angle/2)
}

// Plan works the operation out.
func (p Spot) Plan(s *setup.Setup) (Plan, error) {
	t := p.Tool
	switch {
	case t.Shape != setup.Drill && t.Shape != setup.Vee:
		return Plan{Op: p.Op}, p.errorf("tool %d has no point: take a spot drill or a vee", t.Number)
	case !finite(p.Mouth, p.Dwell) || p.Dwell < 0 || !(p.Mouth > t.TipDiameter && p.Mouth <= t.Diameter+geom.Tol):
		return Plan{Op: p.Op}, p.errorf("the mouth of %g mm has to be wider than the tip and no wider than the tool (%g mm)", p.Mouth, t.Diameter)
	}
	p.Bottom = p.Top - SpotDepth(t, p.Mouth)
	plan := Plan{Op: p.Op}
	if err := p.validate(s); err != nil {
		return plan, err
	}
	holes, findings, err := p.places(s, p.At, "a spot comes too near to it")
	if err != nil {
		return plan, err
	}
	plan.Findings = findings
	for _, at := range holes {
		plan.Cuts = append(plan.Cuts, Cut{Start: at.At(p.Top), Moves: []Move{{To: at.At(p.Bottom), Feed: p.Plunge, Dwell: p.Dwell}}})
	}
	plan.Features, err = spotted(s, p.Op, holes, p.Mouth)
	return plan, err
}

// spotted describes cones: the mouth bounds them, and half-way down they have to
// be there.
func spotted(s *setup.Setup, o Op, at []geom.Point, mouth float64) ([]setup.Feature, error) {
	tip := o.feature(s)
	tip.Tools = []int{o.Tool.Number}
	var may, must []geom.Contour
	half := mouth / 4
	for _, c := range at {
		may = append(may, geom.Circle(c, mouth/2+tip.Tol))
		if half > tip.Tol {
			must = append(must, geom.Circle(c, half-tip.Tol))
		}
	}
	var err error
	if tip.May, err = geom.Resolve(may, geom.NonZero); err != nil {
		return nil, o.errorf("spots: %w", err)
	}
	cone := tip
	cone.Floor = o.Bottom + (o.Top-o.Bottom)/2
	if cone.Must, err = geom.Resolve(must, geom.NonZero); err != nil {
		return nil, o.errorf("spots: %w", err)
	}
	return []setup.Feature{tip, cone}, nil
}

// places returns the places of holes in an order of short ways, without those
// that a zone does not let the tool reach.
func (o Op) places(s *setup.Setup, at []geom.Point, near string) ([]geom.Point, []Finding, error) {
	if len(at) == 0 {
		return nil, nil, o.errorf("there is no hole")
	}
	for i, q := range at {
		if !q.Finite() {
			return nil, nil, o.errorf("hole %d: the place is not an ordinary number", i+1)
		}
		for j, other := range at[:i] {
			if gap := q.Dist(other); gap < o.Tool.Diameter {
				return nil, nil, o.errorf("holes %d and %d are %.3f mm apart and run into each other", j+1, i+1, gap)
			}
		}
	}
	zones, err := newKeepOuts(s, o.Tool)
	if err != nil {
		return nil, nil, o.errorf("%w", err)
	}
	var holes []geom.Point
	var findings []Finding
	for _, q := range at {
		k := blocker(zones, geom.Line(q, q), o.Bottom)
		if k == nil {
			holes = append(holes, q)
			continue
		}
		e := o.zoneError(*k, q, near)
		if o.OnZone == Refuse {
			return nil, nil, e
		}
		findings = append(findings, Finding{o.label(), k.zone.Name, "left out a hole: " + e.Text})
	}
	if len(holes) == 0 {
		return nil, nil, o.errorf("the zones leave no hole")
	}
	return orderPoints(holes), findings, nil
}
