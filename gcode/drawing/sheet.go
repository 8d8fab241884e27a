package drawing

import (
	"errors"
	"fmt"
	"io"
	"math"

	"proofcut/paths/geom"
)

// Sizes of text, in mm: a fraction of what is drawn, within what can be read
// and what leaves room for the drawing; of something very large no less than
// the least fraction.
const (
	textPart  = 1.0 / 40
	textMin   = 0.7
	textMax   = 6
	textLeast = 1.0 / 250
)

// maxExtent bounds what can be drawn, mm: beyond it numbers of three decimals
// and a page make no sense.
const maxExtent = 1e5

// WriteSVG writes the drawing. It returns the first error of a motion, of the
// geometry, or of w.
func (d *Drawing) WriteSVG(w io.Writer) error {
	if d.err != nil {
		return d.err
	}
	rings := make([]geom.Region, len(d.set.Zones))
	box := d.set.Stock.Outline.Bounds().Union(d.feeds.bounds()).Union(d.rapids.bounds())
	for i, z := range d.set.Zones {
		ring := z.Area
		if z.Clearance > 0 {
			var err error
			if ring, err = geom.Offset(z.Area, z.Clearance, geom.OffsetOptions{}); err != nil {
				return fmt.Errorf("drawing: the clearance of zone %q: %w", z.Name, err)
			}
		}
		rings[i] = ring
		box = box.Union(ring.Bounds())
	}
	for _, part := range d.set.Parts {
		box = box.Union(part.Outline.Bounds())
	}
	for _, f := range d.flaws() {
		box = box.Union(f.Area.Bounds())
	}
	if box.Empty() {
		return errors.New("drawing: there is neither stock nor motion to draw")
	}
	size := math.Max(box.Size().X, box.Size().Y)
	if !(size <= maxExtent) || !(math.Abs(box.Min.X)+math.Abs(box.Min.Y) <= 10*maxExtent) {
		return fmt.Errorf("drawing: what is to be drawn reaches over %.4g mm", size)
	}
	// Program zero belongs to the picture unless it is far off.
	if zero := (geom.Box{}); box.Distance(zero) < size {
		box = box.Union(zero)
	}

	unit := math.Max(math.Min(textMax, math.Max(textMin, size*textPart)), size*textLeast)
	p := &page{unit: unit, ink: map[[2]int]float64{}}
	p.field = box.Grow(2 * p.unit)
	d.marks(p, rings)

	stock := regionData(d.set.Stock.Outline)
	p.path("stock", stock)
	legend := d.cuts(p)
	p.path("edge", stock)
	d.zones(p, rings)
	d.drawFlaws(p)
	d.parts(p)
	d.signs(p)
	d.edge(p)
	d.labels(p)
	drawn := d.dimensions(p)
	d.block(p, drawn, legend)

	_, err := io.WriteString(w, d.head(p)+p.b.String()+"</svg>\n")
	return err
}

