package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// hostileRegions are shapes with about n edges or chords in which everything
// coincides: nodes where many sites meet, sides on one line, arcs of radii from
// 1e-6 to 1e6 mm, and places far from the origin.
func hostileRegions(n int) map[string]Region {
	k := int(math.Sqrt(float64(n) / 4))
	// grid returns a plate with k x k holes at a step.
	grid := func(step float64, hole func(p Point) Contour) Region {
		w := step * float64(k)
		r := Region{Rect(Pt(-step, -step), Pt(w+step, w+step), 0)}
		for i := range k * k {
			r = append(r, hole(Pt(step*float64(i/k), step*float64(i%k))).Reverse())
		}
		return r
	}
	square := func(p Point) Contour { return Rect(p, p.Add(Pt(1, 1)), 0) }
	// checker is a square that touches its diagonal neighbours, or a small one
	// with a side on their lines.
	checker := func(p Point) Contour {
		if int(p.X+p.Y)%2 == 0 {
			return square(p)
		}
		return Rect(p.Add(Pt(0.25, 0.25)), p.Add(Pt(0.75, 0.75)), 0)
	}
	// rings returns m rings about each other.
	rings := func(m int, ring func(radius float64) Contour) (r Region) {
		for i := range 2 * m {
			c := ring(50 * (1 - float64(i)/float64(2*m)))
			if i%2 == 1 {
				c = c.Reverse()
			}
			r = append(r, c)
		}
		return r
	}
	// run returns points at(0) .. at(m-1).
	run := func(m int, at func(f float64) Point) (pts []Point) {
		for i := range m {
			pts = append(pts, at(float64(i)/float64(m)))
		}
		return pts
	}
	out := map[string]Region{
		"squares in a grid":   grid(2, square),
		"squares that touch":  grid(1, checker),
		"discs that touch":    grid(4, func(p Point) Contour { return Circle(p, 2) })[:min(n/100, k*k)+1],
		"arcs of 1e-6 in all": grid(2, func(p Point) Contour { return Rect(p, p.Add(Pt(1, 1)), 1e-6) }),
		"discs of 1e-6":       grid(1, func(p Point) Contour { return Circle(p, 1e-6) }),
		"arcs of 1e6": {{Arc(Pt(0, 0), Pt(100, 0), Pt(50, 1e6), CCW), Arc(Pt(100, 0), Pt(100, 40), Pt(-1e6, 20), CCW),
			Arc(Pt(100, 40), Pt(0, 40), Pt(50, 1e6), CW), Arc(Pt(0, 40), Pt(0, 0), Pt(-1e6, 20), CW)}},
		"band between arcs of 1e6": {{Arc(Pt(0, 0), Pt(100, 0), Pt(50, 1e6), CCW), Line(Pt(100, 0), Pt(100, 1e-2)),
			Arc(Pt(100, 1e-2), Pt(0, 1e-2), Pt(50, 1e6), CW), Line(Pt(0, 1e-2), Pt(0, 0))}},
		"chords of a circle":          {RegularPolygon(Pt(0, 0), 50, n, 0)},
		"chords of a circle of 1e-4":  {RegularPolygon(Pt(0, 0), 1e-4, n, 0)},
		"chords of a hole of 1e-5":    {square(Pt(0, 0)), RegularPolygon(Pt(0.5, 0.5), 1e-5, n, 0).Reverse()},
		"circles about one centre":    rings(max(1, n/600), func(r float64) Contour { return Circle(Pt(0, 0), r) }),
		"polygons about one centre":   rings(max(1, n/64), func(r float64) Contour { return RegularPolygon(Pt(0, 0), r, 32, 0) }),
		"hexagons turned":             rings(max(1, n/12), func(r float64) Contour { return RegularPolygon(Pt(0, 0), r, 6, 0.01*r) }),
		"side divided":                {Polygon(append(run(n, func(f float64) Point { return Pt(100*f, 0) }), Pt(100, 0), Pt(100, 30), Pt(0, 30))...)},
		"sides divided alike":         {Polygon(append(run(n/2, func(f float64) Point { return Pt(100*f, 0) }), run(n/2, func(f float64) Point { return Pt(100-100*f, 10) })...)...)},
		"stairs of equal steps":       {Polygon(append(run(n, func(f float64) Point { i := math.Round(f * float64(n)); return Pt(math.Ceil(i/2), math.Floor(i/2)) }), Pt(0, float64(n/2)))...)},
		"spikes of a tenth micron":    {Polygon(run(n, func(f float64) Point { return Polar(50-1e-4*float64(int(math.Round(f*float64(n)))%2), 2*math.Pi*f) })...)},
		"spiral at an even step":      {Polygon(append(run(n/2, func(f float64) Point { return Polar(1+40*f, 60*f) }), run(n/2, func(f float64) Point { return Polar(0.5+40*(1-f), 60*(1-f)) })...)...)},
		"teeth across from one side":  combOf(max(1, n/4)),
		"disc of a few lattice steps": {Circle(Pt(0, 0), 2e-7)},
	}
	for _, name := range []string{"squares in a grid", "discs that touch", "arcs of 1e6", "chords of a circle"} {
		out[name+", far off"] = out[name].Transform(Translate(Pt(1e6, -3e6)))
	}
	return out
}

func TestMedialOfHostileRegions(t *testing.T) {
	n := 300
	if longRun() {
		n = 30000
	}
	for name, r := range hostileRegions(n) {
		t.Run(name, func(t *testing.T) {
			m, err := MedialAxis(r, MedialOptions{})
			require.NoError(t, err)
			// Coordinates far off carry no more than this.
			tol := Tol + 4*math.Abs(math.Nextafter(r.Bounds().Max.Len(), 0)-r.Bounds().Max.Len())
			for _, p := range somePieces(m, 400) {
				d := p.At(0.5)
				true := r.BoundaryDistance(d.C)
				require.LessOrEqual(t, d.R, true+tol, "%v", d)
				require.GreaterOrEqual(t, d.R, true-1.01*DefaultChord-tol, "%v", d)
			}
			w := m.Widest()
			require.InDelta(t, w.R, r.BoundaryDistance(w.C), tol)
			for _, node := range m.Nodes {
				require.LessOrEqual(t, node.R, w.R+tol)
			}
			m.Narrows(w.R / 2)
			for _, d := range []float64{-w.R / 2, -w.R / 3, w.R / 3} {
				level, err := m.Offset(d)
				require.NoError(t, err)
				require.NotEmpty(t, level)
				segs, i := 0, 0
				for _, c := range level {
					segs += len(c)
				}
				for _, c := range level {
					for _, s := range c {
						if i++; i%(segs/400+1) != 0 {
							continue
						}
						true := r.BoundaryDistance(s.At(0.4))
						require.GreaterOrEqual(t, true, math.Abs(d)-tol, "offset %g %v", d, s)
						require.LessOrEqual(t, true, math.Abs(d)+2*DefaultChord+tol, "offset %g %v", d, s)
					}
				}
			}
		})
	}
}

// somePieces returns about so many pieces of an axis, spread over all of it.
func somePieces(m *Medial, most int) (some []MedialPiece) {
	pieces := 0
	for _, b := range m.Branches {
		pieces += len(b.edges)
	}
	i := 0
	for _, b := range m.Branches {
		for _, p := range b.Pieces() {
			if i++; i%(pieces/most+1) == 0 {
				some = append(some, p)
			}
		}
	}
	return some
}
