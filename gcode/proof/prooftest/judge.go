package prooftest

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"proofcut/gcode/proof/prooftest/plain"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// The judge's own tolerances. They are coarser than those of the proof, so that
// what it calls harmful is harmful beyond argument.
const (
	judgeCell   = 0.1  // side of its columns of material, mm
	judgeStep   = 0.05 // between samples along a motion near the work
	judgeFar    = 0.5  // between samples well above it
	judgeDepth  = 0.03 // of material taken or left by mistake
	judgeInside = 0.15 // how far inside a tool's radius a touch has to be
	judgeSafe   = 0.02 // by which a clearance has to be broken
	judgeRadius = 0.03 // by which a disc's radius has to be too small
	judgeBite   = 0.01 // from which a sample counts as cutting
	steepSlope  = 0.35 // sine of 20.5 degrees
)

// Harm is one thing that goes wrong when a program runs.
type Harm struct {
	What string
	Line int
}

func (h Harm) String() string { return fmt.Sprintf("line %d: %s", h.Line, h.What) }

// Judge runs programs against a set-up by brute force: it moves the tool in
// small steps through columns of material and samples the whole tool at each.
// What a program says it learns from a reader of its own, package plain.
type Judge struct {
	s      *setup.Setup
	zones  []zone
	nx, ny int
	x0, y0 float64
	blank  []float64        // heights of the columns before the first cut
	ref    []float64        // and after a program known to be good
	may    []float64        // down to where what stands may go, whatever the good program does
	top    float64          // above which nothing stands
	parts  [][][]geom.Point // outlines of the parts that are no discs
}

type zone struct {
	setup.Zone
	outline [][]geom.Point
	box     geom.Box
}

// NewJudge returns a judge for a set-up; good is a program that cuts what has
// to be cut there.
func NewJudge(s *setup.Setup, good string) (*Judge, error) {
	j := &Judge{s: s, top: s.Stock.Top}
	b := s.Stock.Outline.Bounds()
	j.x0, j.y0 = b.Min.X, b.Min.Y
	j.nx, j.ny = int(math.Ceil((b.Max.X-b.Min.X)/judgeCell)), int(math.Ceil((b.Max.Y-b.Min.Y)/judgeCell))
	outline := polygons(s.Stock.Outline)
	for y := range j.ny {
		for x := range j.nx {
			h := s.Stock.Bottom()
			if p := j.centre(x, y); within(outline, p) {
				h = s.Stock.Top - j.lower(p)
			}
			j.blank = append(j.blank, h)
		}
	}
	for _, p := range s.Parts {
		var outline [][]geom.Point
		if p.Diameter == 0 {
			outline = polygons(p.Outline)
		}
		j.parts = append(j.parts, outline)
	}
	j.may = j.waste()
	j = j.WithZones(s.Zones)
	r := j.run(good, starts[0])
	if r.fault != nil {
		return nil, r.fault
	}
	if len(r.harm) > 0 {
		return nil, fmt.Errorf("the reference program does harm: %v", r.harm[0])
	}
	j.ref = r.heights
	return j, nil
}

// WithZones returns the judge for a set-up in which zones were put elsewhere.
func (j *Judge) WithZones(zones []setup.Zone) *Judge {
	k := *j
	k.zones, k.top = nil, j.s.Stock.Top
	for _, z := range zones {
		k.zones = append(k.zones, zone{z, polygons(z.Area), z.Area.Bounds()})
		k.top = math.Max(k.top, z.Top+z.Clearance)
	}
	return &k
}

// start is a state in which the machine may be found.
type start struct {
	at   geom.Point3
	inch bool
	way  bool // only the way to the first place matters once units are set
}

var starts = []start{
	{geom.Pt3(5, 5, 30), false, false},
	{geom.Pt3(1, 1, 2), true, true},
}

// Outcome is how far the judge came with a program that does no harm on the way.
type Outcome uint8

// The outcomes.
const (
	Runs    Outcome = iota // to its end
	Refused                // by any control
	Unread                 // to where controls may do this or that
)

