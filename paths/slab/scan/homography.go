package scan

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"proofcut/paths/geom"
)

// homography maps one plane onto another as a camera sees it: rows of a matrix
// that is applied to (x, y, 1), with the result divided by its third number.
type homography [3][3]float64

func (h homography) apply(p geom.Point) geom.Point {
	w := h[2][0]*p.X + h[2][1]*p.Y + h[2][2]
	return geom.Pt((h[0][0]*p.X+h[0][1]*p.Y+h[0][2])/w, (h[1][0]*p.X+h[1][1]*p.Y+h[1][2])/w)
}

// scaled is the map of a scan: from pixels, Y down, to mm, Y up.
func scaled(r Resolution, height int) homography {
	return homography{{1 / r.X, 0, 0}, {0, -1 / r.Y, float64(height) / r.Y}, {0, 0, 1}}
}

// after returns the map that does first f and then h.
func (h homography) after(f homography) homography {
	var out homography
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[i][j] += h[i][k] * f[k][j]
			}
		}
	}
	return out
}

// inverse returns the map back.
func (h homography) inverse() (homography, bool) {
	c := func(i, j int) float64 { // cofactor
		a, b, d, e := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
		return h[a][d]*h[b][e] - h[a][e]*h[b][d]
	}
	det := h[0][0]*c(0, 0) + h[0][1]*c(0, 1) + h[0][2]*c(0, 2)
	if det == 0 || math.IsNaN(det) || math.IsInf(det, 0) {
		return homography{}, false
	}
	var out homography
	for i := range 3 {
		for j := range 3 {
			out[i][j] = c(j, i) / det
		}
	}
	return out, true
}

// scale returns how many units the image of a unit at p is, the root of the area.
func (h homography) scale(p geom.Point) float64 {
	const d = 0.5
	o := h.apply(p)
	return math.Sqrt(math.Abs(h.apply(p.Add(geom.Pt(d, 0))).Sub(o).Cross(h.apply(p.Add(geom.Pt(0, d))).Sub(o)))) / d
}

// horizon reports whether the map takes a point of the box to infinity or beyond:
// the third number changes sign.
func (h homography) horizon(box geom.Box) bool {
	var signs [2]bool
	for _, p := range []geom.Point{box.Min, box.Max, {X: box.Min.X, Y: box.Max.Y}, {X: box.Max.X, Y: box.Min.Y}} {
		if w := h[2][0]*p.X + h[2][1]*p.Y + h[2][2]; w > 0 {
			signs[0] = true
		} else {
			signs[1] = true
		}
	}
	return signs[0] && signs[1]
}

var errFlat = errors.New("the four corners of the square lie in a line")

// throughCorners returns the map that takes four points to four others: eight
// linear equations for its numbers with the last set to 1 (R. Hartley, A.
// Zisserman, "Multiple View Geometry", 2nd ed. 2003, section 4.1). Coordinates are
// first moved to about 1 (ibid., 4.4.4), which keeps the equations well-conditioned.
func throughCorners(from, to [4]geom.Point) (homography, error) {
	nf, nt := normal(from), normal(to)
	a, b := mat.NewDense(8, 8, nil), mat.NewVecDense(8, nil)
	for i := range from {
		p, q := nf.apply(from[i]), nt.apply(to[i])
		a.SetRow(2*i, []float64{p.X, p.Y, 1, 0, 0, 0, -p.X * q.X, -p.Y * q.X})
		a.SetRow(2*i+1, []float64{0, 0, 0, p.X, p.Y, 1, -p.X * q.Y, -p.Y * q.Y})
		b.SetVec(2*i, q.X)
		b.SetVec(2*i+1, q.Y)
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		return homography{}, errFlat
	}
	h := homography{{x.AtVec(0), x.AtVec(1), x.AtVec(2)}, {x.AtVec(3), x.AtVec(4), x.AtVec(5)}, {x.AtVec(6), x.AtVec(7), 1}}
	back, ok := nt.inverse()
	if !ok {
		return homography{}, errFlat
	}
	return back.after(h).after(nf), nil
}

// normal returns the map that moves points to a mean of 0 and a spread of 1.
func normal(p [4]geom.Point) homography {
	var c geom.Point
	for _, q := range p {
		c = c.Add(q.Mul(0.25))
	}
	var d float64
	for _, q := range p {
		d += q.Dist(c) / 4
	}
	if d == 0 {
		d = 1
	}
	return homography{{1 / d, 0, -c.X / d}, {0, 1 / d, -c.Y / d}, {0, 0, 1}}
}
