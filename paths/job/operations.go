package job

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"proofcut/fonts"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

type node = ast.Node

// Part is a kind of part that a job makes: discs nested on the slab, or one
// closed shape.
type Part struct {
	Name  string
	Nest  *Nest
	Shape Shape
	place *Error // where it stands in the document
}

// Nest asks for as many discs or closed shapes as the slab holds.
type Nest struct {
	Finished  float64 // diameter after turning; with a fit the middle of its limits
	Fit       *Fit    // what the disc goes into, nil when only its size is given
	Shape     *Shape  // what is nested, in its own coordinates; nil: a disc
	Grain     *Grain  // how the shape has to lie in the stock; nil: any way
	Allowance float64 // added to the diameter as cut, to a shape on every side
	Cutter    int     // number of the tool that cuts round the discs
	Web       float64 // least wall of stock left between two cuts
	Edge      float64 // least distance from a disc as cut to the slab's edge
	AtMost    int     // 0: as many as fit
	Count     int     // how many are wanted; 0: none in particular
	Priority  int     // parts nested together: the lower is placed first
	Common    bool    // neighbours may share one kerf where that saves stock
	Seed      uint64
	Effort    float64 // nominal seconds of search, 0: the nesting's default
}

// Cut returns the diameter of a disc as cut.
func (n Nest) Cut() float64 { return n.Finished + n.Allowance }

// Common is what every operation has.
type Common struct {
	Name    string
	Tool    Tool
	Data    Data
	Surface float64 // height at which the cut starts
	Floor   float64 // height of the deepest cut
	Tol     float64 // how exact the result has to be, mm
	Follows bool    // surface and floor follow the stock's measured face, and are given as under its highest place
	Shorten bool    // cuts that a zone is in the way of are shortened, not refused

	place *Error
}

// Operation is one entry of the document's list of operations.
type Operation interface {
	common() *Common
	plan(p *planner) error
	move(m geom.Similarity) // turns and shifts what it cuts with the slab
}

func (c *Common) common() *Common { return c }

// Engrave cuts text or lines with a single stroke of the tool.
type Engrave struct {
	Common
	Text   string // with {column} of a batch
	Face   string
	face   fonts.Face
	Into   geom.Box
	Margin float64
	Height float64 // cap height; 0: as large as fits
	Least  float64 // smallest cap height that is still legible
	Most   float64 // greatest cap height, 0: no limit
	Lines  []geom.Path
	placed geom.Similarity // takes the letters set in Into to where the slab lies
}

// Profile cuts round the outside or the inside of a part or shape.
type Profile struct {
	Common
	Part         string
	Shape        Shape
	Inside       bool
	Allowance    float64 // left on the part
	Conventional bool
	Ramp         float64 // angle of descent, radians
	Lead         float64 // radius of the lead-in arc
	Bridges      Bridges
}

// Bridges hold a part until the end.
type Bridges struct {
	Count         int
	Width, Height float64
}

// Pocket clears a shape down to a floor and leaves the islands.
type Pocket struct {
	Common
	Shape        Shape
	Islands      []Shape
	StepOver     float64 // share of the tool's diameter
	Ramp         float64
	Conventional bool
}

// Slot cuts a slot.
type Slot struct {
	Common
	Shape        Shape
	StepOver     float64
	Ramp         float64
	Conventional bool
}

// Drill makes holes with pecks.
type Drill struct {
	Common
	At   []geom.Point
	Peck float64
}

func (r *reader) at(n node) *Error {
	e := &Error{File: r.file}
	if n != nil && n.GetToken() != nil {
		e.Line, e.Col = n.GetToken().Position.Line, n.GetToken().Position.Column
	}
	return e
}

func (r *reader) parts(n node, j *Job) []Part {
	list, ok := r.sequence(n, "parts")
	if !ok {
		return nil
	}
	var out []Part
	for i, e := range list {
		m := r.mapping(e, fmt.Sprintf("part %d", i+1))
		if m == nil {
			continue
		}
		p := Part{Name: m.text("name", "inlay"), place: r.at(e)}
		if findPart(out, p.Name) != nil {
			r.fail(e, "part %d: the name %q is used twice", i+1, p.Name)
		}
		if n, ok := m.get("nest"); ok {
			p.Nest = r.nest(n, j)
		} else {
			p.Shape, _ = m.shape()
		}
		m.done()
		out = append(out, p)
	}
	return out
}

