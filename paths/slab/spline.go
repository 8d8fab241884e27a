package slab

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"proofcut/paths/geom"
)

// spline is the thin-plate spline z = a + b x + c y + sum w_i phi(|p - p_i|) with
// phi(r) = r^2 log r, in coordinates where the points fill a unit square.
type spline struct {
	origin geom.Point
	size   float64
	at     []geom.Point
	w      []float64 // of the points, then a, b, c
}

// phi is r^2 log r, from the square of r.
func phi(r2 float64) float64 {
	if r2 == 0 {
		return 0
	}
	return r2 * math.Log(r2) / 2
}

// newSpline solves for the weights: the spline goes through all points, and the
// weights bear no load and no moment.
func newSpline(points []geom.Point3, box geom.Box) (*spline, error) {
	n := len(points)
	s := &spline{origin: box.Center(), size: math.Max(box.Size().X, box.Size().Y)}
	for _, p := range points {
		s.at = append(s.at, p.XY().Sub(s.origin).Mul(1/s.size))
	}
	a, b := mat.NewDense(n+3, n+3, nil), mat.NewVecDense(n+3, nil)
	for i, p := range s.at {
		for j, q := range s.at {
			d := p.Sub(q)
			a.Set(i, j, phi(d.Dot(d)))
		}
		for k, v := range []float64{1, p.X, p.Y} {
			a.Set(i, n+k, v)
			a.Set(n+k, i, v)
		}
		b.SetVec(i, points[i].Z)
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		var c mat.Condition
		if !errors.As(err, &c) || math.IsInf(float64(c), 1) {
			return nil, fmt.Errorf("no surface through these points: %w", err)
		}
		// Nearly singular: what the answer is worth shows in the residuals, which
		// the caller checks.
	}
	s.w = append(s.w, x.RawVector().Data...)
	return s, nil
}

func (s *spline) height(p geom.Point) float64 {
	p = p.Sub(s.origin).Mul(1 / s.size)
	n := len(s.at)
	z := s.w[n] + s.w[n+1]*p.X + s.w[n+2]*p.Y
	for i, q := range s.at {
		d := p.Sub(q)
		z += s.w[i] * phi(d.Dot(d))
	}
	return z
}

const (
	// meshTolerance is how far in mm the mesh of a spline may leave a probed
	// point: twice the cut tolerance, and less than a probe repeats to.
	meshTolerance = 0.002

	// The mesh has from leastLines to mostLines lines each way.
	leastLines = 17
	mostLines  = 257
)

// splineMesh returns the spline through the points at the crossings of a mesh over
// them that is fine enough.
func splineMesh(points []geom.Point3) (*Mesh, error) {
	box := geom.EmptyBox()
	for _, p := range points {
		box = box.AddPoint(p.XY())
	}
	s, err := newSpline(points, box)
	if err != nil {
		return nil, err
	}
	for n := leastLines; n <= mostLines; n = 2*n - 1 {
		x, y := spread(box.Min.X, box.Max.X, n), spread(box.Min.Y, box.Max.Y, n)
		z := make([]float64, 0, n*n)
		for _, v := range y {
			for _, u := range x {
				z = append(z, s.height(geom.Pt(u, v)))
			}
		}
		m := newMesh(x, y, z)
		if f := Deviation(m, points); math.Abs(f.Residuals[f.Worst]) <= meshTolerance {
			return m, nil
		}
	}
	return nil, fmt.Errorf("the heights are too uneven for a surface through them: %d lines each way leave a point by over %g mm", mostLines, meshTolerance)
}

// spread returns n values from lo to hi, evenly apart.
func spread(lo, hi float64, n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = lo + (hi-lo)*float64(i)/float64(n-1)
	}
	v[n-1] = hi
	return v
}
