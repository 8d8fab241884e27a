package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMedialOfDegenerateRegions(t *testing.T) {
	far := Translate(Pt(1e5, -3e5))
	square := Polygon(Pt(0, 0), Pt(20, 0), Pt(20, 20), Pt(0, 20))
	for _, c := range []struct {
		name  string
		r     Region
		err   string  // part of the error, "" where it must work
		area  float64 // shrunk by 1, -1 to compare with Offset
		loose bool    // breaks the rules of Region in a way that Offset reads differently
	}{
		{name: "empty", r: nil},
		{name: "empty contour", r: Region{{}}},
		{name: "repeated points", r: Region{Polygon(Pt(0, 0), Pt(0, 0), Pt(20, 0), Pt(20, 0), Pt(20, 20), Pt(0, 20), Pt(0, 20))}, area: 18 * 18},
		{name: "points within the lattice", r: Region{Polygon(Pt(0, 0), Pt(1e-9, 0), Pt(20, 0), Pt(20, 20), Pt(0, 20))}, area: 18 * 18},
		{name: "collinear points", r: Region{Polygon(Pt(0, 0), Pt(7, 0), Pt(11, 0), Pt(20, 0), Pt(20, 20), Pt(10, 20), Pt(0, 20), Pt(0, 3))}, area: 18 * 18},
		{name: "spike outward", r: Region{Polygon(Pt(0, 0), Pt(20, 0), Pt(20, 10), Pt(30, 10), Pt(20, 10), Pt(20, 20), Pt(0, 20))}, area: 18 * 18, loose: true},
		{name: "no area", r: Region{Polygon(Pt(0, 0), Pt(20, 0))}, loose: true},
		{name: "figure of eight", r: Region{Polygon(Pt(0, 0), Pt(20, 20), Pt(20, 0), Pt(0, 20))}, err: "use Resolve first"},
		{name: "overlap", r: Region{square, Polygon(Pt(20, 5), Pt(40, 5), Pt(40, 15), Pt(20, 15))}, area: 484 + 2*(1-math.Pi/4), loose: true},
		{name: "twice", r: Region{square, square}, err: "use Resolve first"},
		{name: "clockwise", r: Region{square.Reverse()}, err: "use Resolve first"},
		{name: "hole counter-clockwise", r: Region{square, Circle(Pt(10, 10), 4)}, err: "use Resolve first"},
		{name: "not closed", r: Region{{Line(Pt(0, 0), Pt(1, 0)), Line(Pt(1, 0), Pt(1, 1))}}, err: "not closed"},
		{name: "not a number", r: Region{Polygon(Pt(0, 0), Pt(math.NaN(), 0), Pt(1, 1))}, err: "not a finite number"},
		{name: "too large", r: Region{Rect(Pt(0, 0), Pt(1e9, 1e9), 0)}, err: "too large"},
		{name: "too many chords", r: Region{Circle(Pt(0, 0), 1e11)}, err: "more than"},
		{name: "corner touches corner", r: Region{square, Polygon(Pt(20, 20), Pt(40, 20), Pt(40, 40), Pt(20, 40))}, area: 2 * 18 * 18},
		{name: "hole touches corner", r: Region{square, Polygon(Pt(0, 0), Pt(4, 9), Pt(9, 4))}, area: -1},
		{name: "hole touches side", r: Region{square, Polygon(Pt(10, 0), Pt(8, 9), Pt(12, 9))}, area: -1},
		{name: "round hole touches side", r: Region{square, Circle(Pt(10, 5), 5).Reverse()}, area: -1},
		{name: "round holes touch", r: Region{square, Circle(Pt(5, 10), 3).Reverse(), Circle(Pt(11, 10), 3).Reverse()}, area: -1},
		{name: "round parts touch", r: Region{Circle(Pt(5, 10), 3), Circle(Pt(11, 10), 3)}, area: -1},
		{name: "round hole nearly touches", r: Region{square, Circle(Pt(10, 5+3e-6), 5).Reverse()}, area: -1},
		{name: "full circle", r: Region{Circle(Pt(1, 2), 5)}, area: 16 * math.Pi},
		{name: "tiny fillet", r: Region{Rect(Pt(0, 0), Pt(20, 20), 1e-6)}, area: 18 * 18},
		{name: "huge arc", r: Region{{Arc(Pt(0, 0), Pt(20, 0), Pt(10, 1e6), CCW), Line(Pt(20, 0), Pt(20, 20)), Line(Pt(20, 20), Pt(0, 20)), Line(Pt(0, 20), Pt(0, 0))}}, area: -1},
		{name: "far off", r: Region{square.Transform(far), Circle(Pt(10, 10), 5).Reverse().Transform(far)}, area: -1},
		{name: "large", r: Region{Rect(Pt(0, 0), Pt(5000, 3000), 40)}, area: 4998*2998 - (4-math.Pi)*39*39},
		{name: "small", r: Region{Circle(Pt(0, 0), 2e-3)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, err := MedialAxis(c.r, MedialOptions{})
			if c.err != "" {
				require.ErrorContains(t, err, c.err)
				return
			}
			require.NoError(t, err)
			got, err := m.Offset(-1)
			require.NoError(t, err)
			want := c.area
			if want < 0 {
				r, err := Offset(c.r, -1, OffsetOptions{})
				require.NoError(t, err)
				want = r.Area()
			}
			require.InDelta(t, want, got.Area(), 1e-4*(1+got.Perimeter()/100))
			if c.loose {
				return
			}
			wide, err := m.Offset(1)
			require.NoError(t, err)
			r, err := Offset(c.r, 1, OffsetOptions{})
			require.NoError(t, err)
			require.InDelta(t, r.Area(), wide.Area(), 1e-4*(1+wide.Perimeter()))
		})
	}
}
