package job

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"proofcut/paths/geom"
)

// WriteCSV writes the places of the screws as a table with the columns screw, x
// and y, which the job takes in place of a choice.
func (h *Holding) WriteCSV(w io.Writer) error {
	var b strings.Builder
	b.WriteString("screw,x,y\n")
	for i, q := range h.Places {
		fmt.Fprintf(&b, "%d,%.4fmm,%.4fmm\n", i+1, q.X, q.Y)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// Sizes of the picture, in mm of the slab.
const (
	pictureMargin = 4.0
	pictureText   = 2.2
	pictureScale  = 8 // pixels a millimetre
)

// WriteSVG draws the slab from above: zones, parts, the heads and holes of the
// screws, the lines between them and how far they hold; and the places by hand,
// dashed, when others were chosen.
func (h *Holding) WriteSVG(w io.Writer) error {
	box := h.slab.Bounds()
	for _, q := range h.Places {
		box = box.Union(geom.Box{Min: q, Max: q}.Grow(h.Screws.Head / 2))
	}
	lines := h.caption()
	box = box.Grow(pictureMargin)
	frame := box
	box.Min.Y -= 1.5 * pictureText * float64(len(lines))
	size := box.Size()
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="%s %s %s %s" width="%.0f" height="%.0f" font-family="sans-serif" font-size="%g">`+"\n",
		mm(box.Min.X), mm(-box.Max.Y), mm(size.X), mm(size.Y), pictureScale*size.X, pictureScale*size.Y, pictureText)
	fmt.Fprintf(&b, `<rect x="%s" y="%s" width="%s" height="%s" fill="#fff"/>`+"\n", mm(box.Min.X), mm(-box.Max.Y), mm(size.X), mm(size.Y))
	region := func(r geom.Region, style string) {
		fmt.Fprintf(&b, `<path d="%s" %s/>`+"\n", svgData(r), style)
	}
	region(h.slab, `fill="#f3ead8" stroke="#333" stroke-width="0.3" fill-rule="evenodd"`)
	if reach := h.Spread.Reach; len(h.Places) > 1 && h.Screws.Reach < beyond {
		var paths []geom.Path
		for i, q := range h.Places {
			for _, o := range h.Places[i+1:] {
				paths = append(paths, geom.Polyline(q, o))
			}
		}
		held, err := geom.OffsetPath(paths, reach, geom.OffsetOptions{})
		if err != nil {
			return err
		}
		if held, err = geom.Intersection(held, geom.RegionOf(geom.Rect(frame.Min, frame.Max, 0))); err != nil {
			return err
		}
		region(held, `fill="none" stroke="#2a7" stroke-width="0.15" stroke-dasharray="0.6 0.6"`)
	}
	for _, z := range h.zones {
		region(z, `fill="#c8b" fill-opacity="0.5" stroke="#a37" stroke-width="0.2"`)
	}
	circle := func(q geom.Point, r float64, style string) {
		fmt.Fprintf(&b, `<circle cx="%s" cy="%s" r="%s" %s/>`+"\n", mm(q.X), mm(-q.Y), mm(r), style)
	}
	for _, r := range h.Nested {
		region(r, `fill="#dce9f7" stroke="#36c" stroke-width="0.2"`)
	}
	for i, q := range h.Places {
		for _, o := range h.Places[i+1:] {
			fmt.Fprintf(&b, `<path d="M%s %sL%s %s" stroke="#2a7" stroke-width="0.25" fill="none"/>`+"\n", mm(q.X), mm(-q.Y), mm(o.X), mm(-o.Y))
		}
	}
	if h.ByHand != nil && h.Screws.Choose != nil {
		for _, q := range h.ByHand.Places {
			circle(q, h.Screws.Head/2, `fill="none" stroke="#c33" stroke-width="0.25" stroke-dasharray="0.8 0.5"`)
		}
	}
	for i, q := range h.Places {
		circle(q, h.Screws.Head/2, `fill="#ccc" stroke="#222" stroke-width="0.25"`)
		circle(q, h.Screws.Hole/2, `fill="none" stroke="#222" stroke-width="0.15"`)
		fmt.Fprintf(&b, `<text x="%s" y="%s" text-anchor="middle">%d</text>`+"\n", mm(q.X), mm(-q.Y+0.35*pictureText), i+1)
	}
	for i, line := range lines {
		y := box.Min.Y + 1.5*pictureText*(float64(len(lines)-i)-0.6)
		fmt.Fprintf(&b, `<text x="%s" y="%s">`, mm(box.Min.X+1), mm(-y))
		if err := xml.EscapeText(&b, []byte(line)); err != nil {
			return err
		}
		b.WriteString("</text>\n")
	}
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// caption returns what stands under the picture.
func (h *Holding) caption() []string {
	head := fmt.Sprintf("%d screws", len(h.Places))
	if h.Part != "" {
		head = fmt.Sprintf("%d of %d parts (%s) among %d screws", h.Parts, h.Free, h.Part, len(h.Places))
	}
	lines := []string{head}
	if h.ByHand != nil && h.Screws.Choose != nil {
		lines = append(lines, fmt.Sprintf("dashed: by hand, %d parts", h.ByHand.Parts))
	}
	return append(lines,
		fmt.Sprintf("farthest from the lines between screws: %.2f mm", h.Spread.Reach),
		fmt.Sprintf("greatest overhang: %.2f mm", h.Spread.Overhang))
}

// mm writes a length for the picture.
func mm(v float64) string {
	s := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", v), "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

// svgData writes contours as path data, arcs as arcs; Y is turned over.
func svgData(r geom.Region) string {
	var b strings.Builder
	for _, c := range r {
		for i, s := range c {
			if i == 0 {
				fmt.Fprintf(&b, "M%s %s", mm(s.A.X), mm(-s.A.Y))
			}
			parts := []geom.Seg{s}
			if s.IsArc() {
				parts = s.Split(0.5) // no arc of ours is then more than half a circle
			}
			for _, q := range parts {
				if !q.IsArc() {
					fmt.Fprintf(&b, "L%s %s", mm(q.B.X), mm(-q.B.Y))
					continue
				}
				sweep := 0 // counter-clockwise, seen with Y down
				if q.Turn == geom.CW {
					sweep = 1
				}
				fmt.Fprintf(&b, "A%s %s 0 0 %d %s %s", mm(q.Radius()), mm(q.Radius()), sweep, mm(q.B.X), mm(-q.B.Y))
			}
		}
		b.WriteString("Z")
	}
	return b.String()
}
