package yield

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"proofcut/gcode/proof"
	"proofcut/gcode/release"
	"proofcut/paths/job"
)

// Variable is a figure of a nested part that is varied.
type Variable uint8

// The variables, in the order in which they are listed.
const (
	Cutter Variable = iota
	Web
	Allowance
	Finished
)

// Variables are all of them.
var Variables = []Variable{Cutter, Web, Allowance, Finished}

// String returns the variable's name as commands and reports have it.
func (v Variable) String() string {
	return [...]string{"cutter", "web", "allowance", "finished"}[v%4]
}

// Options says what is varied.
type Options struct {
	Part   string                 // the nested part; empty: the only one
	Values map[Variable][]float64 // mm; a variable without values gets five round the job's
	Only   bool                   // variables without values are left alone

	Each func(done, total int) // called after every row; may be nil
}

// Row is what one set of figures gives. Lengths mm, areas mm2, volumes mm3.
type Row struct {
	Variable string  `json:"variable"`
	Value    float64 `json:"value_mm"`
	Given    bool    `json:"as_in_job"` // the job's own value
	Proven   bool    `json:"proven"`
	Reason   string  `json:"reason,omitempty"` // why it is not proven, or why nothing is nested
	Note     string  `json:"note,omitempty"`

	Parts       int     `json:"parts"`
	Bound       int     `json:"bound"` // more cannot fit
	Share       float64 `json:"share"` // of the slab that ends in parts, as cut
	WasteArea   float64 `json:"waste_mm2"`
	WasteVolume float64 `json:"waste_mm3"`
	Kerf        float64 `json:"kerf_mm3"` // cut to chips
	CutLength   float64 `json:"cut_mm"`
	Time        float64 `json:"time_s"`

	Cost     float64 `json:"cost,omitempty"`      // slab, machine's time and finishing
	CostEach float64 `json:"cost_each,omitempty"` // of a part
}

// Table is the rows of all variables of one job.
type Table struct {
	Job      string  `json:"job"`
	Part     string  `json:"part"`
	SlabArea float64 `json:"slab_mm2"`
	Currency string  `json:"currency,omitempty"` // empty: the job names no cost
	SlabCost float64 `json:"slab_cost,omitempty"`
	Rows     []Row   `json:"rows"`
}

// Of makes the table. The error is of the options, of the job or of the context; a
// set of figures that cannot be planned is a row that says why.
func Of(ctx context.Context, j *job.Job, o Options) (*Table, error) {
	part, err := nested(j, o.Part)
	if err != nil {
		return nil, err
	}
	t := &Table{Job: j.Name, Part: part.Name, SlabArea: j.Stock.Outline.Area()}
	if j.Cost != nil {
		t.Currency, t.SlabCost = j.Cost.Currency, j.Cost.Slab
	}
	list, err := o.variations(j, part)
	if err != nil {
		return nil, err
	}
	var own *Row // the job as it is stands in the block of every variable
	for _, v := range list {
		row := own
		if row == nil || !v.own {
			if row, err = t.row(ctx, v.job); err != nil {
				return nil, err
			}
		}
		if v.own {
			own = row
		}
		named := *row
		named.Variable, named.Value, named.Given, named.Note = v.variable.String(), v.value, v.own, v.note
		t.Rows = append(t.Rows, named)
		if o.Each != nil {
			o.Each(len(t.Rows), len(list))
		}
	}
	return t, nil
}

// variation is a job with one figure set.
type variation struct {
	variable Variable
	value    float64
	job      *job.Job
	own      bool // the job as it is
	note     string
}

// variations returns what is tried, in order. What cannot be is said here, before
// the long work.
func (o Options) variations(j *job.Job, part *job.Part) ([]variation, error) {
	var out []variation
	for _, v := range Variables {
		list, ok := o.Values[v]
		if !ok && (o.Only || v == Finished && part.Nest.Shape != nil) {
			continue // a shape has no diameter to vary
		}
		for _, x := range v.values(j, part.Nest, list) {
			varied, note, err := j.Vary(part.Name, v.with(x))
			if err != nil {
				return nil, err
			}
			own := x == v.of(j, part.Nest)
			if own {
				varied = j
			}
			out = append(out, variation{v, x, varied, own, note})
		}
	}
	return out, nil
}

