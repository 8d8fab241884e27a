package hold

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"proofcut/paths/geom"
)

// Outcome is a set of places and what it leaves.
type Outcome struct {
	Places []geom.Point
	Sites  []Site // how each screw meets the slab
	Parts  int
	Spread Spread
	Err    error // why the places cannot be used; Parts and Spread then say what they would give
}

// Choice is what Choose found.
type Choice struct {
	Outcome
	Free        int       // parts that fit without any screw
	Bound       int       // no layout without screws holds more; 0 when not known
	Starts      []Outcome // of the problem's starts
	Tried       int       // sets that were nested
	Interrupted bool
}

// ErrNoPlaces is the cause when no set of places was found that holds the slab.
var ErrNoPlaces = errors.New("no places found that hold the slab")

// A search goes round by round, each the same however many follow, so that more
// effort only ever adds to what less effort found. In nominal seconds of a round:
const (
	patternEnd  = 0.05 // sets for layouts that stay as they are
	hopeEnd     = 0.12 // quick nests among the best of these
	exchangeEnd = 0.25 // exchange of single screws, each nested quickly

	// quickEffort is the effort of a quick nest: a lattice and what can be added
	// to it in little time. It is no more than quickShare of a full one.
	quickEffort = 0.05
	quickShare  = 0.5

	// maxHopes is how many sets wait for a quick nest.
	maxHopes = 60
	// maxPool is how many nested sets are kept to walk from.
	maxPool = 200
)

// Choose looks for the places that leave the most parts. Free parts, every
// start that can be used and every set that promises to be the best are nested
// with the full effort of the parts, which comes on top of the problem's own. So
// the choice never leaves fewer parts than a start that can be used, nor fewer
// than the same search with less effort. Among sets that leave as many it
// takes the one that holds the slab with the least reach.
//
// When ctx ends, the best set so far is returned with Interrupted set; it is the
// error of ctx when there is none yet. When no set holds the slab the error is an
// ErrNoPlaces that says how near the search came.
func Choose(ctx context.Context, p Problem) (*Choice, error) {
	j, err := NewJudge(p)
	if err != nil {
		return nil, err
	}
	s := &search{ctx: ctx, p: &p, j: j, sites: newSites(j), rng: rand.New(rand.NewPCG(p.Seed, 0x686f6c64)), out: &Choice{}, near: math.Inf(1)}
	s.budget = cmp.Or(p.Effort, DefaultEffort)
	s.quick = math.Min(quickEffort, quickShare*p.Parts.Effort())
	return s.run()
}

// search is the state of one call of Choose.
type search struct {
	ctx    context.Context
	p      *Problem
	j      *Judge
	sites  *sites
	rng    *rand.Rand
	out    *Choice
	budget float64 // nominal seconds
	quick  float64 // of one quick nest
	nested float64 // nominal seconds spent on quick nests
	start  float64 // of the present round
	hopes  []entry // sets not yet nested
	pool   []entry // nested, the best first
	finals []Outcome
	seen   map[string]bool
	near   float64 // how near a set came to holding the slab, mm
	nearAt error
}

// entry is a set that holds the slab.
type entry struct {
	places []geom.Point
	spread Spread
	parts  int    // of a quick nest, or expected before that
	discs  []Disc // of the quick nest
	final  bool   // nested with full effort
}

func (s *search) spent() float64 { return s.sites.work + s.nested }

// over reports whether the present round has come to its mark, or the search to
// its end.
func (s *search) over(mark float64) bool {
	return s.ctx.Err() != nil || s.spent() >= math.Min(s.start+mark, s.budget)
}

// best returns the most parts that a full nest left, -1 before there is one.
func (s *search) best() int {
	n := -1
	for _, o := range s.finals {
		n = max(n, o.Parts)
	}
	return n
}

func (s *search) report() {
	if s.p.Progress != nil {
		s.p.Progress(Progress{Parts: s.best(), Free: s.out.Free, Tried: s.out.Tried, Done: math.Min(1, s.spent()/s.budget)})
	}
}

