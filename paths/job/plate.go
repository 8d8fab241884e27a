package job

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
	"proofcut/paths/thread"
)

// Drilling is the program of the backing plate: face it, mark the datum, spot,
// drill and tap the holes of the screws.
type Drilling struct {
	Outline   geom.Region
	Thickness float64 // before it is faced
	Material  string
	Zones     []setup.Zone // clamps of the plate
	Thread    thread.Thread
	Depth     float64 // of full thread below the plate's face
	Face      *FacePlate
	Spot      *Tool
	Drill     *Tool
	Peck      float64
	Tap       *Tool // nil: by hand
	Datum     *Datum
}

// FacePlate takes the plate's face down.
type FacePlate struct {
	Tool     *Tool
	Depth    float64
	StepOver float64
}

// Datum is the mark at program zero.
type Datum struct {
	Tool  *Tool
	At    geom.Point
	Cross bool    // two lines, otherwise a spot
	Size  float64 // length of a line, or diameter of the spot
	Depth float64 // of the lines
}

// drillSlack is how much a tap drill may differ from the table's, mm: drills are
// sold in steps of a tenth or finer.
const drillSlack = 0.05

// tap reads what a tap has besides.
func (r *reader) tap(m *mapping, t *Tool) {
	t.Pitch = m.positive("pitch", "0.5mm")
	// The lead of a bottoming tap: 1.5 to 2 pitches (from memory).
	const bottoming = 2
	t.Lead = m.atLeast("lead", m.lengthOr("lead", bottoming*t.Pitch), 0)
}

// drilling reads the plate's program from the group of the plate; nil when the
// job does not ask for one.
func (r *reader) drilling(m *mapping, shape Shape, j *Job) *Drilling {
	if _, ok := m.get("drill"); !ok {
		for _, k := range []string{"thickness", "material", "thread", "depth", "zones", "face", "spot", "tap", "datum"} {
			if n, ok := m.get(k); ok {
				r.fail(n, "screws: plate: %s is for the plate's program, which needs the key drill, such as 'drill: {tool: 13, peck: 1.5mm}'", k)
			}
		}
		return nil
	}
	before := len(r.errs)
	d := &Drilling{Outline: geom.RegionOf(shape.Contour)}
	d.Thickness = m.positive("thickness", "10mm")
	d.Material = m.text("material", "aluminium plate")
	if n, ok := m.need("thread", "M3"); ok {
		s, _ := r.scalar(n, "screws: plate: thread")
		var err error
		if d.Thread, err = thread.Find(s); err != nil {
			r.fail(n, "screws: plate: %v", err)
		}
	}
	d.Depth = m.positive("depth", "6mm")
	if n, ok := m.get("zones"); ok {
		d.Zones = r.zones(n)
	}
	use := func(key string, need bool, form ...setup.Shape) (*mapping, *Tool) {
		n, ok := m.lookup(key, "{tool: 12}", !need)
		if !ok {
			return nil, nil
		}
		g := r.mapping(n, "screws: plate: "+key)
		if g == nil {
			return nil, nil
		}
		number := g.whole("tool", "12", nil, 1, maxToolNumber)
		t := j.tool(number)
		if t == nil {
			r.fail(g.at("tool"), "%s: the job has no tool number %d", g.what, number)
			return g, nil
		}
		for _, f := range form {
			if t.Shape == f {
				return g, t
			}
		}
		r.fail(g.at("tool"), "%s: tool %d has not the form for it", g.what, number)
		return g, nil
	}
	if g, t := use("face", false, setup.Flat); g != nil {
		d.Face = &FacePlate{Tool: t, Depth: g.positive("depth", "0.2mm"), StepOver: g.stepOver()}
		if !g.has("step_over") {
			d.Face.StepOver = paths.FaceStep
		}
		g.done()
	}
	if g, t := use("spot", true, setup.Drill, setup.Vee); g != nil {
		d.Spot = t
		g.done()
	}
	if g, t := use("drill", true, setup.Drill); g != nil {
		d.Drill = t
		if t != nil {
			d.Peck = g.above("peck", g.lengthOr("peck", t.Diameter), 0)
			if d.Thread.Drill > 0 && math.Abs(t.Diameter-d.Thread.Drill) > drillSlack {
				r.fail(g.at("tool"), "%s: tool %d is %.3f mm, the tap drill for %s is %s (%.3f mm): it would leave %.0f %% of a thread, not %.0f %%",
					g.what, t.Number, t.Diameter, d.Thread.Name, d.Thread.DrillName, d.Thread.Drill, d.Thread.Percent(t.Diameter), d.Thread.Percent(d.Thread.Drill))
			}
		}
		g.done()
	}
	if g, t := use("tap", false, setup.Tap); g != nil {
		d.Tap = t
		if t != nil && d.Thread.Pitch > 0 && (math.Abs(t.Pitch-d.Thread.Pitch) > pitchSlack || math.Abs(t.Diameter-d.Thread.Major) > pitchSlack) {
			r.fail(g.at("tool"), "%s: tool %d cuts %.3f mm with a pitch of %.4f mm, %s has %.3f mm and %.4f mm", g.what, t.Number, t.Diameter, t.Pitch, d.Thread.Name, d.Thread.Major, d.Thread.Pitch)
		}
		g.done()
	}
	if g, t := use("datum", false, setup.Drill, setup.Vee); g != nil {
		d.Datum = &Datum{Tool: t, Cross: g.choice("mark", "spot", "spot", "cross") == "cross"}
		if n, ok := g.get("at"); ok {
			d.Datum.At = r.pair(n, g.what+": at")
		}
		d.Datum.Size = g.positive("size", "2mm")
		if d.Datum.Cross {
			d.Datum.Depth = g.positive("depth", "0.1mm")
			if t != nil && t.Shape != setup.Vee {
				r.fail(g.at("tool"), "%s: a cross is engraved with a vee; tool %d is none", g.what, t.Number)
			}
		}
		if len(d.Outline) > 0 && d.Outline.Contains(d.Datum.At) != geom.Inside {
			r.fail(g.at("at"), "%s: x %.3f y %.3f does not lie on the plate", g.what, d.Datum.At.X, d.Datum.At.Y)
		}
		g.done()
	}
	if len(r.errs) > before {
		return nil
	}
	if n := len(d.tools()); n > 1 && j.Machine.ToolChange == setup.NoToolChange {
		r.fail(m.at("drill"), "screws: plate: the program needs %d tools and the machine changes none; write 'tool_change: manual' in the machine if it can be stopped for that, or leave drill out and drill the plate at the places that hold prints", n)
	}
	if need := d.faced() + d.below() + d.Drill.ConeHeight(); need > d.Thickness {
		r.fail(m.at("depth"), "screws: plate: %.3f mm of thread, room for chips and the drill's point need a plate of %.3f mm, it is %.3f mm: tap less deep", d.Depth, need, d.Thickness)
	}
	return d
}

