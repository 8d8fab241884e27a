package geom

import "math"

// misfit returns by how much the distance of p from the whole line, circle or
// point of an element differs from dist.
func (e medialElem) misfit(p Point, dist float64) float64 {
	switch {
	case e.vertex:
		return p.Dist(e.seg.A) - dist
	case e.seg.Turn == CCW:
		return e.seg.Radius() - p.Dist(e.seg.C) - dist
	case e.seg.Turn == CW:
		return p.Dist(e.seg.C) - e.seg.Radius() - dist
	}
	return e.seg.B.Sub(e.seg.A).Unit().Cross(p.Sub(e.seg.A)) - dist
}

// off returns by how much the distance of p from the element itself, within
// its ends, differs from dist.
func (e medialElem) off(p Point, dist float64) float64 {
	miss := math.Abs(e.misfit(p, dist))
	if e.vertex || miss > exactTol {
		return miss
	}
	return math.Max(miss, math.Abs(e.seg.Distance(p)-dist))
}

// join finds the joints of the runs on the true curves. A run whose joints do
// not come out, or that another event of the diagram comes near, is left to
// its chords.
func (d *diagram) join(runs []levelRun, walk *levelWalk, pts []Point, dist, chord float64) {
	n := len(runs)
	joint, rough, found := make([]Point, n), make([]Point, n), make([]bool, n)
	for i := range runs {
		r, next := &runs[i], &runs[(i+1)%n]
		e := d.elems[r.elem]
		if d.crowded(r, runs[(i+n-1)%n].elem, next.elem, walk) {
			r.exact = false
		}
		rough[i] = pts[(r.from+r.n)%len(pts)].Lerp(pts[next.from], 0.5)
		joint[i], found[i] = trueJoint(e, d.elems[next.elem], rough[i], dist, chord)
	}
	place := func(i int) {
		r, prev := &runs[i], (i+n-1)%n
		r.start, r.end = rough[prev], rough[i]
		if found[prev] && runs[prev].exact && r.exact {
			r.start = joint[prev]
		}
		if found[i] && runs[(i+1)%n].exact && r.exact {
			r.end = joint[i]
		}
	}
	// A run that does not fit takes the joints from its neighbours, which are
	// then looked at again: each run at most three times.
	again := make([]int, n)
	for i := range again {
		again[i] = n - 1 - i
	}
	for len(again) > 0 {
		i := again[len(again)-1]
		again = again[:len(again)-1]
		place(i)
		if r := &runs[i]; r.exact && !d.fits(r, walk, pts, dist) {
			r.exact = false
			again = append(again, i, (i+n-1)%n, (i+1)%n)
		}
	}
	for i := range runs {
		place(i) // runs that were left out from the start tell no one
	}
}

// crowded reports whether an event that involves another element than the run
// and its neighbours comes near the level.
func (d *diagram) crowded(r *levelRun, prev, next int32, walk *levelWalk) bool {
	if len(walk.near) == 0 {
		return false
	}
	known := func(site int32) bool {
		if int(site) < len(d.v.px) && site >= d.v.points() {
			return false
		}
		e := d.elem(site)
		return e == r.elem || e == prev || e == next || d.elems[e].vertex && d.smooth(e)
	}
	for j := 0; j < r.n; j++ {
		k := (r.from + j) % len(walk.pieces)
		i := 0
		if k > 0 {
			i = walk.pieces[k-1].near
		}
		for ; i < walk.pieces[k].near; i++ {
			for h, m := walk.near[i], 0; m < 3; m++ {
				if !known(d.v.he[h].site) {
					return true
				}
				h = hnext(h)
			}
		}
	}
	return false
}

// fits reports whether the true curve between the joints of r lies at the
// distance from all of the source and runs the way of its chords.
func (d *diagram) fits(r *levelRun, walk *levelWalk, pts []Point, dist float64) bool {
	e := d.elems[r.elem]
	if !(e.off(r.start, dist) <= exactTol && e.off(r.end, dist) <= exactTol) {
		return false
	}
	level := levelSeg(e, r.start, r.end, dist)
	if radius, round := levelRadius(e, dist); round {
		if !(radius > Tol) {
			return false
		}
		// Much longer or shorter than the chords means that it went the other way round.
		chords := 0.0
		for _, s := range d.chordRun(r, walk, pts, dist) {
			chords += s.Length()
		}
		if !(math.Abs(level.Length()-chords) < radius*math.Pi) {
			return false
		}
	} else if !(r.end.Sub(r.start).Dot(e.seg.B.Sub(e.seg.A)) >= 0) {
		return false
	}
	return d.keeps(level, dist)
}

// keeps reports whether no part of the source comes nearer to s than dist. What the
// chords say about that is certain where there are only lines.
func (d *diagram) keeps(s Seg, dist float64) bool {
	return d.source == nil || !d.source().within(s, dist-exactTol)
}

