package scan

import (
	"math"

	"proofcut/paths/geom"
)

const (
	// leastRun is the least number of edge points, about one a pixel, of a line or
	// arc that is worth a fit of its own; what is shorter is the blur of a corner.
	leastRun = 8
	// cornerTrim is how many of its points at each end are left out of the fit: the
	// edge bends within the blur of a corner.
	cornerTrim = 4
	// cornerReach is how far from the edge points a corner may be put, in pixels:
	// the blur cuts a right angle by half a pixel and a sharp one by two.
	cornerReach = 3.0
	// sameWay is the turn in radians below which the crossing of two pieces is not
	// known: an error of a hundredth of a pixel moves it by half a pixel.
	sameWay = 0.02
	// cornerTurn is the turn in radians from which on two pieces meet in a corner.
	cornerTurn = 0.3
	// rounds is how often pieces are fitted anew to the points between their ends.
	rounds = 4
)

// run is a piece of the outline with the edge points that belong to it.
type run struct {
	from, to int          // the first and the last of its points; from > to across the list's end
	pts      []geom.Point // without those at the ends
	line     fitted       // of a line
	arc      circleFit    // of an arc
	turn     geom.Turn
	rms      float64
}

// refine fits every line and arc of a chain to all its edge points, where FitArcs
// takes any that passes within the tolerance; joins those that are one; and puts
// corners where the pieces meet, where the blur of the picture has rounded them.
// The chain is made of the closed list of points by geom.FitArcs: each piece
// starts and ends at one of them. Where that gives no chain that is nearer to the
// points, the chain is returned as it is.
func refine(pts []geom.Point, chain geom.Contour, pixel, tol float64) geom.Contour {
	runs := longRuns(pts, chain)
	if len(runs) < 2 {
		return chain
	}
	runs = joined(pts, runs, tol)
	n := len(runs)
	if n < 2 {
		return chain
	}
	var at []geom.Point // the corner before each run
	for range rounds {
		at = corners(runs, pixel, tol)
		if at == nil {
			return chain
		}
		if runs = between(pts, at, runs); runs == nil {
			return chain
		}
	}
	out := make(geom.Contour, n)
	for i := range runs {
		out[i] = runs[i].between(at[i], at[(i+1)%n])
	}
	if out.Validate() != nil || !closer(pts, chain, out, pixel, tol) {
		return chain
	}
	return out
}

// corners returns where each run begins; nil where one does not meet the next.
func corners(runs []run, pixel, tol float64) []geom.Point {
	n := len(runs)
	at := make([]geom.Point, n)
	for i := range runs {
		var ok bool
		if at[i], ok = meet(&runs[(i+n-1)%n], &runs[i], pixel, tol); !ok {
			return nil
		}
	}
	return at
}

// between fits every run to the points between its corners; nil where few are
// left.
func between(pts, at []geom.Point, runs []run) []run {
	n, count := len(pts), len(runs)
	split := make([]int, count)
	for i, c := range at {
		// Near the seam: another part of the outline may pass as near to the corner.
		before, after := runs[(i+count-1)%count], runs[i]
		best := math.Inf(1)
		for k := before.middle(n); k != after.middle(n); k = (k + 1) % n {
			if d := pts[k].Dist(c); d < best {
				best, split[i] = d, k
			}
		}
	}
	out := make([]run, count)
	for i := range runs {
		r, ok := fitRun(pts, split[i], split[(i+1)%count])
		if !ok {
			return nil
		}
		out[i] = r
	}
	return out
}

// middle returns the middle one of the run's points, of n in the list.
func (r *run) middle(n int) int { return (r.from + (r.to-r.from+n)%n/2) % n }

// longRuns returns the pieces of the chain that are long enough, in order, fitted.
func longRuns(pts []geom.Point, chain geom.Contour) []run {
	place := make(map[geom.Point]int, len(pts))
	for i, p := range pts {
		place[p] = i
	}
	var out []run
	for _, s := range chain {
		i, ok1 := place[s.A]
		j, ok2 := place[s.B]
		if !ok1 || !ok2 || s.IsCircle() {
			return nil
		}
		if r, ok := fitRun(pts, i, j); ok {
			out = append(out, r)
		}
	}
	return out
}

// joined joins neighbours that one line or arc fits as well as it does each.
func joined(pts []geom.Point, runs []run, tol float64) []run {
	for i := 0; i < len(runs) && len(runs) > 2; {
		j := (i + 1) % len(runs)
		a, b := runs[i], runs[j]
		r, ok := fitRun(pts, a.from, b.to)
		if !ok || r.rms > asGood*math.Max(a.rms, b.rms) || r.most() > tol {
			i++
			continue
		}
		runs[i] = r
		runs = append(runs[:j:j], runs[j+1:]...)
		if j < i { // the first of the list has gone
			i--
		}
	}
	return runs
}

// asGood is how much greater the error of one piece may be than that of two to
// be taken for noise, and of a line than of an arc.
const asGood = 1.2

// fitRun fits a line, or where that is worse an arc, to the points from..to.
func fitRun(pts []geom.Point, from, to int) (run, bool) {
	n := len(pts)
	count := (to-from+n)%n + 1
	if count < leastRun+2*cornerTrim {
		return run{}, false
	}
	r := run{from: from, to: to}
	for k := cornerTrim; k < count-cornerTrim; k++ {
		r.pts = append(r.pts, pts[(from+k)%n])
	}
	first, last := r.pts[0], r.pts[len(r.pts)-1]
	line, ok := fitLine(r.pts)
	if !ok {
		return run{}, false
	}
	if line.along.Dot(last.Sub(first)) < 0 {
		line.along = line.along.Mul(-1)
	}
	r.line, r.rms = line, line.rms
	arc, ok := fitCircle(r.pts)
	if !ok || line.rms <= asGood*arc.RMS {
		return r, true
	}
	r.arc, r.rms, r.turn = arc, arc.RMS, geom.CCW
	middle := r.pts[len(r.pts)/2]
	if middle.Sub(arc.C).Left().Dot(r.pts[len(r.pts)/2+1].Sub(r.pts[len(r.pts)/2-1])) < 0 {
		r.turn = geom.CW
	}
	return r, true
}

