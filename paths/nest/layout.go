package nest

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"proofcut/paths/geom"
)

// Layout is where the discs go and how good that is.
type Layout struct {
	Centres  []geom.Point // in rows from the bottom up, each row from the left
	Diameter float64      // mm, as cut

	StockArea float64 // mm2, holes left out
	Share     float64 // of StockArea that the discs cover

	Bound     int    // no layout can hold more discs than this
	BoundName string // the theorem that says so

	Hexagonal int // most discs on any hexagonal lattice at the same spacing
	Square    int // most discs on any square lattice at the same spacing
	// LatticesProven is true when the search over all angles and shifts was
	// finished and the two counts are maxima; otherwise they are the best found.
	LatticesProven bool

	// Slack is by how much the tightest distance exceeds what was asked for,
	// mm. It may be negative by at most Rounding.
	Slack float64

	// Interrupted is true when the context ended before the effort was used.
	Interrupted bool
	// Reason says why nothing was placed, otherwise it is empty.
	Reason string
}

// Check measures every distance of the layout with package geom and reports
// the first that falls short of what the problem demands by more than
// Rounding: disc to disc, disc to the stock's edge, disc to keep-out, and a
// centre that is not on the stock at all. It shares nothing with the search.
func (p Problem) Check(l Layout) error {
	if err := p.Validate(); err != nil {
		return err
	}
	if l.Diameter != p.Diameter {
		return fmt.Errorf("nest: layout of discs of %g mm, %g mm asked for", l.Diameter, p.Diameter)
	}
	_, err := p.slack(l.Centres)
	return err
}

// slack measures the least excess over all demanded distances; infinite for
// no disc. The error names the first distance that falls short.
func (p Problem) slack(centres []geom.Point) (float64, error) {
	return slackOf(p.Stock, p.Keepouts, p.Gap, p.Edge, centres, func(int) float64 { return p.radius() })
}

// slackOf measures discs of any radii.
func slackOf(stock geom.Region, keepouts []Keepout, gap, edge float64, centres []geom.Point, radius func(int) float64) (float64, error) {
	least := math.Inf(1)
	short := func(have, want float64, format string, a ...any) error {
		least = math.Min(least, have-want)
		if !(have-want >= -Rounding) {
			return fmt.Errorf("nest: %s: %.9g mm, at least %.9g mm wanted", fmt.Sprintf(format, a...), have, want)
		}
		return nil
	}
	widest := 0.0
	for i, c := range centres {
		r := radius(i)
		widest = math.Max(widest, r)
		if !c.Finite() {
			return least, fmt.Errorf("nest: disc %d: centre: %w", i, errNotFinite)
		}
		if stock.Contains(c) != geom.Inside {
			return least, fmt.Errorf("nest: disc %d: centre is not on the stock", i)
		}
		if err := short(stock.BoundaryDistance(c)-r, edge, "disc %d to the edge of the stock", i); err != nil {
			return least, err
		}
		for k, keep := range keepouts {
			if len(keep.Area) == 0 {
				continue
			}
			if err := short(keep.Area.Distance(c)-r, keep.Margin, "disc %d to keep-out %d", i, k); err != nil {
				return least, err
			}
		}
	}
	// Pairs along a sweep in X, so that thousands of discs stay quick.
	order := make([]int, len(centres))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(centres[a].X, centres[b].X) })
	for k, i := range order {
		for _, j := range order[k+1:] {
			if centres[j].X-centres[i].X > 2*(2*widest+gap) {
				break
			}
			have := centres[i].Dist(centres[j]) - radius(i) - radius(j)
			if err := short(have, gap, "disc %d to disc %d", min(i, j), max(i, j)); err != nil {
				return least, err
			}
		}
	}
	return least, nil
}

// inRows sorts centres into rows from the bottom up, each from the left. A row
// takes every disc less than half a spacing above its lowest.
func inRows(centres []geom.Point, spacing float64) {
	sorted := make([]geom.Point, len(centres))
	for k, i := range rowOrder(centres, spacing) {
		sorted[k] = centres[i]
	}
	copy(centres, sorted)
}

// rowOrder returns the indices of centres in the order of inRows.
func rowOrder(centres []geom.Point, spacing float64) []int {
	order := make([]int, len(centres))
	for i := range order {
		order[i] = i
	}
	at := func(i int) geom.Point { return centres[i] }
	slices.SortStableFunc(order, func(a, b int) int { return compare(at(a).Y, at(b).Y, at(a).X, at(b).X) })
	for i := 0; i < len(order); {
		j := i + 1
		for j < len(order) && at(order[j]).Y < at(order[i]).Y+spacing/2 {
			j++
		}
		slices.SortStableFunc(order[i:j], func(a, b int) int { return compare(at(a).X, at(b).X, at(a).Y, at(b).Y) })
		i = j
	}
	return order
}

func compare(a, b, c, d float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	case c < d:
		return -1
	case c > d:
		return 1
	}
	return 0
}