// head writes the root element, the styles and the hatch. Colours are dark
// enough to print in black; where two lines may meet, their patterns differ.
func (d *Drawing) head(p *page) string {
	u := p.unit
	f := func(k float64) string { return num(k * u) }
	size := p.field.Size()
	s := `<?xml version="1.0" encoding="UTF-8"?>` + "\n" +
		fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="%s %s %s %s">`,
			num(size.X), num(size.Y), num(p.field.Min.X), num(-p.field.Max.Y), num(size.X), num(size.Y)) + "\n" +
		"<title>" + escape(d.title.Job, 80) + "</title>\n<style>\n" +
		"path,circle,rect{fill:none;stroke:#000;stroke-linecap:round;stroke-linejoin:round}\n" +
		"text{font-family:sans-serif;fill:#000}\n" +
		".label{stroke:#fff;stroke-width:" + f(0.25) + ";paint-order:stroke;stroke-linejoin:round}\n" +
		".dim{stroke:#fff;stroke-width:" + f(0.2) + ";paint-order:stroke}\n" +
		".bold{font-weight:bold}\n" +
		"rect.sheet{fill:#fff;stroke-width:" + f(0.1) + "}\n" +
		".thin{stroke-width:" + f(0.07) + "}\n" +
		"path.solid,circle.dot,rect.dot{fill:#000;stroke:none}\n" +
		"path.stock{fill:#f6f2e7;stroke:none}\n" +
		"path.edge{stroke-width:" + f(0.2) + "}\n" +
		"path.part{stroke-width:" + f(0.16) + "}\n" +
		"path.zone{fill:url(#hatch);stroke:#8c2f1b;stroke-width:" + f(0.16) + "}\n" +
		"path.clear{stroke:#8c2f1b;stroke-width:" + f(0.1) + ";stroke-dasharray:" + f(1) + " " + f(0.25) + " " + f(0.1) + " " + f(0.25) + "}\n" +
		".rapid{stroke:#777;stroke-width:" + f(0.07) + ";stroke-dasharray:" + f(0.7) + " " + f(0.5) + "}\n" +
		".axis{stroke-width:" + f(0.07) + ";stroke-dasharray:" + f(1.4) + " " + f(0.25) + " " + f(0.25) + " " + f(0.25) + "}\n" +
		".vee{stroke:#101d42;stroke-width:" + f(0.1) + "}\n" +
		".kerf{stroke:#d5dde4;stroke-opacity:.8}\n" +
		"circle.hole{fill:#d5dde4;stroke:#101d42;stroke-width:" + f(0.15) + "}\n" +
		".air{stroke:#3d7a5a;stroke-width:" + f(0.08) + ";stroke-dasharray:0 " + f(0.3) + "}\n" +
		".cut0{stroke:#2a8f86;stroke-width:" + f(0.1) + ";stroke-dasharray:" + f(0.35) + " " + f(0.22) + "}\n" +
		".cut1{stroke:#2569a8;stroke-width:" + f(0.12) + ";stroke-dasharray:" + f(0.9) + " " + f(0.25) + "}\n" +
		".cut2{stroke:#5c3d99;stroke-width:" + f(0.13) + ";stroke-dasharray:" + f(1.2) + " " + f(0.22) + " " + f(0.2) + " " + f(0.22) + "}\n" +
		".cut3{stroke:#101d42;stroke-width:" + f(0.15) + "}\n" +
		d.flawStyle(u) + "</style>\n" +
		fmt.Sprintf(`<defs><pattern id="hatch" width="%s" height="%s" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">`, f(0.8), f(0.8)) +
		fmt.Sprintf(`<path d="M0 0V%s" style="stroke:#c98f80;stroke-width:%s"/></pattern></defs>`, f(0.8), f(0.12)) + "\n"
	return s + fmt.Sprintf(`<rect class="sheet" x="%s" y="%s" width="%s" height="%s"/>`,
		num(p.field.Min.X), num(-p.field.Max.Y), num(size.X), num(size.Y)) + "\n"
}

// marks notes all lines that labels should keep off.
func (d *Drawing) marks(p *page, rings []geom.Region) {
	p.markRegion(d.set.Stock.Outline)
	for i, z := range d.set.Zones {
		p.markRegion(z.Area)
		p.markRegion(rings[i])
	}
	for _, part := range d.set.Parts {
		p.markRegion(part.Outline)
	}
	for _, f := range d.flaws() {
		p.markRegion(f.Area)
	}
	for _, m := range d.feeds.list {
		p.mark(m.seg(), heavy)
	}
	for _, m := range d.rapids.list {
		p.mark(m.seg(), light)
	}
	// The extension lines of the dimensions, which are drawn last.
	across, up := d.measures(p)
	for _, m := range append(across, up...) {
		for _, q := range []geom.Point{m.a, m.b} {
			to := geom.Pt(q.X, p.field.Min.Y)
			if m.vertical {
				to = geom.Pt(p.field.Min.X, q.Y)
			}
			p.mark(geom.Line(q, to), medium)
		}
	}
	if d.moved {
		for _, q := range []geom.Point{d.start.XY(), d.end.XY()} {
			r := geom.Pt(0.4*p.unit, 0.4*p.unit)
			p.markRegion(geom.Region{geom.Polygon(q.Sub(r), q.Add(geom.Pt(r.X, -r.Y)), q.Add(r), q.Add(geom.Pt(-r.X, r.Y)))})
		}
	}
}

func (d *Drawing) zones(p *page, rings []geom.Region) {
	for i, z := range d.set.Zones {
		p.path("zone", regionData(z.Area))
		if z.Clearance > 0 {
			p.path("clear", regionData(rings[i]))
		}
	}
}

func (d *Drawing) parts(p *page) {
	for _, part := range d.set.Parts {
		p.path("part", regionData(part.Outline))
	}
}