// Harms runs the program from every state that the machine may be found in, up
// to the first harm, and returns what goes wrong there; harm done before a program
// is refused counts. Why it is not run to its end is fault's to tell.
func (j *Judge) Harms(text string) (harms []Harm, out Outcome, fault error) {
	for _, s := range starts {
		r := j.run(text, s)
		if len(r.harm) > 0 {
			return r.harm, out, nil
		}
		switch {
		case r.fault != nil && r.fault.Open:
			out, fault = Unread, r.fault
		case r.fault != nil && out == Runs:
			out, fault = Refused, r.fault
		case r.fault == nil && r.ended:
			if j.compare(r); len(r.harm) > 0 {
				return r.harm, Runs, nil
			}
		}
	}
	return nil, out, fault
}

// run is one run of a program.
type run struct {
	*Judge
	heights []float64
	harm    []Harm
	said    map[string]bool
	fault   *plain.Fault // why the control does not go to the end
	ended   bool         // the run went to its end

	line    int
	placed  bool // the way to the first place is over
	cut     bool // the present motion has taken material
	dwelt   float64
	turning int
	disc    []float64 // by part: nearest that a tool's edge came to its centre
	bite    bite
}

func (r *run) hurt(format string, args ...any) {
	what := fmt.Sprintf(format, args...)
	if !r.said[what] {
		r.said[what] = true
		r.harm = append(r.harm, Harm{what, r.line})
	}
}

// noseHigh is by how much the nose of a spindle with any tool is higher than
// the tip that stands where the program starts.
const noseHigh = 90

// toolLength is how far a tool really sticks out of the spindle's nose, which
// is what the control's tool table holds.
func toolLength(number int) float64 { return 40 + 5*float64(number) }

func (j *Judge) run(text string, from start) *run {
	r := &run{Judge: j, heights: append([]float64(nil), j.blank...), said: map[string]bool{}}
	for range j.s.Parts {
		r.disc = append(r.disc, math.Inf(1))
	}
	c := plain.Control{Tools: map[int]plain.Tool{}, Inch: from.inch, Parameters: map[int]float64{
		5163: 50, 5183: 50, // homes above the origin
		5241: 7, 5242: 5, 5243: -3, 5261: -4, 5262: 3, 5263: 2, // G55 and G56 stand elsewhere
	}}
	for _, t := range j.s.Tools {
		entry := plain.Tool{Length: toolLength(t.Number), Diameter: t.Diameter}
		if !j.s.Machine.LengthOffsets {
			entry.Diameter = 0 // there is no table
		}
		c.Tools[t.Number] = entry
	}
	// The operator does not start with the tool against a screw.
	c.Start = [6]float64{from.at.X, from.at.Y, math.Max(from.at.Z, j.top+0.5)}
	if j.s.Machine.LengthOffsets {
		// The control's point is the spindle's nose until an offset is in force.
		c.Start[2] += noseHigh
	}
	p := j.s.Machine.Practice
	c.Semicolon, c.Subprograms, c.Milliseconds = p.SemicolonComments, p.Subprograms, p.DwellMilliseconds
	c.Tapping, c.Chips = p.RigidTapping, p.HighSpeedPeck
	steps, err := plain.Read(text, c)
	for i := range steps {
		e := &steps[i]
		if r.event(e); len(r.harm) > 0 {
			return r // one harm is enough
		}
		if from.way && r.placed && e.UnitSet && e.Distance {
			return r // the rest is as before
		}
	}
	r.ended = true
	errors.As(err, &r.fault)
	return r
}

func (r *run) event(e *plain.Step) {
	r.line = e.Line
	if e.Spindle != r.turning {
		r.turning, r.dwelt = e.Spindle, 0
	}
	switch e.Kind {
	case plain.Dwell:
		r.dwelt += e.Seconds
	case plain.Change:
		if e.Spindle != 0 {
			r.hurt("tool changed while the spindle turns")
		}
		// Where a program starts the operator has made room for the first change,
		// and the height of a tool under another's offset says nothing.
		own := !r.s.Machine.LengthOffsets || e.Index == e.Tool
		if e.Known[2] && own && r.tip(e, e.From).Z < r.s.ClearZ-0.1 {
			r.hurt("tool changed below the clear height")
		}
	case plain.End:
		if e.Spindle != 0 {
			r.hurt("spindle turns at the end")
		}
		if e.Mist || e.Flood {
			r.hurt("coolant runs at the end")
		}
		if r.tip(e, e.From).Z < r.s.ClearZ-0.1 {
			r.hurt("tool is down at the end")
		}
	case plain.Rapid, plain.Feed, plain.Arc, plain.Probe:
		r.move(e)
	}
}

