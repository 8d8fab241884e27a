package slab

import (
	"fmt"
	"math"
	"strings"

	"proofcut/paths/geom"
)

// draw draws the element from its attributes (SVG 1.1, 8 and 9).
func (d *drawing) draw(b *builder, name string, a map[string]string) error {
	l := lengths{d: d, element: name, a: a}
	var err error
	switch name {
	case "path":
		if err := drawPath(b, a["d"]); err != nil {
			return d.fail("%s: d: %v", Shape{Element: name, ID: a["id"]}.name(), err)
		}
		return nil
	case "polyline", "polygon":
		return d.drawPoints(b, name, a)
	case "line":
		x1, y1, x2, y2 := l.get("x1", 'x'), l.get("y1", 'y'), l.get("x2", 'x'), l.get("y2", 'y')
		if l.err == nil {
			if err = b.move(geom.Pt(x1, y1)); err == nil {
				err = b.line(geom.Pt(x2, y2))
			}
		}
	case "circle":
		c, r := geom.Pt(l.get("cx", 'x'), l.get("cy", 'y')), l.size("r", 'd')
		if l.err == nil && r > 0 {
			err = b.ellipse(c, r, r)
		}
	case "ellipse":
		c := geom.Pt(l.get("cx", 'x'), l.get("cy", 'y'))
		rx, ry := l.radii()
		if l.err == nil && rx > 0 && ry > 0 {
			err = b.ellipse(c, rx, ry)
		}
	case "rect":
		x, y, w, h := l.get("x", 'x'), l.get("y", 'y'), l.size("width", 'x'), l.size("height", 'y')
		rx, ry := l.radii()
		if l.err == nil && w > 0 && h > 0 {
			err = b.rect(x, y, w, h, math.Min(rx, w/2), math.Min(ry, h/2))
		}
	}
	if l.err != nil {
		return l.err
	}
	if err != nil {
		return d.fail("%s: %v", Shape{Element: name, ID: a["id"]}.name(), err)
	}
	return nil
}

// rect draws a rectangle in the order of SVG 1.1, 9.2.
func (b *builder) rect(x, y, w, h, rx, ry float64) error {
	if rx == 0 || ry == 0 {
		rx, ry = 0, 0
	}
	corners := []struct{ line, arc geom.Point }{
		{geom.Pt(x+w-rx, y), geom.Pt(x+w, y+ry)},
		{geom.Pt(x+w, y+h-ry), geom.Pt(x+w-rx, y+h)},
		{geom.Pt(x+rx, y+h), geom.Pt(x, y+h-ry)},
		{geom.Pt(x, y+ry), geom.Pt(x+rx, y)},
	}
	from := corners[3].arc
	if err := b.move(from); err != nil {
		return err
	}
	for _, c := range corners {
		if err := b.line(c.line); err != nil {
			return err
		}
		if err := b.arc(c.line, c.arc, rx, ry, 0, false, true); err != nil {
			return err
		}
	}
	b.close()
	return nil
}

// drawPoints draws polyline and polygon (SVG 1.1, 9.6 and 9.7).
func (d *drawing) drawPoints(b *builder, name string, a map[string]string) error {
	who := Shape{Element: name, ID: a["id"]}.name()
	v, err := numberList(a["points"])
	if err != nil {
		return d.fail("%s: points: %v", who, err)
	}
	if len(v)%2 != 0 {
		return d.fail("%s: points: %d numbers, the last point has no y", who, len(v))
	}
	for i := 0; i < len(v); i += 2 {
		p := geom.Pt(v[i], v[i+1])
		if i == 0 {
			err = b.move(p)
		} else {
			err = b.line(p)
		}
		if err != nil {
			return d.fail("%s: points: %v", who, err)
		}
	}
	if name == "polygon" {
		b.close()
	}
	return nil
}

// lengths reads attributes that are lengths; the first fault stays.
type lengths struct {
	d       *drawing
	element string
	a       map[string]string
	err     error
}

// get returns a length in user units, 0 if the attribute is missing. A percentage
// is of the viewBox: of its width ('x'), its height ('y') or its diagonal over the
// square root of 2 ('d') (SVG 1.1, 7.10).
func (l *lengths) get(name string, axis byte) float64 {
	text := strings.Trim(l.a[name], blanks)
	if text == "" || l.err != nil {
		return 0
	}
	v, unit, err := splitLength(text)
	if err != nil {
		l.fail(name, err)
		return 0
	}
	if unit != "%" {
		return v * unitMM[unit] / unitMM["px"]
	}
	f := l.d.frame
	if f.width == 0 {
		l.fail(name, fmt.Errorf("%q is a percentage, but svg has no viewBox", text))
		return 0
	}
	of := map[byte]float64{'x': f.width, 'y': f.height, 'd': math.Hypot(f.width, f.height) / math.Sqrt2}[axis]
	return v / 100 * of
}

// size is a length that may not be negative.
func (l *lengths) size(name string, axis byte) float64 {
	v := l.get(name, axis)
	if v < 0 {
		l.fail(name, fmt.Errorf("%q is negative", l.a[name]))
	}
	return v
}

// radii returns rx and ry; one that is missing or auto is like the other.
func (l *lengths) radii() (rx, ry float64) {
	auto := func(name string) bool {
		s := strings.Trim(l.a[name], blanks)
		return s == "" || s == "auto"
	}
	if !auto("rx") {
		rx = l.size("rx", 'x')
	}
	if !auto("ry") {
		ry = l.size("ry", 'y')
	}
	if auto("rx") {
		rx = ry
	}
	if auto("ry") {
		ry = rx
	}
	return rx, ry
}

func (l *lengths) fail(name string, err error) {
	if l.err == nil {
		l.err = l.d.fail("%s: %s: %v", l.element, name, err)
	}
}
