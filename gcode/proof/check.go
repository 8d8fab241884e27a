package proof

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"

	"proofcut/gcode"
	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// maxFindings is how many findings of one rule are listed; the rest is counted.
const maxFindings = 20

// ctxEvery is after how many actions Check looks whether it was cancelled.
const ctxEvery = 64

// Options change how a program is checked. The zero value is the usual check.
type Options struct {
	// Resolution is the cell size of the height map in mm; 0 lets the tools
	// decide. Large stock gets a coarser one, as the record says.
	Resolution float64

	// Observer, when given, sees the actions of the program in order, but for
	// motions that start at a place the program has not made known. The event
	// is reused: copy what is kept.
	Observer func(*interp.Event)
}

// Check reads a program's text, interprets it and holds it against the set-up.
// name stands for the program in the record. Everything wrong with the program
// is a finding; the error is for a set-up that cannot be used, a text that
// cannot be read and a context that is cancelled.
func Check(ctx context.Context, s *setup.Setup, name string, text io.Reader, o Options) (*Record, error) {
	c, err := newChecker(s, name, o)
	if err != nil {
		return nil, err
	}
	sum := sha256.New()
	src := &source{r: io.TeeReader(cancellable{ctx, text}, sum)}
	opts := c.interpOptions()
	reader := gcode.NewReader(src, opts.ReadOptions(name))
	c.ahead = &guard{Reader: reader, ctx: ctx, subprograms: s.Machine.Practice.Subprograms, probes: s.Probing != nil}
	n := 0
	final, err := interp.Run(c.ahead, opts, func(e *interp.Event) error {
		if n++; n%ctxEvery == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		c.see(e)
		return c.ground.err
	})
	if err == nil {
		err = reader.Finish()
	}
	if src.err != nil {
		return nil, fmt.Errorf("reading %s: %w", name, src.err)
	}
	if ctxErr := ctx.Err(); ctxErr != nil {
		return nil, ctxErr
	}
	if c.ground.err != nil {
		return nil, c.ground.err
	}
	if err != nil && !c.language(err, c.ahead) {
		return nil, err
	}
	// The sum is of the whole text, also of what stands behind the program's end.
	if _, err := io.Copy(io.Discard, src.r); err != nil {
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	c.rec.Program = Program{File: name, SHA256: hex.EncodeToString(sum.Sum(nil)), Blocks: final.Blocks, Motion: c.motions}
	c.finish(final.Ended)
	if c.ground.err != nil {
		return nil, c.ground.err
	}
	return c.rec, nil
}

// checker is the state of one check.
type checker struct {
	s      *setup.Setup
	o      Options
	rec    *Record
	rules  []Rule
	watch  []watcher // by rule, nil where the rule does not watch
	blocks []numbered
	wary   bool // the next block has to be looked at whatever it holds
	ahead  *guard
	active int   // rule that is being applied
	counts []int // findings by rule
	faults bool
	ended  bool // the text was read to the program's end

	tools  map[int]*assembly
	any    *assembly // stands for a tool that is not known
	stock  *plan
	ground *ground
	mat    *material
	prisms []*prism
	allow  map[int][]float32
	parts  []*piecework // see pieces
	clock  *clock
	loads  *loads

	at      [3]float64 // the tip's place, NaN where it is not known
	placed  [3]bool
	length  length  // in force at the motion before
	dz      float64 // by which the tip is higher than the program says, see drop
	m       motion
	event   *interp.Event
	judged  bool
	verdict verdict
	covered *feature

	owned       []*feature // of the motion, see owners
	ownersKnown bool
	lastOwner   *feature

	motions    int
	extent     geom.Box3
	used       []int
	mm1, inch1 bool // units met
}

func newChecker(s *setup.Setup, name string, o Options) (*checker, error) {
	if s == nil {
		return nil, errors.New("there is no set-up")
	}
	if err := s.Validate(); err != nil {
		return nil, fmt.Errorf("set-up: %w", err)
	}
	if err := validateFeatures(s); err != nil {
		return nil, fmt.Errorf("set-up: %w", err)
	}
	if o.Resolution < 0 || math.IsNaN(o.Resolution) || math.IsInf(o.Resolution, 0) {
		return nil, fmt.Errorf("the resolution %v is not a length", o.Resolution)
	}
	c := &checker{s: s, o: o, rules: Rules(), tools: map[int]*assembly{}, allow: map[int][]float32{}}
	if s.Probing != nil {
		c.rules = ProbingRules()
	}
	c.rec = &Record{Setup: s.Name, Clearances: []Clearance{}, Findings: []Finding{}, Suppressed: []Count{},
		Times: []ToolTime{}, FeatureTimes: []FeatureTime{}, Parts: []Part{}, Tools: []int{}, Program: Program{File: name}}
	c.rec.Registration, c.rec.Face = registration(s.Registration), measured(s.Stock.Face)
	c.counts = make([]int, len(c.rules))
	for _, r := range c.rules {
		var w watcher
		if r.watch != nil {
			w = r.watch()
		}
		if b, ok := w.(blockWatcher); ok {
			c.blocks = append(c.blocks, numbered{len(c.watch), b})
		}
		c.watch = append(c.watch, w)
	}
	var all []*assembly
	for _, t := range s.Tools {
		a := newAssembly(t)
		c.tools[t.Number] = a
		all = append(all, a)
	}
	c.any = anyTool(all)
	c.stock = newPlan(s.Stock.Outline)
	c.ground = newGround(s, c.stock)
	res := resolution(s, o.Resolution)
	c.mat = newMaterial(s, res)
	c.rec.Material = Material{Resolution: round(res), Cells: c.mat.nx * c.mat.ny, HeightStep: stepZ}
	for _, z := range s.Zones {
		c.prisms = append(c.prisms, &prism{zone: z, plan: newPlan(z.Area), least: math.Inf(1)})
	}
	c.clock = newClock(&s.Machine, len(c.ground.features))
	c.loads = newLoads(c)
	c.extent = geom.EmptyBox3()
	c.at = [3]float64{math.NaN(), math.NaN(), math.NaN()}
	c.length.offset = true // none is in force
	return c, nil
}

func validateFeatures(s *setup.Setup) error {
	for _, f := range s.Features {
		for _, v := range []float64{f.Reach, f.Floor, f.Tol} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("feature %q: a dimension is not a number", f.Name)
			}
		}
		if f.Tol < 0 || f.Reach < 0 {
			return fmt.Errorf("feature %q: tolerance and reach may not be negative", f.Name)
		}
		for _, r := range []geom.Region{f.May, f.Must, f.Around} {
			if err := r.Validate(); len(r) > 0 && err != nil {
				return fmt.Errorf("feature %q: %w", f.Name, err)
			}
		}
		for _, p := range f.Along {
			if err := p.Validate(); err != nil {
				return fmt.Errorf("feature %q: %w", f.Name, err)
			}
		}
	}
	for _, p := range s.Parts {
		if !p.At.Finite() || !(p.Diameter >= 0) || math.IsInf(p.Diameter, 0) || math.IsNaN(p.Skin) {
			return fmt.Errorf("part %q: a dimension is not a number", p.Name)
		}
	}
	return nil
}