func findPart(list []Part, name string) *Part {
	for i := range list {
		if list[i].Name == name {
			return &list[i]
		}
	}
	return nil
}

func (r *reader) nest(n node, j *Job) *Nest {
	m := r.mapping(n, "nest")
	if m == nil {
		return nil
	}
	defer m.done()
	v := &Nest{
		Allowance: m.atLeast("allowance", m.length("allowance", "5thou"), 0),
		Cutter:    m.whole("cutter", "1", nil, 1, maxToolNumber),
		Web:       m.atLeast("web", m.length("web", "0.3mm"), 0),
		Edge:      m.atLeast("edge", m.length("edge", "0.5mm"), 0),
		AtMost:    m.whole("at_most", "", ptr(0), 0, maxTableRows),
		Effort:    m.above("effort", m.quantity("effort", "", ptr(0.0), setup.ParseTime), 0),
		Seed:      uint64(m.whole("seed", "", ptr(1), 0, 1<<30)),
	}
	v.kind(m, j)
	if j.tool(v.Cutter) == nil {
		r.fail(m.node, "nest: the job has no tool number %d", v.Cutter)
	}
	return v
}

func (j *Job) tool(number int) *Tool {
	for i := range j.Tools {
		if j.Tools[i].Number == number {
			return &j.Tools[i]
		}
	}
	return nil
}

// maxOperations bounds the list of operations.
const maxOperations = 500

func (r *reader) operations(n node, j *Job) []Operation {
	list, ok := r.sequence(n, "operations")
	if !ok {
		return nil
	}
	if len(list) == 0 || len(list) > maxOperations {
		r.fail(n, "operations: a job has from 1 to %d, not %d", maxOperations, len(list))
		return nil
	}
	var out []Operation
	names := map[string]bool{}
	for i, e := range list {
		what := fmt.Sprintf("operation %d", i+1)
		m := r.mapping(e, what)
		if m == nil {
			continue
		}
		kinds := []string{"engrave", "profile", "pocket", "slot", "drill"}
		var op Operation
		for _, k := range kinds {
			n, ok := m.get(k)
			if !ok {
				continue
			}
			if op != nil {
				r.fail(n, "%s: two operations in one entry; start each with its own '-'", what)
				break
			}
			if o := r.mapping(n, k); o != nil {
				op = r.operation(k, o, j)
				o.done()
			}
		}
		if len(m.keys) == 0 {
			r.fail(e, "%s is empty; start it with one of %s", what, strings.Join(kinds, ", "))
		}
		m.done()
		if op == nil {
			continue
		}
		c := op.common()
		c.place = r.at(e)
		if names[c.Name] {
			r.fail(e, "%s: the name %q is used twice", what, c.Name)
		}
		names[c.Name] = true
		out = append(out, op)
	}
	return out
}

// defaultTol is how exact a cut has to be unless the job says otherwise: a
// hundredth, what a small mill in good order holds (common practice, no source).
const defaultTol = 0.01

func (r *reader) common(m *mapping, j *Job) Common {
	c := Common{Name: m.text("name", "outline")}
	m.what += fmt.Sprintf(" %q", c.Name)
	number := m.whole("tool", "1", nil, 1, maxToolNumber)
	if t := j.tool(number); t != nil {
		c.Tool = *t
		c.Data = r.data(m, &t.Data, j)
	} else if n, ok := m.get("tool"); ok {
		r.fail(n, "%s: the job has no tool number %d", m.what, number)
		c.Data = r.data(m, &Data{}, j)
	}
	c.Surface = m.lengthOr("surface", j.Stock.Top)
	c.Shorten = m.choice("near_zone", "refuse", "refuse", "shorten") == "shorten"
	c.Tol = m.above("tolerance", m.lengthOr("tolerance", defaultTol), 0)
	return c
}

