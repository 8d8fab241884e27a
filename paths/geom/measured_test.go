package geom

import "math"

// measured are the shapes that benchmarks take, as the driver in
// testdata/reference/geometry makes them, with the step of the passes of a pocket.
var measured = []struct {
	name string
	step float64 // mm
	make func(n int) Region
}{
	{"blob", 1, func(n int) Region { return Region{wavy(n)} }},
	{"isles", 1, func(n int) Region {
		r := Region{wavy(n / 2)}
		k := int(math.Round(math.Sqrt(float64(n) / 10)))
		const reach = 33
		size := 0.35 * reach / math.Sqrt(float64(k))
		for i := range k {
			c := Polar(reach*math.Sqrt((float64(i)+0.5)/float64(k)), float64(i)*math.Pi*(3-math.Sqrt(5)))
			r = append(r, RegularPolygon(c, size, max(6, n/2/k), 0).Reverse())
		}
		return r
	}},
	{"comb", 0.25, combOf},
	{"star", 1, func(n int) Region {
		p := make([]Point, n)
		for i := range p {
			p[i] = Polar(50-10*float64(i%2), 2*math.Pi*float64(i)/float64(n))
		}
		return Region{Polygon(p...)}
	}},
}

// wavy is a smooth closed curve of n chords, about 100 mm across.
func wavy(n int) Contour {
	p := make([]Point, n)
	for i := range p {
		a := 2 * math.Pi * float64(i) / float64(n)
		p[i] = Polar(45*(1+0.08*math.Sin(3*a+0.5)+0.05*math.Sin(5*a+1.3)), a)
	}
	return Polygon(p...)
}

// combOf is a comb of n teeth 2 mm wide, 2 mm apart and 20 mm long.
func combOf(n int) Region {
	p := []Point{Pt(0, 0), Pt(float64(4*n-2), 0)}
	for i := n - 1; i >= 0; i-- {
		x := float64(4 * i)
		p = append(p, Pt(x+2, 30), Pt(x, 30))
		if i > 0 {
			p = append(p, Pt(x, 10), Pt(x-2, 10))
		}
	}
	return Region{Polygon(p...)}
}
