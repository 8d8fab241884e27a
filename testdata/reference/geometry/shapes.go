package main

import (
	"fmt"
	"math"
	"strings"

	"proofcut/paths/geom"
)

// family is a kind of input that comes in every size.
type family struct {
	name string
	step float64 // mm, between the passes of its pocket
	make func(n int) geom.Region
}

var families = []family{
	{"blob", 1, func(n int) geom.Region { return geom.Region{blob(n)} }},
	{"isles", 1, isles},
	{"comb", 0.25, comb},
	{"star", 1, star},
}

// shape returns a shape of a family in a size.
func shape(name string, n int) (geom.Region, error) {
	for _, f := range families {
		if f.name == name && n >= 10 {
			return f.make(n), nil
		}
	}
	return nil, fmt.Errorf("no shape %q of size %d", name, n)
}

// blob is a smooth closed curve of n chords, about 100 mm across.
func blob(n int) geom.Contour {
	p := make([]geom.Point, n)
	for i := range p {
		a := 2 * math.Pi * float64(i) / float64(n)
		p[i] = geom.Polar(45*(1+0.08*math.Sin(3*a+0.5)+0.05*math.Sin(5*a+1.3)), a)
	}
	return geom.Polygon(p...)
}

// isles is a blob of n/2 chords with sqrt(n/10) round islands of n/2 chords in
// all, laid out like the seeds of a sunflower.
func isles(n int) geom.Region {
	r := geom.Region{blob(n / 2)}
	k := int(math.Round(math.Sqrt(float64(n) / 10)))
	m := max(6, n/2/k)
	const reach = 33
	size := 0.35 * reach / math.Sqrt(float64(k))
	for i := range k {
		c := geom.Polar(reach*math.Sqrt((float64(i)+0.5)/float64(k)), float64(i)*math.Pi*(3-math.Sqrt(5)))
		r = append(r, geom.RegularPolygon(c, size, m, 0).Reverse())
	}
	return r
}

// comb has n teeth 2 mm wide, 2 mm apart and 20 mm long on a back of 10 mm.
func comb(n int) geom.Region {
	p := make([]geom.Point, 0, 4*n)
	p = append(p, geom.Pt(0, 0), geom.Pt(float64(4*n-2), 0))
	for i := n - 1; i >= 0; i-- {
		x := float64(4 * i)
		p = append(p, geom.Pt(x+2, 30), geom.Pt(x, 30))
		if i > 0 {
			p = append(p, geom.Pt(x, 10), geom.Pt(x-2, 10))
		}
	}
	return geom.Region{geom.Polygon(p...)}
}

// star has n vertices on circles of 50 and 40 mm in turn.
func star(n int) geom.Region {
	p := make([]geom.Point, n)
	for i := range p {
		p[i] = geom.Polar(50-10*float64(i%2), 2*math.Pi*float64(i)/float64(n))
	}
	return geom.Region{geom.Polygon(p...)}
}

// text writes a shape as the reference programs read it.
func text(r geom.Region) string {
	var b strings.Builder
	for i, c := range r {
		if i > 0 {
			b.WriteByte('\n')
		}
		for _, s := range c {
			fmt.Fprintf(&b, "%.17g %.17g\n", s.A.X, s.A.Y)
		}
	}
	return b.String()
}
