package job

import (
	"context"
	"fmt"

	"proofcut/paths/geom"
	"proofcut/paths/nest"
	"proofcut/paths/setup"
)

// Layout is where the discs or shapes of a part go.
type Layout struct {
	Part     *Part
	Edge     float64 // of a disc as cut from the slab's edge, mm
	Web, Gap float64
	*nest.Layout
	Shapes []nest.PlacedShape // of a part that is no disc
	Common bool               // neighbours share one kerf

	cut  geom.Region // of a shape, its allowance included
	want int         // 0: none in particular
}

// nest places the discs of the one part that is nested.
func (j *Job) nest(ctx context.Context, part *Part, progress func(nest.Progress)) (*Layout, error) {
	problem, placed := j.problem(part)
	problem.Progress = progress
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
	return &Layout{Part: part, Edge: part.Nest.Edge, Web: part.Nest.Web, Gap: problem.Gap, Layout: l, want: part.Nest.Count}, nil
}

// problem returns the question of where the discs of a part go, in the frame of
// the drawing, and the motion that takes the answer to the program's coordinates.
func (j *Job) problem(part *Part) (nest.Problem, geom.Similarity) {
	n := part.Nest
	room := j.room(n)
	problem := nest.Problem{
		Stock:    room.Stock,
		Keepouts: room.Keepouts,
		Diameter: n.Cut(),
		Gap:      room.Gap,
		Edge:     n.Edge,
		Max:      n.most(),
		Seed:     n.Seed,
		Effort:   n.Effort,
	}
	return problem, room.placed
}

// reach returns how far a tool's axis has to stay from a zone while its tip is
// anywhere between the lowest cut of the job and the stock's top.
func (j *Job) reach(t setup.Tool, z setup.Zone) float64 {
	lowest := j.Stock.Top
	for _, op := range j.Operations {
		if c := op.common(); c.Tool.Number == t.Number {
			lowest = min(lowest, c.lowest(j.Stock))
		}
	}
	away := z.Clearance + j.Machine.Stray()
	return away + t.MaxRadius(0, z.Top+away-lowest)
}

func (p *Part) fail(err error) error {
	return &Error{File: p.place.File, Line: p.place.Line, Col: p.place.Col, Msg: fmt.Sprintf("part %q: %v", p.Name, err)}
}