// signs draws program zero with its axes, and where the program starts and ends.
func (d *Drawing) signs(p *page) {
	u := p.unit
	if p.field.Contains(geom.Pt(0, 0)) {
		r := 0.6 * u
		p.circle("thin", geom.Pt(0, 0), r)
		for _, q := range []float64{0, math.Pi} { // two quarters filled
			a, b := geom.Polar(r, q), geom.Polar(r, q+math.Pi/2)
			p.path("solid", "M0 0L"+xy(a)+"A"+num(r)+" "+num(r)+" 0 0 0 "+xy(b)+"Z")
		}
		for _, axis := range []struct {
			dir  geom.Point
			name string
		}{{geom.Pt(1, 0), "X"}, {geom.Pt(0, 1), "Y"}} {
			end := axis.dir.Mul(5 * u)
			p.line("axis", axis.dir.Mul(r), end)
			p.arrow(end.Add(axis.dir.Mul(arrowLength*u)), axis.dir)
			at := end.Add(axis.dir.Mul(1.2 * u)).Add(geom.Pt(-axis.dir.Y, axis.dir.X).Mul(0.35 * u))
			p.text("label bold", at, u, "middle", axis.name, false)
			p.taken = append(p.taken, geom.Box{Min: at.Sub(geom.Pt(0.5*u, 0.2*u)), Max: at.Add(geom.Pt(0.5*u, 0.9*u))})
			p.mark(geom.Line(geom.Point{}, end), heavy)
		}
		p.taken = append(p.taken, geom.Box{Min: geom.Pt(-r, -r), Max: geom.Pt(r, r)})
	}
	if !d.moved {
		return
	}
	start, end := d.start.XY(), d.end.XY()
	p.circle("thin", start, 0.45*u)
	p.circle("dot", start, 0.15*u)
	r := 0.45 * u
	p.element("rect", "thin", fmt.Sprintf(`x="%s" y="%s" width="%s" height="%s"`, num(end.X-r), num(-end.Y-r), num(2*r), num(2*r)))
}

// edge draws the least distance from a part to the slab's edge.
func (d *Drawing) edge(p *page) {
	if a, b, _, ok := d.nearestEdge(); ok {
		p.gap(a, b, num(a.Dist(b)))
	}
}

// nearestEdge returns the two nearest points of a part's and the stock's
// outline, and the part.
func (d *Drawing) nearestEdge() (onPart, onStock geom.Point, part int, ok bool) {
	best := math.Inf(1)
	for i, q := range d.set.Parts {
		for _, pc := range q.Outline {
			for _, ps := range pc {
				for _, sc := range d.set.Stock.Outline {
					for _, ss := range sc {
						if ps.Bounds().Distance(ss.Bounds()) >= best {
							continue
						}
						if dist := ps.DistanceTo(ss); dist < best-resolution/10 {
							a, b := nearest(ps, ss)
							best, onPart, onStock, part = dist, a, b, i
						}
					}
				}
			}
		}
	}
	// A part that is the slab itself or shares its edge has nothing to show,
	// nor has a pair of points that did not settle on the true distance.
	ok = best < math.Inf(1) && best > resolution && onPart.Dist(onStock) < best+resolution/2
	return onPart, onStock, part, ok
}

// nearest returns the points of two segments that lie nearest to each other, by
// going from one to the other from several starts until nothing changes.
func nearest(s, o geom.Seg) (a, b geom.Point) {
	best := math.Inf(1)
	for i := range 9 {
		p := s.At(float64(i) / 8)
		q := o.Closest(p)
		for range 100 {
			p2 := s.Closest(q)
			q2 := o.Closest(p2)
			if p2.Dist(p) < geom.Tol && q2.Dist(q) < geom.Tol {
				break
			}
			p, q = p2, q2
		}
		if dist := p.Dist(q); dist < best {
			a, b, best = p, q, dist
		}
	}
	return a, b
}

// labels names zones, parts and the ends of the program.
func (d *Drawing) labels(p *page) {
	for _, part := range d.set.Parts {
		lines := []string{escape(part.Name, 24)}
		at := part.At
		if part.Diameter > 0 {
			lines = append(lines, "⌀"+num(part.Diameter))
		} else {
			at = part.Outline.Bounds().Center()
		}
		p.label("label", at, lines...)
	}
	for _, f := range d.flaws() {
		p.label("label", f.Area.Bounds().Center(), escape(f.Name, 24))
	}
	for _, z := range d.set.Zones {
		p.label("label", z.Area.Bounds().Center(), escape(z.Name, 24))
	}
	if !d.moved {
		return
	}
	start, end := d.start.XY(), d.end.XY()
	if start.Dist(end) < resolution {
		p.label("label", start, "start, end")
		return
	}
	p.label("label", start, "start")
	p.label("label", end, "end")
}

