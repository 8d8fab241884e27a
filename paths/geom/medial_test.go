package geom

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func axisLength(m *Medial) float64 {
	sum := 0.0
	for _, b := range m.Branches {
		sum += b.Length()
	}
	return sum
}

func mustMedial(t testing.TB, r Region, o MedialOptions) *Medial {
	m, err := MedialAxis(r, o)
	require.NoError(t, err)
	return m
}

func TestMedialOfRectangle(t *testing.T) {
	m := mustMedial(t, RegionOf(Rect(Pt(0, 0), Pt(30, 10), 0)), MedialOptions{})
	require.Len(t, m.Branches, 5)
	require.Len(t, m.Nodes, 6)
	require.InDelta(t, 20+4*5*math.Sqrt2, axisLength(m), 1e-6)
	for _, b := range m.Branches {
		for _, p := range b.Pieces() {
			for i := 0; i <= 8; i++ {
				d := p.At(float64(i) / 8)
				require.InDelta(t, math.Min(math.Min(d.C.X, 30-d.C.X), math.Min(d.C.Y, 10-d.C.Y)), d.R, 1e-6)
			}
		}
	}
}

func TestMedialOfSquareMeetsInOneNode(t *testing.T) {
	m := mustMedial(t, RegionOf(Rect(Pt(0, 0), Pt(10, 10), 0)), MedialOptions{})
	require.Len(t, m.Branches, 4)
	require.Len(t, m.Nodes, 5)
}

func TestMedialOfDiscIsItsCentre(t *testing.T) {
	m := mustMedial(t, RegionOf(Circle(Pt(3, 4), 25)), MedialOptions{})
	require.Empty(t, m.Branches)
	require.Len(t, m.Nodes, 1)
	require.InDelta(t, 25, m.Nodes[0].R, 1e-3)
	require.Less(t, m.Nodes[0].C.Dist(Pt(3, 4)), 1e-3)
}

func TestMedialOfStadium(t *testing.T) {
	m := mustMedial(t, RegionOf(Slot(Pt(0, 0), Pt(40, 0), 12)), MedialOptions{})
	require.Len(t, m.Branches, 1)
	require.InDelta(t, 40, axisLength(m), 0.3) // ends within a chord of the arcs' centres
	for _, d := range m.Branches[0].Discs(1e-3) {
		require.InDelta(t, 6, d.R, 1e-3)
		require.LessOrEqual(t, d.R, 6+Tol)
	}
}

func TestMedialOfRing(t *testing.T) {
	m := mustMedial(t, RegionOf(Circle(Pt(0, 0), 20), Circle(Pt(0, 0), 10).Reverse()), MedialOptions{})
	require.Len(t, m.Branches, 1)
	require.Equal(t, m.Branches[0].From, m.Branches[0].To)
	require.InDelta(t, 2*math.Pi*15, axisLength(m), 0.1)
}

// Closed form: two bisectors of right angles with their forks 5 from three
// sides, straight arms, and in the elbow two parabolas about the inner corner
// that meet on the diagonal at distance r from both outer sides, where
// (10-r) sqrt(2) = r.
func TestMedialOfL(t *testing.T) {
	r := RegionOf(Polygon(Pt(0, 0), Pt(40, 0), Pt(40, 10), Pt(10, 10), Pt(10, 40), Pt(0, 40)))
	m := mustMedial(t, r, MedialOptions{})
	require.Len(t, m.Branches, 7)
	elbow := 10 * (2 - math.Sqrt2)
	u := math.Sqrt2 - 1 // (10 - elbow) / 10, the parabola's focal distance
	parabola := 5 * (u*math.Sqrt(1+u*u) + math.Asinh(u))
	want := elbow*math.Sqrt2 + 2*parabola + 2*25 + 4*5*math.Sqrt2
	require.InDelta(t, want, axisLength(m), 1e-6)
	found := false
	for _, n := range m.Nodes {
		found = found || math.Abs(n.R-elbow) < 1e-6 && n.C.Dist(Pt(elbow, elbow)) < 1e-6
	}
	require.True(t, found)
}

// oval is the four-centred oval: arcs of radius small about (+-e, 0) and of
// radius big about (0, -+c), tangent where they join.
func oval(e, c, small float64) Region {
	big := small + math.Hypot(e, c)
	join := func(sx, sy float64) Point {
		// On the line from the big centre (0, -sy c) through the small centre (sx e, 0).
		u := Pt(sx*e, sy*c).Unit()
		return Pt(0, -sy*c).Add(u.Mul(big))
	}
	ne, nw, sw, se := join(1, 1), join(-1, 1), join(-1, -1), join(1, -1)
	return Region{{
		Arc(se, ne, Pt(e, 0), CCW), Arc(ne, nw, Pt(0, -c), CCW),
		Arc(nw, sw, Pt(-e, 0), CCW), Arc(sw, se, Pt(0, c), CCW),
	}}
}

