package geom

import (
	"math"
)

// How a span comes to know which segments it has to face, and until when.

const (
	// lookAhead is how much farther than the distance at hand a span of a wide arc
	// is asked what comes near it, and looksMost the number of segments at which
	// that is given up.
	lookAhead = 1.6
	looksMost = 24
	// looksAlong is how many segments along the source either way are looked at first.
	looksAlong = 4
	// lookShort is by how much the distance must have grown before a span in a
	// crowd is asked again what comes near it.
	lookShort = 1.2
	// shrink is the part of the distance looked at below which a new one is aimed at.
	shrink = 0.8
	// rivalsMost is the number of segments beyond which the answer is no help.
	rivalsMost = 7
	// rivalsTaking is the number of rivals that are taken to take something: one at
	// either end.
	rivalsTaking = 2
)

// nobody stands for no segment, no list.
const nobody = -1

// rival is a segment that may come near a span beyond a distance.
type rival struct {
	seg  int32
	from float32
}

// face covers the span with its rivals, those that took most the last time first.
// The others are asked first from when on they come near what is left then: mostly
// later than before, as there is less, or never.
func (t *trimmer) face(s *span) {
	list := &t.rivals[s.rivals]
	stood := false
	for n, r := range list {
		if r.seg == nobody {
			return
		}
		if float64(r.from) >= t.d {
			continue
		}
		if n >= rivalsTaking && len(t.keep) > 0 {
			if !stood {
				t.stand(&t.feet)
				stood = true
			}
			if h, known := t.w.contact(&t.feet, r.seg); known {
				if list[n].from = from32(h.first); float64(list[n].from) >= t.d {
					continue
				}
			}
		}
		if t.against(r.seg) {
			copy(list[1:n+1], list[:n])
			list[0] = r
			stood = false
		}
	}
}

// from32 returns a distance certainly not beyond the one from which on a rival counts.
func from32(h float64) float32 { return float32(h * (1 - 1e-6)) }

// behindTip reports whether nothing of segment j but one of its ends matters to the
// points with their feet at hand, at distances from d to until, and a rival ends
// there too: all of the points lie beyond that end along j, which is nearest then.
func (t *trimmer) behindTip(j int32, list []rival, d, until float64) bool {
	s, u := &t.w.segs[j], t.w.sides[j].u
	if s.Turn != Straight || !t.feet.narrow {
		return false
	}
	prev, next := false, false
	for _, r := range list {
		prev, next = prev || r.seg == t.w.prev[j], next || r.seg == t.w.next[j]
	}
	if prev && t.feet.most(u, d, until) <= u.X*s.A.X+u.Y*s.A.Y {
		return true
	}
	u = u.Mul(-1)
	return next && t.feet.most(u, d, until) <= u.X*s.B.X+u.Y*s.B.Y
}

