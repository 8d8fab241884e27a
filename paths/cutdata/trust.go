package cutdata

import "fmt"

// Trust says how far a value is backed.
type Trust uint8

// The marks of trust, from the strongest to the weakest.
const (
	Confirmed  Trust = iota // read in the source that stands beside it
	FromMemory              // not looked up: a default to be overridden
	Estimate                // by analogy with a neighbouring material
	Practice                // common practice, no source
)

var trustNames = [...]string{"confirmed", "memory", "estimate", "practice"}

func (t Trust) String() string {
	if int(t) < len(trustNames) {
		return trustNames[t]
	}
	return fmt.Sprintf("Trust(%d)", uint8(t))
}

func parseTrust(s string) (Trust, error) {
	for i, n := range trustNames {
		if n == s {
			return Trust(i), nil
		}
	}
	return 0, fmt.Errorf("mark %q is not known", s)
}

// Value is a figure or a range of it, with where it comes from.
type Value struct {
	Low, High float64 // equal for a single figure
	Mark      Trust
	Source    string // key of the source, empty when there is none
	Applied   bool   // false: quoted for comparison, no formula uses it
	Note      string
}

// Quantity names what a Value of a material measures.
type Quantity string

// The quantities of the material table.
const (
	Hardness     Quantity = "hb"           // Brinell
	Density      Quantity = "density"      // g/cm3
	SpeedHSS     Quantity = "vc-hss"       // m/min
	SpeedCarbide Quantity = "vc-carbide"   // m/min, uncoated
	SpeedCoated  Quantity = "vc-coated"    // m/min, coated carbide or diamond
	SpeedDrill   Quantity = "vc-drill-hss" // m/min
	SpeedTap     Quantity = "vc-tap"       // m/min
	ChipPercent  Quantity = "chip"         // feed per tooth, % of the diameter
	DrillFeed    Quantity = "drill-feed"   // mm/rev of a 6 mm drill
	TapForce     Quantity = "tap-kc"       // N/mm2, for TapTorque
)

var quantities = []Quantity{Hardness, Density, SpeedHSS, SpeedCarbide, SpeedCoated, SpeedDrill, SpeedTap, ChipPercent, DrillFeed, TapForce}
