package paths

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Strategy is one kind of operation: Engrave, Profile, Pocket, Slot, Drill,
// Bore. Plan works it out for a set-up without changing either. The error says
// what cannot be done and why: a *ZoneError when a zone is in the way.
type Strategy interface {
	Plan(s *setup.Setup) (Plan, error)
}

// Op is what every operation states, whichever its strategy.
type Op struct {
	Name string
	Tool setup.Tool

	// Top is the height of the face that the cut starts from and Bottom the
	// lowest height of the tool's tip; Top lies above Bottom. ThroughFloor
	// gives Bottom for cuts through the stock.
	Top, Bottom float64

	// MaxStep is the greatest depth of one pass; the passes are equal.
	// 0: the whole depth in one pass.
	MaxStep float64

	Feed   float64 // mm/min along the cut
	Plunge float64 // mm/min, the greatest rate downward, on ramps too
	Speed  float64 // spindle, 1/min, clockwise

	Coolant setup.Coolant

	// OnZone says what to do where a zone does not let the tool pass.
	OnZone OnZone
}

// OnZone is what an operation does where a zone is in its way.
type OnZone uint8

// The answers to a zone in the way of a cut.
const (
	Refuse  OnZone = iota // the operation is an error
	Shorten               // the cut ends short of the zone, and a finding says by how much
)

// Plan is what a strategy made of one operation.
type Plan struct {
	Op
	Cuts     []Cut           // in the order of cutting
	Features []setup.Feature // what the operation may and must remove
	Findings []Finding       // what the person at the machine should know
}

// Cut is one run of feed moves. The tool gets to Start from above through free
// air: at Start its tip touches what is left of the stock, and nothing of the
// stock is left higher up where the tool stands.
type Cut struct {
	Start geom.Point3
	Moves []Move
}

// End returns where the cut leaves the tool.
func (c Cut) End() geom.Point3 {
	if len(c.Moves) == 0 {
		return c.Start
	}
	return c.Moves[len(c.Moves)-1].To
}

// Finding is something that the plan did differently from what was asked.
type Finding struct {
	Operation string
	Zone      string // name of the zone that made it necessary, or empty
	Text      string
}

func (f Finding) String() string {
	if f.Zone != "" {
		return fmt.Sprintf("%s: zone %s: %s", f.Operation, f.Zone, f.Text)
	}
	return f.Operation + ": " + f.Text
}

// RampAngle is the slope at which the tool enters where an operation names
// none: 3 degrees (common practice for end mills in metal, no source).
const RampAngle = 3 * math.Pi / 180

// cutTol is how far a toolpath may leave its true curve, in mm.
const cutTol = 0.001

// Reserve returns by how much more than asked a cut stays away from material
// that must stay and from zones. A program says coordinates in steps of the
// unit's resolution; the post keeps every written line and arc within one step
// of the toolpath in plan, so one step is what rounding may take.
func Reserve(s *setup.Setup) float64 { return s.Unit.Resolution() }

// featureTol is the error in height and plan that a feature allows: the
// reserve, one more step for the rounding itself and one each for the curve
// tolerance and for the height's rounding, which is upward.
func featureTol(s *setup.Setup) float64 { return 4 * s.Unit.Resolution() }

// ThroughFloor returns the Bottom of a cut through the stock: skin above its
// lower face when skin is positive, otherwise below under it, into the backing.
// It refuses a depth that the backing does not allow.
func ThroughFloor(s *setup.Setup, skin, below float64) (float64, error) {
	switch {
	case !(skin >= 0) || !(below >= 0) || math.IsInf(skin, 0) || math.IsInf(below, 0):
		return 0, fmt.Errorf("skin %g mm and depth below the stock %g mm have to be zero or positive", skin, below)
	case skin > 0 && below > 0:
		return 0, fmt.Errorf("a cut cannot leave a skin of %g mm and go %g mm below the stock", skin, below)
	case skin >= s.Stock.Thickness:
		return 0, fmt.Errorf("a skin of %g mm leaves nothing to cut of a stock %g mm thick", skin, s.Stock.Thickness)
	}
	bottom := s.Stock.Bottom() + skin - below
	return bottom, checkFloor(s, bottom)
}

// checkFloor refuses a tip height below what stock and backing allow.
func checkFloor(s *setup.Setup, bottom float64) error {
	least := s.Stock.Bottom()
	if s.Stock.Backing.Present {
		least -= s.Stock.Backing.Depth
	}
	if bottom < least-geom.Tol {
		if !s.Stock.Backing.Present {
			return fmt.Errorf("the cut goes down to %.3f mm and the stock ends at %.3f mm with no backing under it", bottom, least)
		}
		return fmt.Errorf("the cut goes down to %.3f mm and the backing may be cut to %.3f mm only", bottom, least)
	}
	return nil
}