func (s *search) run() (*Choice, error) {
	s.seen = map[string]bool{}
	free, err := s.p.Parts.Nest(s.ctx, nil, 0)
	if err != nil {
		return nil, err
	}
	s.out.Free, s.out.Bound = free.Count, free.Bound
	for _, start := range s.p.Starts {
		o, err := s.judge(start)
		if err != nil {
			return nil, err
		}
		s.out.Starts = append(s.out.Starts, o)
		if o.Err == nil {
			s.finals = append(s.finals, o)
			s.offer(start, o.Parts)
		}
	}
	if len(s.sites.at) == 0 {
		return nil, fmt.Errorf("hold: %w: there is no place on the slab or the plate for even one screw", ErrNoPlaces)
	}
	layouts := s.p.Parts.Patterns()
	if len(free.Discs) > 0 {
		layouts = append([][]Disc{free.Discs}, layouts...)
	}
	if len(layouts) == 0 {
		layouts = [][]Disc{nil} // nothing fits: places that hold are still wanted
	}
	var kills [][]set
	for _, discs := range layouts {
		kills = append(kills, s.sites.kills(discs, s.sites.at))
	}
	for round := 0; round == 0 || s.ctx.Err() == nil && s.spent() < s.budget && s.best() < s.out.Free; round++ {
		s.start = s.spent()
		s.patterns(layouts, kills)
		for _, step := range []func() error{s.nestHopes, s.exchange, s.confirm} {
			if err := step(); err != nil {
				return nil, err
			}
		}
	}
	return s.finish()
}

// judge measures a set and nests parts among it with full effort.
func (s *search) judge(places []geom.Point) (Outcome, error) {
	o := Outcome{Places: slices.Clone(places)}
	o.Spread, o.Err = s.j.Check(places)
	for _, q := range places {
		site, _ := s.j.Site(q) // what is wrong with it is in Err
		o.Sites = append(o.Sites, site)
	}
	if o.Err != nil && o.Spread == (Spread{}) {
		var err error
		if o.Spread, err = s.j.Spread(places); err != nil {
			return o, err
		}
	}
	n, err := s.p.Parts.Nest(s.ctx, places, 0)
	if err != nil {
		return o, err
	}
	o.Parts = n.Count
	s.out.Interrupted = s.out.Interrupted || n.Interrupted
	return o, nil
}

// offer puts a set into the pool when it holds the slab and is new. The exact
// measure of a set that fails teaches the sample points.
func (s *search) offer(places []geom.Point, expected int) bool {
	places = inOrder(places)
	key := fmt.Sprint(places)
	if s.seen[key] {
		return false
	}
	s.seen[key] = true
	spread, err := s.j.Check(places)
	s.sites.work += spreadWork
	if err != nil {
		if lack := math.Max(spread.Reach-s.p.Reach, spread.Overhang-s.p.Overhang); lack > 0 && lack < s.near {
			s.near, s.nearAt = lack, err
		}
		s.sites.learn(spread)
		return false
	}
	s.hopes = append(s.hopes, entry{places: places, spread: spread, parts: expected})
	return true
}

