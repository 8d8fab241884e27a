package prooftest

import (
	"fmt"
	"io"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Engraving is a proven engraving program of any length: rosettes of
// concentric circles on a large plate, each circle cut as straight moves of a
// tenth of a millimetre. Lines of the set-up are true arcs, so the program has to stay within
// the tolerance of them.
type Engraving struct {
	Setup *setup.Setup
	rings []geom.Contour
}

const (
	rosettePitch = 50.0
	ringStep     = 0.5
	ringsEach    = 45
	rosetteCols  = 8
	rosetteRows  = 4
	engraveDepth = 0.12
	blockLength  = 0.1
)

// NewEngraving returns an engraving program of about that many blocks, at most
// a million.
func NewEngraving(blocks int) *Engraving {
	t := vee(4)
	e := &Engraving{}
	f := setup.Feature{Name: "rosettes", Reach: sunk(t, engraveDepth), Floor: -engraveDepth, Tol: tol, Tools: []int{4}}
	for j := range rosetteRows {
		for i := range rosetteCols {
			c := geom.Pt((float64(i)+0.5)*rosettePitch, (float64(j)+0.5)*rosettePitch)
			for k := 1; k <= ringsEach; k++ {
				r := float64(k) * ringStep
				a, b := c.Add(geom.Pt(r, 0)), c.Sub(geom.Pt(r, 0))
				if blocks -= int(2 * math.Pi * r / blockLength); blocks < 0 {
					continue
				}
				p := geom.Path{geom.Arc(a, b, c, geom.CCW), geom.Arc(b, a, c, geom.CCW)}
				f.Along = append(f.Along, p)
				e.rings = append(e.rings, geom.Contour(p))
			}
		}
	}
	w, h := rosetteCols*rosettePitch, rosetteRows*rosettePitch
	e.Setup = &setup.Setup{
		Name: "rosettes",
		Machine: setup.Machine{
			Name: "engraver", Envelope: geom.Box3{Min: geom.Pt3(-5, -5, -2), Max: geom.Pt3(w+5, h+5, 30)},
			SpindleMin: 8000, SpindleMax: 30000, FeedMax: 1200, Rapid: 2000, Accel: 300,
		},
		Stock: setup.Stock{Outline: rect(0, 0, w, h), Top: 0, Thickness: 4, Material: "brass"},
		Zones: []setup.Zone{
			{Name: "clamp A", Area: rect(-10, -10, 0.5, 10), Bottom: 0, Top: 5, Clearance: 0.3},
			{Name: "clamp B", Area: rect(w-0.5, h-10, w+10, h+10), Bottom: 0, Top: 5, Clearance: 0.3},
		},
		Tools: []setup.Tool{t}, Features: []setup.Feature{f}, ClearZ: 10, Approach: 0.5,
	}
	return e
}

// WriteTo writes the program's text.
func (e *Engraving) WriteTo(w io.Writer) (int64, error) {
	total := int64(0)
	var err error
	put := func(format string, args ...any) {
		if err == nil {
			var n int
			n, err = fmt.Fprintf(w, format, args...)
			total += int64(n)
		}
	}
	put("G21 G17 G90 G94 G40 G54\nG0 Z10\nS20000 M3\n")
	for _, ring := range e.rings {
		c, r := ring[0].C, ring[0].Radius()
		n := int(math.Ceil(2 * math.Pi * r / blockLength))
		put("G0 X%.3f Y%.3f\nZ0.5\nG1 Z-%.2f F300\n", c.X+r, c.Y, engraveDepth)
		for i := 1; i <= n; i++ {
			p := c.Add(geom.Polar(r, 2*math.Pi*float64(i)/float64(n)))
			feed := ""
			if i == 1 {
				feed = " F800"
			}
			put("X%.3f Y%.3f%s\n", p.X, p.Y, feed)
		}
		put("G0 Z10\n")
	}
	put("M5\nM2\n")
	return total, err
}