// levelSeg returns the level of an element between two joints.
func levelSeg(e medialElem, from, to Point, dist float64) Seg {
	switch {
	case from.Dist(to) <= Tol:
	case e.vertex:
		return Arc(from, to, e.seg.A, CW)
	case e.seg.IsArc():
		return Arc(from, to, e.seg.C, e.seg.Turn)
	}
	return Line(from, to)
}

// chordRun draws a run along its chords.
func (d *diagram) chordRun(r *levelRun, walk *levelWalk, pts []Point, dist float64) []Seg {
	var out []Seg
	n := len(walk.pieces)
	for j := 0; j < r.n; j++ {
		k := (r.from + j) % n
		a, b := pts[k], pts[(k+1)%n]
		if j == 0 {
			a = r.start
		}
		if j == r.n-1 {
			b = r.end
		}
		if a == b {
			continue
		}
		s := Line(a, b)
		if site := walk.pieces[k].site; d.v.segment(site) == nil && a.Dist(b) > Tol {
			s = Arc(a, b, d.mm(d.v.px[site], d.v.py[site]), CW)
			if s.Sweep() < -1.5*math.Pi {
				s = Line(a, b) // no wider than rounding, which turned it round
			}
		}
		out = append(out, s)
	}
	return out
}

// closeUp joins the segments end to end; gaps are within rounding.
func closeUp(c Contour) Contour {
	for i := range c {
		c[i].A = c[(i+len(c)-1)%len(c)].B
	}
	if len(c) == 1 && !c[0].IsCircle() {
		return nil
	}
	return c
}

// joinReach is how far, in chords of the larger arc, a true joint is looked for
// from the joint of the chords: near a tangent one chord more or less makes
// little difference.
const joinReach = 2

// equalFit is a difference of fit that is rounding: 1e-9 mm for parts up to a metre.
const equalFit = Tol / 1000

// trueJoint returns the point near rough at the distance from both elements.
func trueJoint(e, f medialElem, rough Point, dist, chord float64) (Point, bool) {
	reach := chord
	for _, g := range [2]medialElem{e, f} {
		if !g.vertex && g.seg.IsArc() {
			reach = math.Max(reach, joinReach*2*math.Sqrt(2*chord*g.seg.Radius()))
		}
	}
	best, worst, found := Point{}, 0.0, false
	try := func(p Point) {
		miss := math.Max(e.off(p, dist), f.off(p, dist))
		if !(miss <= exactTol) || p.Dist(rough) > reach {
			return
		}
		// The better fit, or among equal ones the nearer.
		if !found || miss < worst-equalFit || miss <= worst+equalFit && p.Dist(rough) < best.Dist(rough) {
			best, worst, found = p, miss, true
		}
	}
	// The normal at a common end.
	for _, g := range [2]medialElem{e, f} {
		if !g.vertex {
			try(g.seg.A.Add(g.seg.Tangent(0).Left().Mul(dist)))
			try(g.seg.B.Add(g.seg.Tangent(1).Left().Mul(dist)))
		}
	}
	re, roundE := levelRadius(e, dist)
	rf, roundF := levelRadius(f, dist)
	switch {
	case roundE && roundF:
		for _, p := range meetCircles(levelCenter(e), re, levelCenter(f), rf) {
			try(p)
		}
	case roundE:
		for _, p := range meetLineCircle(*f.seg, dist, levelCenter(e), re) {
			try(p)
		}
	case roundF:
		for _, p := range meetLineCircle(*e.seg, dist, levelCenter(f), rf) {
			try(p)
		}
	default:
		u, w := e.seg.B.Sub(e.seg.A).Unit(), f.seg.B.Sub(f.seg.A).Unit()
		a, b := e.seg.A.Add(u.Left().Mul(dist)), f.seg.A.Add(w.Left().Mul(dist))
		if k := u.Cross(w); k != 0 {
			try(a.Add(u.Mul(b.Sub(a).Cross(w) / k)))
		}
	}
	return best, found
}

func levelCenter(e medialElem) Point {
	if e.vertex {
		return e.seg.A
	}
	return e.seg.C
}

// meetCircles returns the common points of two circles, the point between them
// where they just miss.
func meetCircles(a Point, ra float64, b Point, rb float64) [2]Point {
	w := b.Sub(a)
	l := w.Len()
	u := w.Unit()
	x := (l + (ra-rb)*(ra+rb)/l) / 2
	y := math.Sqrt(math.Max(0, (ra-x)*(ra+x)))
	m := a.Add(u.Mul(x))
	return [2]Point{m.Add(u.Left().Mul(y)), m.Sub(u.Left().Mul(y))}
}

// meetLineCircle does so for the line at dist left of s.
func meetLineCircle(s Seg, dist float64, c Point, r float64) [2]Point {
	u := s.B.Sub(s.A).Unit()
	h := u.Cross(c.Sub(s.A)) - dist
	m := c.Sub(u.Left().Mul(h))
	y := math.Sqrt(math.Max(0, (r-h)*(r+h)))
	return [2]Point{m.Add(u.Mul(y)), m.Sub(u.Mul(y))}
}