// most is the greatest distance of the points from the line or circle.
func (r *run) most() float64 {
	m := 0.0
	for _, p := range r.pts {
		m = math.Max(m, r.foot(p).Dist(p))
	}
	return m
}

// foot returns the point of the run's line or circle nearest to p.
func (r *run) foot(p geom.Point) geom.Point {
	if r.turn == geom.Straight {
		return r.line.at.Add(r.line.along.Mul(p.Sub(r.line.at).Dot(r.line.along)))
	}
	return r.arc.C.Add(p.Sub(r.arc.C).Unit().Mul(r.arc.R))
}

// way returns the direction of travel at p.
func (r *run) way(p geom.Point) geom.Point {
	if r.turn == geom.Straight {
		return r.line.along
	}
	return p.Sub(r.arc.C).Unit().Left().Mul(float64(r.turn))
}

// meet returns where one run ends and the next begins: where they touch, if they
// go on into each other, else where they cross.
func meet(a, b *run, pixel, tol float64) (geom.Point, bool) {
	end, begin := a.pts[len(a.pts)-1], b.pts[0]
	near := cornerReach*pixel + end.Dist(begin)
	seam := geom.Line(end, begin)
	if p, q, ok := touch(a, b); ok && p.Dist(q) <= tol {
		// The place is uncertain along the seam, and the seam was chosen with an error:
		// anywhere within reach of the shorter run will do.
		if m := p.Lerp(q, 0.5); seam.Distance(m) <= math.Max(near, math.Min(a.length(), b.length())/3) {
			return m, true
		}
	}
	// Newton's method for the place that is on both: each step goes to where the
	// tangents at the two feet meet.
	p := end.Lerp(begin, 0.5)
	for range 20 {
		f, g := a.foot(p), b.foot(p)
		u, v := a.way(f), b.way(g)
		d := u.Cross(v)
		if math.Abs(d) < sameWay {
			break
		}
		q := f.Add(u.Mul(g.Sub(f).Cross(v) / d))
		if q.Dist(p) < geom.Tol/10 {
			if q.Finite() && seam.Distance(q) <= near {
				return q, true
			}
			break
		}
		p = q
	}
	middle := end.Lerp(begin, 0.5)
	p = a.foot(middle).Lerp(b.foot(middle), 0.5)
	return p, p.Finite() && p.Dist(middle) <= near
}

// touch returns the points of two runs, one on each, where they run the same way
// and are next to each other; two lines have none.
func touch(a, b *run) (p, q geom.Point, ok bool) {
	lineA, lineB := a.turn == geom.Straight, b.turn == geom.Straight
	switch {
	case lineA && lineB:
		return p, q, false
	case lineA:
		p = a.foot(b.arc.C)
		q = b.foot(p)
	case lineB:
		q = b.foot(a.arc.C)
		p = a.foot(q)
	default:
		u := b.arc.C.Sub(a.arc.C).Unit()
		v := u
		if a.turn != b.turn {
			v = u.Mul(-1)
		} else if a.arc.R < b.arc.R {
			u, v = u.Mul(-1), v.Mul(-1)
		}
		p, q = a.arc.C.Add(u.Mul(a.arc.R)), b.arc.C.Add(v.Mul(b.arc.R))
	}
	return p, q, a.way(p).Dot(b.way(q)) > 0
}

// length is about how long the run is.
func (r *run) length() float64 { return r.pts[0].Dist(r.pts[len(r.pts)-1]) }

// between returns the run's line or arc from one corner to the next: the arc
// passes through the middle of the fitted one.
func (r *run) between(p, q geom.Point) geom.Seg {
	if r.turn == geom.Straight {
		return geom.Line(p, q)
	}
	m := r.foot(r.pts[len(r.pts)/2])
	// The centre of the circle through p, m and q.
	a, b := p.Sub(m), q.Sub(m)
	d := 2 * a.Cross(b)
	if d == 0 {
		return geom.Line(p, q)
	}
	c := m.Add(geom.Pt(b.Y*a.Dot(a)-a.Y*b.Dot(b), a.X*b.Dot(b)-b.X*a.Dot(a)).Mul(1 / d))
	return geom.Arc(p, q, c, r.turn)
}

// closer reports whether the new chain is as near to the edge points as the old
// one, without those at corners that the blur has rounded.
func closer(pts []geom.Point, old, new geom.Contour, pixel, tol float64) bool {
	var corners []geom.Point
	for i, s := range new {
		before := new[(i+len(new)-1)%len(new)]
		if math.Abs(math.Asin(clamp(before.Tangent(1).Cross(s.Tangent(0))))) > cornerTurn || before.Tangent(1).Dot(s.Tangent(0)) < 0 {
			corners = append(corners, s.A)
		}
	}
	var before, after float64
	for _, p := range pts {
		d := new.Distance(p)
		corner := false
		for _, c := range corners {
			corner = corner || p.Dist(c) < (cornerReach+cornerTrim)*pixel
		}
		if corner {
			if d > cornerReach*pixel {
				return false
			}
			continue
		}
		if d > tol {
			return false
		}
		e := old.Distance(p)
		before, after = before+e*e, after+d*d
	}
	return after <= before
}

func clamp(v float64) float64 { return math.Max(-1, math.Min(1, v)) }
