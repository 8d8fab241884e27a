package geom

import (
	"math"
	"math/rand"
)

// The families of random input. Those after "blobs" are degenerate on purpose.
var families = []string{
	"circles", "polygons", "slots", "arcs", "blobs",
	"grid", "repeated points", "spikes", "zero-length segments", "collinear overlaps",
	"touching holes", "touching circles", "full-circle arcs", "near-tangent arcs",
	"tiny arcs", "huge arcs", "far away", "self-crossing", "shared arcs", "dense chords",
}

// randomContours returns closed contours of a family. The same seed gives the
// same contours.
func randomContours(rng *rand.Rand, family string) []Contour {
	pt := func(s float64) Point { return Pt((rng.Float64()-0.5)*s, (rng.Float64()-0.5)*s) }
	var cs []Contour
	n := 1 + rng.Intn(4)
	add := func(c Contour) { cs = append(cs, c) }
	switch family {
	case "circles":
		for range n {
			add(Circle(pt(20), 0.5+5*rng.Float64()))
		}
	case "polygons":
		for range n {
			var p []Point
			for range 3 + rng.Intn(9) {
				p = append(p, pt(20))
			}
			add(Polygon(p...))
		}
	case "slots":
		for range n {
			add(Slot(pt(20), pt(20), 0.5+4*rng.Float64()))
		}
	case "arcs":
		for range n {
			add(randomArcs(rng, pt(10), 2+rng.Intn(7)))
		}
	case "blobs":
		c, r := pt(5), 4+4*rng.Float64()
		var p []Point
		k := 10 + rng.Intn(60)
		ph := rng.Float64() * 6
		for i := range k {
			a := 2 * math.Pi * float64(i) / float64(k)
			p = append(p, c.Add(Polar(r*(1+0.2*math.Sin(3*a+ph)+0.1*math.Sin(7*a)), a)))
		}
		add(Polygon(p...))
		add(Circle(c, r/3).Reverse())
	case "grid":
		for range n {
			x, y := float64(rng.Intn(6)), float64(rng.Intn(6))
			if rng.Intn(2) == 0 {
				add(Rect(Pt(x, y), Pt(x+1+float64(rng.Intn(4)), y+1+float64(rng.Intn(4))), 0))
			} else {
				add(Circle(Pt(x, y), float64(1+rng.Intn(3))))
			}
		}
	case "repeated points":
		var p []Point
		for range 3 + rng.Intn(6) {
			q := pt(20)
			for range 1 + rng.Intn(3) {
				p = append(p, q)
			}
		}
		add(chain(p...))
	case "spikes":
		a := pt(20)
		add(chain(a, a.Add(pt(10)), a.Add(pt(10)), a.Add(Pt(30, 1e-9)), a.Add(Pt(3, 0)), a.Add(Pt(12, 0)), a.Add(Pt(3, 0))))
	case "zero-length segments":
		c := Rect(Pt(0, 0), Pt(10, 8), 2)
		k := rng.Intn(len(c))
		c = append(append(append(Contour{}, c[:k]...), Line(c[k].A, c[k].A)), c[k:]...)
		add(c)
		add(Contour{Line(Pt(1, 1), Pt(1, 1))})
	case "collinear overlaps":
		th := rng.Float64()
		for range 1 + n {
			x := rng.Float64() * 10
			c := Rect(Pt(x, 0), Pt(x+1+rng.Float64()*5, 1+float64(rng.Intn(3))), 0)
			add(c.Transform(Rotate(th)))
		}
	case "touching holes":
		add(Rect(Pt(0, 0), Pt(10, 10), 0))
		add(Polygon(Pt(0, 5), Pt(3, 3), Pt(5, 5), Pt(3, 7)).Reverse())
		add(Circle(Pt(7, 5), 2).Reverse())
		add(Circle(Pt(5, 5+rng.Float64()*2), 1e-3).Reverse())
	case "touching circles":
		c, r := pt(10), 1+3*rng.Float64()
		add(Circle(c, r))
		for range n {
			q := 0.2 + 3*rng.Float64()
			d := r + q
			if rng.Intn(2) == 0 {
				d = math.Abs(r - q)
			}
			add(Circle(c.Add(Polar(d, rng.Float64()*7)), q))
		}
	case "full-circle arcs":
		c := pt(4)
		for range n {
			k := Circle(c, 1+float64(rng.Intn(4)))
			a := c.Add(Polar(k[0].Radius(), rng.Float64()*7))
			turn := CCW
			if rng.Intn(2) == 0 {
				turn = CW
			}
			add(Contour{Arc(a, a, c, turn)})
		}
	case "near-tangent arcs":
		c, r := pt(10), 1+3*rng.Float64()
		add(Circle(c, r))
		for range n {
			q := 0.2 + 3*rng.Float64()
			d := r + q + (rng.Float64()-0.5)*math.Pow(10, -3-9*rng.Float64())
			if rng.Intn(2) == 0 {
				d = math.Abs(d - 2*q)
			}
			add(Circle(c.Add(Polar(d, rng.Float64()*7)), q))
		}
	case "tiny arcs":
		a := pt(10)
		add(Rect(a, a.Add(Pt(5, 4)), 1e-6))
		add(Circle(pt(10), 1e-6))
		add(Circle(pt(10), 3))
	case "huge arcs":
		// A lens of two arcs of 1e6 mm radius.
		a, b := pt(100), pt(100)
		h := math.Sqrt(1e12 - a.Dist(b)*a.Dist(b)/4)
		nrm := b.Sub(a).Unit().Left().Mul(h)
		m := a.Lerp(b, 0.5)
		add(Contour{Arc(a, b, m.Add(nrm), CCW), Arc(b, a, m.Sub(nrm), CCW)})
		add(Rect(Pt(-30, -20), Pt(30, 20), 3))
	case "far away":
		at := Translate(Pt(1e5+rng.Float64(), -2e5))
		add(Rect(Pt(0, 0), Pt(10, 8), 2).Transform(at))
		add(Circle(pt(10), 3).Transform(at))
		add(Polygon(pt(20), pt(20), pt(20)).Transform(at))
	case "self-crossing":
		var p []Point
		k := 5 + 2*rng.Intn(5)
		c := pt(4)
		for i := range k {
			p = append(p, c.Add(Polar(8, 2*math.Pi*float64(i*(k/2))/float64(k))))
		}
		add(Polygon(p...))
		add(Polygon(pt(20), pt(20), pt(20), pt(20)))
	case "dense chords":
		// Smooth curves in chords of a few hundredths, which the offset fits.
		c, ph := pt(5), rng.Float64()*6
		k := 300 + rng.Intn(500)
		var p, q []Point
		for i := range k {
			a := 2 * math.Pi * float64(i) / float64(k)
			p = append(p, c.Add(Polar(6*(1+0.15*math.Sin(2*a+ph)+0.08*math.Sin(5*a)), a)))
			q = append(q, c.Add(Pt(1, 0)).Add(Polar(1+rng.Float64()*1e-4, a)))
		}
		add(Polygon(p...))
		add(Polygon(q...).Reverse())
	case "shared arcs":
		c := pt(4)
		for range n {
			r := float64(2 + rng.Intn(3))
			a0, a1 := float64(rng.Intn(12))*math.Pi/6, float64(rng.Intn(12))*math.Pi/6
			a, b := c.Add(Polar(r, a0)), c.Add(Polar(r, a1))
			if a != b {
				add(Contour{Arc(a, b, c, CCW), Line(b, a)})
			}
		}
	}
	return cs
}

