package job

import (
	"fmt"
	"math"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
	"proofcut/paths/slab"
)

// Shape is a closed shape of a job document.
type Shape struct {
	Contour geom.Contour // counter-clockwise

	// Of a circle.
	Centre   geom.Point
	Diameter float64

	// Of a slot: its centre line and width.
	From, To geom.Point
	Width    float64
}

// shapeKeys are the keys that give a shape, in the order of the hint.
var shapeKeys = []string{"rectangle", "circle", "slot", "regular_polygon", "polygon", "points_file", "measured_points"}

// shape reads the one shape key of a mapping.
func (m *mapping) shape() (Shape, bool) {
	var found string
	for _, k := range shapeKeys {
		n, ok := m.get(k)
		if !ok {
			continue
		}
		if found != "" {
			m.r.fail(n, "%s has two shapes, %s and %s; give one", m.what, found, k)
			return Shape{}, false
		}
		found = k
	}
	if found == "" {
		known := shapeKeys
		if m.asked["drawing"] { // which may stand for a shape here
			known = append(known[:len(known):len(known)], "drawing")
		}
		m.r.fail(m.node, "%s lacks a shape; give one of %s", m.what, strings.Join(known, ", "))
		return Shape{}, false
	}
	before := len(m.r.errs)
	s := m.r.shapeOf(found, m.values[found].Value, m.what)
	if len(m.r.errs) > before {
		return Shape{}, false
	}
	if err := geom.RegionOf(s.Contour).Validate(); err != nil {
		m.r.fail(m.values[found].Value, "%s: %s: %v", m.what, found, err)
		return Shape{}, false
	}
	return s, true
}

func (r *reader) shapeOf(kind string, n ast.Node, what string) Shape {
	switch kind {
	case "points_file":
		pts, ok := r.pointsFile(n, what+": points_file", 3)
		if !ok {
			return Shape{}
		}
		return Shape{Contour: r.outline(n, pts, what)}
	case "measured_points":
		return Shape{Contour: r.measured(n, what+": measured_points")}
	}
	m := r.mapping(n, what+": "+kind)
	if m == nil {
		return Shape{}
	}
	defer m.done()
	var s Shape
	switch kind {
	case "circle":
		s.Centre = m.point("at", "[10mm, 10mm]")
		s.Diameter = m.positive("diameter", "6mm")
		if s.Diameter > 0 {
			s.Contour = geom.Circle(s.Centre, s.Diameter/2)
		}
	case "rectangle":
		s.Contour = m.rectangle()
	case "slot":
		s.From = m.point("from", "[2mm, 2mm]")
		s.To = m.point("to", "[8mm, 2mm]")
		s.Width = m.positive("width", "2mm")
		if s.From.Dist(s.To) < geom.Tol {
			r.fail(n, "%s: a slot's ends are the same point; use a circle", what)
		} else if s.Width > 0 {
			s.Contour = geom.Slot(s.From, s.To, s.Width)
		}
	case "regular_polygon":
		at := m.point("at", "[10mm, 10mm]")
		sides := m.whole("sides", "6", nil, 3, 360)
		across := m.positive("across_flats", "8mm")
		turned := m.quantity("turned", "", ptr(0.0), setup.ParseAngle)
		if across > 0 {
			// The radius of the corners from that of the inscribed circle.
			s.Contour = geom.RegularPolygon(at, across/2/math.Cos(math.Pi/float64(sides)), sides, turned)
		}
	case "polygon":
		if list, ok := m.need("points", "[[0, 0], [10, 0], [5, 8]]"); ok {
			s.Contour = r.polygon(list, what)
		}
	}
	return s
}

// rectangle reads 'at' (lower left corner) or 'centre', 'size' and 'corner'.
func (m *mapping) rectangle() geom.Contour {
	size := m.point("size", "[22mm, 5mm]")
	corner := m.atLeast("corner", m.lengthOr("corner", 0), 0)
	var low geom.Point
	if m.has("centre") {
		low = m.point("centre", "[11mm, 2.5mm]").Sub(size.Mul(0.5))
		if n, ok := m.get("at"); ok {
			m.r.fail(n, "%s: give 'at' (the lower left corner) or 'centre', not both", m.what)
		}
	} else {
		low = m.point("at", "[0, 0]")
		m.get("centre") // named in the hint
	}
	if n, ok := m.values["size"]; ok && !(size.X > 0 && size.Y > 0) && !m.failed("size") {
		m.r.fail(n.Value, "%s: both sides of size have to be more than 0", m.what)
		return nil
	}
	if n, ok := m.values["corner"]; ok && 2*corner > math.Min(size.X, size.Y)+geom.Tol {
		m.r.fail(n.Value, "%s: corner is %g mm, more than half of the shorter side", m.what, corner)
		return nil
	}
	if !(size.X > 0 && size.Y > 0) {
		return nil
	}
	return geom.Rect(low, low.Add(size), corner)
}

