package nest

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"proofcut/paths/geom"
)

// finder looks for a configuration of a fixed number of discs with the largest
// common size: local descents from many starts, each then shaken again and
// again (monotonic basin hopping; A. Grosso, A. Jamali, M. Locatelli,
// F. Schoen, Solving the problem of packing equal and unequal circles in a
// circular container, 2010), and the promising ones polished.
type finder struct {
	p      *packer
	rng    *rand.Rand
	opt    lbfgs
	ip     interior
	best   []float64   // polished configuration, nil before the first
	middle *geom.Point // where the largest single disc would go

	// floor is the estimate from which polishing is worth its time, enough the
	// size at which it may end.
	floor, enough float64
	stop          func() bool
}

// The descent runs in two stages. A stage presses the discs together with a
// force that leaves overlaps of about size/(5*pressure).
const (
	softPressure = 20.0
	hardPressure = 2000.0
	finePressure = 100000.0
	// closeCall is more than the error of an estimate under hard pressure.
	closeCall = 1e-5
)

// descend moves x to a local optimum and returns an estimate of its size that
// is good to second order in the remaining overlaps. Only where the estimate
// comes close to good is it made sharper.
func (f *finder) descend(x []float64, good float64) float64 {
	f.press(x, softPressure, 0.02, 300)
	est := f.press(x, hardPressure, 0.002, 600)
	if est > good*(1-closeCall) {
		est = f.press(x, finePressure, 0.001, 1000)
	}
	return est
}

// press minimises the overlaps under a force; accuracy is the size of the
// remaining gradient relative to a typical overlap.
func (f *finder) press(x []float64, pressure, accuracy float64, steps int) float64 {
	n := len(f.p.size)
	y := math.Abs(x[2*n])
	force := y * float64(n) / pressure
	longest := 0.5 * math.Max(y, 1e-3*f.p.yMax)
	squares := f.opt.minimise(f.p, x, force, accuracy*y/pressure, longest, steps)
	return x[2*n] - squares/force
}

// hop shakes x, a local optimum of the given estimate, until nothing better is
// found in patience shakes on end, and returns the new estimate.
func (f *finder) hop(x []float64, est float64, patience int) float64 {
	trial := make([]float64, len(x))
	for fails := 0; fails < patience && !f.stop(); fails++ {
		copy(trial, x)
		f.shake(trial)
		if e := f.descend(trial, est); e > est*(1+1e-9) {
			if e > est*(1+1e-6) {
				fails = -1
			}
			copy(x, trial)
			est = e
			f.offer(x, est, 0)
		}
	}
	return est
}

// nearMiss is how far below the best, relatively, the end of a series of shakes
// may lie to be polished: the wide first steps of the linear programs often
// carry it over to a better optimum next to it.
const nearMiss = 1e-3

// offer polishes x if its estimate, raised by miss, promises a new best.
func (f *finder) offer(x []float64, est, miss float64) {
	n := len(f.p.size)
	if est *= 1 + miss; est < f.floor || f.best != nil && est < f.best[2*n]*(1+1e-10) {
		return
	}
	y := append([]float64(nil), x...)
	if f.p.polish(&f.ip, y, f.enough); f.best == nil || y[2*n] > f.best[2*n] {
		f.best = y
	}
}

// mixed reports whether the discs differ in size.
func (f *finder) mixed() bool {
	for _, s := range f.p.size {
		if s != f.p.size[0] {
			return true
		}
	}
	return false
}

// shake disturbs a configuration: all discs a little, the discs about one
// place a lot, a few discs moved to the emptiest places, or discs of different
// size exchanged.
func (f *finder) shake(x []float64) {
	n := len(f.p.size)
	y := x[2*n]
	switch k := f.rng.IntN(10); {
	case k < 4 && f.mixed():
		for range 1 + f.rng.IntN(2) {
			i, j := f.rng.IntN(n), f.rng.IntN(n)
			x[2*i], x[2*j] = x[2*j], x[2*i]
			x[2*i+1], x[2*j+1] = x[2*j+1], x[2*i+1]
		}
	case k < 3:
		// Many discs stand a smaller shake only.
		d := y * (0.1 + 0.8*f.rng.Float64()*math.Min(1, 30/float64(n)))
		for i := 0; i < 2*n; i++ {
			x[i] += d * (2*f.rng.Float64() - 1)
		}
	case k < 5:
		c := f.rng.IntN(n)
		cx, cy := x[2*c], x[2*c+1]
		reach := y * (2.5 + 3*f.rng.Float64())
		d := y * (0.5 + f.rng.Float64())
		for i := 0; i < n; i++ {
			if math.Hypot(x[2*i]-cx, x[2*i+1]-cy) < reach {
				x[2*i] += d * (2*f.rng.Float64() - 1)
				x[2*i+1] += d * (2*f.rng.Float64() - 1)
			}
		}
	default:
		for range 1 + f.rng.IntN(3) {
			i := f.rng.IntN(n)
			if k >= 8 {
				i = f.tightest(x)
			}
			q := f.emptiest(x, i, 1+f.rng.IntN(40+2*n))
			x[2*i], x[2*i+1] = q.X, q.Y
		}
	}
}

