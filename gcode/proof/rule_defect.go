package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleDefect = Rule{
	Name:     "defect",
	Severity: Fault,
	Reason:   "A part with a crack or an inclusion in it is scrap, however well it is cut.",
	watch:    func() watcher { return defectWatch{} },
}

// defectWatch holds the parts against the defects of the stock when the program
// is over. The motions are the business of the zones.
type defectWatch struct{}

func (defectWatch) see(*checker, *interp.Event, *motion) {}

func (defectWatch) end(c *checker) {
	for i := range c.s.Defects {
		d := &c.s.Defects[i]
		rec := DefectDistance{Defect: d.Name, Needed: round(d.Clearance), CutAcross: d.CutAcross}
		area := geom.NewIndex(d.Area)
		least := math.Inf(1)
		for k := range c.s.Parts {
			p := &c.s.Parts[k]
			outline := p.Outline
			if len(outline) == 0 && p.Diameter > 0 {
				outline = geom.RegionOf(geom.Circle(p.At, p.Diameter/2))
			}
			dist := partDistance(outline, d.Area, area)
			if dist < least {
				least, rec.Part = dist, p.Name
			}
			at := d.Area.Closest(outline.Bounds().Center()).At(c.s.Stock.Top)
			switch {
			case dist <= 0:
				c.find(&at, "part %q contains some of the defect %q: place it elsewhere", p.Name, d.Name)
			case dist < d.Clearance-geom.Tol:
				c.find(&at, "part %q lies %s from the defect %q, which needs %s: place it elsewhere", p.Name, c.mm(dist), d.Name, c.mm(d.Clearance))
			}
		}
		if !math.IsInf(least, 1) {
			v := math.Floor(least*1e6) / 1e6 // never more than it is
			rec.Minimum = &v
		}
		c.rec.Defects = append(c.rec.Defects, rec)
	}
}

// partDistance returns the least distance of a part from a defect, 0 where they
// have a point in common.
func partDistance(outline, area geom.Region, x *geom.Index) float64 {
	d := math.Inf(1)
	for _, c := range outline {
		for _, g := range c {
			d = math.Min(d, x.Distance(g))
		}
	}
	// A defect wholly inside the part touches none of its outline.
	for _, c := range area {
		if len(c) > 0 && outline.Contains(c[0].A) != geom.Outside {
			return 0
		}
	}
	return d
}