// tool returns what is really in the spindle.
func (r *run) tool(e *plain.Step) (setup.Tool, bool) {
	if r.s.Machine.ToolChange == setup.NoToolChange {
		return r.s.Tools[0], true
	}
	return r.s.Tool(e.Tool)
}

// tip returns where the tip really is: the control places the spindle's nose,
// and the tool hangs from it by its own length. On machines without a tool
// table the zero was set with the tool's tip.
func (r *run) tip(e *plain.Step, at [6]float64) geom.Point3 {
	p := geom.Pt3(at[0], at[1], at[2])
	if t, ok := r.tool(e); ok && r.s.Machine.LengthOffsets {
		p.Z -= toolLength(t.Number)
	}
	return p
}

func (r *run) move(e *plain.Step) {
	t, loaded := r.tool(e)
	rapid := e.Kind == plain.Rapid
	if !rapid && !e.Inverse && e.Rate > r.s.Machine.FeedMax*1.05 {
		r.hurt("feed %.0f above the machine's", e.Rate)
	}
	length := lengthOf(e)
	high := math.Min(r.tip(e, e.From).Z, r.tip(e, e.To).Z) > r.top+0.5 && e.Kind != plain.Arc
	step := judgeStep
	if high {
		step = judgeFar
	}
	n := int(math.Ceil(length/step)) + 1
	if n > 200000 {
		r.hurt("a move of %.0f mm", length)
		return
	}
	r.cut = false
	last := r.tip(e, e.From)
	for i := range n + 1 {
		p := r.tip(e, placeOn(e, float64(i)/float64(n)))
		if loaded && (i == n || r.placed) {
			r.envelope(p)
		}
		if loaded {
			r.pose(e, t, last, p, rapid)
		}
		last = p
		if len(r.harm) > 0 {
			return
		}
	}
	r.placed = e.Known == [3]bool{true, true, true}
	if !r.cut {
		return
	}
	if r.turning != -1 || e.Speed <= 0 {
		r.hurt("cut with a spindle that does not turn clockwise")
	}
	if name := r.dry(e, t); name != "" {
		r.hurt("cut of %s without its coolant", name)
	}
	// A tap goes in step with its spindle at any speed.
	if r.dwelt < r.s.Machine.SpinUp-0.01 && t.Shape != setup.Tap {
		r.hurt("cut before the spindle is up to speed")
	}
	if v := e.Speed; v < r.s.Machine.SpindleMin*0.99 || v > r.s.Machine.SpindleMax*1.01 {
		r.hurt("cut at spindle speed %.0f", v)
	}
}

// dry returns the name of a feature that asks for a coolant which is off, when
// the motion's middle lies in it and in no feature that is content.
func (r *run) dry(e *plain.Step, t setup.Tool) string {
	p := r.tip(e, placeOn(e, 0.5))
	found := ""
	for _, f := range r.s.Features {
		if p.Z < r.floor(&f, p.XY())-judgeDepth || len(f.Tools) > 0 && !slices.Contains(f.Tools, t.Number) {
			continue
		}
		in := within(polygons(f.May), p.XY())
		for _, l := range f.Along {
			for _, s := range l {
				in = in || s.Distance(p.XY()) <= f.Reach
			}
		}
		if !in {
			continue
		}
		if f.Coolant == setup.Mist && !e.Mist || f.Coolant == setup.Flood && !e.Flood {
			found = f.Name
			continue
		}
		return ""
	}
	return found
}

// lengthOf is how far a step leads, or a little more.
func lengthOf(e *plain.Step) float64 {
	d := geom.Pt3(e.To[0]-e.From[0], e.To[1]-e.From[1], e.To[2]-e.From[2])
	l := math.Sqrt(d.X*d.X + d.Y*d.Y + d.Z*d.Z)
	if e.Kind == plain.Arc {
		p, q := (e.Normal+1)%3, (e.Normal+2)%3
		l += e.Sweep * math.Hypot(e.From[p]-e.Centre[p], e.From[q]-e.Centre[q])
	}
	return l
}

