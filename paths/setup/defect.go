package setup

import (
	"fmt"

	"proofcut/paths/geom"
)

// Defect is a flaw in the stock, a crack or an inclusion, seen from above. It
// goes right through; no part may contain any of it, or come nearer to it than
// Clearance. Where it may not be cut across the set-up has a zone of the same
// name, which keeps the tool out.
type Defect struct {
	Name      string
	Area      geom.Region
	Clearance float64 // mm
	CutAcross bool    // the tool may run over it
}

// Zone returns the zone that keeps the tool out of the defect in stock with the
// given heights.
func (d Defect) Zone(s Stock) Zone {
	return Zone{Name: d.Name, Area: d.Area, Bottom: s.Bottom(), Top: s.Top, Clearance: d.Clearance}
}

// Validate explains what is wrong with a defect.
func (d Defect) Validate() error {
	if !finite(d.Clearance) || d.Clearance < 0 || len(d.Area) == 0 {
		return fmt.Errorf("defect %q needs an area and a clearance of 0 or more", d.Name)
	}
	if err := d.Area.Validate(); err != nil {
		return fmt.Errorf("defect %q: %w", d.Name, err)
	}
	return nil
}
