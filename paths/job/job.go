package job

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"strconv"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Job is a job document, all lengths in millimetres.
type Job struct {
	Name     string
	Unit     setup.Unit // of bare numbers in the document and of the programs
	Zero     string     // where program zero lies on the work, in words
	Machine  setup.Machine
	Stock    setup.Stock
	Grain    *float64     // direction of the stock's layers or fibres in its drawing, radians; nil: none
	Zones    []setup.Zone // those of defects that may not be cut across among them
	Defects  []setup.Defect
	Screws   *Screws // nil: the zones are all there is
	Tools    []Tool
	ClearZ   float64
	Approach float64

	Parts      []Part
	Operations []Operation
	Batch      *Batch
	Cost       *Cost // nil: not given

	Probe *Probe // how to probe the face of the stock; nil: not at all

	file       string        // name of the document, for messages
	nominal    setup.Stock   // flat at its top, where the face was probed
	probed     []geom.Point3 // places of the face
	registered *registration // how the slab was found; nil: it lies as it is drawn
}

// Tool is a cutter with the cutting data that operations use unless they give
// their own.
type Tool struct {
	setup.Tool
	Data Data
}

// Data is cutting data.
type Data struct {
	Speed    float64 // spindle, 1/min
	Feed     float64 // mm/min
	Plunge   float64 // mm/min straight down
	StepDown float64 // depth of a pass, mm
	Coolant  setup.Coolant
}

// Load reads and checks the job document in the file path. The error is an
// ErrorList or *Error when the document is wrong, and the system's error when
// there is no such file or no permission to read it.
func Load(path string) (*Job, error) {
	data, err := readLimited(path, maxDocument)
	switch {
	case errors.Is(err, fs.ErrPermission), errors.Is(err, fs.ErrNotExist):
		return nil, err
	case err != nil:
		return nil, &Error{File: filepath.Base(path), Msg: reason(filepath.Base(path), err)}
	}
	return Parse(filepath.Base(path), filepath.Dir(path), data)
}

// Parse reads a job document; file is its name for messages and dir the folder
// in which the tables that it names are looked for.
func Parse(file, dir string, data []byte) (*Job, error) {
	root, err := parseYAML(file, data)
	if err != nil {
		return nil, err
	}
	r := &reader{file: file, dir: dir}
	j := r.job(root)
	if err := r.errs.Err(); err != nil {
		return nil, err
	}
	return j, nil
}

func (r *reader) job(root node) *Job {
	m := r.mapping(root, "the job")
	if m == nil {
		return nil
	}
	j := &Job{Name: m.text("job", "name tags"), file: r.file}
	if n, ok := m.need("unit", "mm"); ok {
		s, _ := r.scalar(n, "unit")
		u, err := setup.ParseUnit(s)
		if err != nil {
			r.fail(n, "%v", err)
		}
		r.unit, j.Unit = u, u
	}
	j.Zero = m.text("zero", "lower left corner of the slab, on its top face")
	if n, ok := m.need("machine", "{...}"); ok {
		j.Machine = r.machine(n)
	}
	var lies *registration
	if n, ok := m.need("stock", "{...}"); ok {
		var f *face
		j.Stock, f = r.stock(n)
		if n, ok := m.get("register"); ok {
			lies = r.register(n, j.Stock.Outline)
		}
		if f != nil {
			j.probed = f.points
			r.lay(f, j, lies)
		}
		j.Grain = r.grain
	}
	if n, ok := m.need("heights", "{clear: 10mm, approach: 0.5mm}"); ok {
		if h := r.mapping(n, "heights"); h != nil {
			j.ClearZ = h.length("clear", "10mm")
			j.Approach = h.positive("approach", "0.5mm")
			if j.ClearZ < j.Stock.Top+j.Approach {
				r.fail(n, "heights: clear (%g mm) has to be at least approach (%g mm) above the stock's top (%g mm)", j.ClearZ, j.Approach, j.Stock.Top)
			}
			if e := j.Machine.Envelope; !e.Empty() && (j.ClearZ > e.Max.Z || j.ClearZ < e.Min.Z) {
				r.fail(n, "heights: clear (%g mm) lies outside the machine's envelope in z (%g to %g mm)", j.ClearZ, e.Min.Z, e.Max.Z)
			}
			h.done()
		}
	}
	if n, ok := m.get("zones"); ok {
		j.Zones = r.zones(n)
	}
	if n, ok := m.get("defects"); ok {
		j.flaw(r.defects(n, j))
	}
	if n, ok := m.need("tools", "[...]"); ok {
		j.Tools = r.tools(n, j)
	}
	if n, ok := m.get("batch"); ok {
		j.Batch = r.batch(n)
	}
	if n, ok := m.get("parts"); ok {
		j.Parts = r.parts(n, j)
	}
	if n, ok := m.need("operations", "[...]"); ok {
		j.Operations = r.operations(n, j)
	}
	r.fitted(j)
	if n, ok := m.get("cost"); ok {
		j.Cost = r.cost(n)
	}
	if n, ok := m.get("screws"); ok {
		j.Screws = r.screws(n, j)
	}
	if n, ok := m.get("probe"); ok {
		j.Probe = r.probe(n, j)
	}
	if lies != nil {
		j.place(lies)
	}
	j.raise()
	m.done()
	return j
}

