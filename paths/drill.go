package paths

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Drill makes holes of the tool's diameter. Bottom is where the tip
// goes; for a hole through the stock add the tool's ConeHeight.
type Drill struct {
	Op
	At []geom.Point

	// Peck is the depth of one bite; 0: the hole in one go. Between bites the
	// tool comes out by BackOff at the rapid rate, or above the stock when
	// BackOff is 0, and returns to a little above where it was.
	Peck    float64
	BackOff float64

	Dwell   float64 // s at the bottom
	InOrder bool    // keep the holes in the order given
}

// PeckGap is how far above the last bottom a peck's return stops in mm: 0.010
// in, as the G83 cycle has it (NISTIR 6556, G83, from memory). It is less where
// the bites are small.
const PeckGap = 0.254

// point returns how much deeper than the full diameter the tip is.
func point(t setup.Tool) float64 {
	if t.Shape != setup.Drill {
		return 0
	}
	return t.ConeHeight()
}

// Plan works the operation out.
func (d Drill) Plan(s *setup.Setup) (Plan, error) {
	p := Plan{Op: d.Op}
	if err := d.validate(s); err != nil {
		return p, err
	}
	switch {
	case len(d.At) == 0:
		return p, d.errorf("there is no hole to drill")
	case !finite(d.Peck, d.BackOff, d.Dwell) || d.Peck < 0 || d.BackOff < 0 || d.Dwell < 0:
		return p, d.errorf("peck, back-off and dwell have to be zero or positive")
	case d.Peck > 0 && (d.Top-d.Bottom)/d.Peck > maxPasses:
		return p, d.errorf("a depth of %g mm in pecks of %g mm makes more than %d pecks", d.Top-d.Bottom, d.Peck, maxPasses)
	case d.Tool.Shape != setup.Drill && !d.Tool.CentreCuts:
		return p, d.errorf("tool %d does not cut over its centre: take a drill, or a bore", d.Tool.Number)
	case point(d.Tool) >= d.Top-d.Bottom:
		return p, d.errorf("the hole is %.3f mm deep and the drill's point %.3f mm long: there is no hole of the full diameter", d.Top-d.Bottom, point(d.Tool))
	}
	for i, at := range d.At {
		if !at.Finite() {
			return p, d.errorf("hole %d: the place is not an ordinary number", i+1)
		}
		for j, other := range d.At[:i] {
			if gap := at.Dist(other); gap < d.Tool.Diameter {
				return p, d.errorf("holes %d and %d are %.3f mm apart and run into each other: the drill would wander", j+1, i+1, gap)
			}
		}
	}
	zones, err := newKeepOuts(s, d.Tool)
	if err != nil {
		return p, d.errorf("%w", err)
	}
	var holes []geom.Point
	for _, at := range d.At {
		k := blocker(zones, geom.Line(at, at), d.Bottom)
		if k == nil {
			holes = append(holes, at)
			continue
		}
		e := d.zoneError(*k, at, "a hole comes too near to it")
		if d.OnZone == Refuse {
			return p, e
		}
		p.Findings = append(p.Findings, Finding{d.label(), k.zone.Name, "left out a hole: " + e.Text})
	}
	if len(holes) == 0 {
		return p, d.errorf("the zones leave no hole")
	}
	if !d.InOrder {
		holes = orderPoints(holes)
	}
	for _, at := range holes {
		p.Cuts = append(p.Cuts, d.hole(at, d.Top+s.Approach))
	}
	p.Features, err = drilled(s, d.Op, holes)
	return p, err
}

// hole drills one hole; out is the height of a full retract.
func (d Drill) hole(at geom.Point, out float64) Cut {
	c := Cut{Start: at.At(d.Top)}
	bites := levels(d.Top, d.Bottom, d.Peck)
	gap := math.Min(PeckGap, (d.Top-bites[0])/2)
	for i, z := range bites {
		c.Moves = append(c.Moves, Move{To: at.At(z), Feed: d.Plunge})
		if i == len(bites)-1 {
			c.Moves[len(c.Moves)-1].Dwell = d.Dwell
			break
		}
		up := out
		if d.BackOff > 0 {
			up = math.Min(out, z+math.Max(d.BackOff, 2*gap))
		}
		c.Moves = append(c.Moves, Move{Rapid: true, To: at.At(up)}, Move{Rapid: true, To: at.At(z + gap)})
	}
	return c
}
