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
	// blurRadius is the radius in pixels of a sharp corner in a picture that is
	// somewhat soft.
	blurRadius = 3.0
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
	from, to    int          // the first and the last of its points; from > to across the list's end
	first, last int          // the pieces of the chain that it stands for
	pts         []geom.Point // without those at the ends
	line        fitted       // of a line
	arc         circleFit    // of an arc
	turn        geom.Turn
	rms         float64
}

// refine fits every line and arc of a chain to all its edge points, where FitArcs
// takes any that passes within the tolerance; joins those that are one; and puts
// corners where the pieces meet, where the blur of the picture has rounded them.
// What is too short for a fit and no rounded corner stays as it is.
//
// The chain is made of the closed list of points by geom.FitArcs: each piece
// starts and ends at one of them. But for corners the outcome is within the
// tolerance of the points: where it would not be, the chain's own piece stays.
func refine(pts []geom.Point, chain geom.Contour, pixel, tol float64) geom.Contour {
	runs := joined(pts, longRuns(pts, chain, tol), tol)
	for len(runs) > 1 {
		out := assembled(pts, chain, runs, pixel, tol)
		if out.Validate() != nil {
			break
		}
		k, off := furthest(pts, out, pixel, tol)
		if !off {
			return out
		}
		runs = without(runs, k, len(pts))
	}
	return chain
}

// assembled joins runs and what lies between them to a closed chain.
func assembled(pts []geom.Point, chain geom.Contour, list []run, pixel, tol float64) geom.Contour {
	runs := append([]run{}, list...)
	seams := newSeams(pts, chain, runs, pixel, tol)
	for range rounds {
		seams.split(pts, runs, tol)
		seams.move(runs, pixel, tol)
	}
	var out geom.Contour
	n := len(runs)
	for i := range runs {
		out = append(out, seams[i].keep...)
		out = append(out, runs[i].between(seams[i].end(), seams[(i+1)%n].begin()))
	}
	return out
}

// without returns the runs but for the one that point k, of n, belongs to or is
// next to.
func without(runs []run, k, n int) []run {
	best, drop := n+1, 0
	for i, r := range runs {
		away := 0
		if count := (r.to - r.from + n) % n; (k-r.from+n)%n > count {
			away = min((r.from-k+n)%n, (k-r.to+n)%n)
		}
		if away < best {
			best, drop = away, i
		}
	}
	return append(runs[:drop:drop], runs[drop+1:]...)
}

// seam is what lies before a run: the corner where the one before meets it, or
// the pieces of the chain that are kept.
type seam struct {
	at   geom.Point
	keep []geom.Seg
}

func (s seam) begin() geom.Point {
	if len(s.keep) > 0 {
		return s.keep[0].A
	}
	return s.at
}

func (s seam) end() geom.Point {
	if len(s.keep) > 0 {
		return s.keep[len(s.keep)-1].B
	}
	return s.at
}

type seams []seam

// newSeams joins each run to the one before it.
func newSeams(pts []geom.Point, chain geom.Contour, runs []run, pixel, tol float64) seams {
	out := make(seams, len(runs))
	for i := range runs {
		a, b := &runs[(i+len(runs)-1)%len(runs)], &runs[i]
		p, ok := meet(a, b, pixel, tol)
		if ok && fits(pts, a, b, p, pixel, tol) {
			out[i].at = p
			continue
		}
		out[i].at = pts[a.to]
		for k := (a.last + 1) % len(chain); k != b.first; k = (k + 1) % len(chain) {
			out[i].keep = append(out[i].keep, chain[k])
		}
	}
	return out
}

// fits reports whether two runs that meet at p pass within the tolerance of the
// points about it, or at a corner as near as a blurred one.
func fits(pts []geom.Point, a, b *run, p geom.Point, pixel, tol float64) bool {
	before := a.between(a.foot(a.pts[len(a.pts)/2]), p)
	after := b.between(p, b.foot(b.pts[len(b.pts)/2]))
	limit := tol + rounded(before, after, pixel)
	n := len(pts)
	for k := (a.to - cornerTrim + n) % n; k != (b.from+cornerTrim)%n; k = (k + 1) % n {
		if math.Min(before.Distance(pts[k]), after.Distance(pts[k])) > limit {
			return false
		}
	}
	return true
}

