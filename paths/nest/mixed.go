package nest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"proofcut/paths/geom"
)

// Kind is one size of disc in a mix.
type Kind struct {
	Diameter float64 // as cut, its own allowance included, mm
	Count    int     // how many are wanted; 0: as many as fit
}

// Mix asks for discs of several sizes on one piece of stock. The kinds stand in
// the order of their priority: no disc of a later kind is placed at the cost of
// one of an earlier kind. The other fields are those of Problem.
type Mix struct {
	Stock    geom.Region
	Keepouts []Keepout
	Kinds    []Kind
	Gap      float64
	Edge     float64
	Seed     uint64
	Effort   float64
	Progress func(Progress)
}

// maxKinds bounds the number of kinds in a mix.
const maxKinds = 100

// Placed is one disc of a mixed layout.
type Placed struct {
	Kind   int // index into Mix.Kinds
	Centre geom.Point
}

// MixLayout is where the discs of a mix go.
type MixLayout struct {
	Discs       []Placed // in rows from the bottom up, each row from the left
	Counts      []int    // of each kind
	StockArea   float64
	Share       float64 // of StockArea that the discs cover
	Slack       float64 // as in Layout
	Interrupted bool
	// Bounds has for each kind a number that no layout of this kind alone can
	// exceed, BoundNames the theorem that says so.
	Bounds     []int
	BoundNames []string
	// Short lists the kinds of which fewer than wanted were placed.
	Short []int
}

// problem returns the problem that asks for one kind alone.
func (m Mix) problem(k int) Problem {
	return Problem{Stock: m.Stock, Keepouts: m.Keepouts, Diameter: m.Kinds[k].Diameter, Gap: m.Gap, Edge: m.Edge,
		Max: m.Kinds[k].Count, Seed: m.Seed, Effort: m.Effort}
}

// Validate reports the first thing wrong with the mix, as Problem.Validate.
func (m Mix) Validate() error {
	if len(m.Kinds) == 0 {
		return errors.New("nest: no kind of disc")
	}
	if len(m.Kinds) > maxKinds {
		return fmt.Errorf("nest: %d kinds of discs, more than the limit of %d", len(m.Kinds), maxKinds)
	}
	for k, kind := range m.Kinds {
		if err := checkLength(kind.Diameter); err != nil || kind.Diameter == 0 || kind.Count < 0 {
			if err == nil {
				err = errors.New("diameter must be greater than 0 and the count not negative")
			}
			return fmt.Errorf("nest: kind %d: %w", k, err)
		}
		if kind.Count > MaxDiscs {
			return fmt.Errorf("nest: kind %d: %d discs, more than the limit of %d", k, kind.Count, MaxDiscs)
		}
	}
	return m.problem(0).Validate()
}

// Check measures every distance of a mixed layout, as Problem.Check does, and
// that no kind exceeds its count.
func (m Mix) Check(l MixLayout) error {
	if err := m.Validate(); err != nil {
		return err
	}
	counts := make([]int, len(m.Kinds))
	for i, d := range l.Discs {
		if d.Kind < 0 || d.Kind >= len(m.Kinds) {
			return fmt.Errorf("nest: disc %d: no kind %d", i, d.Kind)
		}
		counts[d.Kind]++
	}
	for k, n := range counts {
		if c := m.Kinds[k].Count; c > 0 && n > c {
			return fmt.Errorf("nest: kind %d: %d discs, %d wanted", k, n, c)
		}
	}
	_, err := m.slack(l.Discs)
	return err
}

func (m Mix) slack(discs []Placed) (float64, error) {
	return slackOf(m.Stock, m.Keepouts, m.Gap, m.Edge, centresOfPlaced(discs),
		func(i int) float64 { return m.Kinds[discs[i].Kind].Diameter / 2 })
}

func centresOfPlaced(discs []Placed) []geom.Point {
	ps := make([]geom.Point, len(discs))
	for i, d := range discs {
		ps[i] = d.Centre
	}
	return ps
}

// Mixed places the kinds of a mix one after the other: as many of the first as
// are wanted or fit, then of the second, and so on. Discs already placed move
// to make room but are never given up. Determinism, effort and interruption are
// as in Discs; a kind that does not fit is no error but listed in Short.
func Mixed(ctx context.Context, m Mix) (*MixLayout, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	effort := m.Effort
	if effort == 0 {
		effort = DefaultEffort
	}
	// The first kind alone, by the method for equal discs.
	first := m.problem(0)
	first.Effort = effort / float64(len(m.Kinds))
	first.Progress = m.Progress
	l, err := Discs(ctx, first)
	if err != nil {
		return nil, err
	}
	s := &mixSearch{ctx: ctx, m: m, rng: rand.New(rand.NewPCG(m.Seed, 0x6d6978)), ended: l.Interrupted}
	for _, c := range l.Centres {
		s.discs = append(s.discs, Placed{0, c})
	}
	widest := 0.0
	for _, k := range m.Kinds {
		widest = math.Max(widest, k.Diameter/2)
	}
	s.f = newField(first.groups(), 1.5*widest+m.Gap)
	share := int64(math.Min(effort, 1e9) * workPerSecond / float64(len(m.Kinds)))
	for k := 1; k < len(m.Kinds) && !s.ended; k++ {
		if err := s.room(k, l.StockArea); err != nil {
			return nil, err
		}
		s.end = s.work + share
		for n := 0; (m.Kinds[k].Count == 0 || n < m.Kinds[k].Count) && s.add(k); n++ {
			s.report(float64(k) / float64(len(m.Kinds)))
		}
	}
	return s.finish(l.StockArea)
}

