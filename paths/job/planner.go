package job

import (
	"context"
	"errors"
	"fmt"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/hold"
	"proofcut/paths/nest"
	"proofcut/paths/setup"
)

// Program names one program of a job: its file name without ending, and the row
// of the batch that it is for.
type Program struct {
	Name  string
	Row   Row
	Plate bool // of the backing plate, not of the slab
}

// Plan is a program before it becomes text: the set-up that it will be proven
// against and what the tools do.
type Plan struct {
	Program
	Setup     *setup.Setup
	Toolpaths []paths.Toolpath
	Notes     []paths.Finding
}

// Planner plans the programs of one job. Discs are nested once, when it is
// made. It may be used by several goroutines.
type Planner struct {
	job     *Job // with the zones of its screws
	holding *Holding
	layouts map[string]*Layout
}

// Watch is told how far long work has come; nil functions are not called.
type Watch struct {
	Screws func(hold.Progress)
	Nest   func(nest.Progress)
}

// NewPlanner chooses the places of the screws and nests the discs and shapes of a
// job. The error says what of the document does not fit, or is that of the context.
func NewPlanner(ctx context.Context, j *Job) (*Planner, error) {
	return NewWatchedPlanner(ctx, j, Watch{})
}

// NewWatchedPlanner is NewPlanner for someone who waits.
func NewWatchedPlanner(ctx context.Context, j *Job, watch Watch) (*Planner, error) {
	j, holding, err := j.held(ctx, watch.Screws)
	if err != nil {
		return nil, err
	}
	layouts, err := j.nestAll(ctx, watch.Nest)
	if err != nil {
		return nil, err
	}
	p := &Planner{job: j, holding: holding, layouts: layouts}
	return p, nil
}

// NewProbePlanner returns a planner of a job's probing program alone: the places
// of the screws are chosen, which the probe keeps away from, but nothing is nested
// after that.
func NewProbePlanner(ctx context.Context, j *Job, watch Watch) (*Planner, error) {
	j, holding, err := j.held(ctx, watch.Screws)
	if err != nil {
		return nil, err
	}
	return &Planner{job: j, holding: holding}, nil
}

// Holding returns where the screws were chosen to go, nil when they were not
// chosen.
func (p *Planner) Holding() *Holding { return p.holding }

// Job returns the job that is planned, the zones of its screws included.
func (p *Planner) Job() *Job { return p.job }

// Layouts returns the nested layouts in the order of the document's parts.
func (p *Planner) Layouts() []*Layout {
	var out []*Layout
	for _, part := range p.job.Parts {
		if l := p.layouts[part.Name]; l != nil {
			out = append(out, l)
		}
	}
	return out
}

// Programs returns the programs of the job in order: one, or one for each row
// of the batch, and that of the backing plate when the job has one.
func (p *Planner) Programs() []Program {
	var out []Program
	if p.job.Batch == nil {
		out = append(out, Program{Name: FileName(p.job.Name)})
		return append(out, p.plates()...)
	}
	for _, row := range p.job.Batch.Rows() {
		name, err := fill(p.job.Batch.Program, row)
		if err != nil {
			panic("job: a checked batch has a bad name template: " + err.Error())
		}
		out = append(out, Program{Name: FileName(name), Row: row})
	}
	return append(out, p.plates()...)
}

// Plan works out one program. The error says what cannot be done and why.
func (p *Planner) Plan(pr Program) (*Plan, error) { return p.plan(pr, false) }

// SetupOf returns the set-up that any program for pr is proven against. Unlike
// Plan it does not refuse a job whose own cuts a zone is in the way of: the
// proof of the program will say so. With an error comes what there is of the
// set-up, or nil.
func (p *Planner) SetupOf(pr Program) (*setup.Setup, error) {
	plan, err := p.plan(pr, true)
	if plan == nil {
		return nil, err
	}
	return plan.Setup, err
}

// planner is the state of planning one program.
type planner struct {
	*Planner
	row   Row
	setup *setup.Setup
	plans []paths.Plan
	kinds []string // of the set-up's parts, by the name in the document
	check bool     // only the set-up is wanted

	deepest map[string]float64 // profile of each kind of part
	round   []*Profile         // profiles of nested parts so far
}

