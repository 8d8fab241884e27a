package slab

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"proofcut/paths/geom"
)

const (
	// gain is the least shortening in mm, as a share of the tour, for which an
	// exchange is made: above the rounding of a sum of lengths, so that the
	// search ends.
	gain = 1e-12

	// maxMoved is how many neighbouring points one exchange moves elsewhere.
	maxMoved = 3

	// kicks is how often the best tour is shaken to look for a better one. From
	// the convex hull the shortest tour is nearly always found at once.
	kicks = 40

	// sharpest is the least angle between the joins of a point inside the convex
	// hull, and sideTurn how far its sides may bend at the points next to it for
	// it to be the bottom of a notch. Both were found by trial, on slabs with
	// notches of all widths and depths, as what lets none out in a wrong order.
	sharpest = 75 * math.Pi / 180
	sideTurn = 35 * math.Pi / 180

	// kickWork bounds the points shaken in all, which keeps long lists quick.
	kickWork = 8000
)

// tour searches the shortest closed tour through points.
type tour struct {
	pts  []geom.Point // sorted
	rank []int        // place in the list of the caller, for each of pts
	far  []float64    // distances, a row for each of pts
	best []int        // indices into pts
	near float64      // least change worth an exchange
}

// newTour prepares the search.
func newTour(points []geom.Point) *tour {
	n := len(points)
	t := &tour{rank: make([]int, n), far: make([]float64, n*n)}
	for i := range t.rank {
		t.rank[i] = i
	}
	slices.SortFunc(t.rank, func(i, j int) int {
		return cmp.Or(cmp.Compare(points[i].X, points[j].X), cmp.Compare(points[i].Y, points[j].Y))
	})
	for i, k := range t.rank {
		t.pts = append(t.pts, points[k])
		for j, m := range t.rank {
			t.far[i*n+j] = points[k].Dist(points[m])
		}
	}
	return t
}

// clearOrder returns the order of the points along the shortest tour, starting at
// the leftmost point, or an error where it is not clear.
func clearOrder(points []geom.Point, margin float64) ([]int, error) {
	t := newTour(points)
	others := t.search()
	if err := t.checkClear(margin); err != nil {
		return nil, err
	}
	if err := t.checkOthers(others, margin); err != nil {
		return nil, err
	}
	if err := t.checkSharp(); err != nil {
		return nil, err
	}
	start := slices.Index(t.best, 0)
	order := make([]int, len(points))
	for k := range order {
		order[k] = t.rank[t.best[(start+k)%len(order)]]
	}
	return order, nil
}

func (t *tour) dist(i, j int) float64 { return t.far[i*len(t.pts)+j] }

func (t *tour) length(order []int) float64 {
	sum := 0.0
	for k, i := range order {
		sum += t.dist(i, order[(k+1)%len(order)])
	}
	return sum
}

// search sets the best tour and returns the others at which exchanges ended.
func (t *tour) search() (others [][]int) {
	hull := t.fromHull()
	t.near = gain * t.length(hull)
	t.improve(hull)
	t.best = hull
	ends := [][]int{hull}
	keep := func(order []int) {
		t.improve(order)
		if t.length(order) < t.length(t.best)-t.near {
			t.best = order
		}
		ends = append(ends, order)
	}
	keep(t.fromNearest())
	keep(t.fromAngles())
	// A shake exchanges two stretches of the tour, which no single exchange undoes
	// (the double bridge). The seed is fixed: same points, same outline.
	rng := rand.New(rand.NewPCG(1, 1))
	n := len(t.pts)
	for k := 0; k < min(kicks, kickWork/n) && n >= 5; k++ {
		cut := []int{1 + rng.IntN(n-1), 1 + rng.IntN(n-1), 1 + rng.IntN(n-1)}
		slices.Sort(cut)
		b := t.best
		keep(slices.Concat(b[:cut[0]], b[cut[1]:cut[2]], b[cut[0]:cut[1]], b[cut[2]:]))
	}
	for _, e := range ends {
		if t.length(e) > t.length(t.best)+t.near {
			others = append(others, e)
		}
	}
	return others
}