// floor reads how deep the operation goes: 'depth' below its surface, 'skin'
// above the stock's lower face, or 'through' below it.
func (r *reader) floor(m *mapping, c *Common, j *Job) {
	var given []string
	for _, k := range []string{"depth", "skin", "through"} {
		if m.has(k) {
			given = append(given, k)
		}
		m.get(k)
	}
	if len(given) != 1 {
		r.fail(m.node, "%s: give one of depth (below the surface), skin (left above the stock's lower face) or through (below it); found %s",
			m.what, nothing(strings.Join(given, " and ")))
		return
	}
	v := m.length(given[0], "1mm")
	n := m.values[given[0]].Value
	level := m.has("surface")
	c.Follows = j.Stock.Face != nil && !level && (given[0] == "depth" || j.Stock.Face.Parallel)
	if j.Stock.Face != nil && level && given[0] != "depth" && j.Stock.Face.Parallel {
		r.fail(n, "%s: %s follows the lower face, which is parallel to the probed one: leave out surface", m.what, given[0])
	}
	switch given[0] {
	case "depth":
		m.above("depth", v, 0)
		c.Floor = c.Surface - v
		if c.Follows {
			c.Floor -= j.Stock.Face.Worst // the surface is above the fitted one by so much
		}
	case "skin":
		m.atLeast("skin", v, 0)
		c.Floor = j.Stock.Bottom() + v
	case "through":
		m.atLeast("through", v, 0)
		c.Floor = j.Stock.Bottom() - v
	}
	deepest := j.Stock.Bottom()
	if j.Stock.Backing.Present {
		deepest -= j.Stock.Backing.Depth
	}
	if c.Floor < deepest-geom.Tol && !m.failed(given[0]) {
		r.fail(n, "%s: the cut goes to z %.3f mm, deeper than the %.3f mm that stock and backing allow", m.what, c.Floor, deepest)
	}
	if c.Floor >= c.Surface && !m.failed(given[0]) {
		r.fail(n, "%s: the floor (z %.3f mm) is not below the surface (z %.3f mm)", m.what, c.Floor, c.Surface)
	}
}

// stepped demands the depth of a pass from the tool or the operation.
func (m *mapping) stepped(c *Common) {
	if c.Data.StepDown == 0 && !m.has("step_down") {
		m.r.fail(m.node, "%s lacks step_down (the depth of one pass); give it here or with the tool", m.what)
	}
}

