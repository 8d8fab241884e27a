package job

import (
	"fmt"

	"proofcut/paths/fits"
)

// Fit says that discs are turned to go into a bore.
type Fit struct {
	Bore     float64 // nominal size of the bore, mm
	Measured float64 // what the bore measures; 0: anything within its class
	fits.Fit

	place node
}

// fit reads a bore and the class of its fit, such as {bore: 12.7mm, class: H7/p6}.
func (r *reader) fit(n node) *Fit {
	m := r.mapping(n, "fit")
	if m == nil {
		return nil
	}
	defer m.done()
	v := &Fit{Bore: m.positive("bore", "12.7mm"), Measured: m.above("measured", m.lengthOr("measured", 0), 0), place: n}
	class := m.text("class", "H7/p6")
	if v.Bore <= 0 || class == "" {
		return nil // said already
	}
	var err error
	if v.Fit, err = fits.ParseFit(class, v.Bore); err != nil {
		r.fail(m.at("class"), "fit: class: %v", err)
		return nil
	}
	if v.Measured != 0 {
		if v.Fit, err = v.Fit.Measured(v.Measured); err != nil {
			r.fail(m.at("measured"), "fit: measured: %v", err)
			return nil
		}
	}
	return v
}

// fitted checks that the lathe has something to take off every disc that is cut
// for a fit: the tolerance of the profile may leave it this much smaller.
func (r *reader) fitted(j *Job) {
	for i := range j.Parts {
		p := &j.Parts[i]
		if p.Nest == nil || p.Nest.Fit == nil {
			continue
		}
		for _, op := range j.Operations {
			if o, ok := op.(*Profile); ok && o.Part == p.Name && !o.Inside {
				if _, err := fits.Turn(p.Nest.Fit.Shaft, p.Nest.Allowance+2*o.Allowance, 2*o.Tol); err != nil {
					r.fail(p.Nest.Fit.place, "part %q: operation %q: %v", p.Name, o.Name, err)
				}
			}
		}
	}
}

// finished reads the finished diameter: given, or from a bore and a fit.
func (v *Nest) finished(m *mapping) {
	n, ok := m.get("fit")
	switch {
	case !ok:
		v.Finished = m.positive("finished", "12.7mm")
	case m.has("finished"):
		m.r.fail(n, "%s: give finished or fit, not both: the fit says what the finished diameter is", m.what)
		m.get("finished")
	default:
		if v.Fit = m.r.fit(n); v.Fit != nil {
			v.Finished = v.Fit.Shaft.Middle()
		}
	}
}

// String says the fit in a line for a person.
func (f Fit) String() string {
	least, greatest := f.Clearance()
	bore := fmt.Sprintf("bore %.4g mm %s", f.Bore, f.Fit)
	if f.Measured != 0 {
		bore += fmt.Sprintf(", measured %.4f mm", f.Measured)
	}
	return fmt.Sprintf("%s: %s, disc %.4f to %.4f mm, clearance %+.4f to %+.4f mm", bore, f.Kind(), f.Shaft.Min, f.Shaft.Max, least, greatest)
}