// tightest returns the disc that its neighbours overlap most, of a random
// handful.
func (f *finder) tightest(x []float64) int {
	n := len(f.p.size)
	y := x[2*n]
	worst, at := -1.0, 0
	for range 2 + n/8 {
		i := f.rng.IntN(n)
		v := 0.0
		for j := range n {
			if j == i {
				continue
			}
			need := f.p.gap + y*(f.p.size[i]+f.p.size[j])
			dx, dy := x[2*i]-x[2*j], x[2*i+1]-x[2*j+1]
			if d2 := dx*dx + dy*dy; d2 < need*need {
				v += need - math.Sqrt(d2)
			}
		}
		f.p.work += int64(n / 2)
		if v > worst {
			worst, at = v, i
		}
	}
	return at
}

// emptiest returns the roomiest of some random places for disc i.
func (f *finder) emptiest(x []float64, i, tries int) geom.Point {
	n := len(f.p.size)
	var best geom.Point
	room := math.Inf(-1)
	for range tries {
		q := f.anywhere()
		r := f.p.field.free(q.X, q.Y)
		for j := 0; j < n && r > room; j++ {
			if j != i {
				r = math.Min(r, math.Hypot(x[2*j]-q.X, x[2*j+1]-q.Y)-f.p.gap-x[2*n]*f.p.size[j])
			}
		}
		if r > room {
			best, room = q, r
		}
	}
	f.p.work += int64(tries * (n + 4) / 2)
	return best
}

// anywhere returns a random place in the field's box, inside the stock if a
// few tries find one.
func (f *finder) anywhere() geom.Point {
	b := f.p.field.box
	var q geom.Point
	for range 20 {
		q = geom.Pt(b.Min.X+f.rng.Float64()*b.Size().X, b.Min.Y+f.rng.Float64()*b.Size().Y)
		if f.p.field.free(q.X, q.Y) > 0 {
			break
		}
	}
	return q
}

// random returns a start with every disc anywhere.
func (f *finder) random(y float64) []float64 {
	n := len(f.p.size)
	x := make([]float64, 2*n+1)
	for i := 0; i < n; i++ {
		q := f.anywhere()
		x[2*i], x[2*i+1] = q.X, q.Y
	}
	x[2*n] = y
	return x
}

// extend returns a start with the given discs and the rest in the emptiest
// places.
func (f *finder) extend(ps []geom.Point, y float64) []float64 {
	n := len(f.p.size)
	x := make([]float64, 2*n+1)
	x[2*n] = y
	far := f.p.field.box.Max.X + 10*f.p.field.box.Size().Len()
	for i := 0; i < n; i++ {
		if i < len(ps) {
			x[2*i], x[2*i+1] = ps[i].X, ps[i].Y
		} else {
			x[2*i], x[2*i+1] = far, 0 // out of the way until placed
		}
	}
	for i := len(ps); i < n; i++ {
		q := f.emptiest(x, i, 100)
		x[2*i], x[2*i+1] = q.X, q.Y
	}
	return x
}

