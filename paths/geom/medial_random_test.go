package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// randomShape returns a circle, slot, rectangle or polygon in a square of side 100.
func randomShape(rng *rand.Rand, grid float64) Contour {
	at := func() float64 { return math.Round(rng.Float64()*100/grid) * grid }
	size := func() float64 { return math.Round((2+rng.Float64()*20)/grid) * grid }
	p := Pt(at(), at())
	switch rng.IntN(4) {
	case 0:
		return Circle(p, size())
	case 1:
		return Slot(p, p.Add(Pt(size(), size()-10)), size())
	case 2:
		w, h := size(), size()
		c := 0.0
		if rng.IntN(2) == 0 {
			c = math.Min(w, h) * 0.3
		}
		return Rect(p, p.Add(Pt(w, h)), c)
	}
	n := 3 + rng.IntN(6)
	pts := make([]Point, n)
	for i := range pts {
		pts[i] = p.Add(Polar(size(), 2*math.Pi*(float64(i)+0.8*rng.Float64())/float64(n)))
	}
	return Polygon(pts...)
}

// randomRegion unites some random shapes and takes others away.
func randomRegion(t testing.TB, rng *rand.Rand) Region {
	grid := 1e-3
	if rng.IntN(3) == 0 {
		grid = 1 // many coincidences
	}
	var add, cut []Contour
	for i := 1 + rng.IntN(10); i > 0; i-- {
		add = append(add, randomShape(rng, grid))
	}
	for i := rng.IntN(8); i > 0; i-- {
		cut = append(cut, randomShape(rng, grid))
	}
	a, err := Resolve(add, NonZero)
	require.NoError(t, err)
	b, err := Resolve(cut, NonZero)
	require.NoError(t, err)
	r, err := Difference(a, b)
	require.NoError(t, err)
	return r
}

func TestMedialOfRandomRegions(t *testing.T) {
	n, fell := uint64(40), 0
	if longRun() {
		n = 3000
	}
	seeds := []uint64{1052} // an arc that is a circle but for a tenth of a nanometre
	for seed := range n {
		seeds = append(seeds, seed)
	}
	for _, seed := range seeds {
		rng := rand.New(rand.NewPCG(seed, 7))
		r := randomRegion(t, rng)
		require.NoError(t, r.Validate(), "seed %d", seed)
		m, err := MedialAxis(r, MedialOptions{})
		require.NoError(t, err, "seed %d", seed)
		for _, b := range m.Branches {
			for _, p := range b.Pieces() {
				for i := 0; i <= 2; i++ {
					d := p.At(float64(i) / 2)
					real := r.BoundaryDistance(d.C)
					if d.R > 1e-5 {
						require.Equal(t, Inside, r.Contains(d.C), "seed %d %v", seed, d)
					}
					require.InDelta(t, real, d.R, 1.01*DefaultChord, "seed %d at %v", seed, d)
					require.LessOrEqual(t, d.R, real+Tol, "seed %d at %v", seed, d)
				}
			}
		}
		for k := 0; k < 6; k++ {
			d := -rng.Float64() * 12
			if k >= 4 {
				d = rng.Float64() * 12
			}
			got, err := m.Offset(d)
			require.NoError(t, err, "seed %d", seed)
			for _, c := range got {
				for _, s := range c {
					for i := 0; i < 3; i++ {
						p := s.At(float64(i) / 3)
						require.InDelta(t, math.Abs(d), r.BoundaryDistance(p), 2*DefaultChord, "seed %d d=%g at %v", seed, d, p)
						require.GreaterOrEqual(t, r.BoundaryDistance(p), math.Abs(d)-Tol, "seed %d d=%g at %v", seed, d, p)
					}
				}
			}
			want, err := Offset(r, d, OffsetOptions{})
			require.NoError(t, err)
			require.InDelta(t, want.Area(), got.Area(), DefaultChord*(1+want.Perimeter()), "seed %d d=%g", seed, d)
			if math.Abs(want.Area()-got.Area()) > 1e-5*(1+want.Perimeter()) {
				fell++
			}
		}
	}
	t.Log("levels with a stretch along chords:", fell)
}