// interpOptions tells the interpreter what the proof can vouch for. Words that
// lead to a place the set-up does not know are refused as not there.
func (c *checker) interpOptions() interp.Options {
	o := interp.Options{Start: nowhere, Practice: interp.Practice(c.s.Machine.Practice), Tools: map[int]interp.Tool{}}
	for n, a := range c.tools {
		// Where a length is not known places are taken for those of the tip.
		t := interp.Tool{Diameter: a.tool.Diameter}
		if l := a.tool.Length; l != nil && c.s.Machine.LengthOffsets {
			t.Length = *l
		}
		o.Tools[n] = t
		o.Slots = max(o.Slots, n)
	}
	o.Slots = max(o.Slots, interp.DefaultSlots)
	o.OptionalStop = true // whatever the switch says
	o.Watch = c.words
	o.Lacks = interp.Lacks{A: true, B: true, C: true, BlockDelete: true, Probe: true, Home: true,
		MachineMoves: true, SetSystems: true, AxisOffsets: true, WorkSystems: true, MoreSystems: true, Pallet: true,
		PathControl: c.s.Machine.NoPathModes}
	if c.s.Probing != nil {
		o.Lacks.Probe, o.Surface = false, deepest
	}
	return o
}

// see takes in one action of the program.
func (c *checker) see(e *interp.Event) {
	c.event, c.judged, c.ownersKnown = e, false, false
	var m *motion
	switch e.Kind {
	case interp.Traverse, interp.Feed, interp.Arc, interp.Probe:
		m = c.motion(e)
	}
	if e.State.UnitSet {
		if e.State.Inch {
			c.inch1 = true
		} else {
			c.mm1 = true
		}
	}
	for i, w := range c.watch {
		if w != nil {
			c.active = i
			w.see(c, e, m)
		}
	}
	tool := c.toolNumber(e)
	switch {
	case m != nil:
		c.clock.move(m, e.State, tool, c.owner(m))
		c.moved(m)
	case e.Kind == interp.Dwell:
		c.clock.dwell(e.Seconds, tool)
	case e.Kind != interp.Message:
		c.clock.stop()
	}
	if c.o.Observer != nil && (m == nil || m.known()) {
		c.o.Observer(e)
	}
}

