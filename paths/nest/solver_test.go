package nest

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"proofcut/paths/geom"
)

// TestSkylineAgainstDense solves random band matrices with gonum beside ours.
func TestSkylineAgainstDense(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{1, 2, 5, 30, 61} {
		first := make([]int, n)
		dense := mat.NewSymDense(n, nil)
		for i := range n {
			first[i] = max(0, i-rng.IntN(8))
			if i == n-1 {
				first[i] = 0
			}
		}
		var m skyline
		m.shape(first)
		for i := range n {
			for j := first[i]; j < i; j++ {
				v := rng.Float64() - 0.5
				m.add(i, j, v)
				dense.SetSym(i, j, v)
			}
			m.add(i, i, float64(n))
			dense.SetSym(i, i, float64(n))
		}
		b := make([]float64, n)
		for i := range b {
			b[i] = rng.Float64()
		}
		var chol mat.Cholesky
		require.True(t, chol.Factorize(dense))
		var want mat.VecDense
		require.NoError(t, chol.SolveVecTo(&want, mat.NewVecDense(n, b)))
		require.True(t, m.factorise())
		got := append([]float64(nil), b...)
		m.solve(got)
		for i := range got {
			require.InDelta(t, want.AtVec(i), got[i], 1e-12)
		}
	}
	var m skyline
	m.shape([]int{0, 0})
	m.add(0, 0, 1)
	m.add(0, 1, 2)
	m.add(1, 1, 1)
	require.False(t, m.factorise(), "not positive definite")
}

// TestInteriorAgainstSimplex compares the largest size of random steps with
// gonum's simplex method on the same linear program.
func TestInteriorAgainstSimplex(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 20 {
		const n, box = 4, 0.3
		var rows []row
		for i := range n {
			for j := i + 1; j < n; j++ {
				u := geom.Polar(1, 6*rng.Float64())
				rows = append(rows, row{i, j, u.X, u.Y, 2, -0.2 * rng.Float64()})
			}
			u := geom.Polar(1, 6*rng.Float64())
			rows = append(rows, row{i, -1, u.X, u.Y, 1, -0.2 * rng.Float64()})
		}
		var w interior
		x, z, ok := w.run(stepProblem{n: n, rows: rows, box: box, rise: box})
		require.True(t, ok)

		// Variables shifted by the box to be non-negative, one slack a row:
		// minimise -(y - box) subject to G x <= h.
		const vars = 2*n + 1
		count := len(rows) + vars
		a := mat.NewDense(count, vars+count, nil)
		b := make([]float64, count)
		for k, r := range rows {
			shift := 0.0
			set := func(col int, v float64) { a.Set(k, col, -v); shift += v * box }
			set(2*r.i, r.ux)
			set(2*r.i+1, r.uy)
			if r.j >= 0 {
				set(2*r.j, -r.ux)
				set(2*r.j+1, -r.uy)
			}
			set(2*n, -r.size)
			b[k] = -r.low - shift
			a.Set(k, vars+k, 1)
		}
		for k := range vars {
			a.Set(len(rows)+k, k, 1)
			b[len(rows)+k] = 2 * box
			a.Set(len(rows)+k, vars+len(rows)+k, 1)
		}
		c := make([]float64, vars+count)
		c[2*n] = -1
		want, _, err := lp.Simplex(c, a, b, 1e-12, nil)
		require.NoError(t, err)
		require.InDelta(t, -want-box, x[2*n], 1e-9)
		for _, v := range z {
			require.GreaterOrEqual(t, v, 0.0)
		}
	}
}

// TestEnergyGradient compares the gradient with differences.
func TestEnergyGradient(t *testing.T) {
	p := screwed(1, 60, 45, 18, 3)
	size := []float64{0.8, 1.2, 1, 1, 0.9, 1.1, 1, 1}
	k := newPacker(newField(p.groups(), 12), size, p.Gap, 12)
	rng := rand.New(rand.NewPCG(1, 1))
	x := make([]float64, 2*len(size)+1)
	for i := range size {
		x[2*i], x[2*i+1] = 30*(rng.Float64()-0.5), 20*(rng.Float64()-0.5)
	}
	x[2*len(size)] = 6
	g, other := make([]float64, len(x)), make([]float64, len(x))
	_, squares := k.energy(x, g, 3)
	require.Positive(t, squares)
	for i := range x {
		const h = 1e-6
		old := x[i]
		x[i] = old + h
		up, _ := k.energy(x, other, 3)
		x[i] = old - h
		down, _ := k.energy(x, other, 3)
		x[i] = old
		require.InDelta(t, (up-down)/(2*h), g[i], 1e-4, "component %d", i)
	}
}

// TestPairListsAgree compares the two ways to list near pairs.
func TestPairListsAgree(t *testing.T) {
	p := screwed(1, 300, 200, 60, 3)
	n := 200
	size := make([]float64, n)
	x := make([]float64, 2*n+1)
	rng := rand.New(rand.NewPCG(1, 1))
	for i := range size {
		size[i] = 0.5 + rng.Float64()
		x[2*i], x[2*i+1] = 300*rng.Float64()-150, 200*rng.Float64()-100
	}
	x[2*n] = 6
	k := newPacker(newField(p.groups(), 12), size, 1, 12)
	k.listPairs(x)
	have := map[[2]int32]bool{}
	for i := 0; i < len(k.pairs); i += 2 {
		pair := [2]int32{k.pairs[i], k.pairs[i+1]}
		require.False(t, have[pair], "listed twice")
		have[pair] = true
	}
	want := 0
	for i := range n {
		for j := i + 1; j < n; j++ {
			d := math.Hypot(x[2*i]-x[2*j], x[2*i+1]-x[2*j+1])
			if d < 1+6*(size[i]+size[j])+k.skin {
				want++
				require.True(t, have[[2]int32{int32(i), int32(j)}])
			}
		}
	}
	require.Equal(t, want, len(have))
}