func nothing(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

// Defaults of an operation. Ramp angle and step-over are common practice, no
// source; a step-over under one half leaves no cusp between two passes.
const (
	defaultRamp     = "3deg"
	defaultStepOver = 0.45
	maxStepOver     = 0.9
)

func (r *reader) ramp(m *mapping) float64 {
	def, _ := setup.ParseAngle(defaultRamp)
	v := m.above("ramp", m.quantity("ramp", "", &def, setup.ParseAngle), 0)
	if most, _ := setup.ParseAngle("30deg"); v > most {
		r.fail(m.values["ramp"].Value, "%s: a ramp of more than 30deg is a plunge", m.what)
	}
	return v
}

func (m *mapping) stepOver() float64 {
	v := m.quantity("step_over", "", ptr(defaultStepOver), func(s string) (float64, error) {
		t, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
		f, err := strconv.ParseFloat(strings.TrimSpace(t), 64)
		if err != nil || !percent {
			return 0, fmt.Errorf("%q is not a share of the diameter such as 40%%", s)
		}
		return f / 100, nil
	})
	if m.has("step_over") && !(v > 0 && v <= maxStepOver) && !m.failed("step_over") {
		m.r.fail(m.values["step_over"].Value, "%s: step_over has to lie between 0%% and %g%%", m.what, 100*maxStepOver)
	}
	return v
}

func (m *mapping) conventional() bool {
	return m.choice("direction", "climb", "climb", "conventional") == "conventional"
}

func (r *reader) operation(kind string, m *mapping, j *Job) Operation {
	c := r.common(m, j)
	switch kind {
	case "engrave":
		r.floor(m, &c, j)
		return r.engrave(m, c, j)
	case "profile":
		p := &Profile{Common: c, Part: m.textOr("part", "")}
		if p.Part == "" {
			p.Shape, _ = m.shape()
		} else if findPart(j.Parts, p.Part) == nil {
			r.fail(m.values["part"].Value, "%s: the job has no part %q", m.what, p.Part)
		}
		p.Inside = m.choice("side", "outside", "outside", "inside") == "inside"
		r.floor(m, &p.Common, j)
		m.stepped(&p.Common)
		p.Allowance = m.atLeast("allowance", m.lengthOr("allowance", 0), 0)
		p.Conventional = m.conventional()
		p.Ramp = r.ramp(m)
		p.Lead = m.atLeast("lead", m.lengthOr("lead", 0), 0)
		if n, ok := m.get("bridges"); ok {
			if b := r.mapping(n, m.what+": bridges"); b != nil {
				p.Bridges = Bridges{b.whole("count", "2", nil, 1, 100), b.positive("width", "2mm"), b.positive("height", "0.5mm")}
				b.done()
			}
		}
		return p
	case "pocket":
		p := &Pocket{Common: c}
		p.Shape, _ = m.shape()
		if n, ok := m.get("islands"); ok {
			list, _ := r.sequence(n, m.what+": islands")
			for i, e := range list {
				if im := r.mapping(e, fmt.Sprintf("%s: island %d", m.what, i+1)); im != nil {
					if s, ok := im.shape(); ok {
						p.Islands = append(p.Islands, s)
					}
					im.done()
				}
			}
		}
		r.floor(m, &p.Common, j)
		m.stepped(&p.Common)
		p.StepOver, p.Ramp, p.Conventional = m.stepOver(), r.ramp(m), m.conventional()
		return p
	case "slot":
		s := &Slot{Common: c}
		s.Shape, _ = m.shape()
		if s.Shape.Contour != nil && s.Shape.Width == 0 {
			r.fail(m.node, "%s: the shape has to be a slot; use pocket for others", m.what)
		}
		r.floor(m, &s.Common, j)
		m.stepped(&s.Common)
		s.StepOver, s.Ramp, s.Conventional = m.stepOver(), r.ramp(m), m.conventional()
		return s
	default: // drill
		d := &Drill{Common: c}
		if n, ok := m.need("at", "[[5mm, 5mm]]"); ok {
			list, _ := r.sequence(n, m.what+": at")
			for i, e := range list {
				d.At = append(d.At, r.pair(e, fmt.Sprintf("%s: hole %d", m.what, i+1)))
			}
			if len(list) == 0 {
				r.fail(n, "%s: at has no hole", m.what)
			}
		}
		r.floor(m, &d.Common, j)
		d.Peck = m.above("peck", m.lengthOr("peck", d.Tool.Diameter), 0)
		return d
	}
}

func (r *reader) engrave(m *mapping, c Common, j *Job) Operation {
	e := &Engrave{Common: c}
	if n, ok := m.get("lines"); ok {
		list, _ := r.sequence(n, m.what+": lines")
		for i, l := range list {
			if lm := r.mapping(l, fmt.Sprintf("%s: line %d", m.what, i+1)); lm != nil {
				if s, ok := lm.shape(); ok {
					e.Lines = append(e.Lines, s.Contour.Path())
				}
				lm.done()
			}
		}
		if m.has("text") {
			r.fail(n, "%s: give text or lines, not both", m.what)
		}
	}
	if e.Lines == nil {
		e.Text = m.text("text", "\"{name}\"")
		e.Face = m.textOr("face", "plain")
		e.face = r.face(m.at("face"), e.Face)
		if n, ok := m.need("into", "{at: [0, 0], size: [22mm, 5mm]}"); ok {
			if im := r.mapping(n, m.what+": into"); im != nil {
				if c := im.rectangle(); c != nil {
					e.Into = c.Bounds()
				}
				im.done()
			}
		}
		e.Margin = m.atLeast("margin", m.lengthOr("margin", 0), 0)
		e.Height = m.above("height", m.lengthOr("height", 0), 0)
		e.Least = m.above("least_height", m.lengthOr("least_height", defaultLeastHeight), 0)
		e.Most = m.above("greatest_height", m.lengthOr("greatest_height", 0), 0)
		if e.Text != "" {
			var row Row
			if j.Batch != nil && j.Batch.table != nil {
				row = j.Batch.Rows()[0]
			}
			if _, err := fill(e.Text, row); err != nil && (j.Batch == nil || j.Batch.table != nil) {
				r.fail(m.values["text"].Value, "%s: text: %v", m.what, err)
			}
		}
	}
	return e
}

// defaultLeastHeight is the smallest cap height that is cut unless a job
// allows less: smaller letters close up under a vee (common practice, no source).
const defaultLeastHeight = 0.8
