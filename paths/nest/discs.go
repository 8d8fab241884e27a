package nest

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"

	"proofcut/paths/geom"
)

// Discs places as many discs as it finds room for. The count is never below
// that of the best hexagonal or square lattice found over all angles and
// shifts, and grows with the effort. When ctx ends, the best layout so far is
// returned with Interrupted set and no error. A stock on which no disc fits is
// no error either: the layout is empty and Reason says why.
//
// The error is that of Validate, or tells of a problem of more than MaxDiscs.
func Discs(ctx context.Context, p Problem) (*Layout, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	s, err := newDiscSearch(ctx, p)
	if err != nil {
		return nil, err
	}
	if s.roomiest < p.radius()-Rounding/4 {
		s.layout.Reason = fmt.Sprintf("no disc of %.6g mm fits: the largest that does has %.6g mm", p.Diameter, math.Max(0, 2*s.roomiest))
		s.layout.Bound, s.layout.BoundName = 0, boundNone
		return s.finish()
	}
	s.prove(s.quick())
	s.grow()
	return s.finish()
}

// discSearch is the state of one call of Discs.
type discSearch struct {
	ctx      context.Context
	p        Problem
	f        *field
	roomiest float64    // radius of the largest single disc
	first    geom.Point // where it would go
	work     int64      // work done outside the finders
	budget   int64      // of work in all
	end      int64      // of work in the present phase
	layout   *Layout
	best     []geom.Point
	rng      *rand.Rand
	counter  int
	ended    bool
}

func newDiscSearch(ctx context.Context, p Problem) (*discSearch, error) {
	effort := p.Effort
	if effort == 0 {
		effort = DefaultEffort
	}
	s := &discSearch{ctx: ctx, p: p, budget: int64(math.Min(effort, 1e9) * workPerSecond),
		layout: &Layout{Diameter: p.Diameter, StockArea: p.Stock.Area()},
		rng:    rand.New(rand.NewPCG(p.Seed, 0x6e657374)),
	}
	sp := p.spacing()
	if n := s.layout.StockArea / (sp * sp); n > MaxDiscs {
		return nil, fmt.Errorf("nest: room for about %.0f discs, more than the limit of %d", n, MaxDiscs)
	}
	s.end = s.budget
	s.f = newField(p.groups(), 1.25*p.radius()+sp/4)
	at, r := roomiest(s.f, &s.work)
	// The bisection ends early in lanes of even width; the polish does not.
	one := newPacker(s.f, []float64{1}, 0, s.f.reach)
	x := []float64{at.X, at.Y, r}
	one.polish(&interior{}, x, s.f.reach)
	s.roomiest, s.first = x[2], geom.Pt(x[0], x[1])
	return s, nil
}

// roomiest returns the place and radius of the largest disc anywhere in the
// field, no more than the field's reach, by branch and bound to 1e-12 of the box.
func roomiest(f *field, work *int64) (geom.Point, float64) {
	c := f.box.Center()
	half := math.Max(f.box.Size().X, f.box.Size().Y) / 2
	type square struct{ x, y, r float64 }
	level := []square{{c.X, c.Y, f.free(c.X, c.Y)}}
	best, at := level[0].r, c
	// Free radii fall by no more than the distance moved, so a square whose
	// middle is too tight for that is out.
	const levels = 40
	for k := 0; k < levels && len(level) > 0; k++ {
		reach := half * math.Sqrt2
		half /= 2
		var next []square
		for _, q := range level {
			if q.r+reach <= best || q.r+reach < 0 {
				continue
			}
			for _, sx := range [2]float64{-half, half} {
				for _, sy := range [2]float64{-half, half} {
					r := f.free(q.x+sx, q.y+sy)
					*work += 4
					if r > best {
						best, at = r, geom.Pt(q.x+sx, q.y+sy)
					}
					next = append(next, square{q.x + sx, q.y + sy, r})
				}
			}
		}
		level = level[:0]
		for _, q := range next {
			if q.r+half*math.Sqrt2 > best {
				level = append(level, q)
			}
		}
		if best >= f.reach || len(level) > 1<<13 {
			break // more than enough, or a whole area is equally good
		}
	}
	return at, best
}

// stop reports whether the search has to end now.
func (s *discSearch) stop(extra int64) bool {
	if s.counter++; s.counter&15 == 0 && s.ctx.Err() != nil {
		s.ended = true
	}
	return s.ended || s.work+extra >= s.end
}

// target returns the count with which the search may stop.
func (s *discSearch) target() int {
	if s.p.Max > 0 {
		return min(s.p.Max, s.layout.Bound)
	}
	return s.layout.Bound
}

func (s *discSearch) report(trying int) {
	if s.p.Progress != nil {
		s.p.Progress(Progress{Placed: len(s.best), Trying: trying, Bound: s.layout.Bound,
			Done: math.Min(1, float64(s.work)/float64(s.budget))})
	}
}

const (
	// quickEffort is the work, in nominal seconds, after which a first good
	// layout stands: lattices and what can be added to them.
	quickEffort = 0.1
	// latticeShare and boundShare are the parts of the effort that go into
	// proving the lattices and the bound.
	latticeShare = 0.1
	boundShare   = 0.15
)

// quick finds the first good layout.
func (s *discSearch) quick() (hex, square *latticeSearch) {
	r, sp := s.p.radius(), s.p.spacing()
	hex = newLatticeSearch(s.f, r, sp, true, &s.work)
	square = newLatticeSearch(s.f, r, sp, false, &s.work)
	s.take(hex, square)
	s.layout.Bound, s.layout.BoundName = hullBound(s.f, r, sp)
	s.report(len(s.best))
	s.end = min(s.budget, int64(quickEffort*workPerSecond))
	s.grow()
	s.end = s.budget
	return hex, square
}

