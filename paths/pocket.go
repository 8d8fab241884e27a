package paths

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Pocket clears a region with islands level by level in depth. In each level
// the tool goes along the offsets of the region from the inside out: each is
// true to the shape itself, not to the offset before it. Nothing stays but the
// corners that the tool cannot enter.
type Pocket struct {
	Op
	Shape     geom.Region // what goes; islands are its holes
	Allowance float64     // mm that stay on the walls for later

	// StepOver is the distance of neighbouring passes as a part of the tool's
	// diameter, between 0 and 1; 0: StepOver45.
	StepOver float64

	Ramp float64 // slope of the entry, radians; 0: RampAngle

	// Conventional mills against the feed; the zero value climbs.
	Conventional bool

	// Finish is what the passes leave on the walls for one last cut at full
	// depth; 0: none.
	Finish float64
}

// StepOver45 is the step between passes of a pocket where none is named, as a
// part of the tool's diameter (common practice, no source).
const StepOver45 = 0.45

// maxOffsets bounds the offsets of a pocket: more means a mistaken unit.
const maxOffsets = 20000

// Plan works the operation out.
func (p Pocket) Plan(s *setup.Setup) (Plan, error) {
	plan := Plan{Op: p.Op}
	step, angle, err := p.check(s)
	if err != nil {
		return plan, err
	}
	zones, err := newKeepOuts(s, p.Tool)
	if err != nil {
		return plan, p.errorf("%w", err)
	}
	wall, err := p.centres(s, 0)
	if err != nil {
		return plan, err
	}
	if wall, plan.Findings, err = p.keepClearRegion(zones, wall); err != nil {
		return plan, err
	}
	if len(wall) == 0 {
		return plan, p.errorf("the zones leave nothing of the pocket")
	}
	rough := wall
	if p.Finish > 0 {
		if rough, err = geom.Offset(wall, -p.Finish, geom.OffsetOptions{}); err != nil {
			return plan, p.errorf("finish: %w", err)
		}
		if len(rough) == 0 {
			return plan, p.errorf("the pocket is so narrow that no pass fits beside a finishing cut of %g mm", p.Finish)
		}
	}
	c := &clearing{p: p, angle: angle, step: step, base: rough}
	if err := c.grow(); err != nil {
		return plan, err
	}
	z := p.Top
	for _, level := range p.levels() {
		cuts, err := c.cut(z, level)
		if err != nil {
			return plan, err
		}
		plan.Cuts = append(plan.Cuts, cuts...)
		z = level
	}
	if p.Finish > 0 {
		cuts, err := p.walls(wall, angle)
		if err != nil {
			return plan, err
		}
		plan.Cuts = append(plan.Cuts, cuts...)
	}
	shape := p.Shape
	if p.Allowance > 0 {
		if shape, err = geom.Offset(p.Shape, -p.Allowance, geom.OffsetOptions{}); err != nil {
			return plan, p.errorf("allowance: %w", err)
		}
	}
	f, err := pocketed(s, p.Op, shape, wall)
	plan.Features = []setup.Feature{f}
	return plan, err
}

// check refuses what makes no sense and returns step and ramp.
func (p Pocket) check(s *setup.Setup) (step, angle float64, err error) {
	if err := p.validate(s); err != nil {
		return 0, 0, err
	}
	over := p.StepOver
	if over == 0 {
		over = StepOver45
	}
	switch {
	case p.Tool.Shape != setup.Flat:
		return 0, 0, p.errorf("tool %d: a pocket needs a flat end mill", p.Tool.Number)
	case !(over > 0 && over < 1):
		return 0, 0, p.errorf("the step over has to lie between 0 and 1 of the tool's diameter, it is %g", p.StepOver)
	case !finite(p.Allowance, p.Finish) || p.Allowance < 0 || p.Finish < 0:
		return 0, 0, p.errorf("allowance and finish have to be zero or positive")
	case p.Finish >= p.Tool.Diameter:
		return 0, 0, p.errorf("the finishing cut of %g mm is wider than the tool", p.Finish)
	case len(p.Shape) == 0:
		return 0, 0, p.errorf("the shape is empty")
	}
	if err := p.Shape.Validate(); err != nil {
		return 0, 0, p.errorf("shape: %w", err)
	}
	size := p.Shape.Bounds().Size()
	if math.Min(size.X, size.Y)/(over*p.Tool.Diameter) > maxOffsets {
		return 0, 0, p.errorf("passes of %g mm in a pocket of %g x %g mm are more than %d", over*p.Tool.Diameter, size.X, size.Y, maxOffsets)
	}
	angle, err = p.rampAngle(p.Ramp)
	return over * p.Tool.Diameter, angle, err
}

// centres returns where the tool's axis may be so that extra stays on the wall.
func (p Pocket) centres(s *setup.Setup, extra float64) (geom.Region, error) {
	c, err := geom.Offset(p.Shape, -(p.Tool.Diameter/2 + p.Allowance + extra + Reserve(s)), geom.OffsetOptions{})
	if err != nil {
		return nil, p.errorf("offset: %w", err)
	}
	if len(c) == 0 {
		return nil, p.errorf("tool %d (%.3f mm) does not fit into the pocket", p.Tool.Number, p.Tool.Diameter)
	}
	return c, nil
}

// travel returns a boundary line in the direction of cutting. The boundary of
// the places for the axis has them on its left and the wall on its right, which
// is the climbing direction round a pocket and round its islands alike.
func (p Pocket) travel(l geom.Path) geom.Path {
	if p.Conventional {
		return l.Reverse()
	}
	return l
}

// walls takes the last layer off the walls at full depth, from a ramp.
func (p Pocket) walls(wall geom.Region, angle float64) ([]Cut, error) {
	var cuts []Cut
	for _, c := range wall {
		l := p.travel(c.Path())
		length := l.Length()
		if err := p.checkRamp(newRail(l), angle); err != nil {
			return nil, err
		}
		knots := laps(length, p.Top, []float64{p.Bottom}, angle)
		n := int(math.Ceil(knots[len(knots)-1].s/length)) + 1
		cuts = append(cuts, follow(newRail(repeat(l, n)), knots, p.Feed, p.Plunge))
	}
	return cuts, nil
}
