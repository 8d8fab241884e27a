package paths

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Slot cuts a slot with round ends between the centres From and To of its ends. A
// slot as wide as the tool is cut along its middle, there and back; a wider one
// is cleared as a pocket.
type Slot struct {
	Op
	From, To geom.Point
	Width    float64

	StepOver     float64 // as in Pocket, for slots wider than the tool
	Ramp         float64 // slope of the entry, radians; 0: RampAngle
	Conventional bool
}

// Plan works the operation out.
func (o Slot) Plan(s *setup.Setup) (Plan, error) {
	p := Plan{Op: o.Op}
	if err := o.validate(s); err != nil {
		return p, err
	}
	switch {
	case !o.From.Finite() || !o.To.Finite() || !finite(o.Width):
		return p, o.errorf("an end or the width of the slot is not an ordinary number")
	case o.From.Dist(o.To) <= geom.Tol:
		return p, o.errorf("the slot's ends are one place: drill or bore a hole")
	case o.Tool.Shape != setup.Flat:
		return p, o.errorf("tool %d: a slot needs a flat end mill", o.Tool.Number)
	case o.Width < o.Tool.Diameter-geom.Tol:
		return p, o.errorf("the slot is %.3f mm wide and tool %d %.3f mm", o.Width, o.Tool.Number, o.Tool.Diameter)
	}
	shape := geom.RegionOf(geom.Slot(o.From, o.To, o.Width))
	if o.Width > o.Tool.Diameter+2*Reserve(s) {
		return Pocket{Op: o.Op, Shape: shape, StepOver: o.StepOver, Ramp: o.Ramp, Conventional: o.Conventional}.Plan(s)
	}
	angle, err := o.rampAngle(o.Ramp)
	if err != nil {
		return p, err
	}
	zones, err := newKeepOuts(s, o.Tool)
	if err != nil {
		return p, o.errorf("%w", err)
	}
	c, err := o.keepClear(zones, []geom.Path{{geom.Line(o.From, o.To)}})
	if err != nil {
		return p, err
	}
	p.Findings = c.findings
	if len(c.paths) == 0 {
		return p, o.errorf("the zones leave nothing of the slot")
	}
	for _, l := range c.paths {
		if err := o.checkRamp(newRail(l), angle); err != nil {
			return p, err
		}
		knots := traverses(l.Length(), o.Top, o.levels(), angle)
		n := int(math.Ceil(knots[len(knots)-1].s/l.Length())) + 1
		p.Cuts = append(p.Cuts, follow(newRail(fold(l, n)), knots, o.Feed, o.Plunge))
	}
	f := o.feature(s)
	f.May = shape
	if reach := o.floorRadius(s); reach > f.Tol {
		if f.Must, err = geom.OffsetPath(c.paths, reach-f.Tol, geom.OffsetOptions{}); err != nil {
			return p, o.errorf("feature: %w", err)
		}
	}
	p.Features = []setup.Feature{f}
	return p, nil
}

// Bore makes a round hole larger than the tool: by a helix along its wall when
// that leaves no core, else as a pocket.
type Bore struct {
	Op
	At       geom.Point
	Diameter float64 // of the hole

	StepOver     float64 // as in Pocket
	Ramp         float64 // slope of the helix, radians; 0: RampAngle
	Conventional bool
}

// Plan works the operation out.
func (o Bore) Plan(s *setup.Setup) (Plan, error) {
	p := Plan{Op: o.Op}
	if err := o.validate(s); err != nil {
		return p, err
	}
	h := (o.Diameter-o.Tool.Diameter)/2 - Reserve(s)
	switch {
	case !o.At.Finite() || !finite(o.Diameter):
		return p, o.errorf("the place or the diameter of the hole is not an ordinary number")
	case o.Tool.Shape != setup.Flat:
		return p, o.errorf("tool %d: a bore needs a flat end mill", o.Tool.Number)
	case h < Reserve(s):
		return p, o.errorf("the hole of %.3f mm leaves tool %d of %.3f mm no room for a helix: drill it or take a smaller tool", o.Diameter, o.Tool.Number, o.Tool.Diameter)
	}
	shape := geom.RegionOf(geom.Circle(o.At, o.Diameter/2))
	if h > helixMost*o.Tool.Diameter/2 {
		return Pocket{Op: o.Op, Shape: shape, StepOver: o.StepOver, Ramp: o.Ramp, Conventional: o.Conventional}.Plan(s)
	}
	angle, err := o.rampAngle(o.Ramp)
	if err != nil {
		return p, err
	}
	zones, err := newKeepOuts(s, o.Tool)
	if err != nil {
		return p, o.errorf("%w", err)
	}
	if k := blocker(zones, geom.Circle(o.At, h)[0], o.Bottom); k != nil {
		return p, o.zoneError(*k, o.At, "the bore comes too near to it")
	}
	loop := geom.Circle(o.At, h).Path()
	if o.Conventional {
		loop = loop.Reverse()
	}
	length := loop.Length()
	// A turn goes no deeper than a pass.
	if step := o.MaxStep; step > 0 {
		angle = math.Min(angle, math.Atan(step/length))
	}
	if err := o.checkRamp(newRail(loop), angle); err != nil {
		return p, err
	}
	knots := laps(length, o.Top, []float64{o.Bottom}, angle)
	n := int(math.Ceil(knots[len(knots)-1].s/length)) + 1
	p.Cuts = []Cut{follow(newRail(repeat(loop, n)), knots, o.Feed, o.Plunge)}
	f, err := pocketed(s, o.Op, shape, geom.RegionOf(geom.Circle(o.At, h)))
	p.Features = []setup.Feature{f}
	return p, err
}