// randomBundle returns circles and polygons that touch one line, or run along it,
// at the same places or up to a micrometre off: it is what the lattice makes one.
func randomBundle(rng *rand.Rand) []Contour {
	at := Pt(rng.Float64()*4-2, rng.Float64()*4-2)
	turn := rng.Float64() * 7
	if rng.Intn(3) == 0 {
		turn = float64(rng.Intn(4)) * math.Pi / 2
		at = Pt(float64(rng.Intn(4)), float64(rng.Intn(4)))
	}
	if rng.Intn(4) == 0 {
		at = at.Add(Pt(1e4, -3e3))
	}
	off := func() float64 {
		if rng.Intn(3) == 0 {
			return 0
		}
		return (rng.Float64() - 0.5) * math.Pow(10, -6-7*rng.Float64())
	}
	var cs []Contour
	for range 1 + rng.Intn(5) {
		x := float64(rng.Intn(3)) * 1.5
		if rng.Intn(2) == 0 {
			x = rng.Float64() * 2
		}
		var c Contour
		if rng.Intn(2) == 0 {
			r := 0.5 + 3*rng.Float64()
			if rng.Intn(2) == 0 {
				r = float64(1 + rng.Intn(3))
			}
			side := -1.0
			if rng.Intn(2) == 0 {
				side = 1
			}
			c = Circle(Pt(x, side*r+off()), r)
		} else {
			w, h := 0.5+4*rng.Float64(), 0.5+4*rng.Float64()
			if rng.Intn(2) == 0 {
				h = -h
			}
			switch rng.Intn(3) {
			case 0:
				c = Polygon(Pt(x, off()), Pt(x+w, off()), Pt(x+w*rng.Float64(), h))
			case 1:
				c = Polygon(Pt(x, off()), Pt(x+w/2, off()), Pt(x+w, off()), Pt(x+w, h), Pt(x, h))
			default:
				c = Polygon(Pt(x, 0), Pt(x+w, 0), Pt(x+w, h), Pt(x, h))
			}
		}
		cs = append(cs, c.Transform(Rotate(turn)).Transform(Translate(at)))
	}
	return cs
}

// chain returns the closed polygon through the points as they are, repeats
// included.
func chain(p ...Point) Contour {
	var c Contour
	for i := range p {
		c = append(c, Line(p[i], p[(i+1)%len(p)]))
	}
	return c
}

// randomArcs returns a contour of lines and arcs of any sweep; it may cross
// itself.
func randomArcs(rng *rand.Rand, at Point, n int) Contour {
	var p []Point
	for i := range n {
		p = append(p, at.Add(Polar(2+6*rng.Float64(), 2*math.Pi*float64(i)/float64(n))))
	}
	var c Contour
	for i := range p {
		a, b := p[i], p[(i+1)%n]
		if n == 1 || a == b {
			continue
		}
		if rng.Intn(3) == 0 {
			c = append(c, Line(a, b))
			continue
		}
		h := (rng.Float64() - 0.5) * 3 * a.Dist(b)
		turn := CCW
		if rng.Intn(2) == 0 {
			turn = CW
		}
		c = append(c, Arc(a, b, a.Lerp(b, 0.5).Add(b.Sub(a).Unit().Left().Mul(h)), turn))
	}
	return c
}
