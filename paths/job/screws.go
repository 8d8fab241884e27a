package job

import (
	"fmt"
	"math"

	"github.com/goccy/go-yaml/ast"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/hold"
	"proofcut/paths/setup"
)

// Screws are the screws that hold the slab down on its plate. Each becomes a
// zone of the set-up.
type Screws struct {
	hold.Screw
	Count      int
	HeadHeight float64 // of the head above the slab's top, mm
	Clearance  float64 // of the head to every part of the tool, mm
	Wall, Grip float64
	Beside     bool
	Reach      float64 // +Inf: not asked for, with places chosen by hand only
	Overhang   float64
	Plate      hold.Plate
	Drilling   *Drilling    // the plate's own program; nil: none
	At         []geom.Point // places chosen by hand
	Kept       bool         // they come from a table of places chosen before
	Choose     *ChooseScrews

	place *Error
	lines []*Error // where the places stand in the document
}

// ChooseScrews asks for places that cost the fewest parts.
type ChooseScrews struct {
	Effort float64 // nominal seconds, 0: the search's default
	Seed   uint64
}

// Defaults of the screws. Common practice, no source: a wall of about one
// thickness of a thin slab keeps the hole from breaking out, and a head that
// grips less than half a millimetre slips off.
const (
	defaultWall = 1.0
	defaultGrip = 0.5
)

// maxGrid bounds the rows and columns of a plate's grid of holes.
const maxGrid = 100

func (r *reader) screws(n node, j *Job) *Screws {
	m := r.mapping(n, "screws")
	if m == nil {
		return nil
	}
	before := len(r.errs)
	s := &Screws{place: r.at(n)}
	s.Head = m.positive("head", "5.5mm")
	s.Hole = m.positive("hole", "3.4mm")
	s.HeadHeight = m.positive("head_height", "3mm")
	s.Clearance = m.atLeast("clearance", m.length("clearance", "0.5mm"), 0)
	s.Wall = m.atLeast("wall", m.lengthOr("wall", defaultWall), 0)
	s.Grip = m.atLeast("grip", m.lengthOr("grip", defaultGrip), 0)
	s.Beside = m.yes("beside", false)
	if n, ok := m.get("at"); ok && n.Type() == ast.StringType {
		s.At, _ = r.pointsFile(n, "screws: at", 1)
		s.Kept = true
		for range s.At {
			s.lines = append(s.lines, r.at(n))
		}
	} else if ok && n.Type() != ast.SequenceType {
		r.fail(n, "screws: at has to be a list of places or the name of a table of them")
	} else if ok {
		list, _ := r.sequence(n, "screws: at")
		for i, e := range list {
			s.At = append(s.At, r.pair(e, fmt.Sprintf("screws: place %d", i+1)))
			s.lines = append(s.lines, r.at(e))
		}
		if len(list) == 0 {
			r.fail(n, "screws: at has no place; leave it out to have places chosen")
		}
	}
	if n, ok := m.get("choose"); ok {
		if c := r.mapping(n, "screws: choose"); c != nil {
			s.Choose = &ChooseScrews{
				Effort: c.above("effort", c.quantity("effort", "", ptr(0.0), setup.ParseTime), 0),
				Seed:   uint64(c.whole("seed", "", ptr(1), 0, 1<<30)),
			}
			c.done()
		}
	}
	if s.At == nil && s.Choose == nil && !m.has("at") && !m.has("choose") {
		r.fail(n, "screws: give places with 'at: [[5mm, 5mm], ...]' or 'at: NAME-screws.csv', or have them chosen with 'choose: {effort: 6s}'")
	}
	if s.At != nil {
		s.Count = m.whole("count", "", ptr(len(s.At)), 1, hold.MaxScrews)
		if s.Count != len(s.At) && !(m.has("count") && m.failed("count")) {
			r.fail(m.at("count"), "screws: count is %d, but at has %d places", s.Count, len(s.At))
		}
	} else {
		s.Count = m.whole("count", "3", nil, 1, hold.MaxScrews)
	}
	if s.Choose != nil {
		s.Reach = m.positive("reach", "25mm")
	} else {
		s.Reach = m.above("reach", m.lengthOr("reach", math.Inf(1)), 0)
	}
	s.Overhang = m.atLeast("overhang", m.lengthOr("overhang", s.Reach), 0)
	if n, ok := m.lookup("plate", "{rectangle: {at: [-5, -5], size: [80, 60]}, edge: 5mm}", s.Choose == nil); ok {
		s.Plate, s.Drilling = r.plate(n, j)
	} else {
		s.Plate.Places = s.At
	}
	m.done()
	if len(r.errs) > before || len(j.Stock.Outline) == 0 {
		return s
	}
	r.judge(s, j)
	return s
}

// plate reads where the backing plate takes screws.
func (r *reader) plate(n node, j *Job) (p hold.Plate, d *Drilling) {
	m := r.mapping(n, "screws: plate")
	if m == nil {
		return p, nil
	}
	defer m.done()
	bare := true
	for _, k := range shapeKeys {
		bare = bare && !m.has(k)
	}
	for _, k := range []string{"holes", "grid"} {
		if _, ok := m.get(k); !ok {
			continue
		}
		n := m.values[k].Value
		switch k {
		case "holes":
			list, _ := r.sequence(n, "screws: plate: holes")
			for i, e := range list {
				p.Places = append(p.Places, r.pair(e, fmt.Sprintf("screws: plate: hole %d", i+1)))
			}
		case "grid":
			p.Places = append(p.Places, r.grid(n)...)
		}
	}
	if bare && (m.has("holes") || m.has("grid")) {
		return p, nil // only the holes that are there
	}
	shape, ok := m.shape()
	edge := m.atLeast("edge", m.length("edge", "5mm"), 0)
	if !ok {
		return p, nil
	}
	region, err := geom.Offset(geom.RegionOf(shape.Contour), -edge, geom.OffsetOptions{})
	if err != nil || len(region) == 0 {
		r.fail(n, "screws: plate: nothing of it is %g mm or more from its edge", edge)
	}
	p.Region = region
	return p, r.drilling(m, shape, j)
}