// hull returns the corners of the convex hull, counter-clockwise, by the monotone
// chain (A. M. Andrew, 1979).
func (t *tour) hull() []int {
	n := len(t.pts)
	var hull []int
	for pass := range 2 {
		base := len(hull)
		for k := range n {
			i := k
			if pass == 1 {
				i = n - 1 - k
			}
			for len(hull) >= base+2 && geom.Orient(t.pts[hull[len(hull)-2]], t.pts[hull[len(hull)-1]], t.pts[i]) != geom.CCW {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, i)
		}
		hull = hull[:len(hull)-1]
	}
	return hull
}

// fromHull starts with the convex hull, which the shortest tour visits in that
// order, and takes in the rest, each time the point that is cheapest to reach.
func (t *tour) fromHull() []int {
	n := len(t.pts)
	hull := t.hull()
	in := make([]bool, n)
	for _, i := range hull {
		in[i] = true
	}
	for len(hull) < n {
		best, at, who := math.Inf(1), 0, 0
		for i := range n {
			if in[i] {
				continue
			}
			// The place where i costs least, and of all points the one whose
			// detour is least in proportion.
			cost, place := math.Inf(1), 0
			for k, a := range hull {
				b := hull[(k+1)%len(hull)]
				if c := t.dist(a, i) + t.dist(i, b) - t.dist(a, b); c < cost {
					cost, place = c, k
				}
			}
			a, b := hull[place], hull[(place+1)%len(hull)]
			if ratio := (t.dist(a, i) + t.dist(i, b)) / t.dist(a, b); ratio < best {
				best, at, who = ratio, place, i
			}
		}
		hull = slices.Insert(hull, at+1, who)
		in[who] = true
	}
	return hull
}

// fromNearest goes from the leftmost point always to the nearest one left.
func (t *tour) fromNearest() []int {
	left := make([]int, len(t.pts))
	for i := range left {
		left[i] = i
	}
	order := []int{0}
	left = left[1:]
	for len(left) > 0 {
		last := order[len(order)-1]
		best := 0
		for k, i := range left {
			if t.dist(last, i) < t.dist(last, left[best]) {
				best = k
			}
		}
		order = append(order, left[best])
		left = slices.Delete(left, best, best+1)
	}
	return order
}

// fromAngles goes round the middle of the points.
func (t *tour) fromAngles() []int {
	var mid geom.Point
	for _, p := range t.pts {
		mid = mid.Add(p.Mul(1 / float64(len(t.pts))))
	}
	order := make([]int, len(t.pts))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Compare(t.pts[i].Sub(mid).Angle(), t.pts[j].Sub(mid).Angle())
	})
	return order
}

// exchange is a change of a tour: the stretch from place i to place j is turned
// round (to < 0), or moved between the places to and to+1, turned round or not.
type exchange struct {
	i, j, to int
	turned   bool
	delta    float64 // how much longer the tour becomes
	most     float64 // how much longer such a change can make it
}

// verdict is what a visitor of exchanges did.
type verdict uint8

const (
	passed  verdict = iota
	applied         // the exchange has been made
	ended           // no more of them
)