// turn is the angle from the end of one segment to the start of the next, without
// its sign.
func turn(a, b geom.Seg) float64 {
	u, v := a.Tangent(1), b.Tangent(0)
	return math.Abs(math.Atan2(u.Cross(v), u.Dot(v)))
}

// rounded is how far the blur of the picture puts the edge from the corner between
// two segments: as far as an arc of a radius of blurRadius does.
func rounded(a, b geom.Seg, pixel float64) float64 {
	t := turn(a, b)
	if t < cornerTurn {
		return 0
	}
	return math.Min(cornerReach, blurRadius*(1/math.Max(math.Cos(t/2), 0.1)-1)) * pixel
}

// split gives every run the points between its seams, where that is no worse.
func (s seams) split(pts []geom.Point, runs []run, tol float64) {
	n, count := len(pts), len(runs)
	for i := range s {
		if len(s[i].keep) > 0 {
			continue
		}
		// Near the seam: another part of the outline may pass as near to the corner.
		before, after := &runs[(i+count-1)%count], &runs[i]
		best, at := math.Inf(1), before.to
		for k := before.middle(n); k != after.middle(n); k = (k + 1) % n {
			if d := pts[k].Dist(s[i].at); d < best {
				best, at = d, k
			}
		}
		a, ok1 := fitRun(pts, before.from, at)
		b, ok2 := fitRun(pts, at, after.to)
		worst := asGood * math.Max(before.rms, after.rms)
		if !ok1 || !ok2 || a.rms > worst || b.rms > worst || a.most() > tol || b.most() > tol {
			continue
		}
		*before, *after = a, b
	}
}

// move puts every corner where the runs now meet.
func (s seams) move(runs []run, pixel, tol float64) {
	for i := range s {
		if len(s[i].keep) > 0 {
			continue
		}
		if p, ok := meet(&runs[(i+len(runs)-1)%len(runs)], &runs[i], pixel, tol); ok {
			s[i].at = p
		}
	}
}

// middle returns the middle one of the run's points, of n in the list.
func (r *run) middle(n int) int { return (r.from + (r.to-r.from+n)%n/2) % n }

// longRuns returns the pieces of the chain that are long enough, in order, fitted.
func longRuns(pts []geom.Point, chain geom.Contour, tol float64) []run {
	place := make(map[geom.Point]int, len(pts))
	for i, p := range pts {
		place[p] = i
	}
	var out []run
	for k, s := range chain {
		i, ok1 := place[s.A]
		j, ok2 := place[s.B]
		if !ok1 || !ok2 || s.IsCircle() {
			return nil
		}
		if r, ok := fitRun(pts, i, j); ok && r.most() <= tol {
			r.first, r.last = k, k
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
		r.first, r.last = a.first, b.last
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

// furthest returns the point that is furthest from a chain beyond the tolerance,
// or, near a corner, beyond what its blur explains.
func furthest(pts []geom.Point, c geom.Contour, pixel, tol float64) (k int, off bool) {
	type corner struct {
		at   geom.Point
		more float64
	}
	var corners []corner
	for i, s := range c {
		if more := rounded(c[(i+len(c)-1)%len(c)], s, pixel); more > 0 {
			corners = append(corners, corner{s.A, more})
		}
	}
	worst := 0.0
	for i, p := range pts {
		limit := tol
		for _, c := range corners {
			if p.Dist(c.at) < (cornerReach+cornerTrim)*pixel {
				limit = math.Max(limit, tol+c.more)
			}
		}
		if d := c.Distance(p) - limit; d > worst {
			k, worst = i, d
		}
	}
	return k, worst > 0
}