// nested returns the nested part of that name, or the only one.
func nested(j *job.Job, name string) (*job.Part, error) {
	var found *job.Part
	for i := range j.Parts {
		p := &j.Parts[i]
		if p.Nest == nil || name != "" && p.Name != name {
			continue
		}
		if found != nil {
			return nil, fmt.Errorf("the job nests %q and %q: say which one to vary", found.Name, p.Name)
		}
		found = p
	}
	switch {
	case found == nil && name != "":
		return nil, fmt.Errorf("the job nests no part %q", name)
	case found == nil:
		return nil, errors.New("the job nests nothing: none of its parts has the key nest")
	}
	return found, nil
}

// of returns the job's own value of a variable.
func (v Variable) of(j *job.Job, n *job.Nest) float64 {
	switch v {
	case Cutter:
		for _, t := range j.Tools {
			if t.Number == n.Cutter {
				return t.Diameter
			}
		}
	case Web:
		return n.Web
	case Allowance:
		return n.Allowance
	case Finished:
		return n.Finished
	}
	return 0
}

// usual are the shares of the job's own value that are tried when none are given.
var usual = map[Variable][]float64{
	Cutter:    {0.5, 0.75, 1, 1.5, 2},
	Web:       {0, 0.5, 1, 2, 4},
	Allowance: {0.5, 1, 2, 4},
	Finished:  {0.9, 0.95, 1, 1.05, 1.1},
}

// fromNothing is tried for a web or an allowance that the job has as 0, mm.
var fromNothing = []float64{0.2, 0.4, 0.8}

// values returns what is tried, rising, the job's own value among it.
func (v Variable) values(j *job.Job, n *job.Nest, list []float64) []float64 {
	own := v.of(j, n)
	out := append([]float64{own}, list...)
	if len(list) == 0 && own == 0 {
		out = append(out, fromNothing...)
	} else if len(list) == 0 {
		for _, k := range usual[v] {
			x := own * k
			if k != 1 {
				x = math.Round(x*1000) / 1000 // a figure that can be said
			}
			out = append(out, x)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// with returns the variation that sets a variable.
func (v Variable) with(x float64) job.Variation {
	switch v {
	case Cutter:
		return job.Variation{Cutter: &x}
	case Web:
		return job.Variation{Web: &x}
	case Allowance:
		return job.Variation{Allowance: &x}
	}
	return job.Variation{Finished: &x}
}

// row plans, writes and proves a job.
func (t *Table) row(ctx context.Context, j *job.Job) (*Row, error) {
	row := &Row{}
	p, err := job.NewPlanner(ctx, j)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		row.Reason = err.Error()
		return row, nil
	}
	for _, l := range p.Layouts() {
		if l.Interrupted {
			return nil, context.Canceled
		}
		row.Bound += l.Bound // kinds nested together: none can exceed its own
	}
	program := p.Programs()[0]
	built, err := release.Build(ctx, p, program)
	if err != nil {
		return nil, err
	}
	s := built.Setup
	if s == nil { // it cannot be planned: the places of the parts are known still
		if s, err = p.SetupOf(program); s == nil {
			row.Reason = err.Error()
			return row, nil
		}
	}
	area := 0.0
	for _, part := range s.Parts {
		area += part.Outline.Area()
	}
	row.Parts = len(s.Parts)
	row.Share = area / t.SlabArea
	row.WasteArea = t.SlabArea - area
	row.WasteVolume = row.WasteArea * s.Stock.Thickness
	r := built.Record
	row.Proven, row.Kerf, row.Time, row.CutLength = r.Proven, r.Material.Removed, r.Time, built.CutLength
	if !r.Proven {
		row.Reason = firstFault(r)
	}
	if c := j.Cost; c != nil && row.Parts > 0 && row.Proven {
		row.Cost = c.Slab + c.Hour*row.Time/3600 + c.Part*float64(row.Parts)
		row.CostEach = row.Cost / float64(row.Parts)
	}
	return row, nil
}

func firstFault(r *proof.Record) string {
	for _, f := range r.Findings {
		if f.Severity == proof.Fault {
			return f.Rule + ": " + f.Text
		}
	}
	return "not proven"
}
