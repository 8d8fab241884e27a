package nest

import (
	"math"

	"proofcut/paths/geom"
)

// The covering bound. A disc of a diameter below the spacing holds at most one
// centre. Give discs all over the stock weights so that every place where a
// centre may lie is covered with a total weight of at least 1: then there are
// no more centres than the sum of all weights (weak duality of the fractional
// covering problem). The weights come from an approximate solver and only
// their size depends on how well it did; that they cover everything is checked
// by bisection and what is missing made up by scaling.
const (
	cellStep = 16.0 // sample cells per spacing
	// coverShrink is how much of a cell's half diagonal the solver's discs are
	// shrunk by; the check pays for what is then still uncovered between samples.
	coverShrink = 0.5
	coverDepth  = 6       // bisections of a sample cell in the check
	coverSteps  = 3000    // most iterations of the solver
	coverLimit  = 4 << 20 // most entries of the matrix; larger problems go without
	// coverFloor outweighs the rounding of the sums of weights.
	coverFloor = 1e-9
	// coverOps is how many entries count as one unit of work.
	coverOps = 10
)

// The weighted discs per spacing, in X and Y: the finer grid where at least so
// many steps of the solver can be afforded, otherwise the coarser or none.
var (
	coverStep   = [...]float64{16, 8}
	fewestSteps = [...]int{600, 150}
)

// cover is one such covering problem.
type cover struct {
	f       *field
	radius  float64 // of the parts
	reach   float64 // radius of a weighted disc
	cells   []geom.Point
	half    float64 // of a cell's side
	grid    geom.Box
	step    float64
	nx, ny  int
	discs   []geom.Point
	at      []int32   // grid place to disc, -1 for none
	columns [][]int32 // the discs that cover each cell
	weight  []float64
}

// coverBound returns the bound, infinite when the problem is too large, and
// uses no more than about the given work.
func coverBound(f *field, radius, spacing float64, budget int64, work *int64, stop func() bool) float64 {
	for k, step := range coverStep {
		c := &cover{f: f, radius: radius, reach: spacing/2 - Rounding, half: spacing / cellStep / 2, step: spacing / step}
		if !c.build() {
			continue
		}
		entries := 0
		for _, col := range c.columns {
			entries += len(col)
		}
		steps := int(min(coverSteps, budget*coverOps/int64(2*entries+1)))
		if steps < fewestSteps[k] {
			continue
		}
		c.solve(steps, stop)
		*work += int64(steps) * int64(2*entries) / coverOps
		total := 0.0
		for _, w := range c.weight {
			total += w
		}
		if least := c.least(work); least > 0 {
			return total/least + coverFloor
		}
	}
	return math.Inf(1)
}

// build lists sample cells and weighted discs, and which covers which.
func (c *cover) build() bool {
	box := c.f.box
	side := 2 * c.half
	mx, my := int(math.Ceil(box.Size().X/side)), int(math.Ceil(box.Size().Y/side))
	if mx*my > coverLimit {
		return false
	}
	for j := range my {
		for i := range mx {
			q := geom.Pt(box.Min.X+(float64(i)+0.5)*side, box.Min.Y+(float64(j)+0.5)*side)
			if c.f.free(q.X, q.Y)-c.radius >= -c.half*math.Sqrt2-Rounding {
				c.cells = append(c.cells, q)
			}
		}
	}
	if len(c.cells) == 0 {
		return false
	}
	c.grid = geom.EmptyBox()
	for _, q := range c.cells {
		c.grid = c.grid.AddPoint(q)
	}
	c.grid = c.grid.Grow(c.reach)
	c.nx, c.ny = int(c.grid.Size().X/c.step)+2, int(c.grid.Size().Y/c.step)+2
	c.at = make([]int32, c.nx*c.ny)
	for i := range c.at {
		c.at[i] = -1
	}
	near := c.reach - coverShrink*c.half*math.Sqrt2
	entries := 0
	for _, q := range c.cells {
		var col []int32
		c.around(q, near, func(place int, centre geom.Point) {
			if c.at[place] < 0 {
				c.at[place] = int32(len(c.discs))
				c.discs = append(c.discs, centre)
			}
			col = append(col, c.at[place])
		})
		c.columns = append(c.columns, col)
		if entries += len(col); entries > coverLimit || len(col) == 0 {
			return false
		}
	}
	return true
}