// The axis of the oval is the stretch between the centres of its small arcs;
// the clearance there is the distance from the big arcs.
func TestMedialOfOval(t *testing.T) {
	const e, c, small = 20, 30, 8
	big := small + math.Hypot(e, c)
	m := mustMedial(t, oval(e, c, small), MedialOptions{})
	require.Len(t, m.Branches, 1)
	for _, p := range m.Branches[0].Pieces() {
		d := p.At(0.5)
		require.InDelta(t, 0, d.C.Y, 0.02)
		require.InDelta(t, big-math.Hypot(d.C.X, c), d.R, 1.1e-3)
	}
	require.InDelta(t, 2*e, axisLength(m), 1)
	w := m.Widest()
	require.InDelta(t, big-c, w.R, 1e-6)
}

// A connected region with h holes has an axis with h independent rings.
func TestMedialEulerCount(t *testing.T) {
	r := RegionOf(Rect(Pt(0, 0), Pt(60, 40), 5), Circle(Pt(15, 20), 8),
		Slot(Pt(35, 12), Pt(48, 28), 6), Polygon(Pt(28, 5), Pt(30, 9), Pt(26, 9)))
	for _, prune := range []float64{-1, 0, 0.5, 3} {
		m := mustMedial(t, r, MedialOptions{Prune: prune})
		require.Equal(t, 1-3, len(m.Nodes)-len(m.Branches), "prune %g", prune)
	}
}

func TestMedialPruneByErosionThickness(t *testing.T) {
	// The corner of a square side 10 has erosion thickness 5 (sqrt(2) - 1).
	r := RegionOf(Rect(Pt(0, 0), Pt(30, 10), 0))
	at := 5 * (math.Sqrt2 - 1)
	require.Len(t, mustMedial(t, r, MedialOptions{Prune: at * 0.999}).Branches, 5)
	require.Len(t, mustMedial(t, r, MedialOptions{Prune: at * 1.001}).Branches, 1)
}

func TestMedialOptionsAreChecked(t *testing.T) {
	r := RegionOf(Circle(Pt(0, 0), 5))
	for _, o := range []MedialOptions{
		{Chord: -1}, {Chord: 1e-9}, {Chord: math.NaN()}, {Chord: math.Inf(1)}, {Prune: math.NaN()},
	} {
		_, err := MedialAxis(r, o)
		require.ErrorContains(t, err, "out of range")
	}
	m := mustMedial(t, r, MedialOptions{})
	for _, d := range []float64{math.NaN(), math.Inf(-1), 1e9} {
		_, err := m.Offset(d)
		require.Error(t, err)
	}
}

// Pieces are what they say: equally far from both sites, and nothing nearer.
func TestMedialPiecesAreExact(t *testing.T) {
	r := RegionOf(Polygon(Pt(0, 0), Pt(40, 3), Pt(38, 11), Pt(12, 9), Pt(17, 31), Pt(-3, 35)), Polygon(Pt(5, 5), Pt(8, 4), Pt(7, 9)))
	m := mustMedial(t, r, MedialOptions{})
	kinds := map[string]int{}
	for _, b := range m.Branches {
		length, ds := 0.0, b.Discs(1e-5)
		for i := range ds[1:] {
			length += ds[i].C.Dist(ds[i+1].C)
		}
		require.InDelta(t, length, b.Length(), 1e-4)
		for _, p := range b.Pieces() {
			kinds[fmt.Sprint(p.P.Vertex(), p.Q.Vertex())]++
			low := p.Least()
			for i := 0; i <= 16; i++ {
				d := p.At(float64(i) / 16)
				require.InDelta(t, d.R, d.C.Dist(p.P.Foot(d.C)), 1e-6)
				require.InDelta(t, d.R, d.C.Dist(p.Q.Foot(d.C)), 1e-6)
				require.InDelta(t, d.R, r.BoundaryDistance(d.C), 1e-6)
				require.GreaterOrEqual(t, d.R, low.R-1e-9)
			}
			left := p.To.C.Sub(p.From.C).Cross(p.Q.Foot(p.At(0.5).C).Sub(p.From.C))
			if p.To.C.Dist(p.From.C) > 1e-3 && p.From.R > 1e-3 {
				require.Positive(t, left, "Q lies on the left")
			}
		}
	}
	require.Len(t, kinds, 4, "all kinds of pieces: %v", kinds)
}

// Discs keep their tolerance between neighbours, in centre and clearance.
func TestMedialDiscsKeepTolerance(t *testing.T) {
	r := RegionOf(Polygon(Pt(0, 0), Pt(40, 3), Pt(38, 11), Pt(12, 9), Pt(17, 31), Pt(-3, 35)), Polygon(Pt(5, 5), Pt(8, 4), Pt(7, 9)))
	m := mustMedial(t, r, MedialOptions{})
	for _, tol := range []float64{1e-1, 1e-3, 1e-5} {
		for _, b := range m.Branches {
			for _, p := range b.Pieces() {
				ds := p.appendDiscs([]Disc{p.From}, tol)
				n := len(ds) - 1
				for k := range n {
					for _, f := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
						d := p.At((float64(k) + f) / float64(n))
						require.LessOrEqual(t, d.C.Dist(ds[k].C.Lerp(ds[k+1].C, f)), tol*(1+1e-9))
						require.LessOrEqual(t, math.Abs(d.R-(ds[k].R+f*(ds[k+1].R-ds[k].R))), tol*(1+1e-9))
					}
				}
			}
		}
	}
}

