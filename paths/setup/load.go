package setup

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Substrate is what a tool's cutting edges are made of.
type Substrate uint8

// The tool materials.
const (
	UnknownSubstrate Substrate = iota // not stated
	Carbide
	CoatedCarbide
	HighSpeedSteel
)

var substrateNames = [...]string{"unknown", "carbide", "coated carbide", "high-speed steel"}

func (s Substrate) String() string {
	if int(s) < len(substrateNames) {
		return substrateNames[s]
	}
	return fmt.Sprintf("Substrate(%d)", uint8(s))
}

// Drive is what turns the spindle and holds it. A figure of 0 is not known, and
// what depends on it is not checked.
type Drive struct {
	Power     float64 // kW of the motor
	Torque    float64 // N m at the spindle
	Stiffness float64 // N/mm at the spindle's nose, across its axis
}

// Like says what a material cuts like when its name alone does not: known
// materials, of which the worst counts, and its hardness. Without a name the
// hardness alone says which metals it may be like.
type Like struct {
	Names    []string
	Hardness float64 // Brinell; 0: not known
}

// Given reports whether anything is said.
func (l Like) Given() bool { return len(l.Names) > 0 || l.Hardness > 0 }

// maxHardness is the end of the Brinell scale with a hard metal ball (ISO 6506-1,
// from memory).
const maxHardness = 650

func (l Like) validate() error {
	if !finite(l.Hardness) || l.Hardness < 0 || l.Hardness > maxHardness {
		return fmt.Errorf("the hardness %g of a material is not on the Brinell scale, which ends at %d", l.Hardness, maxHardness)
	}
	for _, n := range l.Names {
		if strings.TrimSpace(n) == "" {
			return errors.New("the material that another is like has no name")
		}
	}
	return nil
}

func (d Drive) validate() error {
	if !finite(d.Power, d.Torque, d.Stiffness) || d.Power < 0 || d.Torque < 0 || d.Stiffness < 0 {
		return errors.New("power, torque and stiffness of the machine may not be negative")
	}
	return nil
}

// validateEdge explains what is wrong with a tool's edges.
func (t Tool) validateEdge() error {
	switch {
	case int(t.Substrate) >= len(substrateNames):
		return fmt.Errorf("%v is no tool material", t.Substrate)
	case !finite(t.Helix, t.Runout):
		return errors.New("helix or runout is not a number")
	case t.Helix < 0 || t.Helix >= math.Pi/2:
		return fmt.Errorf("the helix is %.4g deg; it lies between 0 and 90", t.Helix*180/math.Pi)
	case t.Runout < 0 || t.Runout >= t.Diameter/2:
		return fmt.Errorf("the runout is %g mm; it lies between 0 and the tool's radius", t.Runout)
	}
	return nil
}

// ParsePower reads "350W", "0.5kW" or a bare number of kilowatts. It returns kW.
func ParsePower(s string) (float64, error) {
	return parseQuantity(s, "power", "W, kW or hp", 1, []suffix{{"kW", 1}, {"W", 0.001}, {"hp", KilowattPerHorsepower}})
}

// KilowattPerHorsepower is 550 foot pounds-force a second (exact from the
// definitions of foot, pound and standard gravity).
const KilowattPerHorsepower = 0.7456998715822702

// ParseTorque reads "0.4Nm", "40Ncm" or a bare number of newton metres.
func ParseTorque(s string) (float64, error) {
	return parseQuantity(s, "torque", "Nm or Ncm", 1, []suffix{{"Ncm", 0.01}, {"Nm", 1}})
}

// ParseStiffness reads "8000N/mm", "8N/um" or a bare number of N/mm.
func ParseStiffness(s string) (float64, error) {
	return parseQuantity(s, "stiffness", "N/mm or N/um", 1, []suffix{{"N/mm", 1}, {"N/um", 1000}})
}