// around visits the grid places within r of q.
func (c *cover) around(q geom.Point, r float64, visit func(place int, centre geom.Point)) {
	i0 := max(0, int(math.Ceil((q.X-r-c.grid.Min.X)/c.step)))
	j0 := max(0, int(math.Ceil((q.Y-r-c.grid.Min.Y)/c.step)))
	for j := j0; j < c.ny; j++ {
		y := c.grid.Min.Y + float64(j)*c.step
		if y > q.Y+r {
			break
		}
		for i := i0; i < c.nx; i++ {
			x := c.grid.Min.X + float64(i)*c.step
			if x > q.X+r {
				break
			}
			if (x-q.X)*(x-q.X)+(y-q.Y)*(y-q.Y) <= r*r {
				visit(j*c.nx+i, geom.Pt(x, y))
			}
		}
	}
}

// solve finds weights by the primal-dual hybrid gradient method (A. Chambolle,
// T. Pock, A first-order primal-dual algorithm for convex problems, 2011) and
// keeps the best of the iterates and their mean.
func (c *cover) solve(steps int, stop func() bool) {
	m, n := len(c.cells), len(c.discs)
	rowSum, most := make([]int, n), 0
	for _, col := range c.columns {
		most = max(most, len(col))
		for _, d := range col {
			rowSum[d]++
		}
	}
	tall := 0
	for _, r := range rowSum {
		tall = max(tall, r)
	}
	// The norm of the matrix is at most the root of its largest row sum times
	// its largest column sum.
	rate := 0.99 / math.Sqrt(float64(most)*float64(tall))
	ratio := float64(m) / float64(n) // balances the sizes of the two sides
	tau, sigma := rate*math.Sqrt(ratio), rate/math.Sqrt(ratio)
	w, ahead, pull := make([]float64, n), make([]float64, n), make([]float64, n)
	mean := make([]float64, n)
	y := make([]float64, m)
	for i := range w {
		w[i] = 1 / float64(most)
		ahead[i] = w[i]
	}
	c.weight = make([]float64, n)
	best := math.Inf(1)
	consider := func(v []float64) {
		total, least := 0.0, math.Inf(1)
		for _, a := range v {
			total += a
		}
		for _, col := range c.columns {
			s := 0.0
			for _, d := range col {
				s += v[d]
			}
			least = math.Min(least, s)
		}
		if least > 0 && total/least < best {
			best = total / least
			for i, a := range v {
				c.weight[i] = a / least
			}
		}
	}
	counted, window := 0, 100
	for k := 1; k <= steps; k++ {
		clear(pull)
		for i, col := range c.columns {
			s := 0.0
			for _, d := range col {
				s += ahead[d]
			}
			v := y[i] + sigma*(1-s)
			if v < 0 {
				v = 0
			}
			y[i] = v
			if v > 0 {
				for _, d := range col {
					pull[d] += v
				}
			}
		}
		for i, old := range w {
			v := old - tau*(1-pull[i])
			if v < 0 {
				v = 0
			}
			w[i] = v
			ahead[i] = 2*v - old
			mean[i] += v
		}
		counted++
		if k%50 == 0 || k == steps {
			consider(w)
			consider(mean)
			if counted >= window {
				clear(mean) // forget the early iterates
				counted, window = 0, 2*window
			}
			if stop() {
				return
			}
		}
	}
}

// least returns a lower bound on the total weight over any place where a
// centre may lie.
func (c *cover) least(work *int64) float64 {
	least := math.Inf(1)
	for _, q := range c.cells {
		least = math.Min(least, c.below(q, c.half, least, coverDepth, work))
	}
	return least
}

// below returns a lower bound on the weight over the free places of a square.
func (c *cover) below(q geom.Point, half, known float64, depth int, work *int64) float64 {
	diagonal := half * math.Sqrt2
	if c.f.free(q.X, q.Y)-c.radius < -diagonal-Rounding {
		return math.Inf(1) // no centre can lie here
	}
	sum, over := 0.0, 0.0
	visits := 0
	c.around(q, c.reach+diagonal, func(place int, centre geom.Point) {
		visits++
		d := c.at[place]
		if d < 0 {
			return
		}
		// The farthest point of the square from the disc's centre.
		far := math.Hypot(math.Abs(centre.X-q.X)+half, math.Abs(centre.Y-q.Y)+half)
		if far <= c.reach {
			sum += c.weight[d]
		} else {
			over += c.weight[d]
		}
	})
	*work += int64(visits/coverOps + 1)
	if sum >= known || over == 0 || depth == 0 {
		return sum
	}
	half /= 2
	least := math.Inf(1)
	for _, sx := range [2]float64{-half, half} {
		for _, sy := range [2]float64{-half, half} {
			v := c.below(geom.Pt(q.X+sx, q.Y+sy), half, math.Min(known, least), depth-1, work)
			least = math.Min(least, v)
		}
	}
	return least
}
