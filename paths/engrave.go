package paths

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Engrave runs the tip along given lines at Bottom, in passes. The strokes are
// put in an order with short ways between them; the first stroke given stays
// the first. Lines that start where another ends are cut without lifting.
type Engrave struct {
	Op
	Lines []geom.Path

	// InOrder keeps the strokes in the order and the direction given.
	InOrder bool

	// Ramp is the slope at which the tool enters along the stroke, radians;
	// 0: straight down at the plunge feed, for tools that cut at their tip.
	Ramp float64
}

// Plan works the operation out.
func (e Engrave) Plan(s *setup.Setup) (Plan, error) {
	p := Plan{Op: e.Op}
	if err := e.validate(s); err != nil {
		return p, err
	}
	var lines []geom.Path
	for i, l := range e.Lines {
		if err := l.Validate(); err != nil {
			return p, e.errorf("line %d: %w", i+1, err)
		}
		if len(l) > 0 && l.Length() > geom.Tol {
			lines = append(lines, l)
		}
	}
	if len(lines) == 0 {
		return p, e.errorf("there is no line to engrave")
	}
	plunges := e.Ramp == 0
	angle, err := e.rampAngle(e.Ramp)
	switch {
	case err != nil:
		return p, err
	case plunges && e.Tool.Shape == setup.Flat && !e.Tool.CentreCuts:
		return p, e.errorf("tool %d does not cut over its centre: give the engraving a ramp", e.Tool.Number)
	}
	zones, err := newKeepOuts(s, e.Tool)
	if err != nil {
		return p, e.errorf("%w", err)
	}
	c, err := e.keepClear(zones, lines)
	if err != nil {
		return p, err
	}
	p.Findings = c.findings
	if len(c.paths) == 0 {
		return p, e.errorf("the zones leave nothing of the lines")
	}
	strokes := c.paths
	if !e.InOrder {
		strokes = order(strokes)
	}
	for _, l := range joined(strokes) {
		if plunges {
			p.Cuts = append(p.Cuts, e.plunged(l))
		} else {
			if err := e.checkRamp(newRail(l), angle); err != nil {
				return p, err
			}
			p.Cuts = append(p.Cuts, e.ramped(l, angle))
		}
	}
	p.Features = []setup.Feature{engraved(s, e.Op, c.paths)}
	return p, nil
}

// plunged cuts a stroke level by level with straight plunges. A closed stroke
// goes round, an open one there and back.
func (e Engrave) plunged(l geom.Path) Cut {
	r := newRail(l)
	length := r.length()
	levels := e.levels()
	closed := l.Closed()
	run := l
	if len(levels) > 1 {
		if closed {
			run = repeat(l, len(levels))
		} else {
			run = fold(l, len(levels))
		}
	}
	knots := []knot{{0, e.Top}}
	for i, z := range levels {
		knots = append(knots, knot{float64(i) * length, z}, knot{float64(i+1) * length, z})
	}
	return follow(newRail(run), knots, e.Feed, e.Plunge)
}

func (e Engrave) ramped(l geom.Path, angle float64) Cut {
	length := l.Length()
	if l.Closed() {
		knots := laps(length, e.Top, e.levels(), angle)
		n := int(math.Ceil(knots[len(knots)-1].s/length)) + 1
		return follow(newRail(repeat(l, n)), knots, e.Feed, e.Plunge)
	}
	knots := traverses(length, e.Top, e.levels(), angle)
	n := int(math.Ceil(knots[len(knots)-1].s/length)) + 1
	return follow(newRail(fold(l, n)), knots, e.Feed, e.Plunge)
}
