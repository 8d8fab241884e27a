package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Area, length and centroid in closed form.
func TestShapes(t *testing.T) {
	const pi = math.Pi
	hexagon := RegularPolygon(Pt(1, 2), 10, 6, 0.3)
	for _, c := range []struct {
		name              string
		c                 Contour
		segs              int
		area, length      float64
		centroid          Point
		nearest, farthest float64 // of the curve from the centroid
	}{
		{"circle", Circle(Pt(3, 4), 5), 1, 25 * pi, 10 * pi, Pt(3, 4), 5, 5},
		{"square", Rect(Pt(-1, -1), Pt(1, 1), 0), 4, 4, 8, Pt(0, 0), 1, math.Sqrt2},
		{"rounded rectangle", Rect(Pt(0, 0), Pt(20, 10), 2), 8, 200 - 4*4 + 4*pi, 60 - 16 + 4*pi, Pt(10, 5), 5, math.Hypot(8, 3) + 2},
		{"rectangle rounded to a stadium", Rect(Pt(0, 0), Pt(20, 10), 99), 6, 100 + 25*pi, 20 + 10*pi, Pt(10, 5), 5, 10},
		{"square rounded to a circle", Rect(Pt(0, 0), Pt(10, 10), 5), 4, 25 * pi, 10 * pi, Pt(5, 5), 5, 5},
		{"stadium", Slot(Pt(0, 0), Pt(6, 8), 4), 4, 40 + 4*pi, 20 + 4*pi, Pt(3, 4), 2, 7},
		{"stadium without length", Slot(Pt(1, 1), Pt(1, 1), 4), 1, 4 * pi, 4 * pi, Pt(1, 1), 2, 2},
		{"hexagon", hexagon, 6, 1.5 * math.Sqrt(3) * 100, 60, Pt(1, 2), 10 * math.Cos(pi/6), 10},
		{"triangle", Polygon(Pt(0, 0), Pt(6, 0), Pt(0, 9)), 3, 27, 15 + math.Sqrt(117), Pt(2, 3), 18 / math.Sqrt(117), math.Hypot(2, 6)},
		{"half disc", Contour{Line(Pt(-3, 0), Pt(3, 0)), Arc(Pt(3, 0), Pt(-3, 0), Pt(0, 0), CCW)}, 2, 4.5 * pi, 6 + 3*pi, Pt(0, 4/pi), 4 / pi, math.Hypot(3, 4/pi)},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Len(t, c.c, c.segs)
			require.NoError(t, c.c.Validate())
			require.NoError(t, Region{c.c}.Validate())
			for _, shift := range []Similarity{Identity(), Translate(Pt(1e5, -2e5)), Rotate(1).Then(Scale(1)), MirrorX()} {
				d := c.c.Transform(shift)
				sign := 1.0
				if shift.mirrors() {
					sign = -1
				}
				assert.InEpsilon(t, sign*c.area, d.Area(), 1e-9)
				assert.InEpsilon(t, c.length, d.Length(), 1e-9)
				m := shift.Apply(c.centroid)
				assert.Less(t, d.Centroid().Dist(m), 1e-9)
				assert.InDelta(t, c.nearest, d.Distance(m), 1e-9)
				far := 0.0
				for _, s := range d {
					for _, p := range samples(s, 64) {
						far = math.Max(far, p.Dist(m))
					}
				}
				assert.InDelta(t, c.farthest, far, 1e-2)
			}
		})
	}
}

func TestShapesThatAreNone(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]Contour{
		"circle without radius":   Circle(Pt(0, 0), 0),
		"circle inside out":       Circle(Pt(0, 0), -1),
		"circle of NaN":           Circle(Pt(0, 0), nan),
		"rectangle without width": Rect(Pt(0, 0), Pt(0, 5), 0),
		"rectangle turned over":   Rect(Pt(5, 5), Pt(0, 0), 0),
		"rectangle of NaN":        Rect(Pt(nan, 0), Pt(1, 5), 0),
		"corner of NaN":           Rect(Pt(0, 0), Pt(1, 5), nan),
		"two corners":             RegularPolygon(Pt(0, 0), 1, 2, 0),
		"one point":               Polygon(Pt(0, 0), Pt(0, 0)),
		"slot without width":      Slot(Pt(0, 0), Pt(1, 0), 0),
	} {
		assert.Nil(t, c, name)
	}
	assert.Len(t, Polygon(Pt(0, 0), Pt(1, 0), Pt(1, 0), Pt(0, 1), Pt(0, 0)), 3)
}

