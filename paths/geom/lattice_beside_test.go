package geom

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestCirclesSideBySide: circles that nearly coincide cost no more pieces than
// circles that do not, whether they lie one in the other or cross.
func TestCirclesSideBySide(t *testing.T) {
	for e := -13; e <= -2; e++ {
		for _, mantissa := range []float64{1, 2.2, 4.7} {
			gap := mantissa * math.Pow(10, float64(e))
			for _, off := range []float64{0, 0.5, 1, 1.0001, 1.5, 40} {
				a, b := Circle(Pt(1, 2), 3), Circle(Pt(1+gap*off, 2), 3+gap)
				name := fmt.Sprintf("gap %g, centres %g apart", gap, gap*off)
				l := newLattice(2, 6)
				require.NoError(t, l.add(a, 0, 0))
				require.NoError(t, l.add(b, 1, 0))
				require.NoError(t, l.settle())
				require.Less(t, len(l.edges), 80, name)
				ra, rb := Region{a}, Region{b}
				require.NoError(t, checkIdentities(ra, rb, 1e-9*(ra.Area()+rb.Area()), 0), name)
				u, err := Union(ra, rb)
				require.NoError(t, err)
				require.NoError(t, u.Validate(), name)
			}
		}
	}
}

// TestRingsSideBySide: of many circles one in the other each is told apart.
func TestRingsSideBySide(t *testing.T) {
	for _, gap := range []float64{1e-8, 1e-6, 1e-3} {
		var cs []Contour
		for i := range 9 {
			c := Circle(Pt(0.3*gap*float64(i%2), 0), 50+gap*float64(i))
			cs = append(cs, c.Transform(Rotate(float64(i)))) // seams apart
		}
		r, err := Resolve(cs, EvenOdd)
		require.NoError(t, err)
		require.Len(t, r, 9)
		want := 0.0
		for i, c := range cs {
			want += c.Area() * float64(1-2*(i%2))
		}
		require.InDelta(t, want, r.Area(), 1e-9*want)
	}
}

// nearCopies checks the booleans of random contours with the same ones moved and
// scaled by as little as the last place of a number.
func nearCopies(seed int64, family string) error {
	rng := rand.New(rand.NewSource(seed))
	little := func() float64 { return rng.Float64() * math.Pow(10, -13*rng.Float64()) }
	cs := randomContours(rng, family)
	by, scale := Polar(little(), 7*rng.Float64()), 1+(rng.Float64()-0.5)*little()
	moved := make([]Contour, len(cs))
	for i, c := range cs {
		moved[i] = c.Transform(Translate(by)).Transform(Scale(scale))
	}
	a, err := Resolve(cs, NonZero)
	if err != nil {
		return err
	}
	b, err := Resolve(moved, EvenOdd)
	if err != nil {
		return err
	}
	span := 0.0 // of the coordinates that the pitch of the lattice follows
	for _, c := range append(moved, cs...) {
		for _, s := range c {
			span = max(span, math.Abs(s.A.X), math.Abs(s.A.Y))
			if s.IsArc() {
				span = max(span, math.Abs(s.C.X), math.Abs(s.C.Y))
			}
		}
	}
	step := stepFor(span) * (a.Perimeter() + b.Perimeter())
	return checkIdentities(a, b, max(1e-9*(a.Area()+b.Area()), step), step)
}

func TestBooleanNearCopies(t *testing.T) {
	for k := range randoms() / 2 {
		seed := *randomSeed + int64(k)
		f := families[k%len(families)]
		require.NoError(t, nearCopies(seed, f), "seed %d, %s", seed, f)
	}
}