// pitchSlack tells pitches and diameters of threads apart, mm.
const pitchSlack = 0.002

// faced returns what facing takes off the plate.
func (d *Drilling) faced() float64 {
	if d.Face == nil {
		return 0
	}
	return d.Face.Depth
}

// lead returns the length of the tap's end that cuts no full thread: of the job's
// tap, or of a plug tap used by hand, 4 pitches (3 to 5, from memory).
func (d *Drilling) lead() float64 {
	if d.Tap != nil {
		return d.Tap.Lead
	}
	const plug = 4
	return plug * d.Thread.Pitch
}

// below returns how deep under the plate's face the holes have their diameter:
// thread, the tap's lead and room for chips.
func (d *Drilling) below() float64 {
	return d.Depth + d.lead() + paths.TapRoom*d.Thread.Pitch
}

// plates returns the program of the plate, none when the job asks for none.
func (p *Planner) plates() []Program {
	if s := p.job.Screws; s == nil || s.Drilling == nil {
		return nil
	}
	return []Program{{Name: FileName(p.job.Name + "-plate"), Plate: true}}
}

// ScrewPlaces returns where the screws go, in the frame of the drawing; nil for a
// job without screws.
func (p *Planner) ScrewPlaces() []geom.Point {
	switch {
	case p.job.Screws == nil:
		return nil
	case p.holding != nil:
		return p.holding.Places
	}
	return p.job.Screws.at(p.job)
}

// planPlate plans the program of the backing plate: its own set-up, the same
// program zero. The faced plate lies where the slab's lower face will be.
func (p *Planner) planPlate(pr Program, check bool) (*Plan, error) {
	j, d := p.job, p.job.Screws.Drilling
	face := j.plateFace()
	s := &setup.Setup{
		Name: j.Name + ", backing plate", Unit: j.Unit, Machine: j.Machine, Zones: d.Zones, ClearZ: j.ClearZ, Approach: j.Approach,
		Stock: setup.Stock{Outline: d.Outline, Top: face + d.faced(), Thickness: d.Thickness, Material: d.Material},
	}
	for _, t := range d.tools() {
		s.Tools = append(s.Tools, t.Tool)
	}
	out := &Plan{Program: pr, Setup: s}
	var plans []paths.Plan
	var failed error
	for _, st := range d.strategies(s, face, p.ScrewPlaces(), check) {
		plan, err := st.Plan(s)
		if err != nil {
			err = j.Screws.fail(fmt.Errorf("plate: %w", err))
			if !check {
				return nil, err
			}
			failed = errors.Join(failed, err)
			continue
		}
		for i := range plan.Features {
			plan.Features[i].Tol = max(plan.Features[i].Tol, defaultTol)
		}
		plans = append(plans, plan)
		out.Notes = append(out.Notes, plan.Findings...)
	}
	for _, pl := range plans {
		s.Features = append(s.Features, pl.Features...)
	}
	for _, text := range d.notes(s, face) {
		out.Notes = append(out.Notes, paths.Finding{Operation: "plate", Text: text})
	}
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if check {
		return out, failed
	}
	var err error
	out.Toolpaths, err = paths.Link(s, plans...)
	return out, err
}