func (c *checker) motion(e *interp.Event) *motion {
	c.motions++
	c.m.set(e, c.tool(e))
	c.reckon(e, &c.m)
	return &c.m
}

// moved brings place, extent and material up to date after a motion.
func (c *checker) moved(m *motion) {
	to := vec(m.to)
	for i := range to {
		c.at[i] = math.NaN()
		if c.placed[i] {
			c.at[i] = to[i]
		}
	}
	if c.placed == [3]bool{true, true, true} {
		c.extent = c.extent.Add(m.to)
	}
	if !m.known() {
		return
	}
	c.extent = c.extent.Add(m.box.Min).Add(m.box.Max)
	if !m.rapid && m.tool.known && m.box.Min.Z < c.mat.top && c.s.Probing == nil {
		c.loads.cut(m, c.event)
	} else {
		c.loads.leave()
	}
}

// tool returns the assembly that is in the spindle.
func (c *checker) tool(e *interp.Event) *assembly {
	if a, ok := c.tools[c.toolNumber(e)]; ok {
		if n := a.tool.Number; !contains(c.used, n) {
			c.used = append(c.used, n)
		}
		return a
	}
	return c.any
}

func (c *checker) toolNumber(e *interp.Event) int {
	if c.s.Machine.ToolChange == setup.NoToolChange {
		if len(c.s.Tools) == 1 {
			return c.s.Tools[0].Number
		}
		return 0
	}
	return e.State.Tool
}

func contains(list []int, n int) bool {
	for _, v := range list {
		if v == n {
			return true
		}
	}
	return false
}

// below reports whether a motion takes the tool below the stock's top.
func (c *checker) below(m *motion) bool {
	return m.box.Min.Z < c.s.Stock.Top-roundTol && (m.known() || m.to.Z < c.s.Stock.Top-roundTol)
}

// finish judges what the whole program leaves.
func (c *checker) finish(ended bool) {
	c.clock.stop()
	c.loads.gauge.close()
	c.ended = ended
	for i, w := range c.watch {
		if w != nil {
			c.active = i
			w.end(c)
		}
	}
	r := c.rec
	for i, n := range c.counts {
		if n > maxFindings {
			r.Suppressed = append(r.Suppressed, Count{c.rules[i].Name, c.rules[i].Severity, n - maxFindings})
		}
	}
	for _, z := range c.prisms {
		k := Clearance{Zone: z.zone.Name, Minimum: floorTo(z.least), Needed: round(z.zone.Clearance), Block: z.block, Line: z.line}
		if math.IsInf(z.least, 1) {
			k.Minimum = 0
		}
		r.Clearances = append(r.Clearances, k)
	}
	if !c.extent.Empty() {
		r.Extent = &Extent{vec(c.extent.Min), vec(c.extent.Max)}
	}
	r.Time = round(c.clock.total)
	for _, t := range c.clock.tools {
		r.Times = append(r.Times, ToolTime{t.Tool, round(t.Time), round(t.Cutting), round(t.Dwell), round(t.Rapid)})
	}
	r.FeatureTimes = append(r.FeatureTimes, c.clock.byFeature(c.ground.features)...)
	r.Loads = c.loads.record()
	r.Tools = append(r.Tools, c.used...)
	r.Material.Removed = math.Round(c.mat.removed(c.mat.cover(c.s.Stock.Outline, c.mat.half))*1e3) / 1e3
	switch {
	case c.mm1 && c.inch1:
		r.Units = "mixed"
	case c.mm1:
		r.Units = "mm"
	case c.inch1:
		r.Units = "inch"
	default:
		r.Units = "none"
	}
	r.Proven = ended && !c.faults
}

// floorTo rounds a clearance down to the nanometre.
func floorTo(x float64) float64 { return math.Floor(x*1e6) / 1e6 }