func (r *reader) machine(n node) setup.Machine {
	m := r.mapping(n, "machine")
	if m == nil {
		return setup.Machine{}
	}
	defer m.done()
	v := setup.Machine{Name: m.text("name", "bench mill"), Envelope: geom.EmptyBox3()}
	if n, ok := m.need("envelope", "{x: [-10mm, 80mm], y: [-10mm, 60mm], z: [-6mm, 40mm]}"); ok {
		if e := r.mapping(n, "machine: envelope"); e != nil {
			x, y, z := e.span("x"), e.span("y"), e.span("z")
			v.Envelope = geom.Box3{Min: geom.Pt3(x[0], y[0], z[0]), Max: geom.Pt3(x[1], y[1], z[1])}
			e.done()
		}
	}
	if n, ok := m.get("travel"); ok {
		if e := r.mapping(n, "machine: travel"); e != nil {
			x, y, z := e.span("x"), e.span("y"), e.span("z")
			v.Travel = geom.Box3{Min: geom.Pt3(x[0], y[0], z[0]), Max: geom.Pt3(x[1], y[1], z[1])}
			e.done()
		}
	}
	if n, ok := m.get("work_offset"); ok {
		v.WorkOffset = r.place(n, "machine: work_offset")
		if !m.has("travel") {
			r.fail(n, "machine: work_offset is of use with the machine's travel only; write for example 'travel: {x: [0mm, 300mm], y: [0mm, 200mm], z: [-80mm, 0mm]}'")
		}
	}
	if n, ok := m.need("spindle", "[3000rpm, 24000rpm]"); ok {
		s := r.pairOf(n, "machine: spindle", setup.ParseSpeed)
		v.SpindleMin, v.SpindleMax = s[0], s[1]
		if !(s[0] >= 0 && s[1] > s[0]) && !m.failed("spindle") {
			r.fail(n, "machine: spindle has to be a least and a greatest speed")
		}
	}
	v.FeedMax = m.above("feed_max", m.quantity("feed_max", "1000mm/min", nil, r.parseFeed), 0)
	v.PlungeMax = m.above("plunge_max", m.quantity("plunge_max", "", &v.FeedMax, r.parseFeed), 0)
	v.Rapid = m.above("rapid", m.quantity("rapid", "2000mm/min", nil, r.parseFeed), 0)
	v.Accel = m.above("acceleration", m.quantity("acceleration", "", ptr(0.0), setup.ParseAcceleration), 0)
	r.kinematics(m, &v)
	if n, ok := m.get("control"); ok {
		v.Practice = r.practice(n)
	}
	v.BlockRate = m.above("block_rate", m.quantity("block_rate", "", ptr(0.0), parseRate), 0)
	v.ToolChange = map[string]setup.ToolChange{
		"none": setup.NoToolChange, "manual": setup.ManualToolChange, "automatic": setup.AutoToolChange,
	}[m.choice("tool_change", "none", "none", "manual", "automatic")]
	v.LengthOffsets = m.yes("length_offsets", false)
	v.NoPathModes = !m.yes("path_modes", true)
	switch m.choice("coolant", "none", "none", "mist", "flood", "both") {
	case "mist":
		v.Mist = true
	case "flood":
		v.Flood = true
	case "both":
		v.Mist, v.Flood = true, true
	}
	v.DogLegRapids = m.choice("rapids", "straight", "straight", "dog-leg") == "dog-leg"
	v.SpinUp = m.atLeast("spin_up", m.quantity("spin_up", "", ptr(0.0), setup.ParseTime), 0)
	v.Drive = r.drive(m)
	return v
}

// parseRate reads blocks a second, a bare number.
func parseRate(s string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a number of blocks a second", s)
	}
	return v, nil
}

// place reads a place in space, [x, y, z]; nil after an error.
func (r *reader) place(n node, what string) *geom.Point3 {
	list, ok := r.sequence(n, what)
	if !ok {
		return nil
	}
	if len(list) != 3 {
		r.fail(n, "%s has to be a place such as [120mm, 85mm, -60mm]", what)
		return nil
	}
	var v [3]float64
	for i, e := range list {
		s, ok := r.scalar(e, what)
		if !ok {
			return nil
		}
		var err error
		if v[i], err = r.parseLength(s); err != nil {
			r.fail(e, "%s: %v", what, err)
			return nil
		}
	}
	p := geom.Pt3(v[0], v[1], v[2])
	return &p
}