func TestRegionMeasures(t *testing.T) {
	// A plate with a round hole off its centre.
	r := RegionOf(Circle(Pt(6, 0), 2), Rect(Pt(-10, -10), Pt(10, 10), 0))
	require.NoError(t, r.Validate())
	assert.InDelta(t, 400-4*math.Pi, r.Area(), 1e-9)
	assert.InDelta(t, 80+4*math.Pi, r.Perimeter(), 1e-9)
	assert.InDelta(t, -6*4*math.Pi/(400-4*math.Pi), r.Centroid().X, 1e-9)
	assert.InDelta(t, 0, r.Centroid().Y, 1e-9)
	assert.Equal(t, Box{Pt(-10, -10), Pt(10, 10)}, r.Bounds())
	for _, c := range []struct {
		p    Point
		at   Location
		d, b float64
	}{
		{Pt(0, 0), Inside, 0, 4},
		{Pt(6, 0), Outside, 2, 2},
		{Pt(7, 0), Outside, 1, 1},
		{Pt(8, 0), Boundary, 0, 0},
		{Pt(10, 10), Boundary, 0, 0},
		{Pt(10, 3), Boundary, 0, 0},
		{Pt(13, 14), Outside, 5, 5},
		{Pt(-9, 0), Inside, 0, 1},
	} {
		assert.Equal(t, c.at, r.Contains(c.p), "%v", c.p)
		assert.InDelta(t, c.d, r.Distance(c.p), 1e-12, "%v", c.p)
		assert.InDelta(t, c.b, r.BoundaryDistance(c.p), 1e-12, "%v", c.p)
		assert.InDelta(t, c.d, r.Closest(c.p).Dist(c.p), 1e-12, "%v", c.p)
	}
	m := r.Transform(MirrorY())
	require.NoError(t, m.Validate())
	assert.InDelta(t, r.Area(), m.Area(), 1e-9)
	assert.Equal(t, Outside, m.Contains(Pt(-6, 0)))

	var none Region
	assert.Equal(t, Outside, none.Contains(Pt(0, 0)))
	assert.True(t, math.IsInf(none.Distance(Pt(0, 0)), 1))
	assert.Zero(t, none.Area())
	assert.True(t, none.Bounds().Empty())
}

func TestRegionOfTurnsByNesting(t *testing.T) {
	r := RegionOf(
		Circle(Pt(0, 0), 1),            // island in the hole
		Circle(Pt(0, 0), 5).Reverse(),  // outer
		Circle(Pt(0, 0), 3),            // hole
		nil,                            // nothing
		Circle(Pt(20, 0), 5).Reverse(), // another part
	)
	require.NoError(t, r.Validate())
	require.Len(t, r, 4)
	assert.InDelta(t, math.Pi*(25-9+1+25), r.Area(), 1e-9)
}

// genContour draws a star-shaped contour about a centre out of lines and arcs,
// some corners on a coarse grid so that heights coincide.
func genContour(t *rapid.T, c Point) Contour {
	n := rapid.IntRange(3, 9).Draw(t, "corners")
	pts := make([]Point, n)
	for i := range pts {
		r := rapid.Float64Range(2, 10).Draw(t, "r")
		p := c.Add(Polar(r, 2*math.Pi*float64(i)/float64(n)))
		if rapid.Bool().Draw(t, "grid") {
			p = Pt(math.Round(p.X), math.Round(p.Y))
		}
		pts[i] = p
	}
	out := Polygon(pts...)
	for i, s := range out {
		bulge := rapid.SampledFrom([]float64{0, 0, 0.1, -0.1, 0.4, 1}).Draw(t, "bulge")
		if bulge == 0 {
			continue
		}
		// The arc that rises bulge * half chord to the right.
		u := s.B.Sub(s.A)
		h := (1 - bulge*bulge) / (4 * bulge) // the centre, in chords to the left of the middle
		centre := s.A.Lerp(s.B, 0.5).Add(u.Left().Mul(h))
		turn := CCW
		if bulge < 0 {
			turn = CW
		}
		out[i] = Arc(s.A, s.B, centre, turn)
	}
	return out
}