// fromLattice returns a start on a lattice, just tight enough to give every
// disc a place that is not far out. It is turned and shifted at random, or, as
// often, lies with a row along a wall and its rows squeezed or spread a little.
func (f *finder) fromLattice(hexagonal bool, y float64) []float64 {
	n := len(f.p.size)
	b := f.p.field.box
	l := lattice{hexagonal: hexagonal, spacing: 1.1 * (2*y + f.p.gap), pivot: b.Center(),
		angle: f.rng.Float64() * math.Pi / 2, u: f.rng.Float64(), v: f.rng.Float64()}
	walls := f.p.field.groups[0].walls
	wall := &walls[f.rng.IntN(len(walls))]
	flush := !wall.arc && f.rng.IntN(2) == 0
	if flush {
		l.angle = wall.dir.Angle()
		l.stretch = 0.92 + 0.16*f.rng.Float64()
	}
	type place struct {
		at   geom.Point
		free float64
	}
	var places []place
	for range 80 {
		places = places[:0]
		l.reachLimit = b.Size().Len()/2 + 2*l.spacing
		if flush {
			// The row nearest to the wall touches it.
			half := (l.spacing - f.p.gap) / 2
			e1, e2 := l.basis()
			d := wall.a.Add(wall.dir.Left().Mul(f.p.field.groups[0].offset + half)).Sub(l.pivot)
			l.v = e1.Cross(d) / e1.Cross(e2)
			l.v -= math.Floor(l.v)
		}
		l.each(b, func(q geom.Point) {
			if r := f.p.field.free(q.X, q.Y); r > 0.5*y {
				places = append(places, place{q, r})
			}
			f.p.work += 8
		})
		if len(places) >= n {
			break
		}
		l.spacing *= 0.98
	}
	if f.rng.IntN(2) == 0 {
		slices.SortStableFunc(places, func(a, b place) int { return cmp.Compare(b.free, a.free) })
	} else { // any may stay out
		f.rng.Shuffle(len(places), func(i, j int) { places[i], places[j] = places[j], places[i] })
	}
	x := f.random(y)
	for i := 0; i < n && i < len(places); i++ {
		x[2*i], x[2*i+1] = places[i].at.X, places[i].at.Y
	}
	return x
}

// explore alternates between the best of a pool of fresh starts, any fresh
// start, and the best configuration so far, each shaken until nothing comes of
// it. y is an upper bound on the common size.
func (f *finder) explore(y float64, tell func()) {
	n := len(f.p.size)
	// How many starts are descended from before the best of them is worked on:
	// few compared with the shakes that follow.
	pool := 12 + n/2
	best := make([]float64, 2*n+1) // unpolished
	var bestEst float64
	for round := 0; round == 0 || !f.stop(); round++ {
		var x []float64
		est := math.Inf(-1)
		switch round % 3 {
		case 0:
			for k := 0; k < pool && (k == 0 || !f.stop()); k++ {
				c := f.start(k, y)
				if e := f.descend(c, math.Inf(1)); e > est {
					x, est = c, e
				}
			}
		case 1:
			x = f.start(f.rng.IntN(pool), y)
			est = f.descend(x, bestEst)
		default:
			x, est = slices.Clone(best), bestEst
		}
		f.offer(x, est, 0)
		est = f.hop(x, est, 40+n)
		f.offer(x, est, nearMiss)
		if est > bestEst {
			copy(best, x)
			bestEst = est
		}
		tell()
	}
}

// start returns a start of kind k.
func (f *finder) start(k int, y float64) []float64 {
	switch k % 4 {
	case 0:
		return f.fromLattice(true, 0.8*y)
	case 1:
		return f.fromLattice(false, 0.8*y)
	case 2:
		return f.rings(0.9 * y)
	default:
		return f.random(0.4 * y)
	}
}

// rings returns a start of discs in touching rings about the roomiest place,
// each ring turned to fall into the gaps of the one outside it; what is left
// goes to the emptiest places. Hexagonal shells bent to circles are of this
// kind (B. D. Lubachevsky, R. L. Graham, Curved hexagonal packings of equal
// disks in a circle, 1997).
func (f *finder) rings(y float64) []float64 {
	n := len(f.p.size)
	if f.middle == nil {
		at, _ := roomiest(f.p.field, &f.p.work)
		f.middle = &at
	}
	inner := f.p.field.free(f.middle.X, f.middle.Y)
	pitch := 1.8 + 0.13*f.rng.Float64()
	var ps []geom.Point
	for range 60 {
		ps = ps[:0]
		half := y + f.p.gap/2
		for rho := inner - y; rho > 0 && len(ps) < n; rho -= pitch * half {
			count := 1
			if rho > half {
				// A hair more, for rings that close exactly.
				count = int(math.Pi/math.Asin(half/rho) + 0.05)
			}
			phase, room := 0.0, math.Inf(-1)
			const phases = 40
			first := f.rng.Float64() / phases
			for k := range phases {
				a := (first + float64(k)/phases) * 2 * math.Pi / float64(count)
				r := math.Inf(1)
				for i := 0; i < count; i++ {
					q := f.middle.Add(geom.Polar(rho, a+2*math.Pi*float64(i)/float64(count)))
					for _, o := range ps {
						r = math.Min(r, q.Dist(o))
					}
				}
				if r > room {
					phase, room = a, r
				}
				f.p.work += int64(count * len(ps))
			}
			for i := 0; i < count; i++ {
				ps = append(ps, f.middle.Add(geom.Polar(rho, phase+2*math.Pi*float64(i)/float64(count))))
			}
		}
		if len(ps) >= n {
			break
		}
		y *= 0.985
	}
	return f.extend(ps[:min(n, len(ps))], y)
}