// prove looks for the best lattices of all and for a tighter bound.
func (s *discSearch) prove(hex, square *latticeSearch) {
	stop := func() bool { return s.stop(0) }
	s.layout.LatticesProven = true
	if len(s.best) < s.target() {
		s.layout.Bound, s.layout.BoundName = areaBounds(s.p, s.f, s.layout.Bound, s.layout.BoundName)
	}
	for _, l := range []*latticeSearch{hex, square} {
		if !l.run(int64(latticeShare/2*float64(s.budget)), stop) {
			s.layout.LatticesProven = false
		}
	}
	s.take(hex, square)
	if len(s.best) < s.target() && !s.stop(0) {
		v := coverBound(s.f, s.p.radius(), s.p.spacing(), int64(boundShare*float64(s.budget)), &s.work, stop)
		if v < float64(s.layout.Bound) {
			s.layout.Bound, s.layout.BoundName = int(math.Floor(v)), boundCover
		}
	}
	s.report(len(s.best))
}

// take notes the lattices' counts and makes the better one the best layout if
// it is.
func (s *discSearch) take(hex, square *latticeSearch) {
	for _, l := range []*latticeSearch{hex, square} {
		if l.best > len(s.best) {
			s.best = l.centres()
		}
	}
	s.layout.Hexagonal, s.layout.Square = hex.best, square.best
	if len(s.best) == 0 {
		s.best = []geom.Point{s.first}
	}
}

// grow adds discs one by one as long as a place for all can be found.
func (s *discSearch) grow() {
	for len(s.best) < s.target() && !s.stop(0) {
		n := len(s.best) + 1
		f := s.finder(n)
		if !s.seek(f) {
			break
		}
		s.best = centresOf(f.best)
		s.report(n + 1)
	}
}

// finder returns a finder of n equal discs.
func (s *discSearch) finder(n int) *finder {
	size := make([]float64, n)
	for i := range size {
		size[i] = 1
	}
	r := s.p.radius()
	f := &finder{p: newPacker(s.f, size, s.p.Gap, 1.2*r), rng: s.rng,
		floor: r * (1 - 1e-5), enough: r + s.ease()}
	f.p.fine = Rounding / r
	f.stop = func() bool { return s.enough(f) || s.stop(f.p.work) }
	return f
}

// ease returns the extra radius that a layout should have.
func (s *discSearch) ease() float64 { return math.Min(Ease, 0.01*s.p.radius()) }

// enough reports whether the finder has what it was asked for.
func (s *discSearch) enough(f *finder) bool {
	return f.best != nil && f.best[len(f.best)-1] >= s.p.radius()-Rounding/4
}

// seek tries starts of all kinds until the finder succeeds or the effort is
// used up, and books the finder's work.
func (s *discSearch) seek(f *finder) bool {
	n := len(f.p.size)
	defer func() { s.work += f.p.work }()
	for round := 0; !f.stop(); round++ {
		var x []float64
		switch k := round % 4; {
		case k == 0 && len(s.best) > 0:
			x = f.extend(s.best, s.p.radius())
		case k == 1:
			x = f.fromLattice(true, s.p.radius())
		case k == 2:
			x = f.fromLattice(false, s.p.radius())
		default:
			x = f.random(s.p.radius() / 2)
		}
		est := f.descend(x, s.p.radius())
		f.offer(x, est, 0)
		est = f.hop(x, est, 10+2*n)
		f.offer(x, est, nearMiss)
		if s.p.Progress != nil {
			s.p.Progress(Progress{Placed: len(s.best), Trying: n, Bound: s.layout.Bound,
				Done: math.Min(1, float64(s.work+f.p.work)/float64(s.budget))})
		}
	}
	return s.enough(f)
}

func centresOf(x []float64) []geom.Point {
	ps := make([]geom.Point, len(x)/2)
	for i := range ps {
		ps[i] = geom.Pt(x[2*i], x[2*i+1])
	}
	return ps
}

// finish settles the discs, puts them in order and measures the layout.
func (s *discSearch) finish() (*Layout, error) {
	l := s.layout
	if s.p.Max > 0 && len(s.best) > s.p.Max {
		inRows(s.best, s.p.spacing())
		s.best = s.best[:s.p.Max]
	}
	if len(s.best) > l.Bound {
		return nil, fmt.Errorf("nest: %d discs placed above the bound of %d (%s): one of them is wrong", len(s.best), l.Bound, l.BoundName)
	}
	l.Centres = s.settle(s.best)
	inRows(l.Centres, s.p.spacing())
	slack, err := s.p.slack(l.Centres)
	if err != nil {
		return nil, fmt.Errorf("nest: layout failed its own check: %w", err)
	}
	if len(l.Centres) > 0 {
		l.Slack = slack
	}
	r := s.p.radius()
	l.Share = float64(len(l.Centres)) * math.Pi * r * r / l.StockArea
	l.Interrupted = s.ended
	return l, nil
}

// settleLimit is the number of discs above which the final polish is left out;
// its linear programs grow with the cube of the count.
const settleLimit = 400

// settle takes the room that is left: a little for rounding, or all of it.
func (s *discSearch) settle(ps []geom.Point) []geom.Point {
	if len(ps) == 0 || len(ps) > settleLimit {
		return ps
	}
	f := s.finder(len(ps))
	limit := f.enough
	if s.p.Spread {
		limit = f.p.yMax
	}
	x := make([]float64, 2*len(ps)+1)
	for i, q := range ps {
		x[2*i], x[2*i+1] = q.X, q.Y
	}
	x[2*len(ps)] = s.p.radius()
	f.p.polish(&f.ip, x, limit)
	return centresOf(x)
}
