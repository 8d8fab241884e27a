package geom

import (
	"math"
	"slices"
)

// FitArcs returns the chain of lines and arcs that replaces the polyline
// through pts: every chord of the polyline lies within tol (mm) of the chain and
// every point of the chain within tol of the polyline. Every piece starts and
// ends at an input point, a vertex that no line or arc can pass within tol stays
// a corner, and the direction of travel is kept along every piece.
//
// Of such chains it is one of the fewest pieces for up to 512 points. Beyond that
// every piece is the longest that the bound allows from where it starts, which
// on smooth curves is the same; time is linear in the number of points in
// practice.
//
// closed joins the last point to the first; the chain may then start at another
// of the points, and has at most one piece more than from the best of them. A
// circle comes back as one full arc whose start lies within tol of the first
// point. Points that repeat the one before are passed over. Fewer than two
// distinct points, a point that is not finite or a negative or NaN tol give nil.
//
// The bound is exact, not sampled: an arc is taken only where each chord's
// least and greatest distance from the centre, at its foot or ends, are within
// tol of the radius and the chord turns the arc's way about the centre, within
// its sweep. Chord and arc then face each other along every ray from the centre.
// The arcs over a chord P-Q are those of R. L. S. Drysdale, G. Rote, A. Sturm:
// Approximation of an open polygonal curve with a minimum number of circular
// arcs and biarcs, 2008.
func FitArcs(pts []Point, closed bool, tol float64) Path {
	f := fitter{tol: tol}
	out := f.fit(pts, closed)
	if len(f.pts) <= fewestPoints {
		out = f.fewest(out)
	}
	return out
}

// fit fits the points with pieces that are each as long as can be.
func (f *fitter) fit(pts []Point, closed bool) Path {
	if !(f.tol >= 0) || math.IsInf(f.tol, 1) || !f.take(pts, closed) {
		return nil
	}
	if f.via = f.pts; !closed {
		return f.run(0, len(f.pts)-1)
	}
	if c, ok := f.circle(); ok {
		return Path{c}
	}
	if f.ease {
		f.via = eased(f.pts, f.tol)
	}
	// Start at the end of a longest piece, not at the chance first point.
	n := len(f.pts) - 1
	first, _ := f.longest(0, n)
	if rotate(f.pts[:n], first); f.ease {
		rotate(f.via[:n], first)
	}
	f.pts[n], f.via[n] = f.pts[0], f.via[0]
	return f.run(0, n)
}

// rotate moves the first points to the end, in their own memory.
func rotate(pts []Point, first int) {
	slices.Reverse(pts[:first])
	slices.Reverse(pts[first:])
	slices.Reverse(pts)
}

// fitter holds the polyline to be fitted, repeated points removed; of a closed
// one the first point stands again at the end.
type fitter struct {
	pts []Point
	// via are the places that pieces start and end at, one for each point: the points
	// themselves, or those near them where the fit may be eased.
	via  []Point
	ease bool
	tol  float64
	// The piece that fitted last, to begin the search for the next.
	stride int
}

// take copies the points; false when there is nothing to fit.
func (f *fitter) take(pts []Point, closed bool) bool {
	f.pts = make([]Point, 0, len(pts)+1)
	for _, p := range pts {
		if !p.Finite() || math.Abs(p.X) > maxCoordinate || math.Abs(p.Y) > maxCoordinate {
			return false
		}
		if len(f.pts) == 0 || f.pts[len(f.pts)-1] != p {
			f.pts = append(f.pts, p)
		}
	}
	if closed && len(f.pts) > 1 && f.pts[len(f.pts)-1] != f.pts[0] {
		f.pts = append(f.pts, f.pts[0])
	}
	return len(f.pts) > 1
}

// run fits the points i..end, each piece as long as it can be.
func (f *fitter) run(i, end int) Path {
	var out Path
	for i < end {
		j, s := f.longest(i, end)
		out = append(out, s)
		i = j
	}
	return out
}

const (
	// probes is the number of points at which a long piece is tried before all
	// of it is: a piece that misses some points cannot hold for all.
	probes = 32
	// probeShare is the part of the tolerance given to that trial. Between 32
	// even points of a smooth curve the error rises by 1 % at the most (half the
	// square of 1/64 of the length times the wave number of a cubic), so that
	// what passes the trial mostly holds.
	probeShare = 0.985
)

// longest returns the longest piece that starts at point i, and the point it
// ends at. The length is bracketed and halved on probes, from that of the piece
// before, and then confirmed on all points: a piece of k points costs a few
// looks at k points.
func (f *fitter) longest(i, end int) (int, Seg) {
	good, fit := i+1, Line(f.via[i], f.via[i+1])
	bad := end + 1
	for step := max(2, f.stride); good < end; step *= 2 {
		j := min(i+step, end)
		if _, ok := f.piece(i, j, probes); !ok {
			bad = j
			break
		}
		good = j
	}
	for bad-good > 1 {
		j := good + (bad-good)/2
		if _, ok := f.piece(i, j, probes); ok {
			good = j
		} else {
			bad = j
		}
	}
	// Confirm, and step back where the points between the probes object.
	for back := max(1, (good-i)/32); good > i+1; back *= 2 {
		s, ok := f.piece(i, good, len(f.pts))
		if ok {
			fit = s
			break
		}
		bad = good
		good = max(i+1, good-back)
	}
	for bad <= end && bad-good > max(1, (good-i)/64) {
		j := good + (bad-good)/2
		if s, ok := f.piece(i, j, len(f.pts)); ok {
			good, fit = j, s
		} else {
			bad = j
		}
	}
	if good == i+1 {
		fit = Line(f.via[i], f.via[good])
	}
	f.stride = good - i
	return good, fit
}

// piece fits one line or, if none will do, one arc from point i to point j. Where
// there are more points than most, only about that many are looked at and the
// answer is preliminary.
func (f *fitter) piece(i, j, most int) (Seg, bool) {
	pts := f.pts[i : j+1]
	stride, tol := 1, f.tol
	if j-i > 2*most {
		stride, tol = (j-i)/most, f.tol*probeShare
	}
	a, b := f.via[i], f.via[j]
	if j == i+1 || lineFits(pts, a, b, stride, tol) {
		return Line(a, b), true
	}
	s, ok := arcOver(pts, a, b, stride, tol)
	if !ok || stride == 1 && !arcFits(pts, s, tol) {
		return Seg{}, false
	}
	return s, true
}
