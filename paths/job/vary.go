package job

import (
	"fmt"
	"math"
	"reflect"

	"proofcut/paths/setup"
)

// Variation changes what a nested part costs in stock: nil leaves a figure as the
// document has it. Lengths are mm.
type Variation struct {
	Cutter    *float64 // diameter of the cutter round the discs
	Web       *float64
	Allowance *float64 // on the diameter
	Finished  *float64 // diameter after turning
}

// Vary returns a job that differs from j in one nested part (web and cutter are
// those of all parts nested with it), and in a line what follows from another
// cutter. A flat cutter of that diameter in the job's own crib
// is taken as it is. Any other is scaled from the part's cutter: the same cutting
// speed within the spindle's limits, chip load, depth of a pass and flute length in
// proportion to the diameter (common practice, no source).
func (j *Job) Vary(part string, v Variation) (*Job, string, error) {
	p := findPart(j.Parts, part)
	if p == nil || p.Nest == nil {
		return nil, "", fmt.Errorf("the job nests no part %q", part)
	}
	for what, x := range map[string]*float64{"cutter": v.Cutter, "finished diameter": v.Finished} {
		if x != nil && !(*x > 0 && *x <= maxVaried) {
			return nil, "", fmt.Errorf("%s %g mm: it has to be above 0 and at most %d mm", what, *x, maxVaried)
		}
	}
	for what, x := range map[string]*float64{"web": v.Web, "allowance": v.Allowance} {
		if x != nil && !(*x >= 0 && *x <= maxVaried) {
			return nil, "", fmt.Errorf("%s %g mm: it has to be from 0 to %d mm", what, *x, maxVaried)
		}
	}
	if v.Finished != nil && p.Nest.Shape != nil {
		return nil, "", fmt.Errorf("part %q is no disc: it has no finished diameter to vary", part)
	}
	out := j.clone()
	n := findPart(out.Parts, part).Nest
	set := func(to, from *float64) {
		if from != nil {
			*to = *from
		}
	}
	set(&n.Web, v.Web)
	set(&n.Allowance, v.Allowance)
	if v.Finished != nil {
		n.Finished, n.Fit = *v.Finished, nil
	}
	note := ""
	if v.Cutter != nil && *v.Cutter != j.tool(n.Cutter).Diameter {
		var err error
		if note, err = out.otherCutter(n, *v.Cutter); err != nil {
			return out, note, err
		}
	}
	for _, o := range out.Parts { // nested together, so cut alike
		if o.Nest != nil {
			o.Nest.Web, o.Nest.Cutter = n.Web, n.Cutter
		}
	}
	return out, note, nil
}

// maxVaried is more than any slab of a bench mill, mm.
const maxVaried = 1000

// clone copies what Vary changes.
func (j *Job) clone() *Job {
	out := *j
	out.Tools = append([]Tool(nil), j.Tools...)
	out.Parts = append([]Part(nil), j.Parts...)
	for i := range out.Parts {
		if n := out.Parts[i].Nest; n != nil {
			c := *n
			out.Parts[i].Nest = &c
		}
	}
	out.Operations = make([]Operation, len(j.Operations))
	for i, op := range j.Operations {
		c := reflect.New(reflect.TypeOf(op).Elem())
		c.Elem().Set(reflect.ValueOf(op).Elem())
		out.Operations[i] = c.Interface().(Operation)
	}
	return &out
}

// otherCutter gives a nested part another cutter, in every operation of the old one.
func (j *Job) otherCutter(n *Nest, diameter float64) (string, error) {
	old := *j.tool(n.Cutter)
	if old.Shape != setup.Flat {
		return "", fmt.Errorf("tool %d is no flat end mill: its diameter cannot be varied", old.Number)
	}
	for _, t := range j.Tools {
		if t.Shape == setup.Flat && math.Abs(t.Diameter-diameter) < 1e-9 {
			n.Cutter = t.Number
			for _, op := range j.Operations {
				if c := op.common(); c.Tool.Number == old.Number {
					c.Tool, c.Data = t, t.Data
				}
			}
			return fmt.Sprintf("tool %d", t.Number), nil
		}
	}
	k := diameter / old.Diameter
	t := j.tool(n.Cutter)
	t.Name = fmt.Sprintf("end mill %.4g mm, scaled from tool %d", diameter, old.Number)
	t.Diameter = diameter
	t.FluteLength = min(old.FluteLength*k, old.StickOut)
	t.Shank = max(old.Shank, diameter)
	t.Data = scaled(j.Machine, old.Data, k)
	for _, op := range j.Operations {
		if c := op.common(); c.Tool.Number == old.Number {
			c.Data = scaled(j.Machine, c.Data, k)
			c.Tool = *t
		}
	}
	return fmt.Sprintf("cutting data scaled from tool %d", old.Number), nil
}

// scaled returns cutting data for a cutter k times as thick.
func scaled(m setup.Machine, d Data, k float64) Data {
	speed := min(max(d.Speed/k, m.SpindleMin), m.SpindleMax)
	turn := speed / d.Speed * k // of the feed: turns a minute times chip load
	d.Speed = speed
	d.Feed = min(d.Feed*turn, m.FeedLimit())
	d.Plunge = min(d.Plunge*turn, m.PlungeLimit())
	d.StepDown *= k
	return d
}
