package scan

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"proofcut/paths/geom"
)

// circleFit is the circle nearest to points.
type circleFit struct {
	C        geom.Point
	R        float64
	RMS, Max float64 // distances of the points from it
}

// middle returns the mean of points.
func middle(pts []geom.Point) geom.Point {
	var m geom.Point
	for _, p := range pts {
		m = m.Add(p)
	}
	return m.Mul(1 / float64(len(pts)))
}

// fitCircle returns the circle with the least sum of squared distances. It starts
// from the one that is linear to find (I. Kåsa, 1976) and goes on by Gauss-Newton
// (W. Gander, G. H. Golub, R. Strebel, "Least-squares fitting of circles and
// ellipses", 1994).
func fitCircle(pts []geom.Point) (circleFit, bool) {
	if len(pts) < 5 {
		return circleFit{}, false
	}
	m := middle(pts)
	a, b := mat.NewDense(len(pts), 3, nil), mat.NewVecDense(len(pts), nil)
	for i, p := range pts {
		d := p.Sub(m)
		a.SetRow(i, []float64{2 * d.X, 2 * d.Y, 1})
		b.SetVec(i, d.Dot(d))
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		return circleFit{}, false
	}
	f := circleFit{C: m.Add(geom.Pt(x.AtVec(0), x.AtVec(1)))}
	f.R = math.Sqrt(x.AtVec(2) + x.AtVec(0)*x.AtVec(0) + x.AtVec(1)*x.AtVec(1))
	for range 20 {
		for i, p := range pts {
			d := p.Sub(f.C)
			l := d.Len()
			if l == 0 {
				return circleFit{}, false
			}
			a.SetRow(i, []float64{d.X / l, d.Y / l, 1})
			b.SetVec(i, l-f.R)
		}
		if err := x.SolveVec(a, b); err != nil {
			return circleFit{}, false
		}
		f.C, f.R = f.C.Add(geom.Pt(x.AtVec(0), x.AtVec(1))), f.R+x.AtVec(2)
		if math.Abs(x.AtVec(0))+math.Abs(x.AtVec(1))+math.Abs(x.AtVec(2)) < geom.Tol {
			break
		}
	}
	if !(f.R > 0) || math.IsInf(f.R, 0) || !f.C.Finite() {
		return circleFit{}, false
	}
	for _, p := range pts {
		d := math.Abs(p.Dist(f.C) - f.R)
		f.RMS += d * d
		f.Max = math.Max(f.Max, d)
	}
	f.RMS = math.Sqrt(f.RMS / float64(len(pts)))
	return f, true
}
