package geom

import (
	"flag"
	"fmt"
	"math"
	"math/rand"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

var (
	randomCount = flag.Int("random", 600, "number of random regions for the property tests")
	randomSeed  = flag.Int64("seed", 1, "first seed of the random regions")
)

func longRun() bool { return os.Getenv("PROOFCUT_LONG") == "1" }

func randoms() int {
	if longRun() {
		return max(*randomCount, 100000)
	}
	return *randomCount
}

// checkSums checks what the booleans of two random sets owe each other.
func checkSums(seed int64, fa, fb string) error {
	rng := rand.New(rand.NewSource(seed))
	a, err := Resolve(randomContours(rng, fa), NonZero)
	if err != nil {
		return fmt.Errorf("resolve a: %w", err)
	}
	b, err := Resolve(randomContours(rng, fb), EvenOdd)
	if err != nil {
		return fmt.Errorf("resolve b: %w", err)
	}
	return checkIdentities(a, b, 1e-9*(a.Area()+b.Area()), 0)
}

// checkIdentities checks what the booleans of two regions owe each other, to tol
// in mm2, and that none has an area below -nothing.
func checkIdentities(a, b Region, tol, nothing float64) error {
	u, err := Union(a, b)
	if err != nil {
		return fmt.Errorf("union: %w", err)
	}
	i, err := Intersection(a, b)
	if err != nil {
		return fmt.Errorf("intersection: %w", err)
	}
	d, err := Difference(a, b)
	if err != nil {
		return fmt.Errorf("difference: %w", err)
	}
	x, err := SymmetricDifference(a, b)
	if err != nil {
		return fmt.Errorf("symmetric difference: %w", err)
	}
	sum := a.Area() + b.Area()
	for _, c := range []struct {
		name string
		off  float64
	}{
		{"A + B = A or B + A and B", sum - u.Area() - i.Area()},
		{"A = A minus B + A and B", a.Area() - d.Area() - i.Area()},
		{"A xor B = A or B - A and B", x.Area() - u.Area() + i.Area()},
	} {
		if math.Abs(c.off) > tol {
			return fmt.Errorf("%s: off by %.3g of %.6g", c.name, c.off, sum)
		}
	}
	for _, r := range []Region{a, b, u, i, d, x} {
		if r.Area() < -nothing {
			return fmt.Errorf("negative area %g", r.Area())
		}
		again, err := Resolve(r, NonZero)
		if err != nil {
			return fmt.Errorf("resolve again: %w", err)
		}
		if math.Abs(again.Area()-r.Area()) > tol {
			return fmt.Errorf("resolving again changes the area by %.3g", again.Area()-r.Area())
		}
	}
	return nil
}

func TestBooleanRandom(t *testing.T) {
	for _, c := range []struct {
		seed   int64
		fa, fb string
	}{
		{914, "spikes", "full-circle arcs"},      // a needle on whose sides a hundredth of a nanometre shows
		{2997, "tiny arcs", "shared arcs"},       // a line that touches two arcs of one circle
		{2997, "spikes", "shared arcs"},          //
		{3048, "tiny arcs", "near-tangent arcs"}, // a piece of a circle that runs backward on it
		{12184, "grid", "grid"},                  // a line and two circles that touch it at one place
	} {
		require.NoError(t, checkSums(c.seed, c.fa, c.fb), "seed %d, %s with %s", c.seed, c.fa, c.fb)
	}
	n := randoms() / 4
	for k := range n {
		seed := *randomSeed + int64(k)
		fa := families[k%len(families)]
		fb := families[(k/len(families)+k)%len(families)]
		require.NoError(t, checkSums(seed, fa, fb), "seed %d, %s with %s", seed, fa, fb)
	}
}

// checkBundle checks the booleans of lines and circles that run along each other.
func checkBundle(seed int64) error {
	rng := rand.New(rand.NewSource(seed))
	cs := randomBundle(rng)
	k := 1 + rng.Intn(len(cs))
	a, err := Resolve(cs[:k], NonZero)
	if err != nil {
		return fmt.Errorf("resolve a: %w", err)
	}
	b, err := Resolve(cs[k:], EvenOdd)
	if err != nil {
		return fmt.Errorf("resolve b: %w", err)
	}
	// Far from the origin a step of the lattice along the perimeter is more. By as
	// much the outline and the hole of a ring without width may change places.
	span := 0.0
	for _, c := range cs {
		box := c.Bounds()
		span = max(span, math.Abs(box.Min.X), math.Abs(box.Min.Y), math.Abs(box.Max.X), math.Abs(box.Max.Y))
	}
	step := stepFor(span) * (a.Perimeter() + b.Perimeter())
	return checkIdentities(a, b, max(1e-9*(a.Area()+b.Area()), step), step)
}

func TestBooleanBundles(t *testing.T) {
	for _, c := range []struct {
		seed int64
		what string
	}{
		{98, "lines within a step of each other"},
		{6944, "edges a step long split at each other's ends in turn"},
		{9348, "a piece of a circle that lost its start to a short line"},
		{11958, "a short piece of a circle moved onto it"},
		{503785, "a ring without width"},
		{12300, "a circle but for a step whose ends were moved"},
	} {
		require.NoError(t, checkBundle(c.seed), "seed %d, %s", c.seed, c.what)
	}
	for k := range randoms() / 4 {
		seed := *randomSeed + int64(k)
		require.NoError(t, checkBundle(seed), "seed %d", seed)
	}
}
