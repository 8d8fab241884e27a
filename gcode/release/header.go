package release

import (
	"strings"

	"proofcut/gcode/post"
	"proofcut/paths/job"
)

// header is what a program says at its top about the job that it is for.
func header(p *job.Planner, plan *job.Plan) post.Header {
	h := post.Header{Job: p.Job().Name, Zero: p.Job().Zero}
	var cells []string
	for _, column := range p.Columns() {
		cells = append(cells, column+" "+plan.Row[column])
	}
	h.Row = strings.Join(cells, ", ")
	h.Notes = append(h.Notes, p.Job().Report()...)
	for _, n := range plan.Notes {
		h.Notes = append(h.Notes, n.String())
	}
	return h
}
