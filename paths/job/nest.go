package job

import (
	"context"
	"fmt"
	"io"
	"strings"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/nest"
	"proofcut/paths/setup"
)

// Layout is where the discs of a part go.
type Layout struct {
	Part     *Part
	Edge     float64 // of a disc as cut from the slab's edge, mm
	Web, Gap float64
	*nest.Layout
}

// nest places the discs of a part. The cutter runs round every disc, so a zone
// keeps a disc away by its own clearance, by the cutter's diameter at the disc
// and by how much the assembly (the shank, say) is thicker beside the zone.
func (j *Job) nest(ctx context.Context, part *Part) (*Layout, error) {
	problem, placed := j.problem(part)
	l, err := nest.Discs(ctx, problem)
	if err != nil {
		return nil, part.fail(err)
	}
	if err := problem.Check(*l); err != nil {
		return nil, part.fail(err)
	}
	for i, c := range l.Centres {
		l.Centres[i] = placed.Apply(c)
	}
	return &Layout{Part: part, Edge: part.Nest.Edge, Web: part.Nest.Web, Gap: problem.Gap, Layout: l}, nil
}

// problem returns the question of where the discs of a part go, in the frame of
// the drawing, and the motion that takes the answer to the program's coordinates.
func (j *Job) problem(part *Part) (nest.Problem, geom.Similarity) {
	n := part.Nest
	tool := j.tool(n.Cutter)
	reserve := paths.Reserve(j.bare())
	outline, zones, placed := j.drawn()
	problem := nest.Problem{
		Stock:    outline,
		Diameter: n.Cut(),
		Gap:      tool.Diameter + n.Web + 2*reserve,
		Edge:     n.Edge,
		Max:      n.AtMost,
		Seed:     n.Seed,
		Effort:   n.Effort,
	}
	for _, z := range zones {
		problem.Keepouts = append(problem.Keepouts, nest.Keepout{
			Area: z.Area, Margin: tool.Diameter/2 + j.reach(tool.Tool, z) + 2*reserve,
		})
	}
	return problem, placed
}

// reach returns how far a tool's axis has to stay from a zone while its tip is
// anywhere between the lowest cut of the job and the stock's top.
func (j *Job) reach(t setup.Tool, z setup.Zone) float64 {
	lowest := j.Stock.Top
	for _, op := range j.Operations {
		if c := op.common(); c.Tool.Number == t.Number {
			lowest = min(lowest, c.Floor)
		}
	}
	return z.Clearance + t.MaxRadius(0, z.Top+z.Clearance-lowest)
}

func (p *Part) fail(err error) error {
	return &Error{File: p.place.File, Line: p.place.Line, Col: p.place.Col, Msg: fmt.Sprintf("part %q: %v", p.Name, err)}
}

// LayoutRecord is a layout as data; lengths in mm.
type LayoutRecord struct {
	Part      string  `json:"part"`
	Count     int     `json:"count"`
	Bound     int     `json:"bound"`
	BoundName string  `json:"bound_by"`
	Hexagonal int     `json:"hexagonal"` // most discs on a hexagonal lattice at the same spacing
	Diameter  float64 `json:"diameter"`  // as cut
	Finished  float64 `json:"finished"`
	Gap       float64 `json:"gap"`
	Share     float64 `json:"share"` // of the slab's area that is in the discs
	SlabArea  float64 `json:"slab_area_mm2"`
	Reason    string  `json:"reason,omitempty"` // why nothing fits

	Interrupted bool `json:"interrupted,omitempty"` // the search was stopped: the best so far

	Places []Place `json:"places"`
}

// Place is where a disc's centre lies.
type Place struct {
	Name string  `json:"name"`
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
}

// Record returns the layout as data.
func (l *Layout) Record() LayoutRecord {
	r := LayoutRecord{
		Part: l.Part.Name, Count: len(l.Centres), Bound: l.Bound, BoundName: l.BoundName, Hexagonal: l.Hexagonal,
		Diameter: l.Diameter, Finished: l.Part.Nest.Finished, Gap: l.Gap,
		Share: l.Share, SlabArea: l.StockArea, Reason: l.Reason, Interrupted: l.Interrupted, Places: []Place{},
	}
	for i, c := range l.Centres {
		r.Places = append(r.Places, Place{fmt.Sprintf("%s %d", l.Part.Name, i+1), c.X, c.Y})
	}
	return r
}

// Print writes the layout for a person.
func (l *Layout) Print(w io.Writer) error {
	r := l.Record()
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %d of %.3f mm (%.3f mm finished), %.1f %% of the slab's %.0f mm2\n",
		r.Part, r.Count, r.Diameter, r.Finished, 100*r.Share, r.SlabArea)
	if f := l.Part.Nest.Fit; f != nil {
		fmt.Fprintf(&b, "%v\n", f)
	}
	if r.Interrupted {
		b.WriteString("interrupted: the best so far\n")
	}
	if r.Reason != "" {
		fmt.Fprintf(&b, "nothing placed: %s\n", r.Reason)
	}
	fmt.Fprintf(&b, "%d at most can fit (%s); a hexagonal lattice holds %d\n", r.Bound, r.BoundName, r.Hexagonal)
	for _, p := range r.Places {
		fmt.Fprintf(&b, "  %-14s x %8.3f  y %8.3f\n", p.Name, p.X, p.Y)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