// exchanges calls visit with every exchange of the tour.
func (t *tour) exchanges(order []int, visit func(exchange) verdict) {
	n := len(order)
	at := func(k int) int { return order[(k+n)%n] }
	for i := range n {
		for j := i + 1; j < n; j++ {
			if i == 0 && j >= n-2 || j-i == n-2 {
				continue // the same tour travelled backward
			}
			a, b, c, d := at(i-1), at(i), at(j), at(j+1)
			delta := t.dist(a, c) + t.dist(b, d) - t.dist(a, b) - t.dist(c, d)
			// By the triangle inequality over b and c, and over a and d.
			if visit(exchange{i, j, -1, false, delta, 2 * math.Min(t.dist(b, c), t.dist(a, d))}) == ended {
				return
			}
		}
	}
	for moved := 1; moved <= maxMoved && moved <= n-3; moved++ {
		for i := range n {
			j := i + moved - 1
			a, b, c, d := at(i-1), at(i), at(j), at(j+1)
			own := t.dist(b, c)
			// Every most is the detour for one of the three stretches where it goes,
			// or follows from turning two of them round and one back.
			saved := t.dist(a, b) + t.dist(c, d) - t.dist(a, d)
			for k := j + 1; k < i-1+n; k++ {
				e, f := at(k), at(k+1)
				there := t.dist(e, f)
				cost := t.dist(e, c) + t.dist(b, f) - there
				most := min(cost+own,
					2*min(t.dist(b, e), t.dist(a, f))+2*t.dist(d, e),
					2*min(t.dist(c, f), t.dist(d, e))+2*t.dist(f, a))
				v := visit(exchange{i, j, k, true, cost - saved, most})
				if v == passed && moved > 1 {
					cost = t.dist(e, b) + t.dist(c, f) - there
					most = min(cost+own,
						t.dist(a, d)+t.dist(e, b)-t.dist(a, b)+t.dist(d, e),
						t.dist(c, f)+t.dist(a, d)-t.dist(c, d)+t.dist(f, a))
					v = visit(exchange{i, j, k, false, cost - saved, most})
				}
				if v == ended {
					return
				}
				if v == applied {
					break // another stretch lies at i now
				}
			}
		}
	}
}

// apply makes the exchange.
func (x exchange) apply(order []int) {
	n := len(order)
	if x.to < 0 {
		slices.Reverse(order[x.i : x.j+1])
		return
	}
	// From the stretch on, round to where it goes.
	out := make([]int, 0, n)
	for k := x.j + 1; k <= x.to; k++ {
		out = append(out, order[k%n])
	}
	stretch := len(out)
	for k := x.i; k <= x.j; k++ {
		out = append(out, order[k%n])
	}
	if x.turned {
		slices.Reverse(out[stretch:])
	}
	for k := x.to + 1; k < x.i+n; k++ {
		out = append(out, order[k%n])
	}
	copy(order, out)
}

// improve makes exchanges that shorten the tour until there is none.
func (t *tour) improve(order []int) {
	for changed := true; changed; {
		changed = false
		t.exchanges(order, func(x exchange) verdict {
			if x.delta >= -t.near {
				return passed
			}
			x.apply(order)
			changed = true
			return applied
		})
	}
}

// checkClear looks for an exchange that makes an outline nearly as short: first
// those that move points elsewhere, which say best what is not clear.
func (t *tour) checkClear(margin float64) error {
	for _, moves := range []bool{true, false} {
		var found exchange
		unclear := false
		t.exchanges(t.best, func(x exchange) verdict {
			if x.to >= 0 != moves || x.delta >= margin*x.most {
				return passed
			}
			other := slices.Clone(t.best)
			x.apply(other)
			if t.crosses(other) {
				return passed
			}
			found, unclear = x, true
			return ended
		})
		if unclear {
			return t.unclear(found)
		}
	}
	return nil
}

// unclear says which points may lie elsewhere.
func (t *tour) unclear(x exchange) error {
	n := len(t.best)
	name := func(k int) int { return t.rank[t.best[(k+n)%n]] }
	longer := math.Max(0, x.delta)
	if x.to < 0 {
		ends := []int{name(x.i), name(x.j)}
		if x.j-x.i+1 > n/2 { // the rest of the outline is the shorter stretch
			ends = []int{name(x.j + 1), name(x.i - 1)}
		}
		return &PointError{ends, fmt.Sprintf("the way round between them is not clear: the other way is only %.3f mm longer; %s", longer, advice)}
	}
	var stretch []int
	for k := x.i; k <= x.j; k++ {
		stretch = append(stretch, name(k))
	}
	return &PointError{stretch, fmt.Sprintf("the place on the edge is not clear: between points %d and %d or, only %.3f mm longer, between %d and %d; %s",
		name(x.i-1)+1, name(x.j+1)+1, longer, name(x.to)+1, name(x.to+1)+1, advice)}
}

