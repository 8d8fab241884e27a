package geom

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// eccentric is a disc of radius 10 with a hole of radius 3 set off by 3.
func eccentric() Region {
	return Region{Circle(Pt(0, 0), 10), Circle(Pt(3, 0), 3).Reverse()}
}

// discsOverlap is the area that discs of radius r and q, centres d apart, have
// in common: two circular segments.
func discsOverlap(r, q, d float64) float64 {
	if d <= math.Abs(r-q) {
		return math.Pi * math.Min(r, q) * math.Min(r, q)
	}
	x := (d*d + r*r - q*q) / (2 * d)
	return r*r*math.Acos(x/r) - x*math.Sqrt(r*r-x*x) + q*q*math.Acos((d-x)/q) - (d-x)*math.Sqrt(q*q-(d-x)*(d-x))
}

// mitredWedge is the area of the wedge below grown by 1: two mitred corners and
// a tip that is too sharp for the limit and becomes an arc.
func mitredWedge() float64 {
	side := math.Hypot(10, 0.5)
	half := math.Atan2(0.5, 10) // of the tip
	turn := math.Pi/2 + half    // at the other two corners
	return 5 + 2*side + 1 + (math.Pi-2*half)/2 + 2*math.Tan(turn/2)
}

func TestOffsetClosedForms(t *testing.T) {
	cases := []struct {
		name string
		r    Region
		d    float64
		o    OffsetOptions
		area float64
		segs int
	}{
		{"square out", Region{square(0, 0, 4)}, 1, OffsetOptions{}, 16 + 16 + math.Pi, 8},
		{"square in", Region{square(0, 0, 4)}, -1, OffsetOptions{}, 4, 4},
		{"square gone", Region{square(0, 0, 4)}, -2.001, OffsetOptions{}, 0, 0},
		{"square out mitred", Region{square(0, 0, 4)}, 1, OffsetOptions{Join: MiterJoin}, 36, 4},
		{"circle out", Region{Circle(Pt(1, 2), 4)}, 1, OffsetOptions{}, 25 * math.Pi, 1},
		{"circle in", Region{Circle(Pt(1, 2), 4)}, -1, OffsetOptions{}, 9 * math.Pi, 1},
		{"circle gone", Region{Circle(Pt(1, 2), 4)}, -4.5, OffsetOptions{}, 0, 0},
		{"ring in", Region{Circle(Pt(0, 0), 5), Circle(Pt(0, 0), 2).Reverse()}, -1, OffsetOptions{}, 7 * math.Pi, 2},
		{"ring out", Region{Circle(Pt(0, 0), 5), Circle(Pt(0, 0), 2).Reverse()}, 3, OffsetOptions{}, 64 * math.Pi, 1},
		{"stadium in", Region{Slot(Pt(0, 0), Pt(10, 0), 4)}, -1, OffsetOptions{}, 20 + math.Pi, 4},
		{"stadium out", Region{Slot(Pt(0, 0), Pt(10, 0), 4)}, 1, OffsetOptions{}, 60 + 9*math.Pi, 4},
		{"eccentric hole in", eccentric(), -1, OffsetOptions{}, (81 - 16) * math.Pi, 2},
		{"eccentric hole in, touching", eccentric(), -2, OffsetOptions{}, 64*math.Pi - discsOverlap(8, 5, 3), 2},
		{"eccentric hole in, crossing", eccentric(), -3, OffsetOptions{}, 49*math.Pi - discsOverlap(7, 6, 3), 2},
		{"eccentric hole out", eccentric(), 1, OffsetOptions{}, (121 - 4) * math.Pi, 2},
		{"eccentric hole closed", eccentric(), 3, OffsetOptions{}, 169 * math.Pi, 1},
		{"leg just too narrow", Region{Polygon(Pt(0, 0), Pt(10, 0), Pt(10, 4), Pt(20, 4), Pt(20, 6), Pt(10, 6), Pt(10, 10), Pt(0, 10))}, -1, OffsetOptions{}, 66 - math.Pi/2, 0},
		{"mitre too sharp is round", Region{Polygon(Pt(0, 0), Pt(10, -0.5), Pt(10, 0.5))}, 1, OffsetOptions{Join: MiterJoin, MiterLimit: 2}, mitredWedge(), 4},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := Offset(c.r, c.d, c.o)
			require.NoError(t, err)
			n := 0
			for _, k := range r {
				n += len(k)
			}
			require.InDelta(t, c.area, r.Area(), 1e-8)
			if c.segs > 0 || c.area == 0 {
				require.Equal(t, c.segs, n, "%v", r)
			}
			require.NoError(t, r.Validate())
		})
	}
}

