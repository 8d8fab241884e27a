package paths

import (
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// What an operation may and must remove, computed from the shapes that it was
// given and not from its cuts, so that a fault in the cuts shows against it.

// feature returns a feature of an operation that has only name, floor and coolant. Any
// tool may be in it: what one has cleared is free air for the next.
func (o Op) feature(s *setup.Setup) setup.Feature {
	return setup.Feature{
		Name: o.Name, Floor: o.Bottom, Tol: featureTol(s), Coolant: o.Coolant,
		Feed: o.Feed, Plunge: o.Plunge, Speed: o.Speed, StepDown: o.MaxStep,
	}
}

// floorRadius returns how far from its axis the tool reaches the floor within
// the feature's tolerance: the whole radius for a flat end.
func (o Op) floorRadius(s *setup.Setup) float64 {
	t := o.Tool
	if t.Shape == setup.Flat {
		return t.Diameter / 2
	}
	if t.Shape == setup.Vee {
		return t.TipDiameter / 2
	}
	return 0
}

// engraved describes lines that the tip has to visit at the bottom. Reach is
// the radius of the tool where it leaves the face that it cuts into.
func engraved(s *setup.Setup, o Op, lines []geom.Path) setup.Feature {
	f := o.feature(s)
	f.Tools = []int{o.Tool.Number}
	f.Along = lines
	f.Reach = newAssembly(o.Tool).radius(o.Top - o.Bottom)
	return f
}

// drilled describes holes: the tip may go to the bottom, and the full diameter
// has to be gone down to where the point starts.
func drilled(s *setup.Setup, o Op, at []geom.Point) ([]setup.Feature, error) {
	r := o.Tool.Diameter / 2
	var may, must []geom.Contour
	for _, c := range at {
		may = append(may, geom.Circle(c, r))
		if r > featureTol(s) {
			must = append(must, geom.Circle(c, r-featureTol(s)))
		}
	}
	tip := o.feature(s)
	tip.Tools = []int{o.Tool.Number}
	var err error
	if tip.May, err = geom.Resolve(may, geom.NonZero); err != nil {
		return nil, o.errorf("holes: %w", err)
	}
	full := tip
	full.Floor += point(o.Tool)
	if full.Must, err = geom.Resolve(must, geom.NonZero); err != nil {
		return nil, o.errorf("holes: %w", err)
	}
	if full.Floor == tip.Floor {
		return []setup.Feature{full}, nil
	}
	return []setup.Feature{tip, full}, nil
}

// beside is how far beyond the stock's outline a profile's feature goes beside
// the tool's diameter, in mm: leads and ramps may start off the stock.
const beside = 5

// profiled describes a profile with the given walls: solid stays, and the tool
// runs along the boundaries of centres on the rails, with their bridges. out are
// the places that zones keep the axis from.
func (p Profile) profiled(s *setup.Setup, solid geom.Region, centres []geom.Region, rails []profileRail, out geom.Region) ([]setup.Feature, error) {
	f := p.feature(s)
	var err error
	fail := func(err error) ([]setup.Feature, error) { return nil, p.errorf("feature: %w", err) }
	if p.Part && p.Side == Outside {
		f.Around = solid
	}
	if p.Side == Inside {
		f.May = solid // for an inside profile: the opening
	} else {
		grow := p.Tool.Diameter + beside
		whole := s.Stock.Outline
		box := solid.Bounds()
		if f.May, err = geom.Offset(whole, grow, geom.OffsetOptions{}); err != nil {
			return fail(err)
		}
		frame := geom.RegionOf(geom.Rect(box.Grow(grow).Min, box.Grow(grow).Max, 0))
		if f.May, err = geom.Union(f.May, frame); err != nil {
			return fail(err)
		}
		if f.May, err = geom.Difference(f.May, solid); err != nil {
			return fail(err)
		}
	}
	if len(p.Keep) > 0 {
		if f.May, err = geom.Difference(f.May, p.Keep); err != nil {
			return fail(err)
		}
	}
	var up []geom.Path
	var cores geom.Region
	for _, r := range rails {
		for _, b := range r.bridges {
			up = append(up, r.part(b.a-p.Bridges.run(), b.b+p.Bridges.run()))
			if cores, err = geom.Union(cores, b.core); err != nil {
				return fail(err)
			}
		}
	}
	reach := p.floorRadius(s)
	if reach > f.Tol {
		// What lies within reach of a region's boundary is the region grown
		// without the region shrunk.
		if f.Must, err = offsetAll(centres, reach-f.Tol); err != nil {
			return fail(err)
		}
		inner, err := offsetAll(centres, f.Tol-reach)
		if err != nil {
			return fail(err)
		}
		if f.Must, err = geom.Difference(f.Must, inner); err != nil {
			return fail(err)
		}
		for _, not := range []struct {
			lines []geom.Path
			area  geom.Region
		}{{up, nil}, {nil, out}} {
			area := not.area
			if len(not.lines) > 0 {
				area, err = geom.OffsetPath(not.lines, reach+f.Tol, geom.OffsetOptions{})
			} else if len(area) > 0 {
				area, err = geom.Offset(area, reach+f.Tol, geom.OffsetOptions{})
			}
			if err != nil {
				return fail(err)
			}
			if len(area) == 0 {
				continue
			}
			if f.Must, err = geom.Difference(f.Must, area); err != nil {
				return fail(err)
			}
		}
	}
	if len(cores) == 0 {
		return []setup.Feature{f}, nil
	}
	// Over the bridges the tool may go down to their tops only.
	over := f
	over.Name += " bridges"
	over.Must, over.Floor = nil, p.Bottom+p.Bridges.Height
	if f.May, err = geom.Difference(f.May, cores); err != nil {
		return fail(err)
	}
	return []setup.Feature{f, over}, nil
}

// offsetAll returns the union of the offsets of regions, each taken by itself.
func offsetAll(regions []geom.Region, d float64) (geom.Region, error) {
	var all []geom.Contour
	for _, r := range regions {
		o, err := geom.Offset(r, d, geom.OffsetOptions{})
		if err != nil {
			return nil, err
		}
		all = append(all, o...)
	}
	if len(regions) == 1 {
		return all, nil
	}
	return geom.Resolve(all, geom.NonZero)
}

// pocketed describes a pocket: all of its shape may go, and all that the tool
// reaches from the places where its axis may be has to.
func pocketed(s *setup.Setup, o Op, shape, centres geom.Region) (setup.Feature, error) {
	f := o.feature(s)
	f.May = shape
	reach := o.floorRadius(s)
	var err error
	if reach > f.Tol {
		if f.Must, err = geom.Offset(centres, reach-f.Tol, geom.OffsetOptions{}); err != nil {
			return f, o.errorf("feature: %w", err)
		}
	}
	return f, nil
}