// grid reads the holes of a grid: the first at a place, then in columns and rows.
func (r *reader) grid(n node) []geom.Point {
	m := r.mapping(n, "screws: plate: grid")
	if m == nil {
		return nil
	}
	defer m.done()
	at := m.point("at", "[0, 0]")
	pitch := m.point("pitch", "[10mm, 10mm]")
	columns := m.whole("columns", "6", nil, 1, maxGrid)
	rows := m.whole("rows", "4", nil, 1, maxGrid)
	if !(pitch.X > 0 && pitch.Y > 0) && m.has("pitch") && !m.failed("pitch") {
		r.fail(m.at("pitch"), "screws: plate: grid: both pitches have to be more than 0")
	}
	var out []geom.Point
	for y := range rows {
		for x := range columns {
			out = append(out, at.Add(geom.Pt(float64(x)*pitch.X, float64(y)*pitch.Y)))
		}
	}
	return out
}

// judge refuses places that take no screw, and screws that do not hold the slab
// when nothing better is to be chosen.
func (r *reader) judge(s *Screws, j *Job) {
	judge, err := hold.NewJudge(s.problem(j))
	if err != nil {
		r.failAt(s.place, "screws: %v", err)
		return
	}
	bad := false
	for i, q := range s.At {
		if _, err := judge.Site(q); err != nil {
			r.failAt(s.lines[i], "screws: place %d: x %.3f y %.3f: %v", i+1, q.X, q.Y, err)
			bad = true
		}
	}
	if bad || s.At == nil || s.Choose != nil {
		return
	}
	if _, err := judge.Check(s.At); err != nil {
		r.failAt(s.place, "screws: %v", err)
	}
}

func (r *reader) failAt(place *Error, format string, args ...any) {
	e := *place
	e.Msg = fmt.Sprintf(format, args...)
	r.errs = append(r.errs, &e)
}

// beyond stands for a distance that is not asked for: no slab is as large.
const beyond = 1e5

// problem returns the question of where the screws go, without parts to make, in
// the frame of the drawing: the plate is drilled before the slab lies on it. A zone
// that ends at the slab's top or below is a defect of the slab; one that stands up
// leaves no room for a head.
func (s *Screws) problem(j *Job) hold.Problem {
	outline, zones, _ := j.drawn()
	p := hold.Problem{
		Slab: outline, Plate: s.Plate, Count: s.Count, Screw: s.Screw,
		Wall: s.Wall, Grip: s.Grip, Beside: s.Beside,
		Reach: math.Min(s.Reach, beyond), Overhang: math.Min(s.Overhang, beyond),
		Parts: hold.Discs{},
	}
	for _, z := range zones {
		if z.Top > j.Stock.Top+geom.Tol {
			p.Raised = append(p.Raised, z.Area)
		} else {
			p.Defects = append(p.Defects, z.Area)
		}
	}
	for _, d := range j.drawnDefects() {
		if d.CutAcross { // the others are zones
			p.Defects = append(p.Defects, d.Area)
		}
	}
	if s.Choose != nil {
		p.Effort, p.Seed = s.Choose.Effort, s.Choose.Seed
		if s.At != nil {
			p.Starts = [][]geom.Point{s.at(j)}
		}
	}
	return p
}

// at returns the places chosen by hand in the frame of problem. They lie on the
// slab: where it came out larger than drawn they lie farther apart. Kept places
// are in that frame as they are: the plate has its holes.
func (s *Screws) at(j *Job) []geom.Point {
	if s.Kept || j.registered == nil || j.registered.fit.Scale == 1 {
		return s.At
	}
	f := j.registered.fit
	back := f.Rigid.Inverse()
	out := make([]geom.Point, len(s.At))
	for i, q := range s.At {
		out[i] = back.Apply(f.Map.Apply(q))
	}
	return out
}

// notes warns that chosen places are those of the job as it stands.
func (s *Screws) notes(name string) []paths.Finding {
	if s == nil || s.Choose == nil {
		return nil
	}
	return []paths.Finding{{Operation: "screws", Text: fmt.Sprintf("the places are chosen for the job as it is now, and a change may move them: "+
		"before the plate is drilled write 'at: %s-screws.csv' in place of 'choose', the table that 'proofcut hold --out DIR' writes", FileName(name))}}
}

// zone returns the zone of a screw's head.
func (s *Screws) zone(j *Job, q geom.Point) setup.Zone {
	return setup.Zone{
		Area:   geom.RegionOf(geom.Circle(q, s.Head/2)),
		Bottom: j.Stock.Bottom(), Top: j.Stock.Top + s.HeadHeight, Clearance: s.Clearance,
	}
}

// zones returns the zones of screws at places, with names that no other zone has.
func (s *Screws) zones(j *Job, places []geom.Point) []setup.Zone {
	taken := map[string]bool{}
	for _, z := range j.Zones {
		taken[z.Name] = true
	}
	var out []setup.Zone
	n := 0
	for _, q := range places {
		z := s.zone(j, q)
		for z.Name == "" || taken[z.Name] {
			n++
			z.Name = fmt.Sprintf("screw %d", n)
		}
		taken[z.Name] = true
		out = append(out, z)
	}
	return out
}
