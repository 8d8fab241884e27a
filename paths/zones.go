package paths

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// ZoneError says that a zone is in the way of a cut or of a move between cuts.
type ZoneError struct {
	Operation string
	Zone      string
	At        geom.Point // a place where the tool would come too near
	Distance  float64    // least distance of the tool's axis from the zone, mm; NaN when not measured
	Needed    float64    // what it has to be there, mm
	Text      string
}

func (e *ZoneError) Error() string {
	return fmt.Sprintf("%s: zone %s: %s", e.Operation, e.Zone, e.Text)
}

// keepOut is one zone as seen by one tool.
type keepOut struct {
	zone    setup.Zone
	index   *geom.Index
	reserve float64
	tool    assembly
}

// newKeepOuts prepares the zones of a set-up for a tool.
func newKeepOuts(s *setup.Setup, t setup.Tool) ([]keepOut, error) {
	a := newAssembly(t)
	var out []keepOut
	for _, z := range s.Zones {
		if len(z.Area) == 0 {
			return nil, fmt.Errorf("zone %s has no area", z.Name)
		}
		if !finite(z.Bottom, z.Top, z.Clearance) || z.Clearance < 0 {
			return nil, fmt.Errorf("zone %s: heights and clearance have to be ordinary numbers and the clearance not negative", z.Name)
		}
		z.Clearance += s.Machine.Stray()
		out = append(out, keepOut{zone: z, index: geom.NewIndex(z.Area), reserve: Reserve(s), tool: a})
	}
	return out, nil
}

// need returns how far the tool's axis has to stay from the zone's area while
// the tip is at height tip; 0 when the whole assembly is above the zone. The
// zone's lower end does not count: the assembly goes on upward for ever.
func (k keepOut) need(tip float64) float64 {
	up := k.zone.Top + k.zone.Clearance - tip
	if up <= 0 {
		return 0
	}
	return k.zone.Clearance + k.tool.radius(up) + k.reserve
}

// tip returns the least height of the tip at which the axis may pass at
// distance d from the zone's area.
func (k keepOut) tip(d float64) float64 {
	return k.zone.Top + k.zone.Clearance - k.tool.height(d-k.zone.Clearance-k.reserve)
}

// area returns the places where the tool's axis may not be while the tip is at
// the height given or higher, empty when it may be anywhere.
func (k keepOut) area(tip float64) (geom.Region, error) {
	need := k.need(tip)
	if need == 0 {
		return nil, nil
	}
	// The margin keeps cuts that end on the boundary of the area on the right
	// side of the comparison in clear.
	return geom.Offset(k.zone.Area, need+zoneMargin, geom.OffsetOptions{})
}

// zoneMargin is two geometric tolerances: a point on the boundary of a grown
// area and a distance measured back from it may each be off by one.
const zoneMargin = 2 * geom.Tol

// forbidden returns where the tool's axis may not be for any zone while the tip
// is at the height given.
func forbidden(zones []keepOut, tip float64) (geom.Region, error) {
	var all geom.Region
	for _, k := range zones {
		a, err := k.area(tip)
		if err != nil {
			return nil, fmt.Errorf("zone %s: %w", k.zone.Name, err)
		}
		if len(a) == 0 {
			continue
		}
		if all, err = geom.Union(all, a); err != nil {
			return nil, fmt.Errorf("zone %s: %w", k.zone.Name, err)
		}
	}
	return all, nil
}

// Forbidden returns where the axis of a tool may not be while its tip is at the
// height given: the zones' areas grown by their clearances and by the radius
// that the tool, shank and holder have at the zones' heights.
func Forbidden(s *setup.Setup, t setup.Tool, tip float64) (geom.Region, error) {
	zones, err := newKeepOuts(s, t)
	if err != nil {
		return nil, err
	}
	return forbidden(zones, tip)
}

// blocker returns the zone that a move of the tip along g at height tip (its
// lowest) comes too near to, nil when there is none.
func blocker(zones []keepOut, g geom.Seg, tip float64) *keepOut {
	for i := range zones {
		if need := zones[i].need(tip); need > 0 && zones[i].index.Distance(g) < need {
			return &zones[i]
		}
	}
	return nil
}

