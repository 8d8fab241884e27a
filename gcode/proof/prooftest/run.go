package prooftest

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
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
	Benign      int    // the judge finds no harm
	Strict      int    // benign, but not proven: not false, the program is not the one that was proven
	FalseAlarms int    // originals that are not proven
	Misses      []Miss // harmful and proven
}

// Miss is a harmful mutant that was proven.
type Miss struct {
	Kind, Case, Text string
	Harms            []Harm
}

// String tells what was changed and what harm it does.
func (m Miss) String() string { return fmt.Sprintf("%s: %s: %v", m.Case, m.Kind, m.Harms) }

// zoneKinds are faults of the set-up: a zone stands elsewhere than planned, or
// the program was planned with half of the clearance that it needs.
var zoneKinds = []string{"zone moved", "zone higher", "clearance halved"}

// Run puts faults into the cases until there are that many different mutants,
// proves each and has it judged. The same seed gives the same mutants. each is
// called after every mutant and may be nil.
func Run(ctx context.Context, mutants int, seed uint64, each func(Result)) (Result, error) {
	var res Result
	cases := Cases()
	var judges []*Judge
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
		if harms, _ := j.Harms(c.Text); len(harms) > 0 {
			return res, fmt.Errorf("case %s: the judge calls the original harmful: %v", c.Name, harms)
		}
		judges = append(judges, j)
	}
	kinds := Kinds()
	seen, met := map[string]bool{}, map[string]bool{}
	for try := 0; res.Mutants < mutants && try < 50*mutants; try++ {
		rng := rand.New(rand.NewPCG(seed, uint64(try)))
		n := try % len(cases)
		k := try / len(cases) % (len(kinds) + len(zoneKinds))
		c, j := cases[n], judges[n]
		s, text, name := c.Setup, c.Text, ""
		if k < len(kinds) {
			m, ok := kinds[k].Mutate(rng, c.Text)
			if !ok || seen[c.Name+m] {
				continue
			}
			seen[c.Name+m] = true
			text, name = m, kinds[k].Name
		} else {
			name = zoneKinds[k-len(kinds)]
			s = misplaced(c.Setup, rng, name)
			j.SetZones(s.Zones)
		}
		met[name] = true
		r, err := prove(ctx, s, text)
		if err != nil {
			return res, fmt.Errorf("case %s: %s: %w", c.Name, name, err)
		}
		harms, refused := j.Harms(text)
		if s != c.Setup {
			j.SetZones(c.Setup.Zones)
		}
		res.count(r.Proven, harms, refused, Miss{name, c.Name, text, harms})
		res.Kinds = len(met)
		if each != nil {
			each(res)
		}
	}
	return res, nil
}

func (res *Result) count(proven bool, harms []Harm, refused bool, m Miss) {
	res.Mutants++
	switch {
	case len(harms) > 0:
		res.Harmful++
		if proven {
			res.Misses = append(res.Misses, m)
		} else {
			res.Caught++
		}
	case refused:
		res.Refused++
		if proven {
			res.Misses = append(res.Misses, m)
		}
	default:
		res.Benign++
		if !proven {
			res.Strict++
		}
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
