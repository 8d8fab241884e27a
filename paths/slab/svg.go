package slab

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"

	"proofcut/paths/geom"
)

// Limits on drawings: far beyond the outline of a piece of stock, little enough
// that no file keeps the reader busy for long.
const (
	maxSVGBytes    = 16 << 20
	maxSVGDepth    = 64
	maxSVGElements = 100_000
	maxSVGSegments = 500_000 // lines and arcs of the whole drawing
)

// curveTolerance is how far in mm a curve of a drawing may be from its arcs: the
// cut tolerance of a thousandth.
const curveTolerance = 0.001

// svgSpace is the namespace of SVG elements.
const svgSpace = "http://www.w3.org/2000/svg"

// SVGOptions says how a drawing is read.
type SVGOptions struct {
	// UserUnit is how many mm one unit of the root's coordinates is, for a
	// drawing that does not say how large it is; 0 refuses such a drawing. A
	// drawing that says its size keeps it.
	UserUnit float64
}

// Shape is what one element of a drawing draws, in mm, Y up. Every contour and
// path is valid by itself; they may cross.
type Shape struct {
	Element  string // name of the element, such as "path"
	ID       string // its id, if it has one
	Line     int    // where it starts in the file, from 1
	Contours []geom.Contour
	Paths    []geom.Path // subpaths that are not closed
}

// Region returns the points that the shape's contours enclose. SVG fills by
// NonZero unless a style says otherwise. A shape that is not closed is an error.
func (s Shape) Region(rule geom.FillRule) (geom.Region, error) {
	if err := s.closed(); err != nil {
		return nil, err
	}
	return geom.Resolve(s.Contours, rule)
}

func (s Shape) name() string {
	if s.ID == "" {
		return s.Element
	}
	return fmt.Sprintf("%s %q", s.Element, s.ID)
}

// SVGError says what is wrong with a drawing, and in which line.
type SVGError struct {
	Line int // from 1
	Msg  string
}

// Error returns "line 7: ...".
func (e *SVGError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Msg) }