func TestWidest(t *testing.T) {
	for _, c := range []struct {
		name   string
		r      Region
		radius float64
	}{
		{"rectangle", RegionOf(Rect(Pt(0, 0), Pt(30, 10), 0)), 5},
		{"disc", RegionOf(Circle(Pt(3, 4), 25)), 25},
		{"ring, hole off the middle", RegionOf(Circle(Pt(0, 0), 20), Circle(Pt(3, 4), 10)), 7.5},
		{"triangle 3-4-5", RegionOf(Polygon(Pt(0, 0), Pt(4, 0), Pt(0, 3))), 1},
		{"nothing", nil, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := mustMedial(t, c.r, MedialOptions{}).Widest()
			require.InDelta(t, c.radius, w.R, 1e-6)
		})
	}
}

func TestNarrows(t *testing.T) {
	// Two chambers 20 wide, joined by a channel 4 wide.
	r := RegionOf(Polygon(Pt(0, 0), Pt(20, 0), Pt(20, 8), Pt(40, 8), Pt(40, 0), Pt(60, 0),
		Pt(60, 20), Pt(40, 20), Pt(40, 12), Pt(20, 12), Pt(20, 20), Pt(0, 20)))
	m := mustMedial(t, r, MedialOptions{})
	corners, channels := 0, 0
	for _, n := range m.Narrows(3) {
		for _, g := range n.Gates {
			require.InDelta(t, 3, g.R, 1e-9)
			require.InDelta(t, 3, r.BoundaryDistance(g.C), 1e-6)
		}
		switch {
		case len(n.Ends) == 1:
			corners++
			require.Len(t, n.Gates, 1)
			require.InDelta(t, 3*(math.Sqrt2-1), n.Depth(), 1e-6)
		case len(n.Ends) == 0:
			channels++
			require.Len(t, n.Gates, 2)
			require.Zero(t, n.Depth())
		}
	}
	require.Equal(t, 8, corners)
	require.Equal(t, 1, channels)
	require.Len(t, m.Narrows(1.9), 8, "the channel is open for a smaller tool")
	all := m.Narrows(100)
	require.Len(t, all, 1)
	require.Empty(t, all[0].Gates)
	require.True(t, math.IsInf(all[0].Depth(), 1))
	require.Empty(t, m.Narrows(math.NaN()))
}

func TestMedialOffsetAgreesWithOffset(t *testing.T) {
	for name, r := range map[string]Region{
		"rectangle": RegionOf(Rect(Pt(0, 0), Pt(30, 10), 0)),
		"rounded":   RegionOf(Rect(Pt(0, 0), Pt(30, 10), 3)),
		"slot":      RegionOf(Slot(Pt(0, 0), Pt(40, 0), 12)),
		"disc":      RegionOf(Circle(Pt(3, 4), 25)),
		"ring":      RegionOf(Circle(Pt(0, 0), 20), Circle(Pt(3, 1), 10)),
		"holed":     RegionOf(Rect(Pt(0, 0), Pt(60, 40), 5), Circle(Pt(15, 20), 8), Slot(Pt(35, 12), Pt(48, 28), 6), Polygon(Pt(28, 5), Pt(30, 9), Pt(26, 9))),
		"oval":      oval(20, 30, 8),
	} {
		t.Run(name, func(t *testing.T) {
			m := mustMedial(t, r, MedialOptions{})
			for d := -25.0; d < 20; d += 0.37 {
				got, err := m.Offset(d)
				require.NoError(t, err)
				want, err := Offset(r, d, OffsetOptions{})
				require.NoError(t, err)
				require.InDelta(t, want.Area(), got.Area(), 1e-6*(1+want.Perimeter()), "d=%g", d)
				require.Len(t, got, len(want), "rings at d=%g", d)
			}
		})
	}
}

// Tangents about an arc keep within the chord error, and one fewer would not.
func TestTangentsAreTheFewest(t *testing.T) {
	for _, chord := range []float64{1e-5, 1e-3, 0.1} {
		for _, radius := range []float64{1e-4, 0.01, 0.14, 1, 30, 1e4} {
			for _, sweep := range []float64{0.01, 1, math.Pi, 6} {
				s := Arc(Polar(radius, 0), Polar(radius, -sweep), Pt(0, 0), CW)
				n := tangentCount(s, chord)
				out := func(n int) float64 { return radius/math.Cos(sweep/float64(2*n)) - radius }
				require.LessOrEqual(t, out(n), chord*(1+1e-9), "chord %g, radius %g, sweep %g", chord, radius, sweep)
				if half := sweep / float64(2*(n-1)); n > 1 && half < widestTangent {
					require.Greater(t, out(n-1), chord*(1-1e-9), "chord %g, radius %g, sweep %g", chord, radius, sweep)
				}
			}
		}
	}
}