// slowWinding sums the angles under which a dense polyline appears from p.
func slowWinding(c Contour, p Point) int {
	pts := Flatten(c, 1e-4)
	sum := 0.0
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1].Sub(p), pts[i].Sub(p)
		sum += math.Atan2(a.Cross(b), a.Dot(b))
	}
	return int(math.Round(sum / (2 * math.Pi)))
}

func TestContainsAgainstAngles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := genContour(t, Pt(0, 0))
		require.NoError(t, c.Validate())
		r := Region{c}
		x := NewIndex(r)
		try := func(p Point) {
			at := r.Contains(p)
			require.Equal(t, at, x.Contains(p), "index differs at %v", p)
			if r.BoundaryDistance(p) < 2e-4 {
				return
			}
			require.Equal(t, slowWinding(c, p), c.Winding(p), "%v", p)
			require.Equal(t, c.Winding(p) != 0, at == Inside, "%v", p)
		}
		for i := 0; i < 10; i++ {
			try(genPoint(t, "p"))
		}
		// On the height of every corner, extreme and centre.
		for _, s := range c {
			require.Equal(t, Boundary, r.Contains(s.A))
			px := rapid.Float64Range(-12, 12).Draw(t, "x")
			try(Pt(px, s.A.Y))
			try(Pt(s.A.X, px))
			if s.IsArc() {
				try(s.C)
				try(Pt(px, s.C.Y))
				b := s.Bounds()
				try(Pt(px, b.Min.Y))
				try(Pt(px, b.Max.Y))
				require.Equal(t, Boundary, r.Contains(s.At(0.5)))
			}
		}
	})
}

// Points within a few roundings of an edge: the sign must be that of exact
// arithmetic, whichever edge of the polygon it is.
func TestOrientIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := genPoint(t, "a"), genPoint(t, "b")
		if rapid.Bool().Draw(t, "far") {
			shift := Pt(1e6/3, 1e5/7)
			a, b = a.Add(shift), b.Add(shift)
		}
		p := a.Lerp(b, rapid.Float64Range(-1, 2).Draw(t, "t"))
		for k := rapid.IntRange(0, 3).Draw(t, "steps"); k > 0; k-- {
			p.Y = math.Nextafter(p.Y, math.Inf(1))
		}
		got := Orient(a, b, p)
		require.Equal(t, orientExact(a, b, p), got)
		require.Equal(t, -got, Orient(b, a, p))
		require.Equal(t, got, Orient(b, p, a))
		require.Equal(t, got, Orient(p, a, b))
	})
	assert.Equal(t, Straight, Orient(Pt(0.1, 0.1), Pt(0.3, 0.3), Pt(0.7, 0.7)))
	assert.Equal(t, CCW, Orient(Pt(0, 0), Pt(1, 1), Pt(1, math.Nextafter(1, 2))))
	assert.Equal(t, CW, Orient(Pt(0, 0), Pt(1, 1), Pt(1, math.Nextafter(1, 0))))
	assert.Equal(t, Straight, Orient(Pt(math.NaN(), 0), Pt(1, 1), Pt(0, 1)))
}

// The three sides of a thin triangle, points a rounding away from its long edge.
func TestContainsExactAtEdges(t *testing.T) {
	c := Polygon(Pt(0.1, 0.1), Pt(12.3, 4.5), Pt(7, 8.9))
	r := Region{c}
	rapid.Check(t, func(t *rapid.T) {
		s := c[rapid.IntRange(0, 2).Draw(t, "side")]
		p := s.At(rapid.Float64Range(0.01, 0.99).Draw(t, "t"))
		p.X += float64(rapid.IntRange(-2, 2).Draw(t, "ulps")) * 0x1p-50
		want := map[Turn]Location{CCW: Inside, CW: Outside, Straight: Boundary}[orientExact(s.A, s.B, p)]
		require.Equal(t, want, r.Contains(p))
	})
}

