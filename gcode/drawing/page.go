package drawing

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"proofcut/paths/geom"
)

// page is a drawing being written. Places are in the program's coordinates.
type page struct {
	b    strings.Builder
	unit float64 // height of ordinary text, mm; all lines and symbols follow it

	taken []geom.Box         // where text stands
	ink   map[[2]int]float64 // cells of half a unit that a line runs through, by weight
	field geom.Box           // where labels may stand
}

// widthOf estimates the width of a text in a wide sans-serif face; most are
// narrower.
func widthOf(text string, size float64) float64 {
	w := 0.0
	for _, r := range text {
		switch {
		case strings.ContainsRune("iljtfI.,:;|!' ", r):
			w += 0.36
		case r >= 'A' && r <= 'Z', r == 'm', r == 'w', r >= utf8.RuneSelf:
			w += 0.78
		default:
			w += 0.64
		}
	}
	return w * size
}

// element writes one element with a class and further attributes, which are
// trusted.
func (p *page) element(name, class, attributes string) {
	fmt.Fprintf(&p.b, "<%s class=\"%s\" %s/>\n", name, class, attributes)
}

func (p *page) path(class, data string) {
	if data != "" {
		p.element("path", class, `d="`+data+`"`)
	}
}

func (p *page) line(class string, pts ...geom.Point) {
	var d strings.Builder
	d.WriteString("M")
	for i, q := range pts {
		if i > 0 {
			d.WriteString(" ")
		}
		d.WriteString(xy(q))
	}
	p.path(class, d.String())
}

func (p *page) circle(class string, c geom.Point, r float64) {
	p.element("circle", class, fmt.Sprintf(`cx="%s" cy="%s" r="%s"`, num(c.X), num(-c.Y), num(r)))
}

// text writes a text that is already escaped, with its baseline at the point.
// anchor is start, middle or end; turned texts read from the right.
func (p *page) text(class string, at geom.Point, size float64, anchor, escaped string, turned bool) {
	turn := ""
	if turned {
		turn = fmt.Sprintf(` transform="rotate(-90 %s)"`, xy(at))
	}
	fmt.Fprintf(&p.b, "<text class=\"%s\" x=\"%s\" y=\"%s\" font-size=\"%s\" text-anchor=\"%s\"%s>%s</text>\n",
		class, num(at.X), num(-at.Y), num(size), anchor, turn, escaped)
}

// How much a label avoids a line: thin ones can be read across.
const (
	heavy  = 4
	medium = 2
	light  = 0.5
)

// mark notes that a segment is drawn, so that labels keep off it.
func (p *page) mark(s geom.Seg, weight float64) {
	cell := p.unit / 2
	n := int(math.Min(20000, math.Ceil(s.Length()/cell*1.5))) + 1
	for i := range n + 1 {
		q := s.At(float64(i) / float64(n))
		k := [2]int{int(math.Floor(q.X / cell)), int(math.Floor(q.Y / cell))}
		p.ink[k] = math.Max(p.ink[k], weight)
	}
}

func (p *page) markRegion(r geom.Region) {
	for _, c := range r {
		for _, s := range c {
			p.mark(s, heavy)
		}
	}
}

// inkIn sums the weights of the cells under a box.
func (p *page) inkIn(b geom.Box) float64 {
	cell := p.unit / 2
	n := 0.0
	for x := int(math.Floor(b.Min.X / cell)); float64(x)*cell < b.Max.X; x++ {
		for y := int(math.Floor(b.Min.Y / cell)); float64(y)*cell < b.Max.Y; y++ {
			n += p.ink[[2]int{x, y}]
		}
	}
	return n
}

// lineHeight is the distance between the lines of a label in text heights.
const lineHeight = 1.15

// label writes lines of text at the place or, when something stands there, as
// near as it can, with a leader to the place.
func (p *page) label(class string, at geom.Point, lines ...string) {
	best, bestCost, bestSize := geom.EmptyBox(), math.Inf(1), p.unit
	for _, size := range []float64{p.unit, 0.8 * p.unit} {
		w := 0.0
		for _, l := range lines {
			w = math.Max(w, widthOf(l, size))
		}
		half := geom.Pt(w/2+0.2*p.unit, (float64(len(lines))*lineHeight)*size/2)
		for ring := range 15 {
			if 3*float64(ring) >= bestCost {
				break // further out is no better
			}
			for _, dir := range directions(ring) {
				c := at.Add(geom.Pt(dir.X*(half.X*math.Min(1, float64(ring))+float64(ring)*p.unit*0.8),
					dir.Y*(half.Y*math.Min(1, float64(ring))+float64(ring)*p.unit*0.8)))
				box := geom.Box{Min: c.Sub(half), Max: c.Add(half)}
				cost := 3*float64(ring) + p.inkIn(box)
				if size < p.unit {
					cost += 6
				}
				if !p.field.Contains(box.Min) || !p.field.Contains(box.Max) {
					cost += 200
				}
				for _, t := range p.taken {
					if t.Overlaps(box) {
						cost += 1000
					}
				}
				if cost < bestCost {
					best, bestCost, bestSize = box, cost, size
				}
			}
		}
	}
	if near := best.Distance(geom.Box{Min: at, Max: at}); near > p.unit {
		near := geom.Pt(math.Max(best.Min.X, math.Min(best.Max.X, at.X)), math.Max(best.Min.Y, math.Min(best.Max.Y, at.Y)))
		p.line("thin", near, at)
		p.circle("dot", at, p.unit*0.12)
		p.mark(geom.Line(near, at), heavy)
	}
	p.taken = append(p.taken, best)
	y := best.Max.Y - bestSize*0.92
	for _, l := range lines {
		p.text(class, geom.Pt(best.Center().X, y), bestSize, "middle", l, false)
		y -= bestSize * lineHeight
	}
}

// directions returns where to try a label on a ring round its place.
func directions(ring int) []geom.Point {
	if ring == 0 {
		return []geom.Point{{}}
	}
	out := make([]geom.Point, 0, 16)
	for i := range 16 {
		out = append(out, geom.Polar(1, float64(i)*math.Pi/8))
	}
	return out
}