// checkSharp refuses a spike of a single point that the convex hull does not force:
// joined to the wrong side of the piece, the bottom of a notch becomes one. The
// bottom of a notch whose sides run on straight for a point or more stays.
func (t *tour) checkSharp() error {
	onHull := make([]bool, len(t.pts))
	for _, i := range t.hull() {
		onHull[i] = true
	}
	n := len(t.best)
	turn := func(k int) float64 {
		a, b, c := t.pts[t.best[(k-1+n)%n]], t.pts[t.best[(k+n)%n]], t.pts[t.best[(k+1)%n]]
		u, v := b.Sub(a), c.Sub(b)
		return math.Abs(math.Atan2(u.Cross(v), u.Dot(v)))
	}
	for k, i := range t.best {
		if onHull[i] || turn(k) <= math.Pi-sharpest || turn(k-1) <= sideTurn && turn(k+1) <= sideTurn {
			continue
		}
		return &PointError{[]int{t.rank[i]}, fmt.Sprintf("the place on the edge is not clear: between points %d and %d it makes a spike of %.0f degrees; %s",
			t.rank[t.best[(k-1+n)%n]]+1, t.rank[t.best[(k+1)%n]]+1, 180-turn(k)*180/math.Pi, advice)}
	}
	return nil
}

const advice = "measure more points there, or list all points in order"

// crosses reports whether the tour, closed by lines, crosses or touches itself.
func (t *tour) crosses(order []int) bool {
	n := len(order)
	for i := range n {
		a, b := t.pts[order[i]], t.pts[order[(i+1)%n]]
		c := t.pts[order[(i+2)%n]]
		if geom.Orient(a, b, c) == geom.Straight && b.Sub(a).Dot(c.Sub(b)) < 0 {
			return true
		}
		for j := i + 2; j < n; j++ {
			if i == 0 && j == n-1 {
				continue
			}
			if meet(a, b, t.pts[order[j]], t.pts[order[(j+1)%n]]) {
				return true
			}
		}
	}
	return false
}

// meet reports whether the lines ab and cd share a point.
func meet(a, b, c, d geom.Point) bool {
	if !(geom.Box{Min: a, Max: a}).AddPoint(b).Overlaps((geom.Box{Min: c, Max: c}).AddPoint(d)) {
		return false
	}
	return geom.Orient(a, b, c)*geom.Orient(a, b, d) <= 0 && geom.Orient(c, d, a)*geom.Orient(c, d, b) <= 0
}

// checkOthers looks for a tour of another search that is nearly as short.
func (t *tour) checkOthers(others [][]int, margin float64) error {
	edges := func(order []int) map[[2]int]bool {
		m := make(map[[2]int]bool, len(order))
		for k, i := range order {
			j := order[(k+1)%len(order)]
			m[[2]int{min(i, j), max(i, j)}] = true
		}
		return m
	}
	have := edges(t.best)
	for _, other := range others {
		var own float64 // joins of the other tour that the best has not
		var names []int
		theirs := edges(other)
		for k, i := range other {
			j := other[(k+1)%len(other)]
			if e := [2]int{min(i, j), max(i, j)}; theirs[e] && !have[e] {
				own += t.dist(i, j)
				names = append(names, t.rank[i], t.rank[j])
			}
		}
		delta := t.length(other) - t.length(t.best)
		if delta >= margin*own || t.crosses(other) {
			continue
		}
		slices.Sort(names)
		return &PointError{slices.Compact(names), fmt.Sprintf("the order is not clear: another one is only %.3f mm longer; %s", delta, advice)}
	}
	return nil
}
