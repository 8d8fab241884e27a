package geom

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// bows returns contours of arcs that bulge by half their chord and more, between
// points of a grid: arcs that touch, and that leave lenses a nanometre wide.
func bows(rng *rand.Rand) (cs []Contour) {
	for range 1 + rng.Intn(4) {
		pts := make([]Point, 3+rng.Intn(6))
		for i := range pts {
			pts[i] = Pt(float64(4*rng.Intn(24)-48), float64(4*rng.Intn(24)-48))
		}
		c := Polygon(pts...)
		for i, s := range c {
			if s.A != s.B {
				centre := s.A.Lerp(s.B, 0.5).Add(s.B.Sub(s.A).Left().Mul(0.75))
				c[i] = Arc(s.A, s.B, centre, CCW)
			}
		}
		cs = append(cs, c)
	}
	return cs
}

// TestResolveOfBowsIsValid: what Resolve returns keeps the rules of a region.
func TestResolveOfBowsIsValid(t *testing.T) {
	named := []int{
		1588,  // circles that touch from within, one step apart on both sides of the place
		13822, // the same, where the contour that ends there is a lens
		16764, // circles of one radius that touch from outside
	}
	most := 1000
	if longRun() {
		most = randoms()
	}
	rng := rand.New(rand.NewSource(77))
	for i := range max(most, named[len(named)-1]+1) {
		cs := bows(rng)
		if i >= most && !slices.Contains(named, i) {
			continue
		}
		for _, rule := range []FillRule{EvenOdd, NonZero} {
			r, err := Resolve(cs, rule)
			require.NoError(t, err, "%d", i)
			require.NoError(t, r.Validate(), "%d, rule %d: %v", i, rule, cs)
		}
	}
}
