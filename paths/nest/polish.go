package nest

import (
	"cmp"
	"math"
	"slices"

	"proofcut/paths/geom"
)

// polishSteps bounds the linear programs of one polish; convergence near a
// rigid packing is quadratic, so a handful is the rule.
const polishSteps = 40

// polish improves a configuration to a local maximum of its size by sequential
// linear programming: each step linearises the distances of near pairs and near
// walls, maximises the size within a trust box, and is kept when the measured
// size grows. The size is measured, never predicted, so what polish returns
// keeps every distance. A size of limit is enough. x is changed in place.
func (p *packer) polish(w *interior, x []float64, limit float64) float64 {
	n := len(p.size)
	best := p.fit(x)
	scale := math.Max(math.Abs(x[2*n]), math.Abs(best))
	x[2*n] = best
	if best >= limit {
		return best
	}
	box := 0.1 * scale
	trial := make([]float64, len(x))
	defer p.renumber(x)()
	var rows []row
	for range polishSteps {
		if box < 1e-15*scale {
			break
		}
		y := x[2*n]
		rows = p.linearise(rows[:0], x, box)
		d, _, ok := w.run(stepProblem{n: n, rows: rows, box: box, rise: math.Min(box, limit-y), calm: 1e-3 / scale})
		p.work += int64(len(rows)) * 40
		if !ok || !(d[2*n] > 0) {
			box /= 8
			if box < 1e-12*scale {
				break
			}
			continue
		}
		for k := range d[:2*n] {
			trial[k] = x[k] + d[k]
		}
		got := p.fit(trial)
		gain := d[2*n]
		switch {
		case got > y:
			copy(x, trial)
			x[2*n] = got
			if got >= limit {
				return got
			}
			switch ratio := (got - y) / gain; {
			case ratio > 0.75:
				box *= 2
			case ratio < 0.25:
				box /= 4
			}
			if gain < p.fine*scale {
				return got
			}
			box = math.Min(box, math.Max(100*math.Sqrt(gain*scale), 1e-12*scale))
		default:
			box /= 8
		}
	}
	return x[2*n]
}

// linearise lists the pairs and walls that a step within the box can make
// critical.
func (p *packer) linearise(rows []row, x []float64, box float64) []row {
	n := len(p.size)
	y := x[2*n]
	for i := 0; i < n; i++ {
		for j := i + 1; j < n; j++ {
			dx, dy := x[2*i]-x[2*j], x[2*i+1]-x[2*j+1]
			s := p.size[i] + p.size[j]
			need := p.gap + y*s
			d := math.Hypot(dx, dy)
			if d == 0 || d-need > (2*math.Sqrt2+s)*box {
				continue
			}
			rows = append(rows, row{i, j, dx / d, dy / d, s, need - d})
		}
		need := y * p.size[i]
		p.near, _ = p.field.contacts(p.near[:0], x[2*i], x[2*i+1], need+(math.Sqrt2+p.size[i])*box)
		for _, c := range p.near {
			rows = append(rows, row{i, -1, c.ux, c.uy, p.size[i], need - c.free})
		}
	}
	return rows
}

// renumber sorts the discs of x along the longer side of their box, which makes
// the matrices of the linear programs narrow, and returns the function that
// puts x and the sizes back into their order.
func (p *packer) renumber(x []float64) (restore func()) {
	n := len(p.size)
	box := geom.EmptyBox()
	for i := range n {
		box = box.AddPoint(geom.Pt(x[2*i], x[2*i+1]))
	}
	axis := 0
	if box.Size().Y > box.Size().X {
		axis = 1
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x[2*a+axis], x[2*b+axis]) })
	old, size := slices.Clone(x), slices.Clone(p.size)
	for k, i := range order {
		x[2*k], x[2*k+1], p.size[k] = old[2*i], old[2*i+1], size[i]
	}
	p.ref = p.ref[:0]
	return func() {
		copy(old, x)
		for k, i := range order {
			x[2*i], x[2*i+1] = old[2*k], old[2*k+1]
		}
		copy(p.size, size)
		p.ref = p.ref[:0]
	}
}
