package cutdata

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths/setup"
)

// Limits that Assess applies (common practice, no source).
const (
	roughDeflection  = 0.01              // mm
	finishDeflection = 0.003             // mm, the lower end of 0.003 to 0.005
	smallTool        = 3.0               // mm; below it no more than the feed per tooth
	blindRamp        = 3 * math.Pi / 180 // descent of a tool that does not cut at its centre
	runoutShare      = 1.0 / 3           // of the feed per tooth
)

// Assess reckons the load of a cut with a tool in a material and compares it
// with its limits. Use an Assessor for many cuts with one tool.
//
// A vee's force is that on its slanted edge; its chip limit is that of its full
// diameter, since its teeth are stubs, and the tip's strength is left to the
// stress. A ramp is reckoned as a side cut at its whole feed and, on top, a plunge
// at the vertical part of it. A plunge of a milling cutter bends it by the force
// on one tooth, a drill is guided by its lips and is checked for torsion and
// buckling.
//
// Errors: a tool or cut that is not valid, a drill that is moved sideways, a
// material without a force law, a tool material that the material forbids.
func Assess(tool setup.Tool, m Material, c Cut) (Load, error) {
	a, err := NewAssessor(tool, m, c.Substrate)
	if err != nil {
		return Load{}, err
	}
	return a.Assess(c)
}

// Assessor holds what all cuts with one tool in one material share.
type Assessor struct {
	tool      setup.Tool
	m         Material
	substrate Substrate
	beam      Beam
	at        []station
	give      float64 // mm a newton at the tip
	buckling  float64 // N
	laws      []Law
	chip      float64 // mm, 0: not known
	speed     float64 // m/min, 0: not known
}

// NewAssessor prepares a tool of that substrate for cuts in a material. Its
// errors are those of Assess that do not depend on the cut.
func NewAssessor(tool setup.Tool, m Material, s Substrate) (*Assessor, error) {
	beam, err := ToolBeam(tool)
	if err != nil {
		return nil, fmt.Errorf("tool %d: %w", tool.Number, err)
	}
	if math.IsNaN(s.Strength()) {
		return nil, fmt.Errorf("%v is no tool material", s)
	}
	a := &Assessor{tool: tool, m: m, substrate: s, beam: beam, at: beam.stations()}
	for _, l := range m.Laws {
		if l.Applied {
			a.laws = append(a.laws, l)
		}
	}
	if !(m.SpecificForce(1) > 0) {
		return nil, fmt.Errorf("no cutting force is known for %q", m.Name)
	}
	a.give = beam.Deflection(1, s.Modulus())
	a.buckling = beam.BucklingLoad(s.Modulus())
	if tool.Shape == setup.Drill {
		a.chip = m.DrillFeed(tool.Diameter) / float64(tool.Flutes) * math.Sin(tool.Angle/2)
	} else if _, most, ok := m.FeedRange(tool.Diameter); ok {
		a.chip = most
	}
	if v, ok := m.Value(speedQuantity(tool, m, s)); ok {
		if v.High == 0 {
			return nil, fmt.Errorf("%s may not be cut with %v", m.Name, s)
		}
		a.speed = v.High
	}
	return a, nil
}

// speedQuantity returns which cutting speed counts for a tool: drills of
// high-speed steel have their own where one is known, coated carbide is at least
// as fast as bare.
func speedQuantity(t setup.Tool, m Material, s Substrate) Quantity {
	switch s {
	case HSS:
		if _, ok := m.Value(SpeedDrill); ok && t.Shape == setup.Drill {
			return SpeedDrill
		}
		return SpeedHSS
	case Coated:
		if _, ok := m.Value(SpeedCoated); ok {
			return SpeedCoated
		}
	}
	return SpeedCarbide
}

// errSideways is for a drill in a side cut.
var errSideways = errors.New("a drill cuts only straight down")

// straightDown is from which descent a ramp is a plunge.
const straightDown = math.Pi/2 - 1e-6

// Assess is the function Assess for this tool; the cut's substrate has to be the
// assessor's.
func (a *Assessor) Assess(c Cut) (Load, error) {
	if err := c.Validate(a.tool.Diameter); err != nil {
		return Load{}, err
	}
	if c.Substrate != a.substrate {
		return Load{}, fmt.Errorf("the cut is for %v, the tool is of %v", c.Substrate, a.substrate)
	}
	plunge := c.Plunge || c.Ramp >= straightDown
	if a.tool.Shape == setup.Drill && !plunge {
		return Load{}, errSideways
	}
	var l Load
	p := pressure{depth: c.Depth}
	descent := c.Ramp
	switch {
	case plunge:
		descent = math.Pi / 2
		a.plunge(&l, &p, c, c.Feed)
	default:
		a.side(&l, &p, c)
		if c.Ramp > 0 {
			a.ramp(&l, &p, c)
		}
	}
	a.limits(&l, p, c, descent)
	if !l.real() {
		return Load{}, errors.New("the load of the cut cannot be reckoned: its figures are too small or too large")
	}
	return l, nil
}