// span reads a pair of lengths, the lesser first.
func (m *mapping) span(key string) [2]float64 {
	n, ok := m.need(key, "[-10mm, 80mm]")
	if !ok {
		return [2]float64{}
	}
	v := m.r.pairOf(n, m.what+": "+key, m.r.parseLength)
	if !(v[0] < v[1]) && !m.failed(key) {
		m.r.fail(n, "%s: %s has to be [least, greatest]", m.what, key)
	}
	return v
}

func (r *reader) stock(n node) (setup.Stock, *face) {
	m := r.mapping(n, "stock")
	if m == nil {
		return setup.Stock{}, nil
	}
	defer m.done()
	var s setup.Stock
	s.Outline = m.outlined()
	s.Thickness = m.positive("thickness", "3mm")
	s.Top = m.lengthOr("top", 0)
	s.Material, s.Like = m.material("nickel silver")
	if m.has("grain") {
		r.grain = ptr(m.quantity("grain", "30deg", nil, setup.ParseAngle))
	} else {
		m.get("grain") // named in the hint
	}
	if n, ok := m.get("backing"); ok {
		if b := r.mapping(n, "stock: backing"); b != nil {
			s.Backing = setup.Backing{Present: true}
			s.Backing.Material, s.Backing.Like = b.material("aluminium plate")
			s.Backing.Depth = b.atLeast("cut_depth", b.lengthOr("cut_depth", 0), 0)
			s.Backing.Glued = b.yes("glued", false)
			b.done()
		}
	}
	var f *face
	if n, ok := m.get("surface"); ok {
		f = r.surface(n)
	}
	return s, f
}

func (r *reader) zones(n node) []setup.Zone {
	list, ok := r.sequence(n, "zones")
	if !ok {
		return nil
	}
	var zones []setup.Zone
	names := map[string]bool{}
	for i, e := range list {
		m := r.mapping(e, fmt.Sprintf("zone %d", i+1))
		if m == nil {
			continue
		}
		var z setup.Zone
		z.Name = m.text("name", "screw 1")
		if names[z.Name] {
			r.fail(e, "zone %d: the name %q is used twice", i+1, z.Name)
		}
		names[z.Name] = true
		if s, ok := m.shape(); ok {
			z.Area = geom.RegionOf(s.Contour)
		}
		z.Bottom = m.length("bottom", "-3mm")
		z.Top = m.length("top", "3mm")
		z.Clearance = m.atLeast("clearance", m.length("clearance", "0.5mm"), 0)
		z.Fixed = m.yes("fixed", false)
		if z.Top <= z.Bottom && !m.failed("top") {
			r.fail(e, "zone %q: top (%g mm) has to be above bottom (%g mm)", z.Name, z.Top, z.Bottom)
		}
		m.done()
		zones = append(zones, z)
	}
	return zones
}

// limits of what is taken for a tool, in millimetres and counts: beyond them a
// unit was mistaken.
const (
	maxToolNumber = 99999
	maxFlutes     = 20
)

func (r *reader) tools(n node, j *Job) []Tool {
	list, ok := r.sequence(n, "tools")
	if !ok {
		return nil
	}
	var tools []Tool
	numbers := map[int]bool{}
	for i, e := range list {
		m := r.mapping(e, fmt.Sprintf("tool %d", i+1))
		if m == nil {
			continue
		}
		before := len(r.errs)
		t := r.tool(m, j)
		if numbers[t.Number] {
			r.fail(e, "%s: the number %d is used twice", m.what, t.Number)
		}
		numbers[t.Number] = true
		m.done()
		if len(r.errs) == before {
			if err := t.Validate(); err != nil {
				r.fail(e, "%s: %v", m.what, err)
			}
		}
		tools = append(tools, t)
	}
	return tools
}