// tools returns the tools of the program in order, each once.
func (d *Drilling) tools() []*Tool {
	var out []*Tool
	add := func(t *Tool) {
		for _, o := range out {
			if t == nil || o.Number == t.Number {
				return
			}
		}
		if t != nil {
			out = append(out, t)
		}
	}
	if d.Face != nil {
		add(d.Face.Tool)
	}
	add(d.Spot)
	if d.Datum != nil {
		add(d.Datum.Tool)
	}
	add(d.Drill)
	add(d.Tap)
	return out
}

// strategies returns what is cut, in order.
func (d *Drilling) strategies(s *setup.Setup, face float64, at []geom.Point, check bool) []paths.Strategy {
	op := func(name string, t *Tool, bottom float64) paths.Op {
		o := paths.Op{Name: name, Tool: t.Tool, Top: face, Bottom: bottom, MaxStep: t.Data.StepDown,
			Feed: t.Data.Feed, Plunge: t.Data.Plunge, Speed: t.Data.Speed, Coolant: t.Data.Coolant}
		if check {
			o.OnZone = paths.Shorten
		}
		return o
	}
	var out []paths.Strategy
	if d.Face != nil {
		o := op("face the plate", d.Face.Tool, face)
		o.Top = face + d.Face.Depth
		out = append(out, paths.Face{Op: o, StepOver: d.Face.StepOver})
	}
	mark := func(o paths.Op, at []geom.Point, mouth float64) {
		o.MaxStep = 0
		out = append(out, paths.Spot{Op: o, At: at, Mouth: mouth})
	}
	if m := d.Datum; m != nil {
		o := op("mark the datum", m.Tool, face-m.Depth)
		if m.Cross {
			x, y := geom.Pt(m.Size/2, 0), geom.Pt(0, m.Size/2)
			out = append(out, paths.Engrave{Op: o, Lines: []geom.Path{
				geom.Polyline(m.At.Sub(x), m.At.Add(x)), geom.Polyline(m.At.Sub(y), m.At.Add(y))}})
		} else {
			mark(o, []geom.Point{m.At}, m.Size)
		}
	}
	// A spot as wide as the thread takes the edge off the hole.
	mark(op("spot the holes", d.Spot, face), at, math.Min(d.Thread.Major, d.Spot.Diameter))
	floor := face - d.below()
	drill := op("drill the holes", d.Drill, floor-d.Drill.ConeHeight())
	drill.MaxStep = 0
	out = append(out, paths.Drill{Op: drill, At: at, Peck: d.Peck})
	if d.Tap != nil && s.Machine.Practice.RigidTapping {
		out = append(out, paths.Tap{Op: op("tap the holes", d.Tap, face-d.Depth-d.Tap.Lead), At: at, HoleFloor: floor})
	}
	return out
}

// notes tells the person at the machine what the program cannot do.
func (d *Drilling) notes(s *setup.Setup, face float64) []string {
	length := func(v float64) string { return fmt.Sprintf("%.*f", s.Unit.Decimals(), v/s.Unit.MM()) }
	out := []string{fmt.Sprintf("X, Y and Z zero are those of the slab's program: the plate's face lies at Z %s when it is done", length(face))}
	if d.Tap == nil || !s.Machine.Practice.RigidTapping {
		text := fmt.Sprintf("tap the holes by hand: %s, pitch %.4g mm, hole %s, full thread %s deep, tap no deeper than %s",
			d.Thread.Name, d.Thread.Pitch, d.Thread.DrillName, length(d.Depth), length(d.Depth+d.lead()+(paths.TapRoom-1)*d.Thread.Pitch))
		if kc, of, ok := thread.CuttingForce(d.Material); ok {
			text += fmt.Sprintf("; a cutting tap takes about %.2g N m in %s", d.Thread.Torque(kc), of)
		}
		out = append(out, text)
	}
	return out
}
