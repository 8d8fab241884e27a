package nest

import "math"

// row is one linear constraint of a step: u.(di - dj) - size*dy >= low, with
// j = -1 for a wall, which does not move.
type row struct {
	i, j      int
	ux, uy    float64
	size, low float64
}

// stepProblem asks for the step d of the centres and dy of the size that
// maximises dy - (calm/2)|d|^2 under rows, with every component within box and
// dy <= rise. The small term keeps discs that nothing presses where they are and makes the solution
// unique; it does not move a vertex solution.
type stepProblem struct {
	n    int // discs
	rows []row
	box  float64
	rise float64 // upper bound of dy, at most box
	calm float64
}

// interior holds the buffers of the interior-point method.
type interior struct {
	x, q, rd, dx     []float64
	s, z, rp, ds, dz []float64
	rc, t            []float64
	normal           skyline
	first            []int
}

const (
	interiorSteps = 60
	// interiorGap is the relative complementarity at which the step is exact
	// for a float64.
	interiorGap = 1e-15
)

// solve runs a primal-dual predictor-corrector method (S. Mehrotra, On the
// implementation of a primal-dual interior point method, 1992). The result is
// the step in x (2n components and dy) and the multipliers of the rows; false
// when the linear algebra broke down before a usable accuracy.
func (w *interior) run(p stepProblem) (x, z []float64, ok bool) {
	n, m := 2*p.n+1, len(p.rows)
	all := m + 2*n // rows, then lower bounds, then upper bounds
	for _, b := range []*[]float64{&w.x, &w.q, &w.rd, &w.dx} {
		*b = resize(*b, n)
		clear(*b)
	}
	for _, b := range []*[]float64{&w.s, &w.z, &w.rp, &w.ds, &w.dz, &w.rc, &w.t} {
		*b = resize(*b, all)
		clear(*b)
	}
	// The profile of the normal matrix: discs meet only their neighbours, the
	// size meets everything.
	w.first = w.first[:0]
	for i := range p.n {
		w.first = append(w.first, 2*i, 2*i)
	}
	w.first = append(w.first, 0)
	for _, r := range p.rows {
		if r.j >= 0 {
			a, b := min(r.i, r.j), max(r.i, r.j)
			w.first[2*b] = min(w.first[2*b], 2*a)
			w.first[2*b+1] = min(w.first[2*b+1], 2*a)
		}
	}
	low := func(k int) float64 {
		if k < m {
			return p.rows[k].low
		}
		if k == all-1 {
			return -p.rise
		}
		return -p.box
	}
	mul := func(dst, v []float64) { // dst = A v
		dy := v[n-1]
		for k, r := range p.rows {
			d := r.ux*v[2*r.i] + r.uy*v[2*r.i+1] - r.size*dy
			if r.j >= 0 {
				d -= r.ux*v[2*r.j] + r.uy*v[2*r.j+1]
			}
			dst[k] = d
		}
		for k := range v {
			dst[m+k] = v[k]
			dst[m+n+k] = -v[k]
		}
	}
	addT := func(dst, v []float64) { // dst += A' v
		for k, r := range p.rows {
			dst[2*r.i] += r.ux * v[k]
			dst[2*r.i+1] += r.uy * v[k]
			if r.j >= 0 {
				dst[2*r.j] -= r.ux * v[k]
				dst[2*r.j+1] -= r.uy * v[k]
			}
			dst[n-1] -= r.size * v[k]
		}
		for k := range dst {
			dst[k] += v[m+k] - v[m+n+k]
		}
	}
	w.q[n-1] = -1
	mul(w.t, w.x)
	mu0 := p.box / float64(all)
	for k := 0; k < all; k++ {
		w.s[k] = math.Max(w.t[k]-low(k), p.box*1e-2)
		w.z[k] = mu0 / w.s[k]
	}
	for range interiorSteps {
		mul(w.t, w.x)
		mu, worst := 0.0, 0.0
		for k := 0; k < all; k++ {
			w.rp[k] = w.t[k] - w.s[k] - low(k)
			mu += w.s[k] * w.z[k]
			worst = math.Max(worst, math.Abs(w.rp[k]))
		}
		mu /= float64(all)
		for k := 0; k < n; k++ {
			w.rd[k] = w.q[k]
			if k < n-1 {
				w.rd[k] += p.calm * w.x[k]
			}
		}
		for k := 0; k < all; k++ {
			w.t[k] = -w.z[k]
		}
		addT(w.rd, w.t)
		dual := largest(w.rd)
		if mu <= interiorGap*p.box && worst <= 1e-13*p.box && dual <= 1e-10 {
			return w.x, w.z[:m], true
		}
		// Normal matrix.
		w.normal.shape(w.first)
		for k := 0; k < n; k++ {
			d := w.z[m+k]/w.s[m+k] + w.z[m+n+k]/w.s[m+n+k]
			if k < n-1 {
				d += p.calm
			}
			w.normal.add(k, k, d)
		}
		for k, r := range p.rows {
			d := w.z[k] / w.s[k]
			xx, xy, yy := d*r.ux*r.ux, d*r.ux*r.uy, d*r.uy*r.uy
			w.normal.add(2*r.i, 2*r.i, xx)
			w.normal.add(2*r.i, 2*r.i+1, xy)
			w.normal.add(2*r.i+1, 2*r.i+1, yy)
			w.normal.add(2*r.i, n-1, -d*r.ux*r.size)
			w.normal.add(2*r.i+1, n-1, -d*r.uy*r.size)
			w.normal.add(n-1, n-1, d*r.size*r.size)
			if r.j >= 0 {
				w.normal.add(2*r.j, 2*r.j, xx)
				w.normal.add(2*r.j, 2*r.j+1, xy)
				w.normal.add(2*r.j+1, 2*r.j+1, yy)
				w.normal.add(2*r.j, n-1, d*r.ux*r.size)
				w.normal.add(2*r.j+1, n-1, d*r.uy*r.size)
				w.normal.add(2*r.i, 2*r.j, -xx)
				w.normal.add(2*r.i+1, 2*r.j+1, -yy)
				w.normal.add(2*r.i, 2*r.j+1, -xy)
				w.normal.add(2*r.i+1, 2*r.j, -xy)
			}
		}
		if !w.normal.factorise() {
			return w.x, w.z[:m], dual <= 1e-6 && mu <= 1e-9*p.box
		}
		for k := 0; k < all; k++ {
			w.rc[k] = w.s[k] * w.z[k]
		}
		w.newton(n, all, mul, addT)
		ap, ad := reachOf(w.s, w.ds), reachOf(w.z, w.dz)
		after := 0.0
		for k := 0; k < all; k++ {
			after += (w.s[k] + ap*w.ds[k]) * (w.z[k] + ad*w.dz[k])
		}
		after /= float64(all)
		sigma := math.Pow(after/mu, 3)
		for k := 0; k < all; k++ {
			w.rc[k] = w.s[k]*w.z[k] + w.ds[k]*w.dz[k] - sigma*mu
		}
		w.newton(n, all, mul, addT)
		ap, ad = reachOf(w.s, w.ds), reachOf(w.z, w.dz)
		ap, ad = math.Min(1, 0.9995*ap), math.Min(1, 0.9995*ad)
		if math.IsNaN(ap) || math.IsNaN(ad) {
			return w.x, w.z[:m], false
		}
		// One length for both: the problem has a quadratic term.
		if p.calm > 0 {
			ap = math.Min(ap, ad)
			ad = ap
		}
		for k := range w.x {
			w.x[k] += ap * w.dx[k]
		}
		for k := 0; k < all; k++ {
			w.s[k] += ap * w.ds[k]
			w.z[k] += ad * w.dz[k]
		}
		if ap < 1e-10 && ad < 1e-10 {
			return w.x, w.z[:m], dual <= 1e-6 && mu <= 1e-9*p.box
		}
	}
	return w.x, w.z[:m], true
}

// newton solves for the step that leaves the complementarity residual rc.
func (w *interior) newton(n, all int, mul, addT func(dst, v []float64)) {
	for k := 0; k < n; k++ {
		w.dx[k] = -w.rd[k]
	}
	for k := 0; k < all; k++ {
		w.t[k] = -(w.rc[k] + w.z[k]*w.rp[k]) / w.s[k]
	}
	addT(w.dx, w.t)
	w.normal.solve(w.dx)
	mul(w.ds, w.dx)
	for k := 0; k < all; k++ {
		w.ds[k] += w.rp[k]
		w.dz[k] = (-w.rc[k] - w.z[k]*w.ds[k]) / w.s[k]
	}
}

// reachOf returns how far v may go along dv before a component gets negative,
// at most 1.
func reachOf(v, dv []float64) float64 {
	a := 1.0
	for k, d := range dv {
		if d < 0 {
			a = math.Min(a, -v[k]/d)
		}
	}
	return a
}
