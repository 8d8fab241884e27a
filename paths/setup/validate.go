package setup

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// Validate explains what is wrong with a tool.
func (t Tool) Validate() error {
	switch {
	case !finite(t.Diameter, t.TipDiameter, t.Angle, t.FluteLength, t.Shank, t.StickOut):
		return errors.New("a dimension is not a number")
	case t.Length != nil && !finite(*t.Length):
		return errors.New("the length in the tool table is not a number")
	case t.Number < 1:
		return fmt.Errorf("the number is %d; tools count from 1", t.Number)
	case t.Diameter <= 0 || t.FluteLength <= 0 || t.Shank <= 0 || t.StickOut <= 0:
		return errors.New("diameter, flute length, shank and stick-out have to be more than 0")
	case t.Flutes < 1:
		return errors.New("a tool has one flute or more")
	case t.StickOut < t.FluteLength:
		return fmt.Errorf("the stick-out (%g mm) is less than the flute length (%g mm): the holder would stand on the flutes", t.StickOut, t.FluteLength)
	case (t.Shape == Vee || t.Shape == Drill) && !(t.Angle > 0 && t.Angle < math.Pi):
		return fmt.Errorf("the included angle is %.4g deg; it lies between 0 and 180", t.Angle*180/math.Pi)
	case t.Shape == Vee && !(t.TipDiameter >= 0 && t.TipDiameter < t.Diameter):
		return fmt.Errorf("the tip (%g mm) has to be smaller than the diameter (%g mm)", t.TipDiameter, t.Diameter)
	case !finite(t.Pitch, t.Lead) || t.Shape == Tap && !(t.Pitch > 0 && t.Pitch < t.Diameter/2):
		return fmt.Errorf("the pitch of the tap (%g mm) has to be more than 0 and less than half its diameter", t.Pitch)
	case t.Shape == Tap && !(t.Lead >= 0 && t.Lead <= t.FluteLength):
		return fmt.Errorf("the tap's lead (%g mm) has to lie within its flutes (%g mm)", t.Lead, t.FluteLength)
	case t.Shape == Ball && t.FluteLength < t.Diameter/2:
		return errors.New("the flutes are shorter than the ball's radius")
	case t.ConeHeight() > t.FluteLength+geom.Tol:
		return fmt.Errorf("the cone is %.3f mm high, longer than the flutes (%g mm)", t.ConeHeight(), t.FluteLength)
	}
	if err := t.validateEdge(); err != nil {
		return err
	}
	for i, s := range t.Holder {
		if !finite(s.Z0, s.R0, s.Z1, s.R1) || s.R0 < 0 || s.R1 < 0 || s.Z1 < s.Z0 || s.Z0 < t.StickOut-geom.Tol {
			return fmt.Errorf("holder section %d does not stand above the stick-out with positive sizes", i+1)
		}
	}
	return nil
}

// Validate explains what is wrong with a machine.
func (m Machine) Validate() error {
	e := m.Envelope
	switch {
	case !e.Min.Finite() || !e.Max.Finite() || e.Empty():
		return errors.New("the machine's envelope is empty or not finite")
	case !finite(m.SpindleMin, m.SpindleMax) || m.SpindleMin < 0 || m.SpindleMax <= m.SpindleMin:
		return errors.New("the machine's spindle needs a least and a greatest speed")
	case !finite(m.FeedMax) || m.FeedMax <= 0:
		return errors.New("the machine's greatest feed has to be more than 0")
	case !finite(m.Rapid) || m.Rapid <= 0:
		return errors.New("the machine's rapid rate has to be more than 0")
	case !finite(m.PlungeMax, m.Accel, m.SpinUp) || m.PlungeMax < 0 || m.Accel < 0 || m.SpinUp < 0:
		return errors.New("plunge limit, acceleration and spin-up of the machine may not be negative")
	case !finite(m.BlockRate) || m.BlockRate < 0:
		return errors.New("the machine's block rate may not be negative")
	case m.HasTravel() && (!m.Travel.Min.Finite() || !m.Travel.Max.Finite() || m.Travel.Empty()):
		return errors.New("the machine's travel is empty or not finite")
	case m.WorkOffset != nil && !m.WorkOffset.Finite():
		return errors.New("the machine's work offset is not finite")
	case m.WorkOffset != nil && !m.HasTravel():
		return errors.New("a work offset is of use with the machine's travel only, which is not given")
	}
	if err := m.Drive.validate(); err != nil {
		return err
	}
	return m.validateMotion()
}

// Validate explains what is wrong with a set-up.
func (s *Setup) Validate() error {
	if err := s.Machine.Validate(); err != nil {
		return err
	}
	if len(s.Stock.Outline) == 0 || !finite(s.Stock.Top, s.Stock.Thickness) || s.Stock.Thickness <= 0 {
		return errors.New("the stock needs an outline and a thickness")
	}
	if err := s.Stock.Outline.Validate(); err != nil {
		return fmt.Errorf("stock: %w", err)
	}
	if !finite(s.Stock.Backing.Depth) || s.Stock.Backing.Depth < 0 {
		return errors.New("the depth that may be cut into the backing is negative or not a number")
	}
	for _, l := range []Like{s.Stock.Like, s.Stock.Backing.Like} {
		if err := l.validate(); err != nil {
			return err
		}
	}
	for _, z := range s.Zones {
		if !finite(z.Bottom, z.Top, z.Clearance) || z.Top <= z.Bottom || z.Clearance < 0 || len(z.Area) == 0 {
			return fmt.Errorf("zone %q needs an area, a top above its bottom and a clearance of 0 or more", z.Name)
		}
		if err := z.Area.Validate(); err != nil {
			return fmt.Errorf("zone %q: %w", z.Name, err)
		}
	}
	if s.Probing != nil {
		if err := s.Probing.Validate(); err != nil {
			return err
		}
	}
	for _, d := range s.Defects {
		if err := d.Validate(); err != nil {
			return err
		}
	}
	for _, f := range s.Features {
		if f.Coolant > Flood {
			return fmt.Errorf("feature %q asks for a coolant of no known kind", f.Name)
		}
	}
	seen := map[int]bool{}
	for _, t := range s.Tools {
		if err := t.Validate(); err != nil {
			return fmt.Errorf("tool %d: %w", t.Number, err)
		}
		if seen[t.Number] {
			return fmt.Errorf("tool number %d is used twice", t.Number)
		}
		seen[t.Number] = true
	}
	if !finite(s.ClearZ, s.Approach) || s.Approach <= 0 || s.ClearZ < s.Stock.Top+s.Approach {
		return errors.New("the clear height has to be at least the approach gap above the stock")
	}
	return nil
}
