package geom

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"
)

// waisted is a smooth closed curve of n chords, 2a wide at the waist, 60 mm long.
// Its sides bend apart from there, on one side more than on the other.
func waisted(rng *rand.Rand, n int) (c Contour, waist float64) {
	a, b := 0.5+8*rng.Float64(), math.Pow(10, 1.5*rng.Float64()-0.5)
	skew, turn := 0.8*(2*rng.Float64()-1), Rotate(7*rng.Float64())
	p := make([]Point, n)
	for i := range p {
		t := 2 * math.Pi * float64(i) / float64(n)
		x := math.Cos(t)
		p[i] = turn.Apply(Pt(30*x, math.Sin(t)*(a+b*x*x*(1+skew*x))))
	}
	return Polygon(p...), a
}

// requireLevel compares an offset made from a fit with that of the chords themselves:
// no point of the boundary of one may be farther than the promise from the other. by
// is the width of necks and islands that may be there or not.
func requireLevel(t require.TestingT, seed int64, src Region, d, by float64, got Region) {
	l := newLevels(src, d < 0, OffsetOptions{})
	want, err := l.at(math.Abs(d))
	l.free()
	require.NoError(t, err)
	if want.Validate() == nil { // where sides run along each other within Tol it is not
		require.NoError(t, got.Validate(), "seed %d, distance %g", seed, d)
	}
	require.NoError(t, checkOffset(src, d, got), "seed %d", seed)
	if by <= miss {
		return // what is narrower than the promise may be there or not
	}
	if len(want) == 0 {
		require.Empty(t, got, "seed %d, distance %g", seed, d)
		return
	}
	x, y := NewIndex(got), NewIndex(want)
	for _, c := range want {
		for _, s := range c {
			require.LessOrEqual(t, x.BoundaryDistance(Line(s.A, s.A)), miss, "seed %d, distance %g, missed at %v", seed, d, s.A)
		}
	}
	for _, c := range got {
		for _, s := range c {
			for _, p := range [2]Point{s.A, s.At(0.5)} {
				require.LessOrEqual(t, y.BoundaryDistance(Line(p, p)), miss, "seed %d, distance %g, off at %v", seed, d, p)
			}
		}
	}
}

// TestTipsAtNecks: where a neck is about as wide as the offset takes, what is left on
// either side ends in tips that are hardly an angle, face each other and may be one.
func TestTipsAtNecks(t *testing.T) {
	n := 40
	if longRun() {
		n = 4000
	}
	for k := range n {
		seed := *randomSeed + int64(k)
		rng := rand.New(rand.NewSource(seed))
		c, a := waisted(rng, 600+rng.Intn(1500))
		src := Region{c}
		// From where the neck is closed by a quarter of a millimetre to the same open.
		by := math.Pow(10, -5*rng.Float64()-0.6)
		for _, d := range []float64{a - by, a + by} {
			got, err := Offset(src, -d, OffsetOptions{})
			require.NoError(t, err)
			requireLevel(t, seed, src, -d, by, got)
		}
	}
}

// TestTipsAmongIslands: levels of a curve with round islands in chords, at any
// distance. Where a ring is about to part or to vanish it may have done so.
func TestTipsAmongIslands(t *testing.T) {
	n := 12
	if longRun() {
		n = 1500
	}
	for k := range n {
		seed := *randomSeed + int64(k)
		rng := rand.New(rand.NewSource(seed))
		src := Region{wavy(1000 + rng.Intn(2000))}
		for range 1 + rng.Intn(4) {
			island := RegularPolygon(Polar(28*rng.Float64(), 7*rng.Float64()), 1+4*rng.Float64(), 100+rng.Intn(400), 0)
			if in := NewIndex(src); in.Depth(Line(island[0].A, island[0].A)) > 10 {
				src = append(src, island.Reverse())
			}
		}
		require.NoError(t, src.Validate(), "seed %d", seed)
		d := 0.2 + 20*rng.Float64()
		got, err := Offset(src, -d, OffsetOptions{})
		require.NoError(t, err)
		by := 1.0
		a, err := Offset(src, -d-miss, OffsetOptions{})
		require.NoError(t, err)
		b, err := Offset(src, -d+miss, OffsetOptions{})
		require.NoError(t, err)
		if len(a) != len(got) || len(b) != len(got) {
			by = 0
		}
		requireLevel(t, seed, src, -d, by, got)
	}
}
