package scan

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"proofcut/paths/geom"
)

const (
	// unitsPerMM is what a drawing can say: a tenth of a micrometre, far below what
	// any scan shows.
	unitsPerMM = 1e4
	// quarterTurns is the greatest sweep of one arc command. Its centre comes from
	// its ends and radius, and that is badly known for half a circle.
	quarterTurns = 2 * math.Pi / 3
)

// decimal writes a number to the resolution of a drawing.
func decimal(v float64) string {
	v = math.Round(v*unitsPerMM) / unitsPerMM
	return strconv.FormatFloat(v+0, 'f', -1, 64) // +0: no minus zero
}

// WriteSVG writes the piece as a drawing in Scalable Vector Graphics (W3C, SVG
// 1.1), a millimetre to the unit, that slab.ReadSVG reads back with the same
// coordinates: the lower left corner of the viewport is the origin. Arcs stay
// arcs and round holes circles; numbers are rounded to 0.0001 mm. The ids are
// outline, and hole-1, hole-2 ... from left to right.
func (t *Trace) WriteSVG(w io.Writer) error {
	b := bufio.NewWriter(w)
	height := math.Ceil(t.Height*unitsPerMM) / unitsPerMM
	width := math.Ceil(t.Width*unitsPerMM) / unitsPerMM
	fmt.Fprintf(b, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\">\n",
		decimal(width), decimal(height), decimal(width), decimal(height))
	fmt.Fprintf(b, "<title>outline found in a picture</title>\n")
	fmt.Fprintf(b, "<desc>mm; a pixel is %s mm, lines and arcs keep within %s mm of the edge, and %s mm where blur rounds a corner</desc>\n",
		decimal(t.Pixel), decimal(t.Tolerance), decimal(math.Max(t.Tolerance, t.Max)))
	fmt.Fprintf(b, "<g fill=\"none\" stroke=\"black\" stroke-width=\"0.1\">\n")
	writeContour(b, "outline", t.Outline, height)
	for i, h := range t.Holes {
		writeContour(b, fmt.Sprintf("hole-%d", i+1), h.Contour, height)
	}
	fmt.Fprintf(b, "</g>\n</svg>\n")
	return b.Flush()
}

func writeContour(w io.Writer, id string, c geom.Contour, height float64) {
	if len(c) == 1 && c[0].IsCircle() {
		fmt.Fprintf(w, "<circle id=\"%s\" cx=\"%s\" cy=\"%s\" r=\"%s\"/>\n", id, decimal(c[0].C.X), decimal(height-c[0].C.Y), decimal(c[0].Radius()))
		return
	}
	place := func(p geom.Point) string { return decimal(p.X) + " " + decimal(height-p.Y) }
	var d strings.Builder
	d.WriteString("M " + place(c[0].A))
	for _, s := range c {
		if !s.IsArc() {
			d.WriteString(" L " + place(s.B))
			continue
		}
		// Counter-clockwise with Y up is towards negative angles with Y down.
		sweep := "0"
		if s.Turn == geom.CW {
			sweep = "1"
		}
		n := int(math.Ceil(math.Abs(s.Sweep()) / quarterTurns))
		r := decimal(s.Radius())
		for k := 1; k <= n; k++ {
			fmt.Fprintf(&d, " A %s %s 0 0 %s %s", r, r, sweep, place(s.At(float64(k)/float64(n))))
		}
	}
	fmt.Fprintf(w, "<path id=\"%s\" d=\"%s Z\"/>\n", id, d.String())
}

// WritePoints writes points of the outline as a table with the columns x and y in
// mm, in order round the edge: chords between them are within the tolerance of
// the outline.
func (t *Trace) WritePoints(w io.Writer) error {
	c := csv.NewWriter(w)
	c.Write([]string{"x", "y"})
	for _, s := range t.Outline {
		n := 1
		if s.IsArc() { // the sagitta of a chord is r (1 - cos(half its angle))
			n = max(3, int(math.Ceil(math.Abs(s.Sweep())/(2*math.Acos(1-math.Min(0.5, t.Tolerance/s.Radius()))))))
		}
		for k := range n {
			p := s.At(float64(k) / float64(n))
			c.Write([]string{decimal(p.X), decimal(p.Y)})
		}
	}
	c.Flush()
	return c.Error()
}

// WriteHoles writes the holes as a table: number, kind (round or free), x and y of
// the centre, diameter of a round one, and the root mean square residual, in mm.
func (t *Trace) WriteHoles(w io.Writer) error {
	c := csv.NewWriter(w)
	c.Write([]string{"hole", "kind", "x", "y", "diameter", "residual"})
	for i, h := range t.Holes {
		kind, diameter := "free", ""
		if h.Round {
			kind, diameter = "round", decimal(h.Diameter)
		}
		c.Write([]string{strconv.Itoa(i + 1), kind, decimal(h.Centre.X), decimal(h.Centre.Y), diameter, decimal(h.RMS)})
	}
	c.Flush()
	return c.Error()
}
