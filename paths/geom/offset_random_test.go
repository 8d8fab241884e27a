package geom

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"
)

// Bounds of an offset that the tests hold it to, in mm: no point of its
// boundary nearer to the source than the distance less safe, and no point of
// the true offset farther from it than miss.
const (
	safe = 1e-6
	miss = 1e-3
)

// checkOffset compares an offset with its definition, on points along its
// boundary and along the normals of the source.
func checkOffset(src Region, d float64, got Region) error {
	a := math.Abs(d)
	where := Outside
	if d < 0 {
		where = Inside
	}
	for i, c := range got {
		for j, s := range c {
			for _, t := range [...]float64{0, 0.31, 0.5, 0.77} {
				p := s.At(t)
				off := src.BoundaryDistance(p) - a
				if off < -safe || off > miss {
					return fmt.Errorf("contour %d, segment %d %v at %g: distance %.9g instead of %g", i, j, s, t, off+a, a)
				}
				if src.Contains(p) != where {
					return fmt.Errorf("contour %d, segment %d at %g: %v of the source", i, j, t, src.Contains(p))
				}
			}
		}
	}
	for i, c := range src {
		for j, s := range c {
			if s.A == s.B && !s.IsArc() {
				continue
			}
			for _, t := range [...]float64{0, 0.21, 0.5, 0.83, 1} {
				side := -1.0
				if d < 0 {
					side = 1
				}
				n := s.Tangent(t).Left().Mul(side)
				q := s.At(t).Add(n.Mul(a))
				// A place where the offset has an inside: beyond it the distance grows.
				if src.Contains(q) != where || src.BoundaryDistance(q) < a-1e-9 || src.BoundaryDistance(q.Add(n.Mul(miss/4))) < a+miss/8 {
					continue
				}
				if m := got.BoundaryDistance(q); !(m <= miss) {
					return fmt.Errorf("source contour %d, segment %d at %g: offset missed by %.3g at %v", i, j, t, m, q)
				}
			}
		}
	}
	return nil
}

// randomOffset makes a random region of a family, offsets it and checks.
func randomOffset(seed int64, family string) error {
	rng := rand.New(rand.NewSource(seed))
	src, err := Resolve(randomContours(rng, family), NonZero)
	if err != nil {
		return err
	}
	d := math.Pow(10, rng.Float64()*2.5-1.8)
	if rng.Intn(2) == 0 {
		d = -d
	}
	if rng.Intn(3) == 0 {
		d = float64(rng.Intn(8)-4) / 2
	}
	got, err := Offset(src, d, OffsetOptions{})
	if err != nil {
		return fmt.Errorf("distance %g: %w", d, err)
	}
	if d == 0 || len(src) == 0 {
		return nil
	}
	if err := checkOffset(src, d, got); err != nil {
		return fmt.Errorf("distance %g: %w", d, err)
	}
	if d > 0 && got.Area() < src.Area() || d < 0 && got.Area() > src.Area() {
		return fmt.Errorf("distance %g: area %g of %g", d, got.Area(), src.Area())
	}
	return nil
}

func TestOffsetRandom(t *testing.T) {
	for k := range randoms() / 2 {
		f := families[k%len(families)]
		seed := *randomSeed + int64(k)
		require.NoError(t, randomOffset(seed, f), "seed %d, %s", seed, f)
	}
}
