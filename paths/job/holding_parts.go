package job

import (
	"context"
	"slices"
	"strings"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/hold"
	"proofcut/paths/nest"
)

// nestedParts are the nested parts of a job as the choice of screws sees them. It
// nests exactly as the planner does, so what it counts is what is made.
type nestedParts struct {
	j      *Job
	parts  []*Part
	margin float64 // from a part's edge to the edge of a head
}

// nestedParts returns the nested parts of a job, nil when there are none.
func (j *Job) nestedParts() *nestedParts {
	n := &nestedParts{j: j}
	for i := range j.Parts {
		if j.Parts[i].Nest != nil {
			n.parts = append(n.parts, &j.Parts[i])
		}
	}
	if len(n.parts) == 0 {
		return nil
	}
	tool := j.tool(n.parts[0].Nest.Cutter)
	n.margin = tool.Diameter/2 + j.reach(tool.Tool, j.Screws.zone(j, geom.Point{})) + 2*paths.Reserve(j.bare())
	return n
}

// name returns the names of the parts.
func (n *nestedParts) name() string {
	var names []string
	for _, p := range n.parts {
		names = append(names, p.Name)
	}
	return strings.Join(names, ", ")
}

// layouts nests among screws at places.
func (n *nestedParts) layouts(ctx context.Context, places []geom.Point, effort float64) ([]*Layout, error) {
	j := n.j.withScrews(places)
	if effort > 0 {
		j = j.clone()
		for _, p := range j.Parts {
			if p.Nest != nil {
				p.Nest.Effort = effort
			}
		}
	}
	all, err := j.nestAll(ctx, nil)
	if err != nil {
		return nil, err
	}
	var out []*Layout
	for _, p := range n.parts {
		out = append(out, all[p.Name])
	}
	return out, nil
}

// Nest places the parts among screws.
func (n *nestedParts) Nest(ctx context.Context, places []geom.Point, effort float64) (hold.Nested, error) {
	list, err := n.layouts(ctx, places, effort)
	if err != nil {
		return hold.Nested{}, err
	}
	var out hold.Nested
	for _, l := range list {
		out.Count += l.Count()
		out.Interrupted = out.Interrupted || l.Interrupted
		for _, r := range n.outlines(l) {
			out.Discs = append(out.Discs, n.disc(r))
		}
	}
	// The bounds of several kinds are each for that kind alone.
	if len(list) == 1 {
		out.Bound = list[0].Bound
	}
	return out, nil
}

// outlines returns the parts of a layout in the frame of the drawing.
func (n *nestedParts) outlines(l *Layout) []geom.Region {
	_, _, placed := n.j.drawn()
	back := placed.Inverse()
	var out []geom.Region
	for _, c := range l.Centres {
		out = append(out, geom.RegionOf(geom.Circle(back.Apply(c), l.Diameter/2)))
	}
	for _, s := range l.Shapes {
		out = append(out, l.cut.Transform(s.Move()).Transform(back))
	}
	return out
}

// disc returns a disc round a part, about the middle of its box: of a disc itself.
func (n *nestedParts) disc(r geom.Region) hold.Disc {
	d := hold.Disc{Centre: r.Bounds().Center(), Keep: n.margin}
	for _, c := range r {
		for _, q := range geom.Flatten(c, screwChord) {
			d.Radius = max(d.Radius, q.Dist(d.Centre))
		}
	}
	return d
}

// screwChord is how far a disc round a part may fall short of it, mm: it only
// says where a screw is worth a try.
const screwChord = 0.01

// Effort returns the effort of the nest.
func (n *nestedParts) Effort() float64 {
	if e := n.parts[0].Nest.Effort; e > 0 {
		return e
	}
	return nest.DefaultEffort
}

// Patterns returns lattices of discs; a mix and shapes have none.
func (n *nestedParts) Patterns() [][]hold.Disc {
	if len(n.parts) > 1 || n.parts[0].Nest.Shape != nil {
		return nil
	}
	p, _ := n.j.problem(n.parts[0])
	return hold.Discs{Problem: p, Head: n.j.Screws.Head, Margin: n.margin}.Patterns()
}

// withScrews returns the job with the zones of screws at places in the frame of
// the drawing.
func (j *Job) withScrews(places []geom.Point) *Job {
	_, _, placed := j.drawn()
	out := *j
	zones := j.Screws.zones(j, places)
	if v := j.registered; v != nil {
		moved := *v
		moved.zones = append(slices.Clone(v.zones), zones...)
		out.registered = &moved
		zones = slices.Clone(zones)
		for i := range zones {
			zones[i].Area = zones[i].Area.Transform(placed)
		}
	}
	out.Zones = append(slices.Clone(j.Zones), zones...)
	return &out
}
