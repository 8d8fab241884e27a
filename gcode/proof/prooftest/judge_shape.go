package prooftest

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// radius returns the radius of a whole tool at height h above its tip.
func radius(t setup.Tool, h float64) float64 {
	r := t.Diameter / 2
	switch {
	case h < 0:
		return 0
	case h > t.StickOut:
		for _, s := range t.Holder {
			if h >= s.Z0 && h <= s.Z1 {
				return s.R0 + (s.R1-s.R0)*(h-s.Z0)/(s.Z1-s.Z0)
			}
		}
		return 0
	case h > t.FluteLength:
		return t.Shank / 2
	}
	switch t.Shape {
	case setup.Ball:
		if h < r {
			return math.Sqrt(r*r - (r-h)*(r-h))
		}
	case setup.Vee:
		return math.Min(r, t.TipDiameter/2+h*math.Tan(t.Angle/2))
	case setup.Drill:
		return math.Min(r, h*math.Tan(t.Angle/2))
	}
	return r
}

// underside returns how high above the tip the cutting end is at radius rho.
func underside(t setup.Tool, rho float64) float64 {
	r := t.Diameter / 2
	switch t.Shape {
	case setup.Ball:
		return r - math.Sqrt(math.Max(0, r*r-rho*rho))
	case setup.Vee:
		return math.Max(0, rho-t.TipDiameter/2) / math.Tan(t.Angle/2)
	case setup.Drill:
		return rho / math.Tan(t.Angle/2)
	}
	return 0
}

func assemblyTop(t setup.Tool) float64 {
	top := t.StickOut
	for _, s := range t.Holder {
		top = math.Max(top, s.Z1)
	}
	return top
}

// polygons returns a region's contours with arcs as chords of 0.05 mm.
func polygons(r geom.Region) [][]geom.Point {
	var out [][]geom.Point
	for _, c := range r {
		var pts []geom.Point
		for _, s := range c {
			n := 1
			if s.Turn != geom.Straight {
				n = int(math.Ceil(s.Length()/0.05)) + 1
			}
			for i := range n {
				pts = append(pts, s.At(float64(i)/float64(n)))
			}
		}
		out = append(out, pts)
	}
	return out
}

// within reports whether p lies inside, by counting crossings.
func within(polys [][]geom.Point, p geom.Point) bool {
	in := false
	for _, pts := range polys {
		for i, a := range pts {
			b := pts[(i+1)%len(pts)]
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
				in = !in
			}
		}
	}
	return in
}

// away returns the distance from p to the polygons, 0 inside.
func away(polys [][]geom.Point, p geom.Point) float64 {
	if within(polys, p) {
		return 0
	}
	d := math.Inf(1)
	for _, pts := range polys {
		for i, a := range pts {
			u := pts[(i+1)%len(pts)].Sub(a)
			v := p.Sub(a)
			t := math.Max(0, math.Min(1, v.Dot(u)/math.Max(u.Dot(u), 1e-12)))
			v = v.Sub(u.Mul(t))
			d = math.Min(d, v.Dot(v))
		}
	}
	return math.Sqrt(d)
}
