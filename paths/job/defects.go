package job

import (
	"fmt"

	"proofcut/paths/geom"
	"proofcut/paths/nest"
	"proofcut/paths/setup"
)

// defects reads the flaws of the stock: cracks as lines with a width, inclusions
// as shapes.
func (r *reader) defects(n node, j *Job) []setup.Defect {
	list, ok := r.sequence(n, "defects")
	if !ok {
		return nil
	}
	names := map[string]bool{}
	for _, z := range j.Zones {
		names[z.Name] = true
	}
	var out []setup.Defect
	for i, e := range list {
		m := r.mapping(e, fmt.Sprintf("defect %d", i+1))
		if m == nil {
			continue
		}
		d := setup.Defect{Name: m.text("name", "crack 1")}
		if names[d.Name] {
			r.fail(e, "defect %d: the name %q is used twice, by zones or defects", i+1, d.Name)
		}
		names[d.Name] = true
		before := len(r.errs)
		if m.has("line") {
			d.Area = m.crack()
		} else {
			m.get("line") // named in the hint
			if n, ok := m.get("width"); ok {
				r.fail(n, "%s: width goes with a line; a shape is as wide as it is", m.what)
			}
			if s, ok := m.shape(); ok {
				d.Area = geom.RegionOf(s.Contour)
			}
		}
		if _, ok := m.need("cut_across", "false"); ok {
			d.CutAcross = m.yes("cut_across", false)
		}
		d.Clearance = m.atLeast("clearance", m.lengthOr("clearance", 0), 0)
		m.done()
		if len(r.errs) > before {
			continue
		}
		if in, err := geom.Intersection(d.Area, j.Stock.Outline); err == nil && len(j.Stock.Outline) > 0 && len(in) == 0 {
			r.fail(e, "defect %q lies nowhere on the slab: check its coordinates", d.Name)
			continue
		}
		out = append(out, d)
	}
	return out
}

// crack reads a line through two places or more, and its width.
func (m *mapping) crack() geom.Region {
	n, _ := m.get("line")
	for _, k := range shapeKeys {
		if s, ok := m.get(k); ok {
			m.r.fail(s, "%s: give a line with a width or a shape, not both", m.what)
			return nil
		}
	}
	width := m.positive("width", "0.8mm")
	list, ok := m.r.sequence(n, m.what+": line")
	if !ok {
		return nil
	}
	if len(list) < 2 || len(list) > maxCorners {
		m.r.fail(n, "%s: a line has from 2 to %d points, not %d; for a spot give a circle", m.what, maxCorners, len(list))
		return nil
	}
	before := len(m.r.errs)
	pts := make([]geom.Point, len(list))
	for i, e := range list {
		pts[i] = m.r.pair(e, fmt.Sprintf("%s: line: point %d", m.what, i+1))
		if i > 0 && len(m.r.errs) == before && pts[i].Dist(pts[i-1]) < geom.Tol {
			m.r.fail(e, "%s: line: points %d and %d are the same", m.what, i, i+1)
		}
	}
	if len(m.r.errs) > before || !(width > 0) {
		return nil
	}
	area, err := geom.OffsetPath([]geom.Path{geom.Polyline(pts...)}, width/2, geom.OffsetOptions{})
	if err != nil {
		m.r.fail(n, "%s: line: %v", m.what, err)
		return nil
	}
	return area
}

// flaw puts the defects into the job: those that may not be cut across are zones.
func (j *Job) flaw(defects []setup.Defect) {
	j.Defects = defects
	for _, d := range defects {
		if !d.CutAcross {
			j.Zones = append(j.Zones, d.Zone(j.Stock))
		}
	}
}

// drawnDefects returns the defects in the frame of the drawing, as drawn does
// the zones.
func (j *Job) drawnDefects() []setup.Defect {
	v := j.registered
	if v == nil {
		return j.Defects
	}
	if v.fit.Scale == 1 {
		return v.defects
	}
	out := append([]setup.Defect(nil), j.Defects...)
	for i := range out {
		out[i].Area = out[i].Area.Transform(v.fit.Rigid.Inverse())
	}
	return out
}

// avoid keeps the parts of a nest off the defects that may be cut across; the
// others are zones.
func (r *room) avoid(defects []setup.Defect, reserve float64) {
	for _, d := range defects {
		if d.CutAcross {
			r.Keepouts = append(r.Keepouts, nest.Keepout{Area: d.Area, Margin: d.Clearance + 2*reserve})
		}
	}
}
