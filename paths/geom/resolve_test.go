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
		{"notch closes", Region{Polygon(Pt(0, 0), Pt(10, 0), Pt(10, 10), Pt(5.1, 10), Pt(5.1, 5), Pt(4.9, 5), Pt(4.9, 10), Pt(0, 10))}, 2, OffsetOptions{}, 196 - 16 + 4*math.Pi - (0.2*2-2*(0.05*math.Sqrt(4-0.01)+0))*0, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := Offset(c.r, c.d, c.o)
			require.NoError(t, err)
			n := 0
			for _, k := range r {
				n += len(k)
			}
			if c.segs > 0 || c.area == 0 {
				require.Equal(t, c.segs, n, "%v", r)
				require.InDelta(t, c.area, r.Area(), 1e-8)
			}
		})
	}
}

func TestOffsetPathDisc(t *testing.T) {
	r, err := OffsetPath([]Path{{Line(Pt(0, 0), Pt(10, 0))}}, 2, OffsetOptions{})
	require.NoError(t, err)
	require.InDelta(t, 40+4*math.Pi, r.Area(), 1e-9)
	r, err = OffsetPath([]Path{{Line(Pt(3, 3), Pt(3, 3))}}, 2, OffsetOptions{})
	require.NoError(t, err)
	require.InDelta(t, 4*math.Pi, r.Area(), 1e-9)
	r, err = OffsetPath([]Path{Path(Circle(Pt(0, 0), 5))}, 2, OffsetOptions{})
	require.NoError(t, err)
	require.InDelta(t, (49-9)*math.Pi, r.Area(), 1e-9)
	r, err = OffsetPath([]Path{{Line(Pt(0, 0), Pt(10, 0)), Line(Pt(10, 0), Pt(10, 10))}}, 1, OffsetOptions{})
	require.NoError(t, err)
	require.InDelta(t, 40-1+math.Pi+math.Pi/4, r.Area(), 1e-9)
}
