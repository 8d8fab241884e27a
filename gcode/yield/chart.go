package yield

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
)

// Sizes of the chart in user units; a panel is one variable.
const (
	panelW, panelH = 360.0, 300.0
	left, right    = 52.0, 18.0
	barsTop, barsH = 46.0, 110.0 // where the parts are drawn
	lineTop, lineH = 186.0, 72.0 // where the money is drawn
	headH          = 44.0        // the chart's own title
	footH          = 40.0        // what the signs mean
	barShare       = 0.5         // of a bar in its column
	roomAbove      = 1.15        // of an axis beyond its greatest value
	ink, pale      = "#263238", "#cfd8dc"
	parts, money   = "#33691e", "#bf360c"
)

// chart gathers the SVG.
type chart struct{ strings.Builder }

func (c *chart) f(format string, a ...any) { fmt.Fprintf(c, format+"\n", a...) }

// text draws words; every word from outside is escaped.
func (c *chart) text(x, y float64, anchor, colour string, size float64, s string) {
	var e strings.Builder
	_ = xml.EscapeText(&e, []byte(s)) // a Builder takes everything
	c.f(`<text x="%.1f" y="%.1f" text-anchor="%s" fill="%s" font-size="%g">%s</text>`, x, y, anchor, colour, size, e.String())
}

// WriteSVG draws the table as a chart: a panel for each variable, above how many
// parts there are, below what one of them costs, or how long it takes where the job
// names no cost.
func (t *Table) WriteSVG(w io.Writer) error {
	blocks := t.blocks()
	columns := min(2, max(1, len(blocks)))
	rows := (len(blocks) + columns - 1) / columns
	width := panelW * float64(columns)
	height := headH + panelH*float64(rows) + footH
	var c chart
	c.f(`<svg xmlns="http://www.w3.org/2000/svg" width="%g" height="%g" viewBox="0 0 %g %g" font-family="sans-serif">`, width, height, width, height)
	c.f(`<rect width="%g" height="%g" fill="white"/>`, width, height)
	title := fmt.Sprintf("%s: what the slab gives", t.Job)
	if t.Currency != "" {
		title += fmt.Sprintf(" (slab %.2f %s)", t.SlabCost, t.Currency)
	}
	c.text(16, 28, "start", ink, 16, title)
	for i, b := range blocks {
		c.f(`<g transform="translate(%g %g)">`, panelW*float64(i%columns), headH+panelH*float64(i/columns))
		t.panel(&c, b)
		c.f(`</g>`)
	}
	y := height - 24
	c.text(16, y, "start", ink, 11, "Hollow: not proven. Framed value: as in the job. Dashes: no more parts can fit.")
	c.f(`</svg>`)
	_, err := io.WriteString(w, c.String())
	return err
}

// worth returns what the lower half of a panel shows of a row.
func (t *Table) worth(r Row) float64 {
	switch {
	case r.Parts == 0 || !r.Proven:
		return 0
	case t.Currency != "":
		return r.CostEach
	}
	return r.Time / 60 / float64(r.Parts)
}

func (t *Table) panel(c *chart, rows []Row) {
	most, dearest := 1.0, 0.0
	for _, r := range rows {
		most = max(most, float64(r.Parts), float64(r.Bound))
		dearest = max(dearest, t.worth(r))
	}
	if dearest == 0 {
		dearest = 1
	}
	most, dearest = most*roomAbove, dearest*roomAbove
	step := (panelW - left - right) / float64(len(rows))
	below := "minutes a part"
	if t.Currency != "" {
		below = t.Currency + " a part"
	}
	c.text(left, 18, "start", ink, 13, rows[0].Variable+", mm")
	c.text(left, 36, "start", parts, 11, "parts")
	c.text(left, lineTop-10, "start", money, 11, below)
	for _, y := range []float64{barsTop + barsH, lineTop + lineH} {
		c.f(`<line x1="%g" y1="%.1f" x2="%g" y2="%.1f" stroke="%s"/>`, left, y, panelW-right, y, pale)
	}
	var path strings.Builder
	for i, r := range rows {
		x := left + step*(float64(i)+0.5)
		t.bar(c, r, x, step*barShare, most)
		if r.Proven && r.Parts > 0 {
			fmt.Fprintf(&path, "%.1f,%.1f ", x, lineTop+lineH*(1-t.worth(r)/dearest))
		}
	}
	c.f(`<polyline points="%s" fill="none" stroke="%s" stroke-width="1.5"/>`, strings.TrimSpace(path.String()), money)
	for i, r := range rows {
		x := left + step*(float64(i)+0.5)
		if r.Proven && r.Parts > 0 {
			y := lineTop + lineH*(1-t.worth(r)/dearest)
			c.f(`<circle cx="%.1f" cy="%.1f" r="3.5" fill="%s"/>`, x, y, money)
			c.text(x, y-8, "middle", money, 10, fmt.Sprintf("%.2f", t.worth(r)))
		}
		if r.Given {
			c.f(`<rect x="%.1f" y="%.1f" width="%.1f" height="16" fill="none" stroke="%s"/>`, x-step*0.42, lineTop+lineH+7, step*0.84, ink)
		}
		c.text(x, lineTop+lineH+19, "middle", ink, 11, fmt.Sprintf("%.4g", r.Value))
	}
}

func (t *Table) bar(c *chart, r Row, x, width, most float64) {
	h := barsH * float64(r.Parts) / most
	y := barsTop + barsH - h
	c.f(`<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="%s" stroke="%s"/>`, x-width/2, y, width, h, fill(r, parts), parts)
	switch {
	case h < 18: // too low for the figure
		c.text(x, y-4, "middle", parts, 11, fmt.Sprint(r.Parts))
	case r.Proven:
		c.text(x, y+14, "middle", "white", 11, fmt.Sprint(r.Parts))
	default:
		c.text(x, y+14, "middle", parts, 11, fmt.Sprint(r.Parts))
	}
	if r.Bound > 0 {
		y := barsTop + barsH*(1-float64(r.Bound)/most)
		c.f(`<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="%s" stroke-dasharray="3 2"/>`, x-width/2, y, x+width/2, y, ink)
	}
}

func fill(r Row, colour string) string {
	if r.Proven {
		return colour
	}
	return "white"
}
