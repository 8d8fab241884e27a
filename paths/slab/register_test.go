package slab

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
)

// drawPairs draws points, a map of them, and where a shaky hand touched them off.
func drawPairs(t *rapid.T, noise float64) (from, to []geom.Point, m geom.Similarity) {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	m = geom.Rotate(num("angle", -3, 3)).Then(geom.Scale(num("scale", 0.5, 2))).Then(geom.Translate(geom.Pt(num("dx", -300, 300), num("dy", -300, 300))))
	n := rapid.IntRange(2, 9).Draw(t, "n")
	for i := range n {
		// Far apart on a ring, so that none are too near each other.
		p := geom.Polar(num("r", 40, 60), 2*math.Pi*float64(i)/float64(n)+num("a", 0, 0.1))
		from = append(from, p)
		to = append(to, m.Apply(p).Add(geom.Pt(num("ex", -noise, noise), num("ey", -noise, noise))))
	}
	return from, to, m
}

var loose = FitOptions{Limit: 1000, Spacing: 0.1}

func TestRegisterAgainstLeastSquares(t *testing.T) {
	// With scale the problem is linear: x' = a x - b y + c, y' = b x + a y + d.
	// Outside check: gonum's least squares by QR (gonum.org/v1/gonum/mat).
	rapid.Check(t, func(t *rapid.T) {
		from, to, _ := drawPairs(t, 2)
		n := len(from)
		a, b := mat.NewDense(2*n, 4, nil), mat.NewVecDense(2*n, nil)
		for i, p := range from {
			a.SetRow(2*i, []float64{p.X, -p.Y, 1, 0})
			a.SetRow(2*i+1, []float64{p.Y, p.X, 0, 1})
			b.SetVec(2*i, to[i].X)
			b.SetVec(2*i+1, to[i].Y)
		}
		var x mat.VecDense
		require.NoError(t, x.SolveVec(a, b))
		o := loose
		o.Scale = true
		f, err := Register(from, to, o)
		require.NoError(t, err)
		u, o0 := f.Map.ApplyVector(geom.Pt(1, 0)), f.Map.Apply(geom.Pt(0, 0))
		for i, v := range []float64{u.X, u.Y, o0.X, o0.Y} {
			require.InDelta(t, x.AtVec(i), v, 1e-9)
		}
		require.InDelta(t, math.Hypot(x.AtVec(0), x.AtVec(1)), f.Scale, 1e-12)
		var r mat.VecDense
		r.MulVec(a, &x)
		r.SubVec(b, &r)
		require.InDelta(t, mat.Norm(&r, 2)/math.Sqrt(float64(n)), f.RMS, 1e-9)
	})
}

func TestRegisterAgainstSVD(t *testing.T) {
	// Without scale, the orthogonal Procrustes problem (P. H. Schonemann, 1966):
	// the turn is V diag(1, det) U^T of the covariance, by gonum's SVD.
	rapid.Check(t, func(t *rapid.T) {
		from, to, _ := drawPairs(t, 2)
		n := len(from)
		var p, q geom.Point
		for i := range from {
			p, q = p.Add(from[i].Mul(1/float64(n))), q.Add(to[i].Mul(1/float64(n)))
		}
		h := mat.NewDense(2, 2, nil)
		for i := range from {
			a, b := from[i].Sub(p), to[i].Sub(q)
			h.Set(0, 0, h.At(0, 0)+a.X*b.X)
			h.Set(0, 1, h.At(0, 1)+a.X*b.Y)
			h.Set(1, 0, h.At(1, 0)+a.Y*b.X)
			h.Set(1, 1, h.At(1, 1)+a.Y*b.Y)
		}
		var svd mat.SVD
		require.True(t, svd.Factorize(h, mat.SVDFull))
		var u, v, r mat.Dense
		svd.UTo(&u)
		svd.VTo(&v)
		r.Mul(&v, u.T())
		r.Product(&v, mat.NewDiagDense(2, []float64{1, math.Copysign(1, mat.Det(&r))}), u.T())
		f, err := Register(from, to, loose)
		require.NoError(t, err)
		x := f.Map.ApplyVector(geom.Pt(1, 0))
		require.InDelta(t, r.At(0, 0), x.X, 1e-9)
		require.InDelta(t, r.At(1, 0), x.Y, 1e-9)
		require.InDelta(t, 0, f.Map.Apply(p).Dist(q), 1e-9)
		require.InDelta(t, 1, f.Map.Factor(), 1e-12)
	})
}

func TestRegisterProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// (1) Exact pairs give the map back.
		from, to, m := drawPairs(t, 0)
		f, err := Register(from, to, FitOptions{Scale: true, Spacing: 1})
		require.NoError(t, err)
		require.Less(t, f.Largest(), 1e-9)
		require.InDelta(t, m.Factor(), f.Scale, 1e-12)
		p := geom.Pt(17, -5)
		require.Less(t, f.Map.Apply(p).Dist(m.Apply(p)), 1e-9)
		// (2) The residuals of a fit have no mean.
		from, to, _ = drawPairs(t, 3)
		f, err = Register(from, to, loose)
		require.NoError(t, err)
		var sum geom.Point
		for i, r := range f.Residuals {
			sum = sum.Add(r)
			require.Less(t, f.Map.Apply(from[i]).Add(r).Dist(to[i]), 1e-9)
		}
		require.Less(t, sum.Len(), 1e-9)
		// (3) No other turn about the mean is better.
		for _, d := range []float64{-0.01, 0.01} {
			worse := 0.0
			mid := f.Map.Then(geom.RotateAbout(mean(to), d))
			for i := range from {
				worse += math.Pow(mid.Apply(from[i]).Dist(to[i]), 2)
			}
			require.GreaterOrEqual(t, math.Sqrt(worse/float64(len(from)))+1e-9, f.RMS)
		}
	})
}

func mean(pts []geom.Point) (m geom.Point) {
	for _, p := range pts {
		m = m.Add(p.Mul(1 / float64(len(pts))))
	}
	return m
}

func TestRegisterRefuses(t *testing.T) {
	l := []geom.Point{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 0, Y: 25}}
	flip := []geom.Point{{X: 100, Y: 50}, {X: 60, Y: 50}, {X: 100, Y: 75}}
	for _, c := range []struct {
		name     string
		from, to []geom.Point
		o        FitOptions
		want     string
	}{
		{"none", nil, nil, FitOptions{}, "of the drawing: 0 points: at least 2"},
		{"one", l[:1], l[:1], FitOptions{}, "of the drawing: 1 points: at least 2"},
		{"lengths", l, l[:2], FitOptions{}, "3 points, but 2 places"},
		{"NaN", l, []geom.Point{{X: 0, Y: 0}, {X: 40, Y: math.NaN()}, {X: 0, Y: 25}}, FitOptions{}, "touched off: point 2: a coordinate is not a finite number"},
		{"twice", []geom.Point{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 1}}, l, FitOptions{}, "of the drawing: points 2 and 3: only 1.000 mm apart"},
		{"mirrored", l, flip, FitOptions{}, "the points are mirrored"},
		{"mirrored square", []geom.Point{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 30}, {X: 0, Y: 30}}, []geom.Point{{X: 0, Y: 0}, {X: -30, Y: 0}, {X: -30, Y: 30}, {X: 0, Y: 30}}, FitOptions{Scale: true}, "the points are mirrored"},
		{"residual", l, []geom.Point{{X: 100, Y: 50}, {X: 140, Y: 50}, {X: 100, Y: 77}}, FitOptions{}, "point 3: lies 1."},
		{"scale", l, []geom.Point{{X: 0, Y: 0}, {X: 41, Y: 0}, {X: 0, Y: 25.625}}, FitOptions{}, "a scale of 1.02500 would fit"},
		{"limit", l, l, FitOptions{Limit: -1}, "limit of -1 mm"},
		{"spacing", l, l, FitOptions{Spacing: math.Inf(1)}, "spacing of +Inf mm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := Register(c.from, c.to, c.o)
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			for _, r := range f.Residuals {
				assert.True(t, r.Finite())
			}
		})
	}
}

func BenchmarkRegister(b *testing.B) {
	from, to := make([]geom.Point, 8), make([]geom.Point, 8)
	for i := range from {
		from[i] = geom.Polar(50, float64(i)*math.Pi/4)
		to[i] = from[i].Add(geom.Pt(200, 100))
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Register(from, to, FitOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

// Two screws and a pin of the backing plate, touched off after the offcut was put
// down a little askew.
func ExampleRegister() {
	drawing := []geom.Point{{X: 11, Y: 42}, {X: 55, Y: 10}, {X: 8, Y: 8}}
	machine := []geom.Point{{X: 129.52, Y: 62.93}, {X: 174.58, Y: 32.50}, {X: 127.70, Y: 28.87}}
	f, err := Register(drawing, machine, FitOptions{})
	fmt.Printf("turned %.3f deg, off by %.3f mm at point %d, best scale %.5f, %v\n", f.Angle*180/math.Pi, f.Largest(), f.Worst+1, f.Ratio, err)
	// Output:
	// turned 1.992 deg, off by 0.018 mm at point 1, best scale 0.99942, <nil>
}
