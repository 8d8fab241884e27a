package proof

import (
	"slices"

	"proofcut/paths/geom"
)

// owners returns the features that the active motion may be made for: a cut at
// feed rate below the stock's top, taken by its place halfway. Features overlap,
// and the outside of a profile holds nearly all of the stock; so those that
// demand something at the place come before those that demand nothing, and these
// before those whose demand lies elsewhere. Only the best of these is returned,
// in the order of the set-up. It is empty for a motion that cuts nowhere. The
// list is good until the next call.
func (c *checker) owners(m *motion) []*feature {
	if c.ownersKnown {
		return c.owned
	}
	c.ownersKnown, c.owned = true, c.owned[:0]
	if m == nil || m.rapid || !m.known() || !m.tool.known || !c.below(m) {
		return c.owned
	}
	if all := c.ground.features; len(all) == 1 && c.judged && c.covered == all[0] {
		c.owned = append(c.owned, all[0]) // found in passing, the common case of an engraving
		return c.owned
	}
	best, at := 0, m.at(0.5)
	for _, f := range c.ground.features {
		k := f.claim(at, c.ground.over(f, at), m.tool.tool.Number)
		if k == 0 || k < best {
			continue
		}
		if k > best {
			best, c.owned = k, c.owned[:0]
		}
		c.owned = append(c.owned, f)
	}
	return c.owned
}

// owner returns the one feature that a cut's time counts for, or nil. Where
// several have an equal claim it is the one of the cut before.
func (c *checker) owner(m *motion) *feature {
	list := c.owners(m)
	if len(list) == 0 {
		return nil
	}
	if !slices.Contains(list, c.lastOwner) {
		c.lastOwner = list[0]
	}
	return c.lastOwner
}

// claim tells how much a cut with its tip at a place is the feature's: 3 when
// the feature demands that cut, 2 when it demands nothing anywhere, 1 when it
// only allows it, 0 when it does not.
func (f *feature) claim(p geom.Point3, over float64, tool int) int {
	at := p.XY()
	if !f.takes(tool) || !f.box.Contains(at) {
		return 0
	}
	spot := geom.Line(at, at)
	if !f.holds(piece{seg: spot, lo: over, hi: over}, 0) {
		return 0
	}
	switch {
	case len(f.Must) > 0:
		if f.must == nil {
			f.must = newPlan(f.Must)
		}
		if f.must.box.Contains(at) && f.must.index.Contains(at) == geom.Inside {
			return 3
		}
		return 1
	case f.lines != nil:
		if f.lines.holds(spot, f.tolerance()) {
			return 3
		}
		return 1
	}
	return 2
}
