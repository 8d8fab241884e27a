package job

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
	"proofcut/paths/slab"
)

// registration is how the slab was found, with what is needed to nest in the
// frame of the drawing: there the places of the discs do not depend on how the
// slab happens to lie.
type registration struct {
	fit     slab.Fit
	limit   float64
	names   []string
	touches []slab.Touch

	outline geom.Region // of the slab, in the drawing
	zones   []setup.Zone
	defects []setup.Defect
}

// columns of a table of touches.
var touchColumns = []string{"name", "drawing_x", "drawing_y", "touched_x", "touched_y"}

// register reads where the slab was touched off. The outline, still in the
// coordinates of the drawing, tells on which side of an edge the material is.
func (r *reader) register(n node, outline geom.Region) *registration {
	m := r.mapping(n, "register")
	if m == nil {
		return nil
	}
	defer m.done()
	v := &registration{}
	o := slab.FitOptions{Scale: m.yes("scale", false)}
	v.limit = m.above("limit", m.lengthOr("limit", slab.DefaultFitLimit), 0)
	o.Limit = v.limit
	before := len(r.errs)
	points, have := m.get("points")
	file, table := m.get("file")
	switch {
	case have && table:
		r.fail(file, "register: give points or a file with them, not both")
	case have:
		r.touchList(points, v, outline)
	case table:
		r.touchTable(file, v, outline)
	default:
		r.fail(n, "register lacks its points; write for example 'points: [{name: screw A, drawing: [5.4, 6.4], touched: [17.9, 21.3]}, ...]' or 'file: touched.csv'")
	}
	if len(r.errs) > before {
		return nil
	}
	var err error
	if v.fit, err = slab.RegisterTouches(v.touches, o); err != nil {
		r.fail(n, "register: %s", v.explain(err))
		return nil
	}
	const most = 1.25 // beyond it a unit or a resolution was mistaken
	if s := v.fit.Scale; s > most || s < 1/most {
		r.fail(n, "register: the drawing would have to be scaled by %.4f: check its unit or its resolution", s)
		return nil
	}
	return v
}

// explain puts the names of the points into an error, and all residuals when
// they are known.
func (v *registration) explain(err error) string {
	text := err.Error()
	var e *slab.PointError
	if errors.As(err, &e) {
		var names []string
		for _, i := range e.Points {
			names = append(names, fmt.Sprintf("%q", v.names[i]))
		}
		text = strings.Join(names, " and ") + ": " + e.Reason
	}
	if len(v.fit.Residuals) == len(v.names) {
		var all []string
		for i, r := range v.fit.Residuals {
			all = append(all, fmt.Sprintf("%s %.3f mm", v.names[i], r.Len()))
		}
		text += "; residuals: " + strings.Join(all, ", ")
	}
	return text
}

// touchList reads the points that stand in the document.
func (r *reader) touchList(n node, v *registration, outline geom.Region) {
	list, ok := r.sequence(n, "register: points")
	if !ok {
		return
	}
	for i, e := range list {
		m := r.mapping(e, fmt.Sprintf("register: point %d", i+1))
		if m == nil {
			continue
		}
		before := len(r.errs)
		name := m.text("name", "screw A")
		t := slab.Touch{Touched: m.point("touched", "[17.9mm, 21.3mm]")}
		var second *geom.Point
		if line, ok := m.get("edge"); ok {
			ends, _ := r.sequence(line, m.what+": edge")
			if len(ends) != 2 {
				r.fail(line, "%s: edge has to be two places on it in the drawing, such as [[5mm, 0mm], [40mm, 0mm]]", m.what)
			} else {
				t.Drawing = r.pair(ends[0], m.what+": edge")
				p := r.pair(ends[1], m.what+": edge")
				second = &p
			}
			t.Radius = m.atLeast("tip", m.lengthOr("tip", 0), 0) / 2
			if d, ok := m.get("drawing"); ok {
				r.fail(d, "%s: give drawing (a point) or edge (two places on a straight edge), not both", m.what)
			}
		} else {
			t.Drawing = m.point("drawing", "[5.4mm, 6.4mm]")
			if d, ok := m.get("tip"); ok {
				r.fail(d, "%s: tip is of use with an edge only; a point is touched off at its middle", m.what)
			}
		}
		m.done()
		if len(r.errs) == before {
			v.add(name, t, second, outline, func(format string, args ...any) { r.fail(e, format, args...) })
		}
	}
}

