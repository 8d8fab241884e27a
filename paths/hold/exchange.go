package hold

import (
	"math"
	"math/rand/v2"
	"slices"

	"proofcut/paths/geom"
)

// exchange improves a set of sites one screw at a time: each moves to where the
// set costs the fewest discs of a fixed layout and holds the slab, until none
// moves (coordinate exchange: R. K. Meyer, C. J. Nachtsheim, The
// coordinate-exchange algorithm for constructing exact optimal experimental
// designs, 1995).
type exchange struct {
	*sites
	kill []set // of every site
	rng  *rand.Rand
}

// exchangeSweeps ends an exchange that goes on and on; a few are the rule.
const exchangeSweeps = 8

// costs of a set as the exchange sees it: discs lost, then millimetres by which
// the slab is not held.
type cost struct {
	lost int
	lack float64
}

// price turns a cost into one number; weight is what a millimetre costs in discs.
func (c cost) price(weight float64) float64 { return float64(c.lost) + weight*c.lack }

// The weights of the two rounds: in the first a set may pass through places that
// do not hold the slab, in the second holding comes before everything.
const (
	softWeight = 0.3
	hardWeight = 1e3
)

// run improves the sites in place, numbers of the sites' list, and returns what
// they cost.
func (e *exchange) run(pick []int) cost {
	var c cost
	for _, weight := range []float64{softWeight, hardWeight} {
		c = cost{lost: math.MaxInt32}
		for range exchangeSweeps {
			before := c.price(weight)
			for _, i := range e.rng.Perm(len(pick)) {
				c = e.best(pick, i, weight)
			}
			if c.price(weight) >= before {
				break
			}
		}
	}
	return c
}

// best moves screw i to its best site with the others fixed. Among equals the
// order of the sites, turned at random, decides, so that plateaus are walked.
func (e *exchange) best(pick []int, i int, weight float64) cost {
	var others []geom.Point
	for k, s := range pick {
		if k != i {
			others = append(others, e.at[s])
		}
	}
	taken := make(set, len(e.kill[0]))
	for k, s := range pick {
		if k != i {
			for w := range taken {
				taken[w] |= e.kill[s][w]
			}
		}
	}
	base := e.base(others)
	least, at := math.Inf(1), pick[i]
	found := cost{lost: math.MaxInt32} // heads overlap wherever it goes
	first := e.rng.IntN(len(e.at))
	for n := range e.at {
		s := (first + n) % len(e.at)
		c := cost{lost: union(taken, e.kill[s])}
		if float64(c.lost) >= least || e.overlaps(others, e.at[s]) {
			continue
		}
		c.lack = e.lack(base, others, e.at[s], (least-float64(c.lost))/weight)
		if v := c.price(weight); v < least {
			least, at, found = v, s, c
		}
	}
	e.work += float64(len(e.at)*len(taken)) * distanceWork / 4
	pick[i] = at
	return found
}

func (e *exchange) overlaps(others []geom.Point, q geom.Point) bool {
	return slices.ContainsFunc(others, func(o geom.Point) bool { return o.Dist(q) < e.j.p.Head })
}

// start returns random sites, at least a head apart where a few tries find such.
func (e *exchange) start(n int) []int {
	pick := make([]int, 0, n)
	var places []geom.Point
	for range n {
		s := e.rng.IntN(len(e.at))
		for range 50 {
			if !e.overlaps(places, e.at[s]) {
				break
			}
			s = e.rng.IntN(len(e.at))
		}
		pick = append(pick, s)
		places = append(places, e.at[s])
	}
	return pick
}

func (e *exchange) places(pick []int) []geom.Point {
	out := make([]geom.Point, len(pick))
	for i, s := range pick {
		out[i] = e.at[s]
	}
	return out
}