func TestPathMethods(t *testing.T) {
	p := mustPath(t, "M 0 0 L 10 0 A 10 5 10 10 ccw L 0 10")
	assert.InDelta(t, 20+5*math.Pi, p.Length(), 1e-12)
	assert.Equal(t, Pt(0, 0), p.Start())
	assert.Equal(t, Pt(0, 10), p.End())
	assert.Equal(t, Box{Pt(0, 0), Pt(15, 10)}, p.Bounds())
	assert.Equal(t, Pt(4, 0), p.At(4))
	assert.Less(t, p.At(10+2.5*math.Pi).Dist(Pt(15, 5)), 1e-12)
	assert.Equal(t, Pt(0, 0), p.At(-1))
	assert.Equal(t, Pt(0, 10), p.At(1e9))
	assert.Equal(t, p, p.Reverse().Reverse())
	assert.InDelta(t, 1, p.Distance(Pt(16, 5)), 1e-12)
	assert.Less(t, p.Closest(Pt(16, 5)).Dist(Pt(15, 5)), 1e-12)
	assert.False(t, p.Closed())
	assert.Nil(t, Polyline(Pt(0, 0)))
	assert.True(t, Polyline(Pt(0, 0), Pt(1, 0), Pt(0, 0)).Closed())
	var none Path
	assert.Equal(t, Point{}, none.At(3))
	assert.True(t, math.IsInf(none.Distance(Pt(0, 0)), 1))

	assert.Equal(t, p, p.Part(0, 1e9))
	assert.Equal(t, "M 2 0 L 7 0", p.Part(2, 7).String())
	assert.Nil(t, p.Part(7, 7))
	assert.Nil(t, p.Part(7, math.NaN()))
	mid := p.Part(5, 10+2.5*math.Pi)
	require.Len(t, mid, 2)
	assert.InDelta(t, 5+2.5*math.Pi, mid.Length(), 1e-12)
	assert.Less(t, mid.End().Dist(Pt(15, 5)), 1e-12)
	require.NoError(t, mid.Validate())

	c := Rect(Pt(0, 0), Pt(2, 1), 0)
	assert.Equal(t, c[2:], c.Rotate(2)[:2])
	assert.Equal(t, c, c.Rotate(-4))
	assert.Equal(t, c.Rotate(3), c.Rotate(-1))
}

func TestSimilarity(t *testing.T) {
	gen := func(t *rapid.T, label string) Similarity {
		s := Identity()
		for k := rapid.IntRange(0, 4).Draw(t, label); k > 0; k-- {
			v := rapid.Float64Range(-3, 3).Draw(t, label)
			s = s.Then([]Similarity{Translate(Pt(v, -2*v)), Rotate(v), Scale(math.Exp(v / 4)), MirrorX(), MirrorY(),
				RotateAbout(Pt(1, 2), v)}[rapid.IntRange(0, 5).Draw(t, label)])
		}
		return s
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := gen(t, "a"), gen(t, "b")
		p, q := genPoint(t, "p"), genPoint(t, "q")
		ab := a.Then(b)
		require.Less(t, ab.Apply(p).Dist(b.Apply(a.Apply(p))), 1e-9)
		require.Less(t, a.Inverse().Apply(a.Apply(p)).Dist(p), 1e-9)
		require.InDelta(t, a.Factor()*p.Dist(q), a.Apply(p).Dist(a.Apply(q)), 1e-9)
		s := genSeg(t, "s")
		m := s.Transform(ab)
		require.NoError(t, m.Validate())
		require.InDelta(t, ab.Factor()*s.Length(), m.Length(), 1e-8)
		require.Less(t, m.At(0.3).Dist(ab.Apply(s.At(0.3))), 1e-8)
		require.Equal(t, s.IsCircle(), m.IsCircle())
	})
	assert.Equal(t, Pt(-2, 1), Rotate(math.Pi/2).Apply(Pt(1, 2)))
	assert.Equal(t, Pt(-1, -2), Rotate(-math.Pi).Apply(Pt(1, 2)))
	// An arc whose ends fall together is a point, not a circle.
	s := Arc(Pt(1, 0), Polar(1, 1e-15), Pt(0, 0), CCW).Transform(Translate(Pt(1e6, 1e6)))
	assert.Less(t, s.Length(), 1e-9)
}