// dimensions draws the measures round the picture and returns the box of all.
func (d *Drawing) dimensions(p *page) geom.Box {
	across, up := d.measures(p)
	u := p.unit
	box := p.field
	nAcross, nUp := levels(across, u), levels(up, u)
	for _, m := range across {
		p.dimension(m, box.Min.Y-(float64(m.level)+0.75)*dimensionStep*u)
	}
	for _, m := range up {
		p.dimension(m, box.Min.X-(float64(m.level)+0.75)*dimensionStep*u)
	}
	out := box
	out.Min.Y -= (float64(nAcross)+0.25)*dimensionStep*u + 0.6*u
	out.Min.X -= (float64(nUp) + 0.25) * dimensionStep * u
	for _, m := range across {
		lo, hi := m.span(u)
		out.Min.X, out.Max.X = math.Min(out.Min.X, lo), math.Max(out.Max.X, hi)
	}
	for _, m := range up {
		_, hi := m.span(u)
		out.Max.Y = math.Max(out.Max.Y, hi)
	}
	return out
}

// measures lists the dimensions below and left of the drawing, the overall ones
// last.
func (d *Drawing) measures(p *page) (across, up []dimension) {
	stock := d.set.Stock.Outline.Bounds()
	if stock.Empty() {
		return nil, nil
	}
	zero := geom.Pt(0, 0)
	if p.field.Contains(zero) {
		low := true // of the vertical one, lest two figures meet in the corner
		if math.Abs(stock.Min.X) > resolution {
			m := dimension{a: zero, b: stock.Min, text: num(math.Abs(stock.Min.X)), low: true}
			across, low = append(across, m), m.fits(p.unit)
		}
		if math.Abs(stock.Min.Y) > resolution {
			up = append(up, dimension{a: zero, b: stock.Min, text: num(math.Abs(stock.Min.Y)), vertical: true, low: low})
		}
	}
	across, up = d.partMeasures(stock, across, up)
	across = append(across, dimension{a: stock.Min, b: geom.Pt(stock.Max.X, stock.Min.Y), text: num(stock.Size().X)})
	up = append(up, dimension{a: stock.Min, b: geom.Pt(stock.Min.X, stock.Max.Y), text: num(stock.Size().Y), vertical: true})
	return across, up
}

// partMeasures adds the diameter of the lowest disc of each size, and width and
// height of the first part that is no disc and not the whole stock.
func (d *Drawing) partMeasures(stock geom.Box, across, up []dimension) ([]dimension, []dimension) {
	const most = 3
	var sizes []float64
	lowest := map[float64]int{}
	other := -1
	for i, part := range d.set.Parts {
		if part.Diameter <= 0 {
			if other < 0 && !part.Outline.Bounds().Empty() {
				other = i
			}
			continue
		}
		k := math.Round(part.Diameter/resolution) * resolution
		j, ok := lowest[k]
		if !ok {
			sizes = append(sizes, k)
		}
		if !ok || part.At.Y < d.set.Parts[j].At.Y {
			lowest[k] = i
		}
	}
	for i, k := range sizes {
		if i == most {
			break
		}
		part := d.set.Parts[lowest[k]]
		r := geom.Pt(part.Diameter/2, 0)
		across = append(across, dimension{a: part.At.Sub(r), b: part.At.Add(r), text: "⌀" + num(part.Diameter)})
	}
	if other >= 0 {
		b := d.set.Parts[other].Outline.Bounds()
		if math.Abs(b.Size().X-stock.Size().X) > resolution {
			across = append(across, dimension{a: b.Min, b: geom.Pt(b.Max.X, b.Min.Y), text: num(b.Size().X)})
		}
		if math.Abs(b.Size().Y-stock.Size().Y) > resolution {
			up = append(up, dimension{a: b.Min, b: geom.Pt(b.Min.X, b.Max.Y), text: num(b.Size().Y), vertical: true})
		}
	}
	return across, up
}
