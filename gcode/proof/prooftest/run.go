package prooftest

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"

	"proofcut/gcode/proof"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Result is the outcome of putting faults into proven programs.
type Result struct {
	Kinds       int    // of fault that were put in at least once
	Mutants     int    // all different
	Harmful     int    // by the judge
	Caught      int    // harmful and not proven
	Refused     int    // not to be run by any control, counted apart
	Unread      int    // no harm up to where controls may do this or that, counted apart
	Benign      int    // the judge finds no harm
	Strict      int    // benign, but not proven: not false, the program is not the one that was proven
	FalseAlarms int    // originals that are not proven
	Misses      []Miss // harmful, refused or unread, and proven; the last without a caution either
}

// Miss is a mutant that was proven and should not have been.
type Miss struct {
	Kind, Case, Text string
	Harms            []Harm
	Fault            error // why the judge did not come to the end
}

// String tells what was changed and what harm it does.
func (m Miss) String() string {
	if len(m.Harms) == 0 {
		return fmt.Sprintf("%s: %s: %v", m.Case, m.Kind, m.Fault)
	}
	return fmt.Sprintf("%s: %s: %v", m.Case, m.Kind, m.Harms)
}

// zoneKinds are faults of the set-up: a zone stands elsewhere than planned, or
// the program was planned with half of the clearance that it needs.
var zoneKinds = []string{"zone moved", "zone higher", "clearance halved"}

// mutant is one program with a fault, or one set-up.
type mutant struct {
	kind  string
	c     Case
	judge *Judge
	known map[string]bool // rules that find something in the original
	setup *setup.Setup
	text  string

	proven bool
	warned bool // a rule finds more than a note that finds nothing in the original
	harms  []Harm
	out    Outcome
	fault  error
	err    error
	done   chan struct{}
}

// Run puts faults into the cases until there are that many different mutants,
// proves each and has it judged, as many at a time as there are processors. The
// same seed gives the same mutants and the same result. each is called after
// every mutant, in order, and may be nil.
func Run(ctx context.Context, mutants int, seed uint64, each func(Result)) (Result, error) {
	var res Result
	cases := Cases()
	var judges []*Judge
	var known []map[string]bool
	for _, c := range cases {
		r, err := prove(ctx, c.Setup, c.Text)
		if err != nil {
			return res, err
		}
		if !r.Proven {
			res.FalseAlarms++
		}
		j, err := NewJudge(c.Setup, c.Text)
		if err != nil {
			return res, fmt.Errorf("case %s: %w", c.Name, err)
		}
		if harms, out, fault := j.Harms(c.Text); len(harms) > 0 || out != Runs {
			return res, fmt.Errorf("case %s: the judge calls the original harmful: %v %w", c.Name, harms, fault)
		}
		judges = append(judges, j)
		rules := map[string]bool{}
		for _, f := range r.Findings {
			rules[f.Rule] = true
		}
		known = append(known, rules)
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	workers := runtime.GOMAXPROCS(0)
	work, order := make(chan *mutant), make(chan *mutant, 4*workers)
	for range workers {
		go func() {
			for m := range work {
				m.try(ctx)
				close(m.done)
			}
		}()
	}
	go func() {
		defer close(work)
		defer close(order)
		breed(ctx, cases, judges, known, mutants, seed, func(m *mutant) {
			order <- m
			work <- m
		})
	}()
	var first error
	met := map[string]bool{}
	for m := range order {
		<-m.done
		if first != nil || m.err != nil {
			if first == nil {
				first = fmt.Errorf("case %s: %s: %w", m.c.Name, m.kind, m.err)
				cancel()
			}
			continue
		}
		met[m.kind] = true
		res.count(m)
		res.Kinds = len(met)
		if each != nil {
			each(res)
		}
	}
	return res, first
}

// breed makes different mutants until there are enough.
func breed(ctx context.Context, cases []Case, judges []*Judge, known []map[string]bool, mutants int, seed uint64, take func(*mutant)) {
	kinds := Kinds()
	seen := map[string]bool{}
	for n, try := 0, 0; n < mutants && try < 50*mutants && ctx.Err() == nil; try++ {
		rng := rand.New(rand.NewPCG(seed, uint64(try)))
		i := try % len(cases)
		k := try / len(cases) % (len(kinds) + len(zoneKinds))
		m := &mutant{c: cases[i], judge: judges[i], known: known[i], setup: cases[i].Setup, text: cases[i].Text, done: make(chan struct{})}
		if k < len(kinds) {
			text, ok := kinds[k].Mutate(rng, m.text)
			if !ok || seen[m.c.Name+text] {
				continue
			}
			seen[m.c.Name+text] = true
			m.text, m.kind = text, kinds[k].Name
		} else {
			m.kind = zoneKinds[k-len(kinds)]
			m.setup = misplaced(m.setup, rng, m.kind)
			m.judge = m.judge.WithZones(m.setup.Zones)
		}
		n++
		take(m)
	}
}

// try proves and judges the mutant.
func (m *mutant) try(ctx context.Context) {
	r, err := prove(ctx, m.setup, m.text)
	if err != nil {
		m.err = err
		return
	}
	m.proven = r.Proven
	for _, f := range r.Findings {
		m.warned = m.warned || f.Severity != proof.Note && !m.known[f.Rule]
	}
	m.harms, m.out, m.fault = m.judge.Harms(m.text)
}

func (res *Result) count(m *mutant) {
	res.Mutants++
	missed := m.proven
	switch {
	case len(m.harms) > 0:
		if res.Harmful++; !m.proven {
			res.Caught++
		}
	case m.out == Refused:
		res.Refused++
	case m.out == Unread:
		res.Unread++
		missed = m.proven && !m.warned
	default:
		if res.Benign++; !m.proven {
			res.Strict++
		}
		missed = false
	}
	if missed {
		res.Misses = append(res.Misses, Miss{m.kind, m.c.Name, m.text, m.harms, m.fault})
	}
}

func prove(ctx context.Context, s *setup.Setup, text string) (*proof.Record, error) {
	return proof.Check(ctx, s, "program.nc", strings.NewReader(text), proof.Options{})
}

// misplaced returns the set-up with one zone moved sideways or made higher.
func misplaced(s *setup.Setup, r *rand.Rand, kind string) *setup.Setup {
	t := *s
	t.Zones = append([]setup.Zone(nil), s.Zones...)
	z := &t.Zones[r.IntN(len(t.Zones))]
	switch kind {
	case zoneKinds[1]:
		z.Top += 12 * r.Float64()
		return &t
	case zoneKinds[2]:
		// Some of the zones stand far from any cut: the more often it is doubled the
		// sooner it matters.
		z.Clearance *= math.Pow(2, float64(1+r.IntN(5)))
		return &t
	}
	move := geom.Translate(geom.Pt(30*(r.Float64()-0.5), 20*(r.Float64()-0.5)))
	area := geom.Region{}
	for _, c := range z.Area {
		area = append(area, geom.Contour(geom.Path(c).Transform(move)))
	}
	z.Area = area
	return &t
}
