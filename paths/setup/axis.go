package setup

import (
	"errors"
	"fmt"
)

// Axis holds the limits of one axis of the machine. A limit of 0 is not known
// and left to those along the path.
type Axis struct {
	Rate  float64 // greatest rate, mm/min
	Accel float64 // greatest acceleration, mm/s2

	// CornerStep is the change of the axis' rate, in mm/min, that it takes
	// between two moves at once. All three axes have one, or none.
	CornerStep float64
}

// MaxLookAhead bounds the moves that a control is taken to plan ahead, and with
// them the memory of a time estimate.
const MaxLookAhead = 4096

// HasCornerSteps reports whether the axes say what change of rate they take at
// once.
func (m Machine) HasCornerSteps() bool { return m.Axes[0].CornerStep > 0 }

// HasAxisRates reports whether an axis has a greatest rate of its own.
func (m Machine) HasAxisRates() bool {
	return m.Axes[0].Rate > 0 || m.Axes[1].Rate > 0 || m.Axes[2].Rate > 0
}

// FeedLimit returns the greatest feed that the machine keeps in every direction
// in the plane, mm/min.
func (m Machine) FeedLimit() float64 {
	f := m.FeedMax
	for _, a := range m.Axes[:2] {
		if a.Rate > 0 && a.Rate < f {
			f = a.Rate
		}
	}
	return f
}

// PlungeLimit returns the greatest feed that the machine keeps straight down,
// mm/min.
func (m Machine) PlungeLimit() float64 {
	f := m.FeedMax
	if m.PlungeMax > 0 {
		f = m.PlungeMax
	}
	if a := m.Axes[2]; a.Rate > 0 && a.Rate < f {
		f = a.Rate
	}
	return f
}

// validateMotion explains what is wrong with the limits of acceleration and
// corners.
func (m Machine) validateMotion() error {
	steps, accels := 0, 0
	for i, a := range m.Axes {
		if !finite(a.Rate, a.Accel, a.CornerStep) || a.Rate < 0 || a.Accel < 0 || a.CornerStep < 0 {
			return fmt.Errorf("rate, acceleration and corner step of the machine's %c axis may not be negative", "XYZ"[i])
		}
		if a.CornerStep > 0 {
			steps++
		}
		if a.Accel > 0 {
			accels++
		}
	}
	switch {
	case steps != 0 && steps != len(m.Axes):
		return errors.New("the machine's corner step is given for all three axes or for none")
	case accels != 0 && accels != len(m.Axes) && m.Accel == 0:
		return errors.New("the machine's acceleration is given for all three axes, for none, or along the path as well")
	case !finite(m.CornerDeviation) || m.CornerDeviation < 0:
		return errors.New("the machine's corner deviation may not be negative")
	case m.LookAhead < 0 || m.LookAhead > MaxLookAhead:
		return fmt.Errorf("the machine's look-ahead lies between 1 and %d moves, 0 where it is not known", MaxLookAhead)
	}
	return nil
}