// inOrder returns places from the left, so that sets can be compared.
func inOrder(places []geom.Point) []geom.Point {
	places = slices.Clone(places)
	slices.SortFunc(places, func(a, b geom.Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	return places
}

// spreadWork is the time of one exact measure of a set, in nominal seconds,
// measured and rounded up.
const spreadWork = 1e-3

// patterns finds sets for layouts that stay as they are.
func (s *search) patterns(layouts [][]Disc, kills [][]set) {
	for found := false; !found || !s.over(patternEnd); found = true {
		for i, discs := range layouts {
			if s.over(patternEnd) && i > 0 {
				break
			}
			// A set that the finished measure refuses has taught the samples.
			for range 4 {
				e := &exchange{sites: s.sites, kill: kills[i], rng: s.rng}
				pick := e.start(s.p.Count)
				c := e.run(pick)
				if s.offer(e.places(pick), len(discs)-c.lost) || c.lack > 0 {
					break
				}
			}
		}
		s.report()
		if s.ctx.Err() != nil {
			break
		}
	}
}

// rank sorts sets: most parts first, then least reach.
func rank(list []entry) {
	slices.SortStableFunc(list, func(a, b entry) int {
		return cmp.Or(cmp.Compare(b.parts, a.parts), cmp.Compare(a.spread.Reach, b.spread.Reach))
	})
}

// nest nests an entry quickly.
func (s *search) nest(e *entry) error {
	n, err := s.p.Parts.Nest(s.ctx, e.places, s.quick)
	if err != nil {
		return err
	}
	s.nested += s.quick
	s.out.Tried++
	e.parts, e.discs = n.Count, append([]Disc{}, n.Discs...)
	return nil
}

// try nests a set quickly, and with full effort when it promises to be the best,
// and keeps it to walk from.
func (s *search) try(e entry) error {
	if err := s.nest(&e); err != nil {
		return err
	}
	if e.parts > s.best() {
		if err := s.settle(&e); err != nil {
			return err
		}
	}
	s.pool = append(s.pool, e)
	rank(s.pool)
	s.pool = s.pool[:min(len(s.pool), maxPool)]
	s.report()
	return nil
}

// settle nests a set with full effort.
func (s *search) settle(e *entry) error {
	o, err := s.judge(e.places)
	if err != nil {
		return err
	}
	e.final = true
	s.finals = append(s.finals, o)
	return nil
}

// nestHopes nests the most promising sets.
func (s *search) nestHopes() error {
	rank(s.hopes)
	s.hopes = s.hopes[:min(len(s.hopes), maxHopes)]
	for first := true; len(s.hopes) > 0 && (first && len(s.pool) == 0 || !s.over(hopeEnd)); first = false {
		e := s.hopes[0]
		s.hopes = s.hopes[1:]
		if err := s.try(e); err != nil {
			return err
		}
		if s.best() >= s.out.Free {
			break
		}
	}
	return nil
}

// exchange walks from good sets: one screw is taken out, parts are nested among
// the others, and the screw goes to where it costs the fewest of these.
func (s *search) exchange() error {
	for !s.over(exchangeEnd) && len(s.pool) > 0 && s.best() < s.out.Free {
		// The best three times out of four, else any of the better half.
		from := s.pool[0]
		if s.rng.IntN(4) == 0 {
			from = s.pool[s.rng.IntN((len(s.pool)+1)/2)]
		}
		i := s.rng.IntN(s.p.Count)
		others := without(from.places, i)
		left := entry{places: others, discs: from.discs}
		if s.rng.IntN(2) == 0 {
			if err := s.nest(&left); err != nil {
				return err
			}
		}
		s.nested += stepWork
		next, expected := s.replace(others, from.places[i], left.discs)
		if next == nil || !s.offer(next, expected) {
			continue
		}
		e := s.hopes[len(s.hopes)-1]
		s.hopes = s.hopes[:len(s.hopes)-1]
		if err := s.try(e); err != nil {
			return err
		}
	}
	return nil
}

// stepWork is what a step of the exchange costs at least, in nominal seconds, so
// that steps which find nothing come to an end too.
const stepWork = 0.002

// confirm nests the best set of the round with full effort, which may find more
// than the quick nest did.
func (s *search) confirm() error {
	for i := range s.pool {
		if e := &s.pool[i]; !e.final {
			if s.ctx.Err() != nil && len(s.finals) > 0 || s.best() >= s.out.Free {
				return nil
			}
			return s.settle(e)
		}
	}
	return nil
}

// replace returns the others with one more place, one of the cheapest that hold
// the slab, and the parts that are left; nil when there is none.
func (s *search) replace(others []geom.Point, near geom.Point, discs []Disc) ([]geom.Point, int) {
	base := s.sites.base(others)
	places := append(s.sites.cloud(near, s.rng), s.sites.at...)
	kills := s.sites.kills(discs, places)
	type option struct {
		at   geom.Point
		lost int
	}
	var options []option
	none := make(set, len(kills[0]))
	e := &exchange{sites: s.sites}
	for k, q := range places {
		if !e.overlaps(others, q) {
			options = append(options, option{q, union(none, kills[k])})
		}
	}
	s.rng.Shuffle(len(options), func(a, b int) { options[a], options[b] = options[b], options[a] })
	slices.SortStableFunc(options, func(a, b option) int { return a.lost - b.lost })
	for _, o := range options {
		if s.sites.lack(base, others, o.at, SpreadTol) < SpreadTol {
			return append(slices.Clone(others), o.at), len(discs) - o.lost
		}
	}
	return nil, 0
}

// finish takes the best of all.
func (s *search) finish() (*Choice, error) {
	finals := s.finals
	s.out.Interrupted = s.out.Interrupted || s.ctx.Err() != nil
	if len(finals) == 0 {
		if err := s.ctx.Err(); err != nil {
			return nil, err
		}
		if s.nearAt != nil {
			return nil, fmt.Errorf("hold: %w: the best of %d screws lacks %.3f mm (%v); allow more reach or overhang, or give more screws", ErrNoPlaces, s.p.Count, s.near, s.nearAt)
		}
		return nil, fmt.Errorf("hold: %w: %d heads do not fit side by side", ErrNoPlaces, s.p.Count)
	}
	best := finals[0]
	for _, o := range finals[1:] {
		if o.Parts > best.Parts || o.Parts == best.Parts && o.Spread.Reach < best.Spread.Reach {
			best = o
		}
	}
	if s.ctx.Err() == nil {
		stiffer, err := s.stiffen(best)
		if err != nil {
			return nil, err
		}
		best = stiffer
	}
	s.out.Outcome = best
	s.out.Free = max(s.out.Free, best.Parts) // parts among screws fit without them too
	return s.out, nil
}
