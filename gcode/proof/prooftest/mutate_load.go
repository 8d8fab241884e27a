package prooftest

import (
	"math/rand/v2"
	"strings"
)

// loadKinds are faults that work a tool too hard.
func loadKinds() []Kind {
	return []Kind{
		{"step-down doubled by a dropped pass", dropPass(1, func(a, b float64) bool { return b < a })},
		{"step-down tripled by two dropped passes", dropPass(2, func(a, b float64) bool { return b < a })},
		{"step-over doubled by a dropped pass", dropPass(1, func(a, b float64) bool { return b == a })},
		{"ring dropped", func(r *rand.Rand, p *prog) bool {
			i := p.body(r)
			n := 3 + r.IntN(3)
			p.lines = append(p.lines[:i], p.lines[min(i+n, len(p.lines)):]...)
			return true
		}},
		change("feed x 3", "F", nil, scale(3)),
		change("feed x 5", "F", nil, scale(5)),
		{"all feeds x 3", func(_ *rand.Rand, p *prog) bool {
			list := p.words("F")
			for i := len(list) - 1; i >= 0; i-- {
				p.set(list[i], "F"+scale(3)(nil, list[i]))
			}
			return len(list) > 0
		}},
		change("speed / 3", "S", nil, scale(1.0/3)),
	}
}

// dropPass leaves out n passes in a row, each a cut between two retracts, before
// one whose depth is to the last pass before them as asked.
func dropPass(n int, ok func(before, after float64) bool) func(*rand.Rand, *prog) bool {
	return func(r *rand.Rand, p *prog) bool {
		type pass struct {
			from, to int // its lines
			z        float64
		}
		var all []pass
		start, z := -1, 0.0
		for i, l := range p.lines {
			up := false
			for _, w := range (&prog{lines: []string{l}}).words("Z") {
				if v := w.value(); v > 0 && strings.HasPrefix(strings.TrimSpace(l), "G0") {
					up = true
				} else if v < z {
					z = v
				}
			}
			if !up {
				continue
			}
			if start >= 0 && z < 0 {
				all = append(all, pass{start, i + 1, z})
			}
			start, z = i+1, 0
		}
		var at []int
		for i := 1; i+n < len(all); i++ {
			if ok(all[i-1].z, all[i].z) && ok(all[i].z, all[i+n].z) {
				at = append(at, i)
			}
		}
		i, found := pick(r, at)
		if !found {
			return false
		}
		p.lines = append(p.lines[:all[i].from], p.lines[all[i+n-1].to:]...)
		return true
	}
}
