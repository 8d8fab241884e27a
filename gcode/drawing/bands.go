package drawing

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"proofcut/paths/geom"
)

// bandCount is how many depths a drawing tells apart: as many line patterns as
// the eye can.
const bandCount = 4

// band is a range of depths below the stock's top that is drawn in one style.
type band struct {
	lo, hi float64 // mm below the top
	style  int     // 0 the lightest, bandCount-1 the heaviest
}

// label names a band's depths in the legend.
func (b band) label() string {
	if b.hi-b.lo < resolution*1.5 {
		return fmt.Sprintf("%s deep", num(b.hi))
	}
	return fmt.Sprintf("%s to %s deep", num(b.lo), num(b.hi))
}

// depth returns how deep a move is, rounded to what a drawing says.
func depth(top float64, m move) float64 {
	return math.Round((top-m.z)/resolution) * resolution
}

// bands parts the depths below the top. What is cut level is what a person
// looks for, so each level depth has a style while the styles suffice; beyond
// that, depths near each other share one. Moves that slope go with the next
// level below them. The deepest is the heaviest.
func bands(top float64, list []move) []band {
	levels := map[int]bool{} // in units of resolution
	deepest := 0
	for _, m := range list {
		if d := int(math.Round(depth(top, m) / resolution)); d > 0 && m.a.Dist(m.b)+m.sweep >= resolution {
			deepest = max(deepest, d)
			if m.level {
				levels[d] = true
			}
		}
	}
	if deepest == 0 {
		return nil
	}
	levels[deepest] = true
	depths := slices.Sorted(maps.Keys(levels))
	if len(depths) == 1 && !slices.ContainsFunc(list, func(m move) bool { return m.level && depth(top, m) > 0 }) {
		depths = nil // nothing is level: equal ranges
		for i := range bandCount {
			depths = append(depths, max(1, deepest*(i+1)/bandCount))
		}
		depths = slices.Compact(depths)
	}
	// Part at the widest gaps.
	cuts := make([]int, len(depths)-1)
	for i := range cuts {
		cuts[i] = i
	}
	slices.SortStableFunc(cuts, func(i, j int) int { return (depths[j+1] - depths[j]) - (depths[i+1] - depths[i]) })
	cuts = append(cuts[:min(len(cuts), bandCount-1)], len(depths)-1)
	slices.Sort(cuts)
	var out []band
	first := 0
	for i, last := range cuts {
		out = append(out, band{
			lo:    float64(depths[first]) * resolution,
			hi:    float64(depths[last]) * resolution,
			style: bandCount - len(cuts) + i,
		})
		first = last + 1
	}
	return out
}

// run is a chain of moves of one tool in one band, as a path.
type run struct {
	band, tool int // band -1: above the stock
	data       *pathData
	deepest    float64
}

// runs groups the moves by tool and band, the deepest bands last so that they
// are drawn on top, and returns the holes: where the tool only moves down.
func runs(top float64, list []move, bs []band) (out []run, holes []move) {
	index := map[[2]int]int{}
	ends := map[[2]int64]bool{} // of moves in the plane, and holes so far
	cell := func(q geom.Point) [2]int64 {
		return [2]int64{int64(math.Round(q.X / resolution)), int64(math.Round(q.Y / resolution))}
	}
	for _, m := range list {
		if !m.upright() {
			ends[cell(m.a)], ends[cell(m.b)] = true, true
		}
	}
	for _, m := range list {
		d := depth(top, m)
		if m.upright() {
			if k := cell(m.a); d > 0 && !ends[k] {
				ends[k] = true
				holes = append(holes, m)
			}
			continue
		}
		b := -1
		for i := len(bs) - 1; i >= 0 && d > 0; i-- {
			if d <= bs[i].hi+resolution/2 {
				b = i
			}
		}
		k := [2]int{b, m.tool}
		i, ok := index[k]
		if !ok {
			i = len(out)
			index[k] = i
			out = append(out, run{band: b, tool: m.tool, data: &pathData{}})
		}
		out[i].data.add(m)
		out[i].deepest = math.Max(out[i].deepest, d)
	}
	slices.SortStableFunc(out, func(a, b run) int {
		if a.band != b.band {
			return a.band - b.band
		}
		return a.tool - b.tool
	})
	return out, holes
}
