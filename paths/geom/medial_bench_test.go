package geom

import (
	"fmt"
	"math"
	"testing"
)

// medialFamily returns a shape of a family with n vertices or teeth.
func medialFamily(name string, n int) Region {
	round := func(n int) []Point {
		p := make([]Point, n)
		for i := range p {
			a := 2 * math.Pi * float64(i) / float64(n)
			p[i] = Polar(45*(1+0.08*math.Sin(3*a+0.5)+0.05*math.Sin(5*a+1.3)), a)
		}
		return p
	}
	var p []Point
	switch name {
	case "blob":
		p = round(n)
	case "isles":
		r := Region{Polygon(round(n / 2)...)}
		k := int(math.Round(math.Sqrt(float64(n) / 10)))
		for i := range k {
			c := Polar(33*math.Sqrt((float64(i)+0.5)/float64(k)), float64(i)*math.Pi*(3-math.Sqrt(5)))
			r = append(r, RegularPolygon(c, 0.35*33/math.Sqrt(float64(k)), n/2/k, 0).Reverse())
		}
		return r
	case "comb":
		p = append(p, Pt(0, 0), Pt(float64(4*n-2), 0))
		for i := n - 1; i >= 0; i-- {
			x := float64(4 * i)
			p = append(p, Pt(x+2, 30), Pt(x, 30))
			if i > 0 {
				p = append(p, Pt(x, 10), Pt(x-2, 10))
			}
		}
	case "star":
		for i := range n {
			p = append(p, Polar(50-10*float64(i%2), 2*math.Pi*float64(i)/float64(n)))
		}
	}
	return Region{Polygon(p...)}
}

func BenchmarkMedialAxis(b *testing.B) {
	for _, family := range []string{"blob", "isles", "comb", "star"} {
		for n := 100; n <= 100000; n *= 10 {
			r := medialFamily(family, n)
			b.Run(fmt.Sprintf("%s/%d", family, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := MedialAxis(r, MedialOptions{}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func BenchmarkMedialOffset(b *testing.B) {
	for _, family := range []string{"blob", "isles", "comb", "star"} {
		for n := 100; n <= 10000; n *= 10 {
			m, err := MedialAxis(medialFamily(family, n), MedialOptions{})
			if err != nil {
				b.Fatal(err)
			}
			b.Run(fmt.Sprintf("%s/%d", family, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := m.Offset(-0.5); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