// touchTable reads the points from a CSV table. The columns edge_x, edge_y and
// tip are for edges and may be missing, or empty in a row for a point.
func (r *reader) touchTable(n node, v *registration, outline geom.Region) {
	t := r.readTable(n, "register: file")
	if t == nil {
		return
	}
	place := map[string]int{}
	for _, c := range append([]string{"edge_x", "edge_y", "tip"}, touchColumns...) {
		place[c] = t.column(c)
	}
	for _, c := range touchColumns {
		if place[c] < 0 {
			r.errs = append(r.errs, &Error{File: t.file, Line: 1, Col: 1, Msg: fmt.Sprintf("the table of touched points has the columns %s; this one has no %s", strings.Join(touchColumns, ","), c)})
			return
		}
	}
	for i, row := range t.rows {
		before := len(r.errs)
		fail := func(format string, args ...any) {
			r.errs = append(r.errs, &Error{File: t.file, Line: t.lines[i], Col: 1, Msg: fmt.Sprintf(format, args...)})
		}
		cell := func(c string) string {
			if place[c] < 0 {
				return ""
			}
			return row[place[c]]
		}
		length := func(c string) float64 {
			l, err := r.parseLength(cell(c))
			if err != nil {
				fail("%s: %v", c, err)
			}
			return l
		}
		if cell("name") == "" {
			fail("the point has no name")
		}
		touch := slab.Touch{
			Drawing: geom.Pt(length("drawing_x"), length("drawing_y")),
			Touched: geom.Pt(length("touched_x"), length("touched_y")),
		}
		var second *geom.Point
		switch x, y := cell("edge_x"), cell("edge_y"); {
		case x != "" && y != "":
			second = &geom.Point{X: length("edge_x"), Y: length("edge_y")}
			if cell("tip") != "" {
				touch.Radius = length("tip") / 2
			}
		case x != "" || y != "":
			fail("an edge needs both edge_x and edge_y: a second place on it")
		case cell("tip") != "":
			fail("tip is of use with an edge only; a point is touched off at its middle")
		}
		if len(r.errs) == before {
			v.add(cell("name"), touch, second, outline, fail)
		}
	}
}

// add keeps a touch; second is another place on the edge, nil for a point.
func (v *registration) add(name string, t slab.Touch, second *geom.Point, outline geom.Region, fail func(string, ...any)) {
	for _, other := range v.names {
		if other == name {
			fail("register: the name %q is used twice", name)
			return
		}
	}
	if second != nil {
		along := second.Sub(t.Drawing)
		if along.Len() < slab.DefaultSpacing/2 {
			fail("register: %q: the two places on the edge lie only %.3f mm apart, which gives no direction", name, along.Len())
			return
		}
		if !(t.Radius >= 0) {
			fail("register: %q: the tip's diameter is negative", name)
			return
		}
		normal, ok := outward(outline, t.Drawing, *second)
		if !ok {
			fail("register: %q: the line from (%.3f, %.3f) to (%.3f, %.3f) is no edge of the slab: the material has to lie on one side of its middle",
				name, t.Drawing.X, t.Drawing.Y, second.X, second.Y)
			return
		}
		t.Normal = normal
	}
	v.names, v.touches = append(v.names, name), append(v.touches, t)
}

// edgeReach is how far in mm from a named edge the slab's outline is looked for:
// a measured outline and a straight edge through it differ by tenths.
const edgeReach = 1.0

// outward returns the direction across the line through two places on the side
// where there is no material.
func outward(outline geom.Region, a, b geom.Point) (geom.Point, bool) {
	along := b.Sub(a)
	n := geom.Pt(along.Y, -along.X).Mul(1 / along.Len())
	middle := a.Lerp(b, 0.5)
	const looks = 20
	for i := 1; i <= looks; i++ {
		d := edgeReach * float64(i) / looks
		right, left := outline.Contains(middle.Add(n.Mul(d))), outline.Contains(middle.Sub(n.Mul(d)))
		switch {
		case right == geom.Outside && left == geom.Inside:
			return n, true
		case right == geom.Inside && left == geom.Outside:
			return n.Mul(-1), true
		}
	}
	return geom.Point{}, false
}

