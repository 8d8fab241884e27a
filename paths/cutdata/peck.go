package cutdata

import (
	"fmt"
	"math"
)

// Rules of pecking as multiples of the drill's diameter (common practice, no
// source; that 2 to 3 diameters go in one bite: TRN2).
const (
	firstBite      = 2.0
	firstBiteSmall = 1.0 // under smallDrill
	laterBite      = 1.0
	gummyBite      = 0.5 // every bite, in gummy materials
	leastBite      = 0.3
	smallDrill     = 1.0 // mm; below it the drill comes right out after each bite
)

// maxPecks bounds the list of bites: a hole of a thousand bites is a mistake.
const maxPecks = 1000

// Pecks is how to drill a hole in bites.
type Pecks struct {
	Depths      []float64 // mm from the surface to the end of each bite, rising
	FullRetract bool      // come right out after each bite, not only break the chip
	Speed, Feed float64   // factors on cutting speed and feed for a deep hole
}

// PeckPlan returns the bites for a hole of that depth with a drill of diameter d
// (both mm). No bite is deeper than the rule; later bites are equal. The error
// says which argument is not positive.
func PeckPlan(m Material, d, depth float64) (Pecks, error) {
	if !finitePositive(d) {
		return Pecks{}, fmt.Errorf("the drill's diameter is %g mm; it has to be more than 0", d)
	}
	if !finitePositive(depth) {
		return Pecks{}, fmt.Errorf("the hole's depth is %g mm; it has to be more than 0", depth)
	}
	first, later := firstBite*d, laterBite*d
	if d < smallDrill {
		first = firstBiteSmall * d
	}
	if m.Gummy {
		first, later = gummyBite*d, gummyBite*d
	}
	var p Pecks
	p.Speed, p.Feed = DeepHole(depth / d)
	p.FullRetract = d < smallDrill || m.Gummy
	if depth <= first {
		p.Depths = []float64{depth}
		return p, nil
	}
	rest := depth - first
	if rest < leastBite*d { // a last sliver only rubs: shorten the first bite for it
		rest = leastBite * d
		first = depth - rest
	}
	n := math.Ceil(rest / later)
	if n > maxPecks {
		return Pecks{}, fmt.Errorf("a hole %g mm deep needs %.0f bites with a drill of %g mm: more than %d", depth, n, d, maxPecks)
	}
	p.Depths = append(p.Depths, first)
	for i := 1.0; i < n; i++ {
		p.Depths = append(p.Depths, first+rest*i/n)
	}
	p.Depths = append(p.Depths, depth)
	return p, nil
}

// DeepHole returns by what cutting speed and feed shrink for a hole so many
// diameters deep: from 3 diameters 0.9 and 0.9, beyond 3 the step of the next
// whole diameter, 0.8 and 0.9 to 4, 0.7 and 0.8 to 5, 0.6 and 0.8 beyond (from
// memory; that a hole is deep from 3 diameters: TRN3). NaN for a ratio that is
// not positive.
func DeepHole(ratio float64) (speed, feed float64) {
	switch {
	case !finitePositive(ratio):
		return math.NaN(), math.NaN()
	case ratio < 3:
		return 1, 1
	case ratio <= 3:
		return 0.9, 0.9
	case ratio <= 4:
		return 0.8, 0.9
	case ratio <= 5:
		return 0.7, 0.8
	}
	return 0.6, 0.8
}

func finitePositive(v float64) bool { return v > 0 && !math.IsInf(v, 0) }