func TestOffsetPathClosedForms(t *testing.T) {
	for _, c := range []struct {
		name  string
		paths string // one a line
		d     float64
		area  float64
		n     int // segments
	}{
		{"line", "M 0 0 L 10 0", 2, 40 + 4*math.Pi, 4},
		{"point", "M 3 3 L 3 3", 2, 4 * math.Pi, 1},
		{"corner", "M 0 0 L 10 0 L 10 10", 1, 40 - 1 + math.Pi + math.Pi/4, 0},
		{"circle", "M 5 0 A 0 0 5 0 ccw", 2, (49 - 9) * math.Pi, 2},
		{"circle that the disc fills", "M 5 0 A 0 0 5 0 cw", 6, 121 * math.Pi, 1},
		{"closed square", "M 0 0 L 5 0 L 5 5 L 0 5 L 0 0", 1, 40 - 4 + math.Pi, 12},
		{"there and back", "M 0 0 L 10 0 L 0 0", 2, 40 + 4*math.Pi, 4},
		{"twice", "M 0 0 L 10 0\nM 0 0 L 10 0", 2, 40 + 4*math.Pi, 4},
		{"twice in other pieces", "M 0 0 L 10 0\nM 10 0 L 4 0 L 0 0", 2, 40 + 4*math.Pi, 4},
		{"partly shared", "M 0 0 L 10 0\nM 5 0 L 15 0", 2, 60 + 4*math.Pi, 4},
		{"arc within its circle", "M 5 0 A 0 0 5 0 ccw\nM 0 5 A 0 0 -5 0 ccw", 2, (49 - 9) * math.Pi, 2},
		{"circle twice", "M 5 0 A 0 0 5 0 ccw\nM 0 5 A 0 0 0 5 cw", 2, (49 - 9) * math.Pi, 2},
		{"swaths side by side", "M 0 0 L 10 0\nM 0 4 L 10 4", 2, 80 + 8*math.Pi, 0},
		{"ends that meet", "M 0 0 L 10 0\nM 10 10 L 10 0", 1, 40 - 1 + math.Pi + math.Pi/4, 0},
		{"branches", "M 0 0 L 10 0\nM 10 0 L 20 0\nM 10 0 L 10 10", 1, 40 + math.Pi + 20 - 2 + math.Pi/2, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			var paths []Path
			for _, text := range strings.Split(c.paths, "\n") {
				p, err := ParsePath(text)
				require.NoError(t, err)
				paths = append(paths, p)
			}
			r, err := OffsetPath(paths, c.d, OffsetOptions{})
			require.NoError(t, err)
			require.InDelta(t, c.area, r.Area(), 1e-7)
			require.NoError(t, r.Validate())
			require.NoError(t, lengthless(r))
			if c.n > 0 {
				n := 0
				for _, k := range r {
					n += len(k)
				}
				require.Equal(t, c.n, n, "%v", r)
			}
		})
	}
}