// real reports whether every figure of the load is a number. What overflows to
// infinity is one: it passes every limit.
func (l *Load) real() bool {
	sum := 0.0 // all figures are 0 or more, so only a NaN makes it NaN
	for _, v := range [...]float64{
		l.Diameter, l.Speed, l.ToothFeed, l.Engagement, l.ChipMax, l.ChipMean, l.Removal,
		l.Force, l.Side, l.Thrust, l.Torque, l.Power, l.Deflection, l.Stress,
	} {
		sum += v
	}
	for i := range l.Checks {
		sum += l.Checks[i].Ratio
	}
	return !math.IsNaN(sum)
}

// edge returns what of the cutting edge lies within depth ap: its length and the
// greatest share of the feed that it sees as chip thickness.
func (a *Assessor) edge(ap float64) (length, share float64) {
	t := a.tool
	switch t.Shape {
	case setup.Ball:
		r := t.Diameter / 2
		if ap >= r {
			return math.Pi/2*r + ap - r, 1
		}
		return r * math.Acos(1-ap/r), BallDiameter(t.Diameter, ap) / t.Diameter
	case setup.Vee:
		h, cos := t.ConeHeight(), math.Cos(t.Angle/2)
		if ap > h {
			return h/cos + ap - h, 1
		}
		return ap / cos, cos
	}
	return ap, 1
}

// side fills in a side cut.
func (a *Assessor) side(l *Load, p *pressure, c Cut) {
	t := a.tool
	l.Diameter = 2 * t.CutRadius(c.Depth)
	width := math.Min(c.Width, l.Diameter)
	l.Engagement = c.Engagement
	if l.Engagement == 0 {
		l.Engagement = EngagementAngle(l.Diameter, width)
	}
	l.Engagement = math.Min(l.Engagement, math.Pi)
	width = RadialWidth(l.Diameter, l.Engagement)
	length, share := a.edge(c.Depth)
	l.ToothFeed = FeedPerTooth(c.Feed, c.Speed, t.Flutes)
	// A tooth that stands out by the runout takes the feed of its own and the
	// runout on top.
	l.ChipMax = MaxChip(l.ToothFeed+c.Runout, l.Diameter, width) * share
	l.ChipMean = MeanChip(l.ToothFeed, l.Diameter, width) * share
	l.Teeth = TeethInCut(t.Flutes, l.Engagement)
	if t.Shape != setup.Flat && l.Engagement > math.Pi/2 {
		// Beyond the axis, the narrow part of the cutter is in the cut longer
		// than its rim.
		l.Teeth = TeethInCut(t.Flutes, math.Pi)
	}
	l.Removal = RemovalRate(c.Depth, width, c.Feed)
	l.Force = float64(l.Teeth) * a.tooth(length, l.ChipMax)
	l.Side = Resultant(l.Force)
	l.Torque = l.Force * a.lever(c.Depth, l.Diameter) / 1000
	p.flank, p.flankTorque = l.Side, l.Torque*1000
	l.Power = MeanPower(c.Depth, width, c.Feed, a.force(l.ChipMean), efficiency(c))
}

// lever returns the radius at which the force of a side cut acts: the mean one on
// the cone of a vee, the greatest one elsewhere.
func (a *Assessor) lever(ap, d float64) float64 {
	if a.tool.Shape == setup.Vee && ap <= a.tool.ConeHeight() {
		return (a.tool.TipDiameter + d) / 4
	}
	return d / 2
}

