package paths

import (
	"math"
	"slices"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// room tells where a profile's tool may go beside its contour.
type room struct {
	wall, keep *geom.Index
	inside     bool    // the wall is round the tool
	away       float64 // least distance of the axis from wall and kept parts
	zones      []keepOut
	bottom     float64
	bridges    []*geom.Index // what stays under the bridges of all rails
	radius     float64       // of the tool
}

func newRoom(s *setup.Setup, p Profile, solid geom.Region, zones []keepOut, rails []profileRail) *room {
	r := &room{
		radius: p.Tool.Diameter / 2,
		wall:   geom.NewIndex(solid), inside: p.Side == Inside,
		away: p.Tool.Diameter/2 + Reserve(s) - zoneMargin, zones: zones, bottom: p.Bottom,
	}
	if len(p.Keep) > 0 {
		r.keep = geom.NewIndex(p.Keep)
	}
	for _, l := range rails {
		for _, b := range l.bridges {
			r.bridges = append(r.bridges, geom.NewIndex(b.core))
		}
	}
	return r
}

// clear reports whether the tool may run along g at the bottom.
func (r *room) clear(g geom.Seg) bool {
	if r.inside {
		if r.wall.Contains(g.A) != geom.Inside || r.wall.BoundaryDistance(g) < r.away {
			return false
		}
	} else if r.wall.Distance(g) < r.away {
		return false
	}
	for _, b := range r.bridges {
		if !b.Clear(g, r.radius) {
			return false
		}
	}
	return (r.keep == nil || r.keep.Distance(g) >= r.away) && blocker(r.zones, g, r.bottom) == nil
}

// checkKeep refuses a profile that would cut into a part that has to stay.
func (r *room) checkKeep(p Profile, rails []profileRail) error {
	if r.keep == nil {
		return nil
	}
	for _, l := range rails {
		for _, g := range l.path {
			if d := r.keep.Distance(g); d < r.away {
				return p.errorf("the tool would come to %.3f mm from a neighbouring part near x %.3f y %.3f and needs %.3f mm: put the parts further apart or take a smaller tool", d, g.A.X, g.A.Y, r.away)
			}
		}
	}
	return nil
}

// Where leads are tried: at this many places round the contour, with the
// radius asked for and then half of it, down to an eighth.
const (
	leadPlaces  = 64
	leadHalving = 4
)

// onBridge reports whether length s lies where the tool is up or on its way.
func (p Profile) onBridge(r *profileRail, s float64) bool {
	for _, b := range r.bridges {
		if s > b.a-p.Bridges.run()-geom.Tol && s < b.b+p.Bridges.run()+geom.Tol {
			return true
		}
	}
	return false
}

// leadPasses cuts a closed rail level by level with a circle tangent to the
// contour between the laps: the tool starts and ends at the circle's far point,
// in the waste, so that it comes to the wall and leaves it along a tangent and
// no level begins or ends on the wall. It returns nil when there is no room.
func (p Profile) leadPasses(r *profileRail, levels []float64, angle float64, room *room) []Cut {
	length := r.length()
	radius := p.Lead
	for range leadHalving {
		for k := range leadPlaces {
			s := length * float64(k) / leadPlaces
			if p.onBridge(r, s) {
				continue
			}
			at := r.point(s)
			normal := r.tangent(s).Left().Mul(float64(p.waste()))
			centre, far := at.Add(normal.Mul(radius)), at.Add(normal.Mul(2*radius))
			in, out := geom.Arc(far, at, centre, p.waste()), geom.Arc(at, far, centre, p.waste())
			if !room.clear(in) || !room.clear(out) {
				continue
			}
			whole := slices.Concat(geom.Path{in}, rotated(r.path, s), geom.Path{out})
			total := whole.Length()
			knots := laps(total, p.Top, levels, angle)
			last := &knots[len(knots)-1]
			last.s = math.Ceil((last.s-geom.Tol)/total) * total
			end := last.s
			moved := make([]bridge, len(r.bridges))
			for i, b := range r.bridges {
				if b.a < s {
					b.a, b.b = b.a+length, b.b+length
				}
				b.a, b.b = b.a-s+in.Length(), b.b-s+in.Length()
				moved[i] = b
			}
			slices.SortFunc(moved, func(a, b bridge) int { return int(math.Copysign(1, a.a-b.a)) })
			knots = over(knots, p.Bridges.ridges(moved, total, end, p.Bottom, true), p.Bottom)
			n := int(math.Ceil(end/total-levelSlack)) + 1
			return []Cut{follow(newRail(repeat(whole, n)), knots, p.Feed, p.Plunge)}
		}
		radius /= 2
	}
	return nil
}

// finish takes the last layer off one wall at full depth. On a closed rail the
// tool goes down in the slot that the passes have cut, comes to the wall along
// an arc and leaves it the same way; where that has no room, and on open rails,
// it goes down by a ramp along the wall.
func (p Profile) finish(r *profileRail, angle float64, room *room) Cut {
	if r.closed {
		radius := p.Lead
		if radius == 0 {
			radius = p.Tool.Diameter / 2
		}
		radius = math.Max(radius, p.Finish)
		for range leadHalving {
			for k := range leadPlaces {
				s := r.length() * float64(k) / leadPlaces
				if p.onBridge(r, s) {
					continue
				}
				if c, ok := p.finishFrom(r, s, radius, room); ok {
					return c
				}
			}
			if radius /= 2; radius < p.Finish {
				break
			}
		}
	}
	bottom := []float64{p.Bottom}
	var knots []knot
	line := r.path
	length := r.length()
	if r.closed {
		knots = laps(length, p.Top, bottom, angle)
		line = repeat(line, int(math.Ceil(knots[len(knots)-1].s/length))+1)
	} else {
		knots = traverses(length, p.Top, bottom, angle)
		line = fold(line, int(math.Ceil(knots[len(knots)-1].s/length))+1)
	}
	knots = over(knots, p.Bridges.ridges(r.bridges, length, knots[len(knots)-1].s, p.Bottom, r.closed), p.Bottom)
	return follow(newRail(line), knots, p.Feed, p.Plunge)
}

// finishFrom makes the finishing lap that meets the wall at length s.
func (p Profile) finishFrom(r *profileRail, s, radius float64, room *room) (Cut, bool) {
	at := r.point(s)
	normal := r.tangent(s).Left().Mul(float64(p.waste()))
	centre := at.Add(normal.Mul(radius))
	turned := func(a float64) geom.Point { return centre.Add(turnBy(at.Sub(centre), a)) }
	away := func(q geom.Point) float64 {
		d := math.Inf(1)
		for _, g := range r.path {
			d = math.Min(d, g.Distance(q))
		}
		return d
	}
	// The slot's middle lies at p.Finish from the rail: find the angle of the
	// arc that ends there.
	ends := func(sign float64) (geom.Point, bool) {
		lo, hi := 0.0, math.Pi/2
		if away(turned(sign*hi)) < p.Finish {
			return geom.Point{}, false
		}
		for range bisections {
			mid := (lo + hi) / 2
			if away(turned(sign*mid)) < p.Finish {
				lo = mid
			} else {
				hi = mid
			}
		}
		return turned(sign * lo), true
	}
	sense := float64(p.waste())
	from, ok1 := ends(-sense)
	to, ok2 := ends(sense)
	if !ok1 || !ok2 {
		return Cut{}, false
	}
	in, out := geom.Arc(from, at, centre, p.waste()), geom.Arc(at, to, centre, p.waste())
	if !room.clear(in) || !room.clear(out) || p.overSlotBridge(r, from) || p.overSlotBridge(r, to) {
		return Cut{}, false
	}
	whole := slices.Concat(geom.Path{in}, rotated(r.path, s), geom.Path{out})
	length := whole.Length()
	var moved []bridge
	for _, b := range r.bridges {
		if b.a < s {
			b.a, b.b = b.a+r.length(), b.b+r.length()
		}
		b.a, b.b = b.a-s+in.Length(), b.b-s+in.Length()
		moved = append(moved, b)
	}
	slices.SortFunc(moved, func(a, b bridge) int { return int(math.Copysign(1, a.a-b.a)) })
	knots := []knot{{0, p.Bottom}, {length, p.Bottom}}
	knots = over(knots, p.Bridges.ridges(moved, length, length, p.Bottom, true), p.Bottom)
	return follow(newRail(whole), knots, p.Feed, p.Plunge), true
}

// bisections halve an angle below a nanometre on any radius.
const bisections = 60

// overSlotBridge reports whether the tool would come down on a bridge at q.
func (p Profile) overSlotBridge(r *profileRail, q geom.Point) bool {
	for _, b := range r.bridges {
		if b.core.Distance(q) < p.Tool.Diameter/2+p.Bridges.run()+cutTol {
			return true
		}
	}
	return false
}

func turnBy(v geom.Point, a float64) geom.Point {
	s, c := math.Sincos(a)
	return geom.Pt(v.X*c-v.Y*s, v.X*s+v.Y*c)
}

// alignBridges gives the rails of the passes the bridges of the wall, so that
// the finishing cut finds the bridges where the passes have left them.
func (p Profile) alignBridges(rough, wall []profileRail) error {
	if p.Bridges.Count == 0 {
		return nil
	}
	for i := range rough {
		rough[i].bridges = nil
	}
	for _, w := range wall {
		for n, b := range w.bridges {
			mid := w.point((b.a + b.b) / 2)
			best, at, dist := -1, 0.0, math.Inf(1)
			for i := range rough {
				if s, d := rough[i].closest(mid); d < dist {
					best, at, dist = i, s, d
				}
			}
			moved, ok := p.Bridges.round(p.Op, rough[best].rail, at, b.core)
			if !ok || math.Abs(dist-p.Finish) > p.Finish/2+cutTol {
				return p.errorf("bridge %d: the passes before the finishing cut run too far from it; leave out the finish or take fewer bridges", n+1)
			}
			if p.Bridges.thinned(p.Op, rough, best, moved) {
				return p.errorf("bridge %d: %w before the finishing cut; leave out the finish or take fewer bridges", n+1, errThinned)
			}
			rough[best].bridges = append(rough[best].bridges, moved)
		}
	}
	for i := range rough {
		slices.SortFunc(rough[i].bridges, func(a, b bridge) int { return int(math.Copysign(1, a.a-b.a)) })
	}
	return nil
}

// closest returns the length at which a rail comes nearest to q, and how near.
func (r rail) closest(q geom.Point) (float64, float64) {
	at, dist := 0.0, math.Inf(1)
	for i, g := range r.path {
		c := g.Closest(q)
		if d := c.Dist(q); d < dist {
			t := 0.0
			if g.IsArc() {
				a := (c.Sub(g.C).Angle() - g.A.Sub(g.C).Angle()) * float64(g.Turn)
				a = math.Mod(a+2*fullTurn, fullTurn)
				if sweep := math.Abs(g.Sweep()); sweep > 0 && a <= sweep+fullTurn/2 {
					t = math.Min(1, a/sweep)
				}
			} else if l := g.Length(); l > 0 {
				t = c.Dist(g.A) / l
			}
			at, dist = r.at[i]+t*(r.at[i+1]-r.at[i]), d
		}
	}
	return at, dist
}

const fullTurn = 2 * math.Pi