// placeOn returns the place at a share of a step's motion.
func placeOn(e *plain.Step, t float64) [6]float64 {
	var at [6]float64
	for i := range at {
		at[i] = e.From[i] + t*(e.To[i]-e.From[i])
	}
	if e.Kind == plain.Arc {
		p, q := (e.Normal+1)%3, (e.Normal+2)%3
		u, v := e.From[p]-e.Centre[p], e.From[q]-e.Centre[q]
		sin, cos := math.Sincos(t * e.Sweep * float64(e.Turn))
		at[p], at[q] = e.Centre[p]+u*cos-v*sin, e.Centre[q]+u*sin+v*cos
	}
	return at
}

func (r *run) envelope(p geom.Point3) {
	b := r.s.Machine.Envelope
	const over = 0.05
	if p.X < b.Min.X-over || p.Y < b.Min.Y-over || p.Z < b.Min.Z-over || p.X > b.Max.X+over || p.Y > b.Max.Y+over || p.Z > b.Max.Z+over {
		r.hurt("beyond the machine's travel")
	}
}

// pose puts the tool at one place and looks what it does there.
func (r *run) pose(e *plain.Step, t setup.Tool, last, p geom.Point3, rapid bool) {
	for i := range r.zones {
		z := &r.zones[i]
		if p.Z > z.Top+z.Clearance || z.box.Distance(geom.Box{Min: p.XY(), Max: p.XY()}) > 12+z.Clearance {
			continue
		}
		d := away(z.outline, p.XY())
		from := math.Max(0, z.Bottom-z.Clearance-p.Z)
		for h, top := from, math.Min(assemblyTop(t), z.Top+z.Clearance-p.Z); h <= top; h += 0.1 {
			v := math.Max(0, math.Max(z.Bottom-p.Z-h, p.Z+h-z.Top))
			if v < z.Clearance && math.Hypot(v, math.Max(0, d-radius(t, h))) < z.Clearance-judgeSafe {
				r.hurt("too near to zone %s", z.Name)
				break
			}
		}
	}
	st := &r.s.Stock
	if p.Z >= st.Top-1e-6 {
		return
	}
	limit := st.Bottom()
	if st.Backing.Present {
		limit -= st.Backing.Depth
	}
	if p.Z < limit-judgeSafe {
		r.hurt("below what stock and backing allow")
	}
	down := 0.0
	if d := last.Dist(p); d > 0 {
		down = (last.Z - p.Z) / d
	}
	r.tap(e, t, last, p)
	volume, depth := 0.0, 0.0
	r.columns(p, t.Diameter/2, func(at *float64, rho float64) {
		face := p.Z + underside(t, rho)
		over := *at - face
		if over <= 1e-6 {
			return
		}
		if rapid {
			if over > judgeDepth && rho < t.Diameter/2-judgeInside {
				r.hurt("rapid into material")
			}
			// What a rapid hits does not go away by itself.
			return
		}
		volume, depth = volume+over*judgeCell*judgeCell, math.Max(depth, over)
		if over > judgeBite {
			r.cut = true
			if down > steepSlope && rho < t.Diameter/4 && !t.CentreCuts && t.Shape != setup.Vee && t.Shape != setup.Drill {
				r.hurt("plunge with a tool that does not cut at its centre")
			}
		}
		*at = face
	})
	if !rapid {
		r.bend(e, t, last, p, volume, depth)
	}
	for h := t.FluteLength + 0.01; h < assemblyTop(t); h += 0.25 {
		if p.Z+h > st.Top {
			break
		}
		rb := radius(t, h)
		r.columns(p, rb, func(at *float64, rho float64) {
			if *at > p.Z+h+judgeDepth && rho < rb-judgeInside {
				r.hurt("shank or holder in material")
			}
		})
	}
	if rapid {
		return
	}
	for i, part := range r.s.Parts {
		if part.Diameter > 0 {
			r.disc[i] = math.Min(r.disc[i], p.XY().Dist(part.At)-radius(t, st.Top-p.Z))
			if r.disc[i] < part.Diameter/2-judgeRadius {
				r.hurt("part %s too small", part.Name)
			}
			continue
		}
		// A tool whose axis is over the part makes a pocket in it; what must stay
		// there is seen in the end.
		out, rad := r.parts[i], radius(t, st.Top-p.Z)-judgeRadius
		if len(out) > 0 && part.Outline.Bounds().Distance(geom.Box{Min: p.XY(), Max: p.XY()}) < rad && !within(out, p.XY()) && away(out, p.XY()) < rad {
			r.hurt("part %s too small", part.Name)
		}
	}
}