func (p *Planner) plan(pr Program, check bool) (*Plan, error) {
	if pr.Plate {
		return p.planPlate(pr, check)
	}
	w := &planner{Planner: p, row: pr.Row, check: check, setup: p.job.bare(), deepest: map[string]float64{}}
	w.parts()
	var failed error
	for _, op := range p.job.Operations {
		if err := op.plan(w); err != nil {
			err = op.common().fail(err)
			if !check {
				return nil, err
			}
			failed = errors.Join(failed, err)
		}
	}
	out := &Plan{Program: pr, Setup: w.setup, Notes: p.job.Screws.notes(p.job.Name)}
	for _, pl := range w.plans {
		w.setup.Features = append(w.setup.Features, pl.Features...)
		out.Notes = append(out.Notes, pl.Findings...)
	}
	if err := w.setup.Validate(); err != nil {
		return nil, err
	}
	if check {
		return out, failed
	}
	var err error
	if out.Toolpaths, err = paths.Link(w.setup, w.plans...); err != nil {
		return nil, err
	}
	return out, nil
}

// fail names the operation's place in the document.
func (c *Common) fail(err error) error {
	return fmt.Errorf("%s:%d: %w", c.place.File, c.place.Line, err)
}

// bare returns the set-up of a job without parts and features.
func (j *Job) bare() *setup.Setup {
	s := &setup.Setup{
		Name: j.Name, Unit: j.Unit, Machine: j.Machine, Stock: j.Stock,
		Zones: j.Zones, Defects: j.Defects, ClearZ: j.ClearZ, Approach: j.Approach,
		Registration: j.registered.record(),
	}
	for _, t := range j.Tools {
		s.Tools = append(s.Tools, t.Tool)
	}
	return s
}

// parts puts the parts of the job into the set-up.
func (w *planner) parts() {
	for _, part := range w.job.Parts {
		if l := w.layouts[part.Name]; l != nil {
			w.shapes(l)
			for i, c := range l.Centres {
				w.kinds = append(w.kinds, part.Name)
				disc := setup.Part{
					Name:     fmt.Sprintf("%s %d", part.Name, i+1),
					At:       c,
					Diameter: part.Nest.Cut(),
					Finished: part.Nest.Finished,
					Outline:  geom.RegionOf(geom.Circle(c, part.Nest.Cut()/2)),
				}
				if f := part.Nest.Fit; f != nil {
					disc.FinishedMin, disc.FinishedMax = f.Shaft.Min, f.Shaft.Max
				}
				w.setup.Parts = append(w.setup.Parts, disc)
			}
			continue
		}
		outline := geom.RegionOf(part.Shape.Contour)
		at := part.Shape.Centre
		if part.Shape.Diameter == 0 {
			at = outline.Bounds().Min
		}
		w.kinds = append(w.kinds, part.Name)
		w.setup.Parts = append(w.setup.Parts, setup.Part{
			Name: part.Name, At: at, Diameter: part.Shape.Diameter, Outline: outline,
		})
	}
}

// held notes by what a profile leaves the parts of a kind in the stock: the
// deepest of several profiles decides.
func (w *planner) held(kind string, floor float64, bridges int) {
	if deepest, ok := w.deepest[kind]; ok && deepest <= floor {
		return
	}
	w.deepest[kind] = floor
	for i := range w.setup.Parts {
		if p := &w.setup.Parts[i]; w.kinds[i] == kind {
			p.Skin, p.Bridges = max(0, floor-w.setup.Stock.Bottom()), bridges
		}
	}
}

// others returns the parts of other kinds than the one whose shape is cut round,
// but for those that hold it: it is cut out of them.
func (w *planner) others(kind string, shape geom.Region) (geom.Region, error) {
	var keep geom.Region
	for i := range w.setup.Parts {
		p := &w.setup.Parts[i]
		if w.kinds[i] == kind || p.Outline.Contains(shape[0][0].A) == geom.Inside {
			continue
		}
		keep = append(keep, p.Outline...)
	}
	// Parts may lie in each other: all that any of them holds stays.
	keep, err := geom.Resolve(keep, geom.NonZero)
	if err != nil {
		return nil, fmt.Errorf("parts beside %s: %w", kind, err)
	}
	return keep, nil
}

// outline returns the region of a part: all its discs or shapes, or its shape.
func (w *planner) outline(name string) geom.Region {
	part := findPart(w.job.Parts, name)
	if l := w.layouts[name]; l != nil {
		return l.outline()
	}
	return geom.RegionOf(part.Shape.Contour)
}

// Columns returns the names of the batch's columns in their order, nil for a
// job without a batch.
func (p *Planner) Columns() []string {
	if p.job.Batch == nil {
		return nil
	}
	return p.job.Batch.table.header
}