// validate refuses an operation that cannot be cut whatever its shape.
func (o Op) validate(s *setup.Setup) error {
	switch t := o.Tool; {
	case s == nil:
		return fmt.Errorf("no set-up given")
	case !finite(o.Top, o.Bottom, o.MaxStep, o.Feed, o.Plunge, o.Speed):
		return o.errorf("a height, depth, feed or speed is not an ordinary number")
	case o.Bottom >= o.Top:
		return o.errorf("bottom %.3f mm has to lie below top %.3f mm", o.Bottom, o.Top)
	case o.Top > s.Stock.Top+geom.Tol:
		return o.errorf("top %.3f mm lies above the stock's top %.3f mm", o.Top, s.Stock.Top)
	case o.MaxStep < 0:
		return o.errorf("the depth of a pass is negative: %g mm", o.MaxStep)
	case o.MaxStep > 0 && (o.Top-o.Bottom)/o.MaxStep > maxPasses:
		return o.errorf("a depth of %g mm in passes of %g mm makes more than %d passes", o.Top-o.Bottom, o.MaxStep, maxPasses)
	case o.Feed <= 0:
		return o.errorf("the feed has to be positive, it is %g mm/min", o.Feed)
	case o.Plunge <= 0:
		return o.errorf("the plunge feed has to be positive, it is %g mm/min", o.Plunge)
	case o.Speed <= 0:
		return o.errorf("the spindle speed has to be positive, it is %g 1/min", o.Speed)
	case t.FluteLength > 0 && s.Stock.Top-o.Bottom > t.FluteLength+geom.Tol:
		return o.errorf("tool %d: the cut is %.3f mm deep from the stock's top and the flutes are %.3f mm long", t.Number, s.Stock.Top-o.Bottom, t.FluteLength)
	case !finite(s.ClearZ, s.Approach) || s.Approach <= 0:
		return o.errorf("the set-up's approach has to be positive, it is %g mm", s.Approach)
	}
	if err := o.Tool.Validate(); err != nil {
		return o.errorf("%w", err)
	}
	if err := checkFloor(s, o.Bottom); err != nil {
		return o.errorf("%w", err)
	}
	return nil
}

// maxPasses bounds the passes of one operation: more means a mistaken unit.
const maxPasses = 10000

func (o Op) errorf(format string, args ...any) error {
	return fmt.Errorf("%s: %w", o.label(), fmt.Errorf(format, args...))
}

func (o Op) label() string {
	if o.Name == "" {
		return "operation"
	}
	return o.Name
}

// levels returns the heights of the passes, the highest first.
func (o Op) levels() []float64 { return levels(o.Top, o.Bottom, o.MaxStep) }

func levels(top, bottom, step float64) []float64 {
	n := 1
	if step > 0 {
		n = max(1, int(math.Ceil((top-bottom)/step-levelSlack)))
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = top - (top-bottom)*float64(i+1)/float64(n)
	}
	out[n-1] = bottom
	return out
}

// levelSlack keeps the rounding of a quotient from adding a pass.
const levelSlack = 1e-9

// rampAngle returns the angle to enter at, the default for zero.
func (o Op) rampAngle(angle float64) (float64, error) {
	most := maxRamp
	if !o.Tool.CentreCuts {
		most = maxSideRamp
	}
	switch {
	case angle == 0:
		return RampAngle, nil
	case !(angle > 0 && angle <= most):
		return 0, o.errorf("the ramp of tool %d has to lie above 0 and be at most %.3g degrees, it is %.3g degrees", o.Tool.Number, most*180/math.Pi, angle*180/math.Pi)
	}
	return angle, nil
}

const (
	// maxRamp is the steepest ramp: beyond it an entry is a plunge.
	maxRamp = math.Pi / 4
	// maxSideRamp is the steepest slope for a tool without teeth at its
	// centre: 20 degrees (common practice, no source).
	maxSideRamp = 20 * math.Pi / 180
)

// maxRampTurns bounds how often one ramp goes along a line: a line that needs
// more is so short that the tool bores rather than ramps.
const maxRampTurns = 1000

// checkRamp refuses a line that is too short for a ramp down to the bottom.
func (o Op) checkRamp(l rail, angle float64) error {
	if (o.Top-o.Bottom)/math.Tan(angle) > maxRampTurns*l.length() {
		at := l.point(0)
		return o.errorf("near x %.3f y %.3f the tool would have to go along its line more than %d times to get down %.3f mm at %.3g degrees: drill there, take a smaller tool or a steeper ramp",
			at.X, at.Y, maxRampTurns, o.Top-o.Bottom, angle*180/math.Pi)
	}
	return nil
}

func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
