package job

import (
	"fmt"
	"io"
	"math"
	"strings"

	"proofcut/paths/geom"
)

// LayoutRecord is a layout as data; lengths in mm.
type LayoutRecord struct {
	Part      string  `json:"part"`
	Count     int     `json:"count"`
	Wanted    int     `json:"wanted,omitempty"`
	Bound     int     `json:"bound"`
	BoundName string  `json:"bound_by"`
	Hexagonal int     `json:"hexagonal"` // most discs on a hexagonal lattice at the same spacing; 0: not looked for
	Diameter  float64 `json:"diameter"`  // as cut; 0 for a shape that is no disc
	Finished  float64 `json:"finished"`
	Gap       float64 `json:"gap"`
	Common    bool    `json:"common_kerf,omitempty"`
	Share     float64 `json:"share"` // of the slab's area that is in the parts
	SlabArea  float64 `json:"slab_area_mm2"`
	Reason    string  `json:"reason,omitempty"` // why nothing fits

	Interrupted bool `json:"interrupted,omitempty"` // the search was stopped: the best so far

	Places []Place `json:"places"`
}

// Place is where a disc's centre or a shape's origin lies.
type Place struct {
	Name   string   `json:"name"`
	X      float64  `json:"x"`
	Y      float64  `json:"y"`
	Turned *float64 `json:"turned_deg,omitempty"` // of a shape, counter-clockwise
}

// Record returns the layout as data.
func (l *Layout) Record() LayoutRecord {
	r := LayoutRecord{
		Part: l.Part.Name, Count: l.Count(), Wanted: l.want, Bound: l.Bound, BoundName: l.BoundName, Hexagonal: l.Hexagonal,
		Diameter: l.Diameter, Finished: l.Part.Nest.Finished, Gap: l.Gap, Common: l.Common,
		Share: l.Share, SlabArea: l.StockArea, Reason: l.Reason, Interrupted: l.Interrupted, Places: []Place{},
	}
	for i, c := range l.Centres {
		r.Places = append(r.Places, Place{Name: l.name(i), X: c.X, Y: c.Y})
	}
	for i, s := range l.Shapes {
		r.Places = append(r.Places, Place{l.name(i), s.At.X, s.At.Y, ptr(s.Angle * 180 / math.Pi)})
	}
	return r
}

// Count returns how many parts are placed.
func (l *Layout) Count() int { return len(l.Centres) + len(l.Shapes) }

// name returns the name of the part in place i.
func (l *Layout) name(i int) string { return fmt.Sprintf("%s %d", l.Part.Name, i+1) }

// outline returns the region of all parts as cut.
func (l *Layout) outline() geom.Region {
	var r geom.Region
	for _, c := range l.Centres {
		r = append(r, geom.Circle(c, l.Part.Nest.Cut()/2))
	}
	for _, s := range l.Shapes {
		r = append(r, l.cut.Transform(s.Move())...)
	}
	return r
}

// Print writes the layout for a person.
func (l *Layout) Print(w io.Writer) error {
	r := l.Record()
	var b strings.Builder
	size := fmt.Sprintf("of %.3f mm (%.3f mm finished)", r.Diameter, r.Finished)
	if l.cut != nil {
		s := l.cut.Bounds().Size()
		size = fmt.Sprintf("of %.3f x %.3f mm as cut", s.X, s.Y)
	}
	fmt.Fprintf(&b, "%s: %d %s, %.1f %% of the slab's %.0f mm2\n", r.Part, r.Count, size, 100*r.Share, r.SlabArea)
	if f := l.Part.Nest.Fit; f != nil {
		fmt.Fprintf(&b, "%v\n", f)
	}
	if r.Wanted > r.Count {
		fmt.Fprintf(&b, "%d fewer than the %d wanted\n", r.Wanted-r.Count, r.Wanted)
	}
	if r.Interrupted {
		b.WriteString("interrupted: the best so far\n")
	}
	if r.Reason != "" {
		fmt.Fprintf(&b, "nothing placed: %s\n", r.Reason)
	}
	if r.Common {
		fmt.Fprintf(&b, "neighbours share one kerf of %.3f mm\n", r.Gap)
	}
	fmt.Fprintf(&b, "%d at most can fit (%s)", r.Bound, r.BoundName)
	if r.Hexagonal > 0 {
		fmt.Fprintf(&b, "; a hexagonal lattice holds %d", r.Hexagonal)
	}
	b.WriteByte('\n')
	for _, p := range r.Places {
		fmt.Fprintf(&b, "  %-14s x %8.3f  y %8.3f", p.Name, p.X, p.Y)
		if p.Turned != nil {
			fmt.Fprintf(&b, "  turned %8.3f deg", *p.Turned)
		}
		b.WriteByte('\n')
	}
	_, err := io.WriteString(w, b.String())
	return err
}
