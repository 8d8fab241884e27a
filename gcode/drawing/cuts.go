package drawing

import (
	"fmt"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// cuts draws the moves: first how wide the tools cut, then the rapids, then the
// tools' paths in the style of their depth, last the holes. Lines of a vee,
// most often lettering, are solid whatever their depth: patterns would make
// small letters illegible. It returns what the legend has to explain.
func (d *Drawing) cuts(p *page) []entry {
	top := d.set.Stock.Top
	var milled, vees []move
	for _, m := range visible(d.feeds.list, p.unit) {
		if tool, ok := d.set.Tool(m.tool); ok && tool.Shape == setup.Vee {
			vees = append(vees, m)
		} else {
			milled = append(milled, m)
		}
	}
	var legend []entry
	bs := bands(top, milled)
	for _, b := range bs {
		legend = append(legend, entry{fmt.Sprintf("cut%d", b.style), "cut " + b.label()})
	}
	rs, holes := runs(top, milled, bs)
	var layers []layer
	for _, r := range rs {
		class := "air"
		if r.band >= 0 {
			class = fmt.Sprintf("cut%d", bs[r.band].style)
		}
		layers = append(layers, layer{r, class})
	}
	if vs := bands(top, vees); len(vs) > 0 {
		all := band{lo: vs[0].lo, hi: vs[len(vs)-1].hi}
		legend = append(legend, entry{"vee", "vee cut " + all.label()})
	}
	rs, more := runs(top, vees, bands(top, vees))
	holes = append(holes, more...)
	for _, r := range rs {
		class := "air"
		if r.band >= 0 {
			class = "vee"
		}
		layers = append(layers, layer{r, class})
	}

	swath, air := d.kerfs(p, layers)
	d.rapid(p)
	for i, l := range layers {
		if l.class == "air" {
			p.path("air", l.data.String())
		} else {
			p.element("use", l.class, fmt.Sprintf(`href="#c%d"`, i))
		}
	}
	for _, h := range holes {
		r := 0.0
		if tool, ok := d.set.Tool(h.tool); ok {
			r = tool.CutRadius(depth(top, h))
		}
		p.hole(h.a, r)
	}
	if len(holes) > 0 {
		legend = append(legend, entry{"hole", d.holeName()})
	}
	if swath {
		legend = append(legend, entry{"kerf", "width of the cut"})
	}
	if air {
		legend = append(legend, entry{"air", "feed above the stock"})
	}
	return legend
}

// layer is a run and the class of its line.
type layer struct {
	run
	class string
}

// kerfs writes the paths of the layers once, to be used for the width of the
// cut and again for the line.
func (d *Drawing) kerfs(p *page, layers []layer) (swath, air bool) {
	for i, l := range layers {
		if l.class == "air" {
			air = true
			continue
		}
		fmt.Fprintf(&p.b, "<defs><path id=\"c%d\" style=\"stroke:inherit\" d=\"%s\"/></defs>\n", i, l.data.String())
		if tool, ok := d.set.Tool(l.tool); ok {
			if width := 2 * tool.CutRadius(l.deepest); width > 0 {
				swath = true
				p.element("use", "kerf", fmt.Sprintf(`href="#c%d" stroke-width="%s"`, i, num(width)))
			}
		}
	}
	return swath, air
}

// hole draws a hole of radius r with its centre lines.
func (p *page) hole(q geom.Point, r float64) {
	if r > 0 {
		p.circle("hole", q, r)
	}
	r += 0.4 * p.unit
	p.line("axis", q.Sub(geom.Pt(r, 0)), q.Add(geom.Pt(r, 0)))
	p.line("axis", q.Sub(geom.Pt(0, r)), q.Add(geom.Pt(0, r)))
}

func (d *Drawing) rapid(p *page) {
	var data pathData
	for _, m := range d.rapids.list {
		if !m.upright() {
			data.add(m)
		}
	}
	p.path("rapid", data.String())
}

// holeName says what a straight way down and up again stands for.
func (d *Drawing) holeName() string {
	if d.set.Probing != nil {
		return "place to touch"
	}
	return "hole"
}