// ReadSVG returns the shapes of a drawing in Scalable Vector Graphics (W3C, SVG
// 1.1 second edition, 2011, and SVG 2, 2018) in the order of the file. The origin
// is the lower left corner of the drawing's viewport and Y points up. Curves
// become arcs that keep within 0.001 mm of them; circles that stay round under
// their transforms are exact.
//
// Read are path (all commands), rect, circle, ellipse, line, polyline, polygon,
// g and a; the attribute transform with all its functions; viewBox,
// preserveAspectRatio, and width and height in mm, cm, in, pt, pc and px (96 px
// are 1 in). A subpath that ends where it began counts as closed. Elements without
// size draw nothing, as the standard says.
//
// Styles are ignored: colours, line widths, fill rules, and visibility, so a
// hidden shape is read too. What is drawn nowhere by itself (defs, symbol,
// gradients ...) and what belongs to another namespace is skipped.
//
// All else is an *SVGError that names the line: text, images, use, inner svg,
// switch, animation, clipping and masks, transforms and shapes given by CSS,
// percentages without a viewBox, a size that is not known, a fault in path data,
// an entity or other document type declarations, a number that is not finite, a
// coordinate beyond 10 m, and a drawing that is too large: over 16 MiB, 100 000
// elements, 64 levels or 500 000 segments.
func ReadSVG(r io.Reader, o SVGOptions) ([]Shape, error) {
	if !(o.UserUnit >= 0 && o.UserUnit <= maxExtent) {
		return nil, fmt.Errorf("user unit of %g mm is out of range", o.UserUnit)
	}
	data, err := io.ReadAll(io.LimitReader(r, maxSVGBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxSVGBytes {
		return nil, fmt.Errorf("the drawing has more than %d bytes", maxSVGBytes)
	}
	d := &drawing{o: o, xml: xml.NewDecoder(bytes.NewReader(data))}
	d.xml.CharsetReader = func(charset string, _ io.Reader) (io.Reader, error) {
		return nil, fmt.Errorf("the encoding %q is not supported: save the drawing as UTF-8", charset)
	}
	if err := d.read(); err != nil {
		return nil, err
	}
	return d.shapes, nil
}

// drawing is the state of reading one.
type drawing struct {
	o        SVGOptions
	xml      *xml.Decoder
	line     int // of the token at hand
	root     bool
	frame    frame
	shapes   []Shape
	elements int
	segments int
}

func (d *drawing) fail(format string, args ...any) error {
	return &SVGError{d.line, fmt.Sprintf(format, args...)}
}

// token returns the next token, nil at the end of the file.
func (d *drawing) token() (xml.Token, error) {
	d.line, _ = d.xml.InputPos()
	t, err := d.xml.Token()
	if errors.Is(err, io.EOF) {
		return nil, nil
	}
	if err != nil {
		var e *xml.SyntaxError
		if errors.As(err, &e) {
			if strings.Contains(e.Msg, "invalid character entity") {
				return nil, &SVGError{e.Line, "entities are not supported (" + e.Msg + ")"}
			}
			return nil, &SVGError{e.Line, "not XML: " + e.Msg}
		}
		return nil, d.fail("%v", err)
	}
	return t, nil
}

// read goes through the file. The transforms of open groups are on the stack.
func (d *drawing) read() error {
	var stack []affine
	skipped := 0 // depth in an element that is not drawn
	style := false
	for {
		t, err := d.token()
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case nil:
			if !d.root {
				return d.fail("there is no svg element")
			}
			return nil
		case xml.Directive:
			// A document type names the standard; what it declares could be anything.
			if bytes.ContainsAny(t, "[<") {
				return d.fail("declarations in the document type are not supported: remove the part in [ ]")
			}
		case xml.CharData:
			if style && cssGeometry.Match(cssComment.ReplaceAll(t, nil)) {
				return d.fail("a style sheet that moves or shapes elements is not supported: use attributes")
			}
		case xml.StartElement:
			d.elements++
			if d.elements > maxSVGElements {
				return d.fail("more than %d elements", maxSVGElements)
			}
			if len(stack)+skipped >= maxSVGDepth {
				return d.fail("nested deeper than %d levels", maxSVGDepth)
			}
			style = t.Name.Local == "style"
			if skipped > 0 {
				skipped++
				continue
			}
			if !d.root {
				m, err := d.openRoot(t)
				if err != nil {
					return err
				}
				d.root = true
				stack = append(stack, m)
				continue
			}
			if len(stack) == 0 {
				return d.fail("%s after the end of the drawing", t.Name.Local)
			}
			m, inside, err := d.element(t, stack[len(stack)-1])
			if err != nil {
				return err
			}
			if !inside {
				skipped = 1
				continue
			}
			stack = append(stack, m)
		case xml.EndElement:
			style = false
			if skipped > 0 {
				skipped--
			} else {
				stack = stack[:len(stack)-1]
			}
		}
	}
}

// Elements by what is done with them. All others of the namespace are refused.
var (
	groupElements = set("g", "a")
	shapeElements = set("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")
	// Never drawn by themselves, or not at all.
	skippedElements = set("defs", "symbol", "clipPath", "mask", "pattern", "marker", "linearGradient",
		"radialGradient", "filter", "title", "desc", "metadata", "style", "script", "view", "cursor",
		"font", "font-face", "color-profile", "hatch", "solidcolor")
	refusedElements = map[string]string{
		"text":          "turn text into paths",
		"image":         "pictures have no outline",
		"use":           "turn the copy into an object of its own",
		"svg":           "put all into one svg element",
		"switch":        "keep one of its branches",
		"foreignObject": "remove it",
	}
	animationElements = set("animate", "animateTransform", "animateMotion", "animateColor", "set", "mpath", "discard")
)

func set(names ...string) map[string]bool {
	m := make(map[string]bool, len(names))
	for _, n := range names {
		m[n] = true
	}
	return m
}

// element reads one element under the transform m. It returns the transform for
// what is inside, and whether that is to be read.
func (d *drawing) element(t xml.StartElement, m affine) (affine, bool, error) {
	name := t.Name.Local
	if t.Name.Space != "" && t.Name.Space != svgSpace {
		return m, false, nil
	}
	if skippedElements[name] {
		if name == "style" {
			return m, true, nil // its text is looked through
		}
		return m, false, nil
	}
	if !groupElements[name] && !shapeElements[name] {
		if advice, ok := refusedElements[name]; ok {
			return m, false, d.fail("%s is not supported: %s", name, advice)
		}
		if animationElements[name] {
			return m, false, d.fail("%s is not supported: a drawing to be cut does not move", name)
		}
		return m, false, d.fail("element %q is not supported", name)
	}
	a, err := d.attributes(t)
	if err != nil {
		return m, false, err
	}
	own, err := parseTransform(a["transform"])
	if err != nil {
		return m, false, d.fail("%s: transform: %v", name, err)
	}
	m = m.after(own)
	if !m.finite() {
		return m, false, d.fail("%s: transform: the numbers grow out of range", name)
	}
	if !shapeElements[name] {
		return m, true, nil
	}
	if m.flat() {
		return m, false, d.fail("%s: the transform leaves nothing of the shape: it has no inverse", name)
	}
	b := &builder{m: m, room: maxSVGSegments - d.segments}
	if err := d.draw(b, name, a); err != nil {
		return m, false, err
	}
	contours, paths, err := b.finish()
	shape := Shape{Element: name, ID: a["id"], Line: d.line, Contours: contours, Paths: paths}
	if err != nil {
		return m, false, d.fail("%s: %v", shape.name(), err)
	}
	d.segments += b.count
	if len(contours)+len(paths) > 0 {
		d.shapes = append(d.shapes, shape)
	}
	return m, true, nil // a shape may hold a title, or an animation, which is refused
}

// Style properties that move or shape what is drawn (SVG 2, 8.5 and 9; CSS
// Transforms).
var (
	cssGeometry = regexp.MustCompile(`(?i)(?:^|[\s;{])(?:transform|transform-origin|transform-box|translate|rotate|scale|zoom|d|cx|cy|r|rx|ry|x|y|width|height|clip-path|mask|mask-image|offset-path|offset)\s*:`)
	cssComment  = regexp.MustCompile(`(?s)/\*.*?\*/`)
)

// attributes returns the element's attributes without those of other namespaces,
// refusing those that change the shape in ways that are not followed.
func (d *drawing) attributes(t xml.StartElement) (map[string]string, error) {
	a := make(map[string]string, len(t.Attr))
	for _, x := range t.Attr {
		if x.Name.Space != "" {
			continue
		}
		if _, twice := a[x.Name.Local]; twice {
			return nil, d.fail("%s has the attribute %s twice", t.Name.Local, x.Name.Local)
		}
		a[x.Name.Local] = x.Value
	}
	for _, name := range []string{"clip-path", "mask", "transform-origin"} {
		if v := strings.TrimSpace(a[name]); v != "" && v != "none" {
			return nil, d.fail("%s: %s is not supported: draw what is left", t.Name.Local, name)
		}
	}
	if cssGeometry.MatchString(cssComment.ReplaceAllString(a["style"], "")) {
		return nil, d.fail("%s: a style that moves or shapes the element is not supported: use attributes", t.Name.Local)
	}
	return a, nil
}

// number is finite and within what coordinates may be before transforms.
func plausible(v float64) bool { return math.Abs(v) <= maxUserNumber }

// maxUserNumber bounds the numbers in a drawing, in any unit: products of a few
// stay far from the limits of a float64.
const maxUserNumber = 1e9