// plunge fills in a cut straight down at that feed.
func (a *Assessor) plunge(l *Load, p *pressure, c Cut, feed float64) {
	t := a.tool
	l.Diameter = t.Diameter
	if t.Shape != setup.Drill {
		l.Diameter = 2 * t.CutRadius(c.Depth)
	}
	l.Engagement = 2 * math.Pi
	l.ToothFeed = FeedPerTooth(feed, c.Speed, t.Flutes)
	share, radius := 1.0, l.Diameter/2
	switch t.Shape {
	case setup.Drill, setup.Vee:
		share = math.Sin(t.Angle / 2)
	}
	l.ChipMax = (l.ToothFeed + c.Runout) * share
	l.ChipMean = l.ToothFeed * share
	l.Teeth = t.Flutes
	l.Removal = DrillRemovalRate(l.Diameter, feed/c.Speed, c.Speed)
	// Chip area a tooth: its feed times the radius, whatever the edge's slant.
	// Its force acts at half the radius and a thrust of half of it along the
	// axis, as in DrillTorque and LipThrust.
	tooth := a.tooth(radius/share, l.ChipMax)
	l.Force = float64(l.Teeth) * tooth
	l.Torque = l.Force * radius / 2 / 1000
	l.Thrust = ChiselFactor * 0.5 * l.Force * share
	if t.Shape == setup.Drill {
		l.Torque *= DrillSpread
	} else {
		l.Side = Resultant(tooth)
	}
	l.Power = Power(l.Torque, c.Speed) / efficiency(c)
	p.end, p.endTorque, p.thrust = l.Side, l.Torque*1000, l.Thrust
}

// ramp adds to a side cut the plunge that the vertical part of the feed is.
func (a *Assessor) ramp(l *Load, p *pressure, c Cut) {
	var down Load
	a.plunge(&down, p, c, c.Feed*math.Sin(c.Ramp))
	l.Thrust = down.Thrust
	l.Torque += down.Torque
	l.Power += down.Power
	l.Side += down.Side
	l.Force += down.Force
	l.Removal += down.Removal
}

// force returns the specific force of a chip with the size effect.
func (a *Assessor) force(h float64) float64 {
	most := 0.0
	for _, l := range a.laws {
		most = math.Max(most, SpecificForce(l.KC11, l.MC, h))
	}
	return most * SizeEffect(h)
}

// tooth returns the tangential force on an edge of that length at its thickest
// chip. Thinner parts of the chip press less, since force grows with thickness. A
// chip thinner than LeastChip counts as that: the tooth rubs until it has gathered
// so much.
func (a *Assessor) tooth(length, h float64) float64 {
	h = math.Max(h, LeastChip)
	return ToothForce(a.force(h), length, h)
}

func efficiency(c Cut) float64 {
	if c.Spindle.Efficiency == 0 {
		return DriveEfficiency
	}
	return c.Spindle.Efficiency
}

// limits fills in deflection, stress and the checks.
func (a *Assessor) limits(l *Load, p pressure, c Cut, descent float64) {
	t := a.tool
	l.Speed = CuttingSpeed(c.Speed, l.Diameter)
	l.Deflection = l.Side * a.give
	if c.Spindle.Stiffness > 0 {
		l.Deflection += l.Side / c.Spindle.Stiffness
	}
	l.Stress = a.beam.stress(a.at, p, a.substrate.brittle())

	l.set(StressLimit, l.Stress, a.substrate.Strength()/Margin)
	if l.Thrust > 0 {
		// No margin on top: a tip that its own hole guides stands eight times the
		// thrust of the free one that is reckoned with (Euler).
		l.set(BucklingLimit, l.Thrust, a.buckling)
	}
	if descent > 0 {
		most := math.Pi / 2
		if !t.CentreCuts && t.Shape != setup.Drill {
			most = blindRamp
		}
		l.set(DescentLimit, descent, most)
	}
	l.set(ReachLimit, c.Depth, t.FluteLength)
	if c.Spindle.Power > 0 {
		l.set(PowerLimit, l.Power, c.Spindle.Power)
	}
	if c.Spindle.Torque > 0 {
		l.set(TorqueLimit, l.Torque, c.Spindle.Torque)
	}
	if a.chip > 0 {
		l.set(ChipLimit, l.ChipMax, a.chip)
	}
	if l.Side > 0 {
		most := roughDeflection
		if c.Finish {
			most = finishDeflection
		}
		if t.Diameter < smallTool {
			most = math.Min(most, math.Max(l.ToothFeed, LeastChip))
		}
		if c.MaxDeflection > 0 {
			most = c.MaxDeflection
		}
		l.set(DeflectionLimit, l.Deflection, most)
	}
	if a.speed > 0 {
		l.set(SpeedLimit, l.Speed, a.speed)
	}
	// Runout makes one tooth cut more and another less: the thinner one rubs.
	thick := math.Max(0, l.ChipMax*(l.ToothFeed-c.Runout)/(l.ToothFeed+c.Runout))
	l.Checks[RubbingLimit] = Check{true, thick, LeastChip, LeastChip / thick}
	if c.Runout > 0 {
		l.set(RunoutLimit, c.Runout, l.ToothFeed*runoutShare)
	}
}