// A circle that does not close by a nanometre is a circle yet, not a point.
func TestOffsetOfNearCircle(t *testing.T) {
	c := Arc(Pt(5, 0), Pt(5, -1e-6), Pt(0, 0), CCW)
	r, err := OffsetPath([]Path{{c}}, 2, OffsetOptions{})
	require.NoError(t, err)
	require.InDelta(t, (49-9)*math.Pi, r.Area(), 1e-5)
	r, err = Offset(Region{{c}}, 2, OffsetOptions{})
	require.NoError(t, err)
	require.InDelta(t, 49*math.Pi, r.Area(), 1e-5)
	r, err = Offset(Region{{c}}, -2, OffsetOptions{})
	require.NoError(t, err)
	require.InDelta(t, 9*math.Pi, r.Area(), 1e-5)
}

func TestOffsetRefuses(t *testing.T) {
	r := Region{square(0, 0, 1)}
	_, err := Offset(r, math.NaN(), OffsetOptions{})
	require.ErrorContains(t, err, "out of range")
	_, err = Offset(r, math.Inf(-1), OffsetOptions{})
	require.ErrorContains(t, err, "out of range")
	_, err = Offset(r, 1, OffsetOptions{Join: 9})
	require.ErrorContains(t, err, "unknown join")
	_, err = Offset(r, 1, OffsetOptions{MiterLimit: 0.5})
	require.ErrorContains(t, err, "mitre limit")
	_, err = Offset(Region{{Line(Pt(0, 0), Pt(1, 0))}}, 1, OffsetOptions{})
	require.ErrorContains(t, err, "open")
	_, err = OffsetPath([]Path{{Line(Pt(0, 0), Pt(1, 0))}}, 0, OffsetOptions{})
	require.ErrorContains(t, err, "not above 0")
	_, err = OffsetPath([]Path{{Line(Pt(0, 0), Pt(1, 0)), Line(Pt(2, 0), Pt(3, 0))}}, 1, OffsetOptions{})
	require.ErrorContains(t, err, "not connected")
	_, err = OffsetPath([]Path{{Line(Pt(0, 0), Pt(1, math.Inf(1)))}}, 1, OffsetOptions{})
	require.ErrorContains(t, err, "path 0, segment 0: coordinate is not a finite number")
}

// The comb of 100 teeth whose back holds a pocket 0.05 mm deep under every inner
// tooth at 5 mm: 19 rings of the whole and 98 of those.
func TestOffsetsLoseNoRing(t *testing.T) {
	const teeth = 100
	p := []Point{Pt(0, 0), Pt(4*teeth-2, 0)}
	for i := teeth - 1; i >= 0; i-- {
		x := float64(4 * i)
		p = append(p, Pt(x+2, 30), Pt(x, 30))
		if i > 0 {
			p = append(p, Pt(x, 10), Pt(x-2, 10))
		}
	}
	var ds []float64
	for i := 1; i <= 21; i++ {
		ds = append(ds, -0.25*float64(i))
	}
	levels, err := Offsets(Region{Polygon(p...)}, ds, OffsetOptions{})
	require.NoError(t, err)
	rings := 0
	for _, l := range levels {
		rings += len(l)
	}
	require.Equal(t, 117, rings)
	require.Len(t, levels[19], 98)
	require.Empty(t, levels[20])
}

func BenchmarkOffset(b *testing.B) {
	for n := 100; n <= 100000; n *= 10 {
		p := make([]Point, n)
		for i := range p {
			p[i] = Polar(50-10*float64(i%2), 2*math.Pi*float64(i)/float64(n))
		}
		r := Region{Polygon(p...)}
		b.Run(fmt.Sprintf("star-%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Offset(r, -0.5, OffsetOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkUnion(b *testing.B) {
	for n := 100; n <= 100000; n *= 10 {
		p := make([]Point, n)
		for i := range p {
			a := 2 * math.Pi * float64(i) / float64(n)
			p[i] = Polar(45*(1+0.08*math.Sin(3*a)), a)
		}
		r := Region{Polygon(p...)}
		o := r.Transform(Rotate(0.5))
		b.Run(fmt.Sprintf("blob-%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Union(r, o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
