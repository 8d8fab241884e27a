package nest

import "math"

// memory is the number of past steps that the quasi-Newton direction uses.
const memory = 7

// objective is a function to minimise: energy returns its value at x and the sum
// of squares in it, and writes the gradient to g. force is a parameter.
type objective interface {
	energy(x, g []float64, force float64) (f, squares float64)
}

// lbfgs minimises an objective by the limited-memory BFGS method
// (J. Nocedal, Updating quasi-Newton matrices with limited storage, 1980)
// with a backtracking line search. Buffers are kept between calls.
type lbfgs struct {
	g, xn, gn, dir  []float64
	s, y            [memory][]float64
	rho, alpha      [memory]float64
	count, position int
}

func resize(b []float64, n int) []float64 {
	if cap(b) < n {
		return make([]float64, n)
	}
	return b[:n]
}

// minimise moves x downhill until the gradient is below tol (largest
// component) or the steps run out; no component moves by more than longest in
// one step. It returns the energy's sum of squares.
func (l *lbfgs) minimise(p objective, x []float64, force, tol, longest float64, steps int) float64 {
	n := len(x)
	l.g, l.xn, l.gn, l.dir = resize(l.g, n), resize(l.xn, n), resize(l.gn, n), resize(l.dir, n)
	for k := range l.s {
		l.s[k], l.y[k] = resize(l.s[k], n), resize(l.y[k], n)
	}
	l.count, l.position = 0, 0
	f, squares := p.energy(x, l.g, force)
	for range steps {
		if largest(l.g) <= tol {
			break
		}
		l.direction(n)
		slope, reach := 0.0, 0.0
		for i := 0; i < n; i++ {
			slope += l.dir[i] * l.g[i]
			if d := math.Abs(l.dir[i]); d > reach {
				reach = d
			}
		}
		if slope >= 0 {
			l.count = 0
			slope, reach = 0, 0
			for i := 0; i < n; i++ {
				l.dir[i] = -l.g[i] / 4
				slope += l.dir[i] * l.g[i]
				if d := math.Abs(l.dir[i]); d > reach {
					reach = d
				}
			}
		}
		step := 1.0
		if reach > longest {
			step = longest / reach
		}
		var fn, sn float64
		ok := false
		for range 20 {
			for i := 0; i < n; i++ {
				l.xn[i] = x[i] + step*l.dir[i]
			}
			fn, sn = p.energy(l.xn, l.gn, force)
			if fn <= f+1e-4*step*slope {
				ok = true
				break
			}
			// The minimum of the parabola through f, slope and fn.
			q := -slope * step / (2 * (fn - f - slope*step))
			step *= math.Min(0.5, math.Max(0.1, q))
		}
		if !ok {
			if l.count == 0 {
				break
			}
			l.count = 0 // once more along the plain gradient
			continue
		}
		k := l.position
		sy, yy := 0.0, 0.0
		for i := 0; i < n; i++ {
			l.s[k][i] = l.xn[i] - x[i]
			l.y[k][i] = l.gn[i] - l.g[i]
			sy += l.s[k][i] * l.y[k][i]
			yy += l.y[k][i] * l.y[k][i]
		}
		if sy > 1e-10*yy && yy > 0 {
			l.rho[k] = 1 / sy
			l.position = (k + 1) % memory
			l.count = min(l.count+1, memory)
		}
		copy(x, l.xn)
		copy(l.g, l.gn)
		f, squares = fn, sn
	}
	return squares
}

// direction sets dir to minus the approximate inverse Hessian times g.
func (l *lbfgs) direction(n int) {
	d := l.dir
	for i := 0; i < n; i++ {
		d[i] = -l.g[i]
	}
	if l.count == 0 {
		// Overlaps have stiffness of about the number of contacts.
		for i := 0; i < n; i++ {
			d[i] /= 4
		}
		return
	}
	for c := 0; c < l.count; c++ {
		k := (l.position - 1 - c + 2*memory) % memory
		a := 0.0
		for i := 0; i < n; i++ {
			a += l.s[k][i] * d[i]
		}
		a *= l.rho[k]
		l.alpha[k] = a
		for i := 0; i < n; i++ {
			d[i] -= a * l.y[k][i]
		}
	}
	k := (l.position - 1 + memory) % memory
	yy := 0.0
	for i := 0; i < n; i++ {
		yy += l.y[k][i] * l.y[k][i]
	}
	scale := 1 / (l.rho[k] * yy)
	for i := 0; i < n; i++ {
		d[i] *= scale
	}
	for c := l.count - 1; c >= 0; c-- {
		k := (l.position - 1 - c + 2*memory) % memory
		b := 0.0
		for i := 0; i < n; i++ {
			b += l.y[k][i] * d[i]
		}
		b *= l.rho[k]
		for i := 0; i < n; i++ {
			d[i] += l.s[k][i] * (l.alpha[k] - b)
		}
	}
}

func largest(g []float64) float64 {
	m := 0.0
	for _, v := range g {
		if v = math.Abs(v); v > m {
			m = v
		}
	}
	return m
}
