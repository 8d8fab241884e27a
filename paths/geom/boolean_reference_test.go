package geom

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The values of the reference libraries are stored under testdata/reference,
// made by the drivers there from the shapes below. With PROOFCUT_REFERENCE=1, or
// in a long run where the libraries are installed, the drivers are built and run
// again and must give the same; -update-reference writes the files.
var updateReference = flag.Bool("update-reference", false, "write the values of the reference libraries")

const referenceDir = "../../testdata/reference"

// reference runs a driver on the input and returns its output, or skips.
func reference(t *testing.T, driver string, libs []string, input string, args ...string) []byte {
	t.Helper()
	must := os.Getenv("PROOFCUT_REFERENCE") == "1" || *updateReference
	if !must && !longRun() {
		t.Skip("compared with the stored values only; PROOFCUT_REFERENCE=1 makes them again")
	}
	exe := filepath.Join(t.TempDir(), driver)
	build := append([]string{"-O1", "-o", exe, filepath.Join(referenceDir, driver+".cpp")}, libs...)
	if out, err := exec.Command("g++", build...).CombinedOutput(); err != nil {
		if must {
			t.Fatalf("the %s driver does not build: %v\n%s", driver, err, out)
		}
		t.Skipf("the %s library is not installed: compared with the stored values only", driver)
	}
	cmd := exec.Command(exe, args...)
	cmd.Stdin = strings.NewReader(input)
	out, err := cmd.Output()
	require.NoError(t, err)
	return out
}

// again compares what a driver says now with what is stored.
func again(t *testing.T, file string, fresh []byte) {
	t.Helper()
	path := filepath.Join(referenceDir, file)
	if *updateReference {
		require.NoError(t, os.WriteFile(path, fresh, 0o644))
	}
	stored, err := os.ReadFile(path)
	require.NoError(t, err)
	a, b := strings.Fields(string(stored)), strings.Fields(string(fresh))
	require.Equal(t, len(a), len(b), "%s: count of values", file)
	for i := range a {
		if a[i] == b[i] {
			continue
		}
		var x, y float64
		_, err := fmt.Sscan(a[i]+" "+b[i], &x, &y)
		require.NoError(t, err)
		// Another version of the library may round differently.
		require.InDelta(t, x, y, 1e-5*(1+math.Abs(x)), "%s: value %d", file, i)
	}
}

// starShaped returns a simple polygon of n vertices about c.
func starShaped(rng *rand.Rand, c Point, n int, lo, hi float64) Contour {
	p := make([]Point, n)
	for i := range p {
		a := 2 * math.Pi * (float64(i) + 0.8*rng.Float64()) / float64(n)
		q := c.Add(Polar(lo+(hi-lo)*rng.Float64(), a))
		// What the drivers read has six decimals.
		p[i] = Pt(math.Round(q.X*1e6)/1e6, math.Round(q.Y*1e6)/1e6)
	}
	return Polygon(p...)
}

func shapeText(r Region) string {
	var b strings.Builder
	for i, c := range r {
		if i > 0 {
			b.WriteByte('\n')
		}
		for _, s := range c {
			fmt.Fprintf(&b, "%.6f %.6f\n", s.A.X, s.A.Y)
		}
	}
	return b.String()
}

// referencePairs returns 500 pairs of polygons with holes that overlap.
func referencePairs() [][2]Region {
	rng := rand.New(rand.NewSource(500))
	pairs := make([][2]Region, 500)
	for i := range pairs {
		for k := range pairs[i] {
			c := Pt(4*rng.Float64(), 4*rng.Float64())
			pairs[i][k] = Region{starShaped(rng, c, 4+rng.Intn(20), 3, 8)}
			if rng.Intn(2) == 0 {
				pairs[i][k] = append(pairs[i][k], starShaped(rng, c, 3+rng.Intn(5), 0.5, 1.5).Reverse())
			}
		}
	}
	return pairs
}

func TestBooleanAreasAgainstClipper(t *testing.T) {
	stored, err := os.ReadFile(filepath.Join(referenceDir, "clipper_boolean.txt"))
	require.NoError(t, err)
	in := bytes.NewReader(stored)
	for i, p := range referencePairs() {
		var union, inter float64
		_, err := fmt.Fscan(in, &union, &inter)
		require.NoError(t, err)
		u, err := Union(p[0], p[1])
		require.NoError(t, err)
		x, err := Intersection(p[0], p[1])
		require.NoError(t, err)
		// Clipper rounds crossings to 1e-7 mm: half a step along all edges.
		tol := 1e-7 * (p[0].Perimeter() + p[1].Perimeter())
		require.InDelta(t, union, u.Area(), tol, "pair %d", i)
		require.InDelta(t, inter, x.Area(), tol, "pair %d", i)
	}
}

func TestBooleanClipperAgain(t *testing.T) {
	var b strings.Builder
	for _, p := range referencePairs() {
		for _, r := range p {
			b.WriteString(shapeText(r) + "--\n")
		}
	}
	again(t, "clipper_boolean.txt", reference(t, "clipper", []string{"-lpolyclipping"}, b.String(), "boolean"))
}
