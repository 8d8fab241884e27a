package drawing

import (
	"math"

	"proofcut/paths/geom"
)

// Dimensions in the manner of ISO 129 (from memory): thin extension lines with
// a gap at the feature and a short overrun, filled slender arrows, the figure
// above the line and readable from below or from the right, millimetres without
// a unit.

// dimension is a horizontal or vertical measure between two places.
type dimension struct {
	a, b     geom.Point // the features
	text     string     // escaped
	vertical bool
	low      bool // a figure that does not fit between goes to the lower end
	level    int  // 0 nearest the drawing
}

// span returns the range that the dimension takes on its line, its text
// included.
func (d dimension) span(unit float64) (lo, hi float64) {
	lo, hi = d.a.X, d.b.X
	if d.vertical {
		lo, hi = d.a.Y, d.b.Y
	}
	if lo > hi {
		lo, hi = hi, lo
	}
	if !d.fits(unit) {
		lo -= 2 * arrowLength * unit
		hi += 2 * arrowLength * unit
		if text := widthOf(d.text, unit) + unit; d.low {
			lo -= text
		} else {
			hi += text
		}
	}
	return lo, hi
}

// arrowLength and arrowWidth are in text heights.
const (
	arrowLength = 1.1
	arrowWidth  = 0.32
)

// fits reports whether arrows and figure stand between the extension lines.
func (d dimension) fits(unit float64) bool {
	size := math.Abs(d.b.X - d.a.X)
	if d.vertical {
		size = math.Abs(d.b.Y - d.a.Y)
	}
	return size >= widthOf(d.text, unit)+(2*arrowLength+0.6)*unit
}

// levels gives each dimension the nearest line on which it meets no other, the
// last of the list, the overall one, a line of its own, and returns how many
// lines there are.
func levels(ds []dimension, unit float64) int {
	most := 0
	for i := range ds {
		lo, hi := ds[i].span(unit)
		level := 0
		for clash := true; clash; {
			clash = false
			for _, o := range ds[:i] {
				olo, ohi := o.span(unit)
				if o.level == level && lo < ohi+unit && olo < hi+unit {
					clash = true
				}
			}
			if clash {
				level++
			}
		}
		if i == len(ds)-1 && i > 0 {
			level = most
		}
		ds[i].level = level
		most = max(most, level+1)
	}
	return most
}

// dimensionStep is the distance between dimension lines in text heights.
const dimensionStep = 2.2

// dimension draws a measure on the line at the height (or, vertical, at the X)
// of base, which lies below or left of the drawing.
func (p *page) dimension(d dimension, base float64) {
	u := p.unit
	at := func(q geom.Point) geom.Point { // the feature's place on the line
		if d.vertical {
			return geom.Pt(base, q.Y)
		}
		return geom.Pt(q.X, base)
	}
	a, b := d.a, d.b
	if !d.vertical && a.X > b.X || d.vertical && a.Y > b.Y {
		a, b = b, a
	}
	la, lb := at(a), at(b)
	dir := lb.Sub(la).Unit()
	out := geom.Pt(0, -1) // from the drawing to the line
	if d.vertical {
		out = geom.Pt(-1, 0)
	}
	p.line("thin", a.Add(out.Mul(0.4*u)), la.Add(out.Mul(0.5*u)))
	p.line("thin", b.Add(out.Mul(0.4*u)), lb.Add(out.Mul(0.5*u)))
	up := geom.Pt(0, 0.25*u) // above the line, read from below or from the right
	if d.vertical {
		up = geom.Pt(-0.25*u, 0)
	}
	if d.fits(u) {
		p.line("thin", la, lb)
		p.arrow(la, dir.Mul(-1))
		p.arrow(lb, dir)
		p.text("dim", la.Lerp(lb, 0.5).Add(up), u, "middle", d.text, d.vertical)
		return
	}
	tail := dir.Mul(2 * arrowLength * u)
	text := dir.Mul(widthOf(d.text, u))
	p.arrow(la, dir)
	p.arrow(lb, dir.Mul(-1))
	if d.low {
		p.line("thin", la.Sub(tail).Sub(text), lb.Add(tail))
		p.text("dim", la.Sub(tail).Add(up), u, "end", d.text, d.vertical)
		return
	}
	p.line("thin", la.Sub(tail), lb.Add(tail).Add(text))
	p.text("dim", lb.Add(tail).Add(up), u, "start", d.text, d.vertical)
}

// arrow draws a filled arrow head with its tip at the place, pointing along
// dir.
func (p *page) arrow(tip, dir geom.Point) {
	back := tip.Sub(dir.Mul(arrowLength * p.unit))
	side := dir.Left().Mul(arrowWidth / 2 * p.unit)
	p.path("solid", "M"+xy(tip)+" "+xy(back.Add(side))+" "+xy(back.Sub(side))+"Z")
}

// gap draws the least distance between two features, with the arrows outside
// and pointing at each other, and its figure as a label.
func (p *page) gap(a, b geom.Point, text string) {
	dir := b.Sub(a).Unit()
	tail := dir.Mul(2 * arrowLength * p.unit)
	p.line("thin", a.Sub(tail), b.Add(tail))
	p.arrow(a, dir)
	p.arrow(b, dir.Mul(-1))
	p.mark(geom.Line(a.Sub(tail), b.Add(tail)), heavy)
	p.label("dim", b.Add(tail), text)
}
