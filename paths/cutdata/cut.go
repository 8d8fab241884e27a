package cutdata

import (
	"fmt"
	"math"
)

// Cut is one cut with a tool: what it moves at and how much stands in its way.
type Cut struct {
	Speed float64 // 1/min
	Feed  float64 // mm/min along the path

	Depth      float64 // mm along the axis; for a plunge the depth of the hole
	Width      float64 // mm across the feed, at most the diameter; not read when Engagement is given
	Engagement float64 // rad, 0 to pi, of the arc in the material; 0: from Width
	Plunge     bool    // straight down
	Ramp       float64 // rad below the horizontal, 0 to pi/2

	Substrate Substrate
	Finish    bool // the surface stays: the tool may bend less
	// MaxDeflection in mm, as a tolerance allows; 0: 0.01 roughing, 0.003
	// finishing, under 3 mm diameter no more than the feed per tooth (common
	// practice, no source).
	MaxDeflection float64
	Runout        float64 // mm, total indicator reading at the tip; 0: not known, left out
	Spindle       Spindle
}

// Spindle is what drives the tool. A figure of 0 is not known; the limit that
// needs it is then not checked.
type Spindle struct {
	Power      float64 // kW
	Torque     float64 // N·m at the cut's speed
	Stiffness  float64 // N/mm at the nose, 5000 to 20000 for a light one (from memory); 0: rigid
	Efficiency float64 // of the drive; 0: DriveEfficiency
}

// DriveEfficiency is reckoned with where none is given (the figure of a trade
// example, CAT).
const DriveEfficiency = 0.8

// Limit names a limit of a cut.
type Limit uint8

// The limits. The first four break a tool or stall a machine, the others wear it
// out or spoil the work.
const (
	StressLimit     Limit = iota // N/mm2 in the tool
	BucklingLimit                // N of thrust
	DescentLimit                 // rad below the horizontal
	ReachLimit                   // mm of depth against the flutes
	PowerLimit                   // kW
	TorqueLimit                  // N·m
	ChipLimit                    // mm, thickest chip against the tool and material
	DeflectionLimit              // mm at the tip
	SpeedLimit                   // m/min
	RubbingLimit                 // mm, thickest chip: the one limit not to fall below
	RunoutLimit                  // mm
	limits
)

var limitNames = [limits]string{"stress", "buckling", "descent", "reach", "power", "torque", "chip", "deflection", "speed", "rubbing", "runout"}

var limitUnits = [limits]string{"N/mm2", "N", "rad", "mm", "kW", "N·m", "mm", "mm", "m/min", "mm", "mm"}

func (l Limit) String() string {
	if l < limits {
		return limitNames[l]
	}
	return fmt.Sprintf("Limit(%d)", uint8(l))
}

// Unit returns the unit of the limit's figures.
func (l Limit) Unit() string {
	if l < limits {
		return limitUnits[l]
	}
	return ""
}

// Breaks reports whether passing the limit may break the tool at once.
func (l Limit) Breaks() bool { return l <= ReachLimit }

// Check is one figure of a cut beside its limit.
type Check struct {
	Known bool // false: nothing is known to compare with, the rest is 0
	Value float64
	Limit float64
	Ratio float64 // of the value to the limit, the limit to the value for RubbingLimit; over 1 is too much
}

// Load is what a cut asks of tool and machine. Checks is indexed by Limit.
type Load struct {
	Diameter   float64       // mm, effective at the cut's depth
	Speed      float64       // m/min at that diameter
	ToothFeed  float64       // mm
	Engagement float64       // rad, pi for a slot, 2 pi for a plunge
	ChipMax    float64       // mm, runout included
	ChipMean   float64       // mm
	Teeth      int           // that may cut at once
	Removal    float64       // mm3/min, upper bound
	Force      float64       // N, tangential at the thickest chip on all those teeth
	Side       float64       // N, across the axis
	Thrust     float64       // N, along the axis
	Torque     float64       // N·m, at the thickest chip
	Power      float64       // kW, mean, at the motor
	Deflection float64       // mm at the tip
	Stress     float64       // N/mm2
	Checks     [limits]Check // in the order of the Limit constants
}

// Acting returns the limit with the greatest ratio, the first of equals; its
// ratio over 1 means that the cut asks too much.
func (l Load) Acting() (Limit, Check) {
	most := Limit(0)
	for i := range limits {
		if l.Checks[i].Ratio > l.Checks[most].Ratio {
			most = i
		}
	}
	return most, l.Checks[most]
}

// OK reports whether every known limit is kept.
func (l Load) OK() bool {
	_, c := l.Acting()
	return c.Ratio <= 1
}

// set notes a figure that has to stay at or below its limit.
func (l *Load) set(which Limit, value, limit float64) {
	l.Checks[which] = Check{true, value, limit, value / limit}
}

// Validate explains what is wrong with a cut for a tool of diameter d.
func (c Cut) Validate(d float64) error {
	for _, q := range []struct {
		name     string
		value    float64
		positive bool
	}{
		{"spindle speed", c.Speed, true}, {"feed", c.Feed, true}, {"depth", c.Depth, true},
		{"width", c.Width, !c.Plunge && c.Engagement == 0}, {"engagement", c.Engagement, false},
		{"ramp angle", c.Ramp, false}, {"runout", c.Runout, false}, {"greatest deflection", c.MaxDeflection, false}, {"spindle power", c.Spindle.Power, false},
		{"spindle torque", c.Spindle.Torque, false}, {"spindle stiffness", c.Spindle.Stiffness, false},
		{"drive efficiency", c.Spindle.Efficiency, false},
	} {
		switch {
		case math.IsNaN(q.value) || math.IsInf(q.value, 0):
			return fmt.Errorf("the %s of the cut is not a number", q.name)
		case q.value < 0 || q.positive && q.value == 0:
			return fmt.Errorf("the %s of the cut is %g; it has to be more than 0", q.name, q.value)
		}
	}
	switch {
	case !c.Plunge && c.Engagement == 0 && c.Width > d+widthTol:
		return fmt.Errorf("the cut is %g mm wide, more than the tool (%g mm)", c.Width, d)
	case c.Engagement > math.Pi+angleTol:
		return fmt.Errorf("the engagement is %.4g deg; a side cut has 180 at most", c.Engagement*180/math.Pi)
	case c.Ramp > math.Pi/2+angleTol:
		return fmt.Errorf("the ramp descends at %.4g deg; straight down is 90", c.Ramp*180/math.Pi)
	case c.Spindle.Efficiency > 1:
		return fmt.Errorf("the drive efficiency is %g; it is at most 1", c.Spindle.Efficiency)
	case math.IsNaN(c.Substrate.Strength()):
		return fmt.Errorf("%v is no tool material", c.Substrate)
	}
	return nil
}

// widthTol in mm lets a slot as wide as the tool pass after rounding; a width
// within it counts as the diameter.
const widthTol = 1e-6