// mixSearch is the state of one call of Mixed.
type mixSearch struct {
	ctx       context.Context
	m         Mix
	f         *field
	rng       *rand.Rand
	discs     []Placed
	work, end int64
	counter   int
	ended     bool
}

func (s *mixSearch) report(done float64) {
	if s.m.Progress != nil {
		s.m.Progress(Progress{Placed: len(s.discs), Trying: len(s.discs) + 1, Done: done})
	}
}

// room refuses a kind of which there would be too many.
func (s *mixSearch) room(k int, area float64) error {
	d := s.m.Kinds[k].Diameter + s.m.Gap
	if n := area / (d * d); s.m.Kinds[k].Count == 0 && n > MaxDiscs {
		return fmt.Errorf("nest: kind %d: room for about %.0f discs, more than the limit of %d", k, n, MaxDiscs)
	}
	return nil
}

// finder returns a finder for discs, and the size at which they have their
// radii.
func (s *mixSearch) finder(discs []Placed) (f *finder, full float64) {
	size := make([]float64, len(discs))
	for i, d := range discs {
		size[i] = s.m.Kinds[d.Kind].Diameter / 2
		full += size[i]
	}
	full /= float64(len(discs))
	for i := range size {
		size[i] /= full
	}
	f = &finder{p: newPacker(s.f, size, s.m.Gap, 1.2*full), rng: s.rng,
		floor: full * (1 - closeCall), enough: full + math.Min(Ease, 0.01*full)}
	f.p.fine = Rounding / full
	f.stop = func() bool {
		if s.counter++; s.counter&15 == 0 && s.ctx.Err() != nil {
			s.ended = true
		}
		return s.ended || s.work+f.p.work >= s.end || s.fits(f, full)
	}
	return f, full
}

// fits reports whether the finder's best has discs of full size; the shortfall
// of a distance is then below Rounding.
func (s *mixSearch) fits(f *finder, full float64) bool {
	return f.best != nil && f.best[len(f.best)-1] >= full*(1-1e-15)-Rounding/16
}

// add places one more disc of kind k, or reports that it found no way.
func (s *mixSearch) add(k int) bool {
	discs := append(append([]Placed(nil), s.discs...), Placed{Kind: k})
	f, full := s.finder(discs)
	defer func() { s.work += f.p.work }()
	fixed := centresOfPlaced(s.discs)
	// A place in what is left, without moving anything, is the cheap case.
	x := f.extend(fixed, full)
	for try := 0; try < 20; try++ {
		if y := f.p.fit(x); y >= full {
			x[len(x)-1] = y
			f.best = x
			break
		}
		if f.stop() {
			break
		}
		x = f.extend(fixed, full)
	}
	for round := 0; !f.stop(); round++ {
		if round%3 == 2 {
			x = f.random(full / 2)
		} else {
			x = f.extend(fixed, full)
		}
		est := f.descend(x, full)
		f.offer(x, est, 0)
		est = f.hop(x, est, 10+2*len(discs))
		f.offer(x, est, nearMiss)
	}
	if !s.fits(f, full) {
		return false
	}
	for i, c := range centresOf(f.best) {
		discs[i].Centre = c
	}
	s.discs = discs
	return true
}

// finish settles the discs, puts them in order and measures the layout.
func (s *mixSearch) finish(area float64) (*MixLayout, error) {
	l := &MixLayout{Counts: make([]int, len(s.m.Kinds)), StockArea: area, Interrupted: s.ended}
	if n := len(s.discs); n > 0 && n <= settleLimit {
		f, full := s.finder(s.discs)
		x := make([]float64, 2*n+1)
		for i, d := range s.discs {
			x[2*i], x[2*i+1] = d.Centre.X, d.Centre.Y
		}
		x[2*n] = full
		f.p.polish(&f.ip, x, f.enough)
		for i, c := range centresOf(x) {
			s.discs[i].Centre = c
		}
	}
	narrowest := math.Inf(1)
	for _, k := range s.m.Kinds {
		narrowest = math.Min(narrowest, k.Diameter)
	}
	for _, i := range rowOrder(centresOfPlaced(s.discs), narrowest+s.m.Gap) {
		d := s.discs[i]
		l.Discs = append(l.Discs, d)
		l.Counts[d.Kind]++
		r := s.m.Kinds[d.Kind].Diameter / 2
		l.Share += math.Pi * r * r / area
	}
	for k, kind := range s.m.Kinds {
		if kind.Count > l.Counts[k] {
			l.Short = append(l.Short, k)
		}
	}
	for k, kind := range s.m.Kinds {
		n, name := hullBound(s.f, kind.Diameter/2, kind.Diameter+s.m.Gap)
		n, name = areaBounds(s.m.problem(k), s.f, n, name)
		if kind.Count > 0 && kind.Count < n {
			n, name = kind.Count, boundWanted
		}
		l.Bounds, l.BoundNames = append(l.Bounds, n), append(l.BoundNames, name)
	}
	slack, err := s.m.slack(l.Discs)
	if err != nil {
		return nil, fmt.Errorf("nest: layout failed its own check: %w", err)
	}
	if len(l.Discs) > 0 {
		l.Slack = slack
	}
	return l, nil
}
