package fits

import (
	"fmt"
	"io"
	"strings"
)

// Report is a fit as data; lengths in mm.
type Report struct {
	Fit       string     `json:"fit"`
	Kind      string     `json:"kind"`
	Nominal   float64    `json:"nominal"`
	Bore      [2]float64 `json:"bore"` // limits; a measured bore twice
	Disc      [2]float64 `json:"disc"` // limits of the finished disc
	Clearance [2]float64 `json:"clearance"`
	Confirmed bool       `json:"confirmed"` // every figure was read in a source

	Turning *TurningReport `json:"turning,omitempty"`
}

// TurningReport is what happens to the disc after the mill; lengths in mm.
type TurningReport struct {
	Aim       float64    `json:"aim"`
	Allowance float64    `json:"allowance"`
	CutWithin float64    `json:"cut_within"`
	Cut       float64    `json:"cut"`
	PerSide   [2]float64 `json:"per_side"`
}

// NewReport returns a fit as data; t may be nil.
func NewReport(f Fit, t *Turning) Report {
	least, greatest := f.Clearance()
	r := Report{
		Fit: f.String(), Kind: f.Kind(), Nominal: f.Shaft.Nominal,
		Bore: [2]float64{tidy(f.Hole.Min), tidy(f.Hole.Max)}, Disc: [2]float64{tidy(f.Shaft.Min), tidy(f.Shaft.Max)},
		Clearance: [2]float64{tidy(least), tidy(greatest)}, Confirmed: f.Hole.Confirmed && f.Shaft.Confirmed,
	}
	if t != nil {
		lo, hi := t.PerSide()
		r.Turning = &TurningReport{
			Aim: tidy(t.Aim), Allowance: tidy(t.Allow), CutWithin: tidy(t.CutTol), Cut: tidy(t.Cut),
			PerSide: [2]float64{tidy(lo), tidy(hi)},
		}
	}
	return r
}

// Print writes the report for a person.
func (r Report) Print(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%g mm %s: %s\n", r.Nominal, r.Fit, r.Kind)
	line := func(what string, v [2]float64) { fmt.Fprintf(&b, "  %-22s %9.4f to %9.4f mm\n", what, v[0], v[1]) }
	line("bore", r.Bore)
	line("finished disc", r.Disc)
	line("clearance", r.Clearance)
	if t := r.Turning; t != nil {
		fmt.Fprintf(&b, "  %-22s %9.4f mm\n", "turn to", t.Aim)
		fmt.Fprintf(&b, "  %-22s %9.4f mm (allowance %g mm, cut within %g mm)\n", "cut to", t.Cut, t.Allowance, t.CutWithin)
		line("take off per side", t.PerSide)
	}
	if !r.Confirmed {
		b.WriteString("  some of these figures are from memory, held against the formulas of ISO 286-1:\n  look them up in the standard before they matter\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}
