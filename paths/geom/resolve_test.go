package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func square(x, y, a float64) Contour { return Rect(Pt(x, y), Pt(x+a, y+a), 0) }

func TestBooleanAreas(t *testing.T) {
	lens := func(r, d float64) float64 { // two circles of radius r, centres d apart
		return 2*r*r*math.Acos(d/2/r) - d/2*math.Sqrt(4*r*r-d*d)
	}
	cases := []struct {
		name         string
		a, b         Region
		union, inter float64
	}{
		{"apart", Region{square(0, 0, 1)}, Region{square(5, 0, 1)}, 2, 0},
		{"crossing squares", Region{square(0, 0, 2)}, Region{square(1, 1, 2)}, 7, 1},
		{"common edge", Region{square(0, 0, 1)}, Region{square(1, 0, 1)}, 2, 0},
		{"part of an edge", Region{square(0, 0, 2)}, Region{square(2, 0.5, 1)}, 5, 0},
		{"same", Region{square(0, 0, 1)}, Region{square(0, 0, 1)}, 1, 1},
		{"nested", Region{square(0, 0, 4)}, Region{square(1, 1, 1)}, 16, 1},
		{"touching corner", Region{square(0, 0, 1)}, Region{square(1, 1, 1)}, 2, 0},
		{"circles crossing", Region{Circle(Pt(0, 0), 2)}, Region{Circle(Pt(1, 0), 2)}, 8*math.Pi - lens(2, 1), lens(2, 1)},
		{"circles touching outside", Region{Circle(Pt(0, 0), 2)}, Region{Circle(Pt(4, 0), 2)}, 8 * math.Pi, 0},
		{"circles touching inside", Region{Circle(Pt(0, 0), 2)}, Region{Circle(Pt(1, 0), 1)}, 4 * math.Pi, math.Pi},
		{"same circle", Region{Circle(Pt(0, 0), 2)}, Region{Circle(Pt(0, 0), 2).Rotate(0)}, 4 * math.Pi, 4 * math.Pi},
		{"circle in square", Region{square(-2, -2, 4)}, Region{Circle(Pt(0, 0), 2)}, 16, 4 * math.Pi},
		{"circle over square corner", Region{square(0, 0, 4)}, Region{Circle(Pt(0, 0), 2)}, 16 + 3*math.Pi, math.Pi},
		{"tiny circle under an arc", Region{Circle(Pt(0, 0), 100)}, Region{Circle(Pt(99.9, 0.0001), 0.001)}, 1e4 * math.Pi, 1e-6 * math.Pi},
		{"slot over slot", Region{Slot(Pt(-5, 0), Pt(5, 0), 2)}, Region{Slot(Pt(0, -5), Pt(0, 5), 2)}, 2*(20+math.Pi) - 4, 4},
		{"slots with common ends", Region{Slot(Pt(0, 0), Pt(5, 0), 2)}, Region{Slot(Pt(0, 0), Pt(0, 5), 2)}, 20 + 2*math.Pi - 1 - 3*math.Pi/4, 1 + 3*math.Pi/4},
		{"ring and disc", Region{Circle(Pt(0, 0), 3), Circle(Pt(0, 0), 2).Reverse()}, Region{Circle(Pt(0, 0), 2)}, 9 * math.Pi, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			u, err := Union(c.a, c.b)
			require.NoError(t, err)
			i, err := Intersection(c.a, c.b)
			require.NoError(t, err)
			require.InDelta(t, c.union, u.Area(), 1e-9*c.union)
			require.InDelta(t, c.inter, i.Area(), 1e-9*c.union)
			d, err := Difference(c.a, c.b)
			require.NoError(t, err)
			require.InDelta(t, c.a.Area()-c.inter, d.Area(), 1e-9*c.union)
			x, err := SymmetricDifference(c.a, c.b)
			require.NoError(t, err)
			require.InDelta(t, c.union-c.inter, x.Area(), 1e-9*c.union)
		})
	}
}

func TestResolveRules(t *testing.T) {
	twice := []Contour{square(0, 0, 4), square(1, 1, 2)}
	bowtie := []Contour{Polygon(Pt(0, 0), Pt(4, 4), Pt(4, 0), Pt(0, 4))}
	cases := []struct {
		name     string
		c        []Contour
		rule     FillRule
		area     float64
		contours int
	}{
		{"nested, even-odd", twice, EvenOdd, 12, 2},
		{"nested, non-zero", twice, NonZero, 16, 1},
		{"hole run backward, non-zero", []Contour{square(0, 0, 4), square(1, 1, 2).Reverse()}, NonZero, 12, 2},
		{"clockwise alone, non-zero", []Contour{square(0, 0, 4).Reverse()}, NonZero, 16, 1},
		{"bow tie", bowtie, NonZero, 8, 2},
		{"same twice, even-odd", []Contour{square(0, 0, 4), square(0, 0, 4)}, EvenOdd, 0, 0},
		{"spike", []Contour{chain(Pt(0, 0), Pt(4, 0), Pt(9, 0), Pt(4, 0), Pt(4, 4), Pt(0, 4))}, NonZero, 16, 1},
		{"repeated points", []Contour{chain(Pt(0, 0), Pt(0, 0), Pt(4, 0), Pt(4, 4), Pt(4, 4), Pt(0, 4))}, NonZero, 16, 1},
		{"line back and forth", []Contour{chain(Pt(0, 0), Pt(4, 0))}, NonZero, 0, 0},
		{"nothing", nil, NonZero, 0, 0},
		{"hole touching the outline", []Contour{square(0, 0, 4), Polygon(Pt(0, 2), Pt(1, 1), Pt(2, 2), Pt(1, 3)).Reverse()}, NonZero, 14, 2},
		{"disc in two halves", []Contour{{Arc(Pt(1, 0), Pt(-1, 0), Pt(0, 0), CCW), Line(Pt(-1, 0), Pt(1, 0))}, {Arc(Pt(-1, 0), Pt(1, 0), Pt(0, 0), CCW), Line(Pt(1, 0), Pt(-1, 0))}}, NonZero, math.Pi, 1},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := Resolve(c.c, c.rule)
			require.NoError(t, err)
			require.InDelta(t, c.area, r.Area(), 1e-9)
			require.Len(t, r, c.contours)
			require.NoError(t, r.Validate())
		})
	}
}

func TestResolveRefuses(t *testing.T) {
	nan := math.NaN()
	cases := []struct {
		name, want string
		c          Contour
		rule       FillRule
	}{
		{"open", "contour 0 is open after segment 1", Contour{Line(Pt(0, 0), Pt(1, 0)), Line(Pt(1, 0), Pt(1, 1))}, NonZero},
		{"not a number", "segment 0: coordinate is not a finite number", Contour{Line(Pt(nan, 0), Pt(1, 0))}, NonZero},
		{"infinite centre", "coordinate is not a finite number", Contour{Arc(Pt(1, 0), Pt(1, 0), Pt(math.Inf(1), 0), CCW)}, NonZero},
		{"too far", "coordinate beyond", chain(Pt(0, 0), Pt(1e11, 0), Pt(0, 1)), NonZero},
		{"turn", "unknown turn", Contour{Seg{A: Pt(0, 0), B: Pt(0, 0), Turn: 5}}, NonZero},
		{"rule", "unknown fill rule", square(0, 0, 1), 7},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := Resolve([]Contour{c.c}, c.rule)
			require.ErrorContains(t, err, c.want)
		})
	}
}