// point reads a pair of lengths that has to be there.
func (m *mapping) point(key, example string) geom.Point {
	n, ok := m.need(key, example)
	if !ok {
		return geom.Point{}
	}
	return m.r.pair(n, m.what+": "+key)
}

func (r *reader) pair(n ast.Node, what string) geom.Point {
	v := r.pairOf(n, what, r.parseLength)
	return geom.Pt(v[0], v[1])
}

// pairOf reads a list of two quantities.
func (r *reader) pairOf(n ast.Node, what string, parse func(string) (float64, error)) [2]float64 {
	var v [2]float64
	list, ok := n.(*ast.SequenceNode)
	if !ok || len(list.Values) != 2 {
		r.fail(n, "%s has to be a pair such as [10mm, 4mm]", what)
		return v
	}
	for i, e := range list.Values {
		s, ok := r.scalar(e, what)
		if !ok {
			continue
		}
		var err error
		if v[i], err = parse(s); err != nil {
			r.fail(e, "%s: %v", what, err)
		}
	}
	return v
}

// maxCorners bounds the corners of a polygon written into a job.
const maxCorners = 5000

func (r *reader) polygon(n ast.Node, what string) geom.Contour {
	list, ok := r.sequence(n, what+": points")
	if !ok {
		return nil
	}
	if len(list) < 3 || len(list) > maxCorners {
		r.fail(n, "%s: a polygon has from 3 to %d points, not %d", what, maxCorners, len(list))
		return nil
	}
	pts := make([]geom.Point, len(list))
	for i, e := range list {
		pts[i] = r.pair(e, fmt.Sprintf("%s: point %d", what, i+1))
	}
	return r.outline(n, pts, what)
}

// outline joins measured points into a counter-clockwise contour.
func (r *reader) outline(n ast.Node, pts []geom.Point, what string) geom.Contour {
	if i, j, twice := sameTwice(pts); twice {
		r.fail(n, "%s: points %d and %d are the same (x %.6g y %.6g): give every point once", what, i+1, j+1, pts[i].X, pts[i].Y)
		return nil
	}
	c := geom.Polygon(pts...)
	if c.Area() < 0 {
		c = c.Reverse()
	}
	return c
}

// measured reads points measured round an edge in any order, with straight or
// smooth joins.
func (r *reader) measured(n ast.Node, what string) geom.Contour {
	m := r.mapping(n, what)
	if m == nil {
		return nil
	}
	defer m.done()
	var o slab.Options
	o.Ordered = m.choice("order", "any", "any", "given") == "given"
	if m.choice("joins", "straight", "straight", "smooth") == "smooth" {
		o.Join = slab.SmoothJoin
	}
	file, ok := m.need("file", "slab.csv")
	if !ok {
		return nil
	}
	pts, ok := r.pointsFile(file, what+": file", 3)
	if !ok {
		return nil
	}
	c, err := slab.Outline(pts, o)
	if err != nil {
		r.fail(file, "%s: %v", what, err)
		return nil
	}
	return c
}

// pointsFile reads a CSV table with the columns x and y and so many rows or more.
func (r *reader) pointsFile(n ast.Node, what string, least int) ([]geom.Point, bool) {
	t := r.readTable(n, what)
	if t == nil {
		return nil, false
	}
	bad := func(line int, format string, args ...any) {
		r.errs = append(r.errs, &Error{File: t.file, Line: line, Col: 1, Msg: fmt.Sprintf(format, args...)})
	}
	x, y := t.column("x"), t.column("y")
	if x < 0 || y < 0 {
		bad(1, "a table of points has the columns x and y; this one has %q", t.header)
		return nil, false
	}
	if len(t.rows) < least {
		bad(1, "%s needs a table of at least %d points, this one has %d", what, least, len(t.rows))
		return nil, false
	}
	pts := make([]geom.Point, len(t.rows))
	good := true
	for i, row := range t.rows {
		var err1, err2 error
		pts[i].X, err1 = r.parseLength(row[x])
		pts[i].Y, err2 = r.parseLength(row[y])
		for _, err := range []error{err1, err2} {
			if err != nil {
				bad(t.lines[i], "%v", err)
				good = false
			}
		}
	}
	return pts, good
}

func ptr[T any](v T) *T { return &v }

// sameTwice finds two points of an outline that lie in one place: neighbours, or
// any two that are equal. An outline that comes back to a point was measured or
// copied wrong.
func sameTwice(pts []geom.Point) (i, j int, twice bool) {
	seen := make(map[geom.Point]int, len(pts))
	for j, p := range pts {
		if i, ok := seen[p]; ok {
			return i, j, true
		}
		seen[p] = j
		if next := (j + 1) % len(pts); next != j && p.Dist(pts[next]) < geom.Tol {
			return min(j, next), max(j, next), true
		}
	}
	return 0, 0, false
}
