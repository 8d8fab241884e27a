package slab

import (
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"strings"

	"proofcut/paths/setup"
)

// frame is the coordinate system of the root: what percentages refer to.
type frame struct {
	width, height float64 // of the viewport in user units, 0 if not known
}

// A CSS pixel is 1/96 in, a point 1/72 in, a pica 1/6 in (CSS Values and Units 3,
// section 6.2; SVG 1.1 section 7.10).
var unitMM = map[string]float64{
	"": setup.MMPerInch / 96, "px": setup.MMPerInch / 96,
	"mm": 1, "cm": 10, "q": 0.25, "in": setup.MMPerInch, "pt": setup.MMPerInch / 72, "pc": setup.MMPerInch / 6,
}

// splitLength splits "12.5mm" into number and unit in lower case.
func splitLength(s string) (float64, string, error) {
	s = strings.Trim(s, blanks)
	sc := &scanner{text: s}
	v, err := sc.number()
	if err != nil {
		return 0, "", fmt.Errorf("%q is not a length", s)
	}
	unit := strings.ToLower(s[sc.pos:])
	if unit == "%" {
		return v, unit, nil
	}
	if _, ok := unitMM[unit]; !ok {
		return 0, "", fmt.Errorf("the unit of %q is not supported: use mm, cm, in, pt, pc or px", s)
	}
	return v, unit, nil
}

// physical returns a size of the root in mm; known is false for one that is left
// out, auto, or a share of a page that is not known.
func physical(s string) (mm float64, known bool, err error) {
	if s = strings.Trim(s, blanks); s == "" || s == "auto" {
		return 0, false, nil
	}
	v, unit, err := splitLength(s)
	switch {
	case err != nil:
		return 0, false, err
	case !(v > 0):
		return 0, false, fmt.Errorf("%q is not a size", s)
	case unit == "%":
		return 0, false, nil
	}
	return v * unitMM[unit], true, nil
}

// openRoot reads the size of the drawing and returns the map from its user units
// to mm with Y up.
func (d *drawing) openRoot(t xml.StartElement) (affine, error) {
	if t.Name.Local != "svg" || t.Name.Space != "" && t.Name.Space != svgSpace {
		return affine{}, d.fail("the root is %q, not svg", t.Name.Local)
	}
	a, err := d.attributes(t)
	if err != nil {
		return affine{}, err
	}
	if strings.Trim(a["transform"], blanks) != "" {
		return affine{}, d.fail("a transform of the root is not supported: put it on a group")
	}
	w, haveW, err := physical(a["width"])
	if err != nil {
		return affine{}, d.fail("width: %v", err)
	}
	h, haveH, err := physical(a["height"])
	if err != nil {
		return affine{}, d.fail("height: %v", err)
	}
	box, haveBox, err := parseViewBox(a["viewBox"])
	if err != nil {
		return affine{}, d.fail("viewBox: %v", err)
	}
	fit, err := parseAspect(a["preserveAspectRatio"])
	if err != nil {
		return affine{}, d.fail("preserveAspectRatio: %v", err)
	}
	if !haveBox {
		return d.plainRoot(a, w, haveW, h, haveH)
	}
	d.frame = frame{box.w, box.h}
	switch {
	case haveW && haveH:
	case haveW: // the other from the shape of the viewBox (SVG 2, 8.7)
		h = w * box.h / box.w
	case haveH:
		w = h * box.w / box.h
	case d.o.UserUnit > 0:
		w, h = box.w*d.o.UserUnit, box.h*d.o.UserUnit
	default:
		return affine{}, d.fail("the drawing does not say how large it is: give svg a width and height in mm, or state the unit")
	}
	if w > maxExtent || h > maxExtent {
		return affine{}, d.fail("the drawing is %g x %g mm, over %g m", w, h, maxExtent/1000)
	}
	return fit.place(box, w, h), nil
}

// plainRoot is a root without viewBox: its unit is the pixel. Without a height
// there is no lower edge, and the origin is the upper left corner.
func (d *drawing) plainRoot(a map[string]string, w float64, haveW bool, h float64, haveH bool) (affine, error) {
	for _, name := range []string{"width", "height"} {
		if strings.HasSuffix(strings.Trim(a[name], blanks), "%") {
			return affine{}, d.fail("%s in percent without a viewBox: the size is not known", name)
		}
	}
	unit := unitMM["px"]
	if !haveW && !haveH && d.o.UserUnit > 0 {
		unit = d.o.UserUnit
	}
	if w > maxExtent || h > maxExtent {
		return affine{}, d.fail("the drawing is %g x %g mm, over %g m", w, h, maxExtent/1000)
	}
	return affine{a: unit, d: -unit, f: h}, nil
}

type viewBox struct{ x, y, w, h float64 }

func parseViewBox(s string) (viewBox, bool, error) {
	if strings.Trim(s, blanks) == "" {
		return viewBox{}, false, nil
	}
	v, err := numberList(s)
	switch {
	case err != nil:
		return viewBox{}, false, err
	case len(v) != 4:
		return viewBox{}, false, fmt.Errorf("%d numbers, not 4", len(v))
	case !(v[2] > 0 && v[3] > 0):
		return viewBox{}, false, errors.New("its width and height must be positive")
	}
	return viewBox{v[0], v[1], v[2], v[3]}, true, nil
}

// aspect is the value of preserveAspectRatio (SVG 1.1, 7.8): where the viewBox
// goes in the viewport, 0 to 1 in each axis, and how it is scaled.
type aspect struct {
	stretch, slice bool
	x, y           float64
}

func parseAspect(s string) (aspect, error) {
	words := strings.Fields(s)
	if len(words) > 0 && words[0] == "defer" { // means something for images only
		words = words[1:]
	}
	if len(words) == 0 {
		return aspect{x: 0.5, y: 0.5}, nil
	}
	var fit aspect
	if words[0] == "none" {
		fit.stretch = true
	} else {
		align := map[string]float64{"Min": 0, "Mid": 0.5, "Max": 1}
		w := words[0]
		if len(w) != 8 || w[0] != 'x' || w[4] != 'Y' {
			return aspect{}, fmt.Errorf("%q is not known", w)
		}
		var okX, okY bool
		fit.x, okX = align[w[1:4]]
		fit.y, okY = align[w[5:8]]
		if !okX || !okY {
			return aspect{}, fmt.Errorf("%q is not known", w)
		}
	}
	if len(words) > 2 || len(words) == 2 && words[1] != "meet" && words[1] != "slice" {
		return aspect{}, fmt.Errorf("%q is not known", s)
	}
	fit.slice = len(words) == 2 && words[1] == "slice"
	return fit, nil
}

// place returns the map from the viewBox to a viewport of w by h mm whose lower
// left corner is the origin, Y up (SVG 2, 8.2).
func (fit aspect) place(box viewBox, w, h float64) affine {
	sx, sy := w/box.w, h/box.h
	if !fit.stretch {
		s := math.Min(sx, sy)
		if fit.slice {
			s = math.Max(sx, sy)
		}
		sx, sy = s, s
	}
	// In the viewport, Y down: x' = sx (x - box.x) + what is left over, shared.
	ex := (w-sx*box.w)*fit.x - sx*box.x
	ey := (h-sy*box.h)*fit.y - sy*box.y
	return affine{a: sx, d: -sy, e: ex, f: h - ey}
}