// look looks ahead for the segments that come near the span at greater distances:
// what does not do so there does not at any less. Those that do first become the
// span's rivals, and up to where another one may come near the span has to face
// no others; that may be where one of them has covered all of it. Where one has
// already, nothing is left of the span. look returns false where there are too
// many even at the distance at hand.
func (t *trimmer) look(s *span) bool {
	d := t.d
	lo, hi := t.keep[0][0], t.keep[len(t.keep)-1][1]
	mid := t.k.at((lo + hi) / 2)
	half := t.k.reach(lo, hi, mid, t.k.at(lo), t.k.at(hi))
	until := t.ahead
	if t.k.kind == withinArc {
		// No farther than the curve goes.
		until = min(until, d+0.9*t.k.r)
	}
	t.stand(&t.feet)
	if !t.feet.narrow {
		// Contacts are not told: all that might come near counts.
		until = min(until, max(lookAhead*d, 2*t.next-d))
	}
	t.d = until // at which corners are smooth that are so before
	var list [rivalsMost]rival
	n, over := 0, int32(nobody)
	// meet takes the distances at which segment j comes near into account.
	gone := false
	meet := func(j int32, h contact) {
		last := h.last * (1 + 1e-6)
		until = max(d, min(until, last))
		if last < d {
			// Nothing is left; so it may be with the next span.
			gone = true
			t.hint[0], t.hints = j, 1
			return
		}
		if t.behindTip(j, list[:min(n, rivalsMost)], d, until) {
			return
		}
		// In their order; the one too many says until when.
		from := h.first
		i := min(n, rivalsMost)
		if n++; i == rivalsMost {
			i--
			if over = list[i].seg; from >= float64(list[i].from) {
				over, until = j, max(d, min(until, from))
				return
			}
			until = max(d, min(until, float64(list[i].from)))
		}
		for ; i > 0 && float64(list[i-1].from) > from; i-- {
			list[i] = list[i-1]
		}
		list[i] = rival{j, from32(from)}
	}
	if t.round++; t.round == 0 { // all rounds are used up
		clear(t.seen)
		t.round = 1
	}
	for _, j := range t.done[:t.fixed] {
		t.seen[j] = t.round
	}
	// First those that are likely to: what the span before had to face, and what
	// follows along the source.
	t.sooner = append(t.sooner[:0], t.hint[:t.hints]...)
	i, j := t.own[2], t.own[3]
	for range looksAlong {
		t.sooner = append(t.sooner, i, j)
		i, j = t.w.prev[i], t.w.next[j]
	}
	for _, j := range t.sooner {
		if gone {
			break
		}
		if t.seen[j] == t.round {
			continue
		}
		t.seen[j] = t.round
		if _, smooth := t.neighbours(j); smooth {
			continue
		}
		if h, known := t.w.contact(&t.feet, j); !known {
			t.seen[j] = 0
		} else if h.first < until {
			meet(j, h)
		}
	}
	aim := func() {
		t.d = until
		t.w.curve(&t.k, s.item, until)
		t.aim()
	}
	aim()
	visit := func(j int32) bool {
		if t.seen[j] == t.round {
			return true
		}
		if t.beyond(j) {
			return true
		}
		h, known := t.w.contact(&t.feet, j)
		if known && h.first >= until {
			return true
		}
		if !known {
			p := t.w.hull(j)
			if t.misses(&p) || t.k.clears(&p, t.d) {
				return true
			}
			// When the distance grows by e every point of the span moves by e. A
			// segment off by g more than the distance is off by g-2e at least then.
			h = contact{(t.w.off(j, mid) - half + d) / 2, math.Inf(1)}
			if h.first >= until || t.passes(j, &p) || !t.reaches(j) {
				return true
			}
		}
		if _, smooth := t.neighbours(j); smooth {
			return true
		}
		if meet(j, h); !t.feet.narrow && n > looksMost {
			until = d
		} else if until < shrink*t.d {
			aim()
		}
		return until > d
	}
	if !gone {
		t.tree.visit(&t.target, visit)
	}
	t.d = d
	t.w.curve(&t.k, s.item, d)
	if gone {
		t.keep = t.keep[:0]
		return true
	}
	calm := math.Nextafter32(float32(until), 0)
	if !(float64(calm) >= d) {
		if s.crowded {
			s.calm = float32(-lookShort * d)
		}
		s.crowded = true
		return false
	}
	s.calm = calm
	for i := n; i < rivalsMost; i++ {
		list[i].seg = nobody
	}
	t.hints = 0
	for _, r := range list[:min(n, rivalsMost)] {
		t.hint[t.hints] = r.seg
		t.hints++
	}
	if over != nobody {
		t.hint[t.hints] = over
		t.hints++
	}
	if n == 0 {
		s.rivals = nobody
		return true
	}
	if s.rivals == nobody {
		s.rivals = int32(len(t.rivals))
		t.rivals = append(t.rivals, list)
	} else {
		t.rivals[s.rivals] = list
	}
	return true
}