func (r *reader) tool(m *mapping, j *Job) Tool {
	var t Tool
	t.Number = m.whole("number", "1", nil, 1, maxToolNumber)
	t.Name = m.text("name", "end mill 1/16 in")
	t.Shape = map[string]setup.Shape{"flat": setup.Flat, "ball": setup.Ball, "vee": setup.Vee, "drill": setup.Drill, "tap": setup.Tap}[m.choice("form", "", "flat", "ball", "vee", "drill", "tap")]
	t.Diameter = m.positive("diameter", "1/16in")
	t.Flutes = m.whole("flutes", "2", nil, 1, maxFlutes)
	t.FluteLength = m.positive("flute_length", "5mm")
	t.Shank = m.positive("shank", "1/8in")
	t.StickOut = m.positive("stick_out", "15mm")
	t.Length = r.toolLength(m, j)
	switch t.Shape {
	case setup.Vee:
		t.Angle = m.above("angle", m.quantity("angle", "60deg", nil, setup.ParseAngle), 0)
		t.TipDiameter = m.atLeast("tip_diameter", m.lengthOr("tip_diameter", 0), 0)
	case setup.Drill:
		t.Angle = m.above("angle", m.quantity("angle", "118deg", nil, setup.ParseAngle), 0)
	}
	if t.Shape == setup.Tap {
		r.tap(m, &t)
	}
	t.CentreCuts = m.yes("centre_cutting", t.Shape != setup.Flat && t.Shape != setup.Tap)
	r.edge(m, &t.Tool)
	if n, ok := m.get("holder"); ok {
		t.Holder = r.holder(n, t.StickOut)
	}
	if t.Shape == setup.Tap {
		speed := m.quantity("speed", "400rpm", nil, setup.ParseSpeed)
		t.Data = r.data(m, &Data{Speed: speed, Feed: t.Pitch * speed, Plunge: t.Pitch * speed}, j)
		return t
	}
	t.Data = r.data(m, nil, j)
	return t
}

// holder reads the stacked cones above a tool's stick-out, from below.
func (r *reader) holder(n node, z float64) []setup.Section {
	list, ok := r.sequence(n, "holder")
	if !ok {
		return nil
	}
	var out []setup.Section
	for i, e := range list {
		m := r.mapping(e, fmt.Sprintf("holder section %d", i+1))
		if m == nil {
			continue
		}
		d := m.positive("diameter", "20mm")
		l := m.positive("length", "15mm")
		top := m.above("top_diameter", m.lengthOr("top_diameter", d), 0)
		m.done()
		out = append(out, setup.Section{Z0: z, R0: d / 2, Z1: z + l, R1: top / 2})
		z += l
	}
	return out
}

// data reads cutting data, from the tool (def nil: speed, feed and plunge have
// to be there) or from an operation that overrides the tool's.
func (r *reader) data(m *mapping, def *Data, j *Job) Data {
	var d Data
	var speed, feed, plunge *float64
	step := ptr(0.0)
	coolant := "none"
	if def != nil {
		speed, feed, plunge, step = &def.Speed, &def.Feed, &def.Plunge, &def.StepDown
		coolant = [...]string{"none", "mist", "flood"}[def.Coolant]
	}
	d.Speed = m.above("speed", m.quantity("speed", "18000rpm", speed, setup.ParseSpeed), 0)
	d.Feed = m.above("feed", m.quantity("feed", "200mm/min", feed, r.parseFeed), 0)
	d.Plunge = m.above("plunge", m.quantity("plunge", "60mm/min", plunge, r.parseFeed), 0)
	d.StepDown = m.above("step_down", m.quantity("step_down", "0.2mm", step, r.parseLength), 0)
	d.Coolant = map[string]setup.Coolant{"none": setup.Dry, "mist": setup.Mist, "flood": setup.Flood}[m.choice("coolant", coolant, "none", "mist", "flood")]
	limit := func(key string, v, least, most float64, unit string) {
		if m.has(key) && (v < least || v > most) && !m.failed(key) {
			r.fail(m.values[key].Value, "%s: %s is %g %s, the machine's limits are %g to %g", m.what, key, v, unit, least, most)
		}
	}
	limit("speed", d.Speed, j.Machine.SpindleMin, j.Machine.SpindleMax, "1/min")
	limit("feed", d.Feed, 0, j.Machine.FeedLimit(), "mm/min")
	limit("plunge", d.Plunge, 0, j.Machine.PlungeLimit(), "mm/min")
	if d.Coolant == setup.Mist && !j.Machine.Mist || d.Coolant == setup.Flood && !j.Machine.Flood {
		if n, ok := m.get("coolant"); ok {
			r.fail(n, "%s: the machine has no such coolant; see machine: coolant", m.what)
		}
	}
	return d
}

// batch reads the table whose rows become programs.
func (r *reader) batch(n node) *Batch {
	m := r.mapping(n, "batch")
	if m == nil {
		return nil
	}
	defer m.done()
	b := &Batch{Program: m.text("program", "tag-{number}")}
	if n, ok := m.need("rows", "band.csv"); ok {
		if t := r.readTable(n, "batch: rows"); t != nil {
			b.table = t
			if err := b.check(); err != nil {
				r.errs = append(r.errs, err)
			}
		}
	}
	return b
}