// place moves the whole job to where the slab was touched off. What belongs to
// the slab (outline and zones) takes the scale with it; what is made (parts and
// operations) keeps its size. Fixed zones stay where they are.
func (j *Job) place(v *registration) {
	v.outline, v.zones, v.defects = j.Stock.Outline, j.Zones, j.Defects
	j.registered = v
	j.Stock.Outline = j.Stock.Outline.Transform(v.fit.Map)
	j.Zones = append([]setup.Zone(nil), j.Zones...)
	for i := range j.Zones {
		if z := &j.Zones[i]; !z.Fixed {
			z.Area = z.Area.Transform(v.fit.Map)
		}
	}
	j.Defects = append([]setup.Defect(nil), j.Defects...)
	for i := range j.Defects {
		j.Defects[i].Area = j.Defects[i].Area.Transform(v.fit.Map)
	}
	for i := range j.Parts {
		if j.Parts[i].Nest == nil {
			j.Parts[i].Shape.move(v.fit.Rigid)
		}
	}
	for _, op := range j.Operations {
		op.move(v.fit.Rigid)
	}
}

// drawn returns outline and zones in the frame of the drawing and the motion
// that takes places in it to the program's coordinates. Where nothing is scaled
// the drawing's own coordinates come back unchanged, so that a slab that lies
// elsewhere gets the same parts.
func (j *Job) drawn() (geom.Region, []setup.Zone, geom.Similarity) {
	v := j.registered
	if v == nil {
		return j.Stock.Outline, j.Zones, geom.Identity()
	}
	back := v.fit.Rigid.Inverse()
	outline := v.outline
	zones := append([]setup.Zone(nil), v.zones...)
	if v.fit.Scale != 1 {
		outline = j.Stock.Outline.Transform(back)
	}
	for i := range zones {
		if zones[i].Fixed || v.fit.Scale != 1 {
			zones[i].Area = j.Zones[i].Area.Transform(back)
		}
		zones[i].Bottom, zones[i].Top = j.Zones[i].Bottom, j.Zones[i].Top
	}
	return outline, zones, v.fit.Rigid
}

// record returns the registration as the set-up keeps it.
func (v *registration) record() *setup.Registration {
	if v == nil {
		return nil
	}
	f := v.fit
	r := &setup.Registration{Turn: f.Angle, Shift: f.Map.Apply(geom.Point{}), Scale: f.Scale, RMS: f.RMS, Limit: v.limit, Spare: f.Spare}
	for i, t := range v.touches {
		r.Touches = append(r.Touches, setup.Touched{Name: v.names[i], Edge: t.Normal != geom.Point{}, Residual: f.Residuals[i]})
	}
	return r
}

// move turns and shifts a shape.
func (s *Shape) move(m geom.Similarity) {
	s.Contour = s.Contour.Transform(m)
	s.Centre, s.From, s.To = m.Apply(s.Centre), m.Apply(s.From), m.Apply(s.To)
}

func (e *Engrave) move(m geom.Similarity) {
	e.placed = m // letters are set in the drawing and moved then
	for i := range e.Lines {
		e.Lines[i] = e.Lines[i].Transform(m)
	}
}

func (p *Profile) move(m geom.Similarity) { p.Shape.move(m) }

func (p *Pocket) move(m geom.Similarity) {
	p.Shape.move(m)
	for i := range p.Islands {
		p.Islands[i].move(m)
	}
}

func (s *Slot) move(m geom.Similarity) { s.Shape.move(m) }

func (d *Drill) move(m geom.Similarity) {
	for i := range d.At {
		d.At[i] = m.Apply(d.At[i])
	}
}

// Report says in lines of text how the slab was found: its registration, with
// the residual of every point. It is empty for a job that does not say.
func (j *Job) Report() []string {
	var out []string
	if v := j.registered; v != nil {
		out = append(out, v.report()...)
	}
	return append(out, j.faceReport()...)
}

func (v *registration) report() []string {
	f := v.fit
	scale := ""
	if f.Scale != 1 {
		scale = fmt.Sprintf(", scaled by %.6f", f.Scale)
	}
	origin := f.Map.Apply(geom.Point{})
	out := []string{fmt.Sprintf("registered by %d touches: turned %.4f deg, the drawing's origin at x %.3f y %.3f%s, largest residual %.3f mm at %s, limit %g mm",
		len(v.touches), f.Angle*180/math.Pi, origin.X, origin.Y, scale, f.Largest(), v.names[f.Worst], v.limit)}
	if f.Spare == 0 {
		out = append(out, "no touch is to spare, so nothing checks this registration: touch off one more point")
	}
	for i, r := range f.Residuals {
		kind := ""
		if v.touches[i].Normal != (geom.Point{}) {
			kind = " (edge)"
		}
		out = append(out, fmt.Sprintf("  %s%s: residual x %+.3f y %+.3f, %.3f mm", v.names[i], kind, r.X, r.Y, r.Len()))
	}
	return out
}