// clipped is what zones leave of the lines of an operation.
type clipped struct {
	paths    []geom.Path
	findings []Finding
	cut      bool // something was taken away
}

// keepClear takes from lines what lies in a zone's keep-out at the operation's
// lowest height, or refuses when the operation says so.
func (o Op) keepClear(zones []keepOut, lines []geom.Path) (clipped, error) {
	c := clipped{paths: lines}
	for _, k := range zones {
		area, err := k.area(o.Bottom)
		if err != nil {
			return c, o.errorf("zone %s: %w", k.zone.Name, err)
		}
		if len(area) == 0 {
			continue
		}
		var kept []geom.Path
		lost := 0.0
		var at geom.Point
		for _, p := range c.paths {
			if !area.Bounds().Overlaps(p.Bounds()) {
				kept = append(kept, p)
				continue
			}
			in, out, err := geom.Clip(p, area)
			if err != nil {
				return c, o.errorf("zone %s: %w", k.zone.Name, err)
			}
			l := 0.0
			for _, q := range in {
				l += q.Length()
			}
			if l <= geom.Tol {
				kept = append(kept, p)
				continue
			}
			if lost == 0 {
				at = in[0].At(in[0].Length() / 2)
			}
			lost += l
			for _, q := range out {
				if q.Length() > cutTol {
					kept = append(kept, q)
				}
			}
		}
		if lost == 0 {
			continue
		}
		if o.OnZone == Refuse {
			return c, o.zoneError(k, at, fmt.Sprintf("%.3f mm of the cut come too near to it", lost))
		}
		c.paths, c.cut = kept, true
		c.findings = append(c.findings, Finding{o.label(), k.zone.Name, fmt.Sprintf("the cut is %.3f mm shorter", lost)})
	}
	return c, nil
}

// keepClearRegion takes from the places for the tool's axis what lies in a
// zone's keep-out, or refuses when the operation says so.
func (o Op) keepClearRegion(zones []keepOut, r geom.Region) (geom.Region, []Finding, error) {
	var findings []Finding
	for _, k := range zones {
		area, err := k.area(o.Bottom)
		if err != nil {
			return nil, nil, o.errorf("zone %s: %w", k.zone.Name, err)
		}
		if len(area) == 0 || !area.Bounds().Overlaps(r.Bounds()) {
			continue
		}
		common, err := geom.Intersection(r, area)
		if err != nil {
			return nil, nil, o.errorf("zone %s: %w", k.zone.Name, err)
		}
		lost := common.Area()
		if lost <= cutTol*cutTol {
			continue
		}
		if o.OnZone == Refuse {
			at := pole(common, geom.NewIndex(common), cutTol)
			return nil, nil, o.zoneError(k, at, fmt.Sprintf("%.3f mm2 of the places that the tool has to reach come too near to it", lost))
		}
		if r, err = geom.Difference(r, area); err != nil {
			return nil, nil, o.errorf("zone %s: %w", k.zone.Name, err)
		}
		findings = append(findings, Finding{o.label(), k.zone.Name, fmt.Sprintf("the tool stays out of %.3f mm2 of the places that it was to reach", lost)})
	}
	return r, findings, nil
}

// zoneError describes a cut at its lowest height that a zone is in the way of.
func (o Op) zoneError(k keepOut, at geom.Point, what string) *ZoneError {
	d := k.index.Distance(geom.Line(at, at))
	need := k.need(o.Bottom)
	return &ZoneError{
		Operation: o.label(), Zone: k.zone.Name, At: at, Distance: d, Needed: need,
		Text: fmt.Sprintf("%s, so at x %.3f y %.3f: the tool's axis is %.3f mm away there and needs %.3f mm (clearance %.3f, tool and shank %.3f); move the cut or the zone, or allow the operation to be shortened",
			what, at.X, at.Y, d, need, k.zone.Clearance, need-k.zone.Clearance-k.reserve),
	}
}

// segOf returns a move that starts at from as a segment seen from above.
func segOf(from geom.Point3, m Move) geom.Seg {
	return geom.Seg{A: from.XY(), B: m.To.XY(), C: m.C, Turn: m.Turn}
}

// lowest returns the least height of a move that starts at from.
func lowest(from geom.Point3, m Move) float64 { return math.Min(from.Z, m.To.Z) }
