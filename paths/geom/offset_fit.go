package geom

import (
	"math"
	"slices"
)

// Dense polylines are fitted with arcs before they are offset: what follows then
// works on hundreds of segments instead of tens of thousands of chords. The fit is
// within its tolerance of the source both ways, and the offset is widened by
// that, so that it stays clear of the source by the full distance, and every
// point farther from the source by twice the tolerance is on its far side. Where
// corners of a level would be farther off than that they are put in their places
// (see sharpen), and where that cannot be done the level is made from the source.

const (
	// fitTol is the tolerance of a fit in mm. Twice that is what a level may be off by:
	// it leaves some of the micrometre that is promised for the ways to corners.
	fitTol = 4e-4
	// fitMiss is how far in mm a point of the true offset may lie beyond the one
	// that is made, less than the micrometre that is promised.
	fitMiss  = 0.99e-3
	fitSlack = Tol / 100 // what rounding may add to a tolerance
	fitLeast = 0.03      // mm, the least distance at which a fit is used, far more than its tolerance
	fitSize  = 48        // the least number of segments of a contour to fit
	fitGain  = 3         // the least factor by which it must have fewer segments
)

// standIns are the source of offsets and the fit that stands for it, made when it
// is asked for first.
type standIns struct {
	o      OffsetOptions
	source standIn
	fit    standIn
	fitted bool   // fit is made; it may be the source itself
	index  *Index // of the source, made when it is asked for first
	found  []tip  // of a level, memory
}

type standIn struct {
	r     Region
	slack float64    // how far it may lie off the source, 0 for itself
	turn  float64    // sine of the greatest turn between chords that are no corner of a curve
	sides [2]*levels // outward and inward
}

func newStandIns(r Region, o OffsetOptions) *standIns {
	return &standIns{o: o, source: standIn{r: r}}
}

// free gives the memory of all levels back.
func (s *standIns) free() {
	for _, f := range [2]*standIn{&s.fit, &s.source} {
		for _, l := range f.sides {
			if l != nil {
				l.free()
			}
		}
	}
}

// at returns the offset at distance d to a side, 0 outward and 1 inward. next is
// the next greater distance on that side that will be asked for, 0 when there is
// none, and ahead the greatest. What it is made from depends on d alone.
func (s *standIns) at(d float64, side int, next, ahead float64) (Region, error) {
	if !s.fitted {
		s.fit, s.fitted = fitDense(s.source.r, fitTol), true
	}
	if s.fit.slack > 0 {
		out, err := s.fit.level(s.o, d, side, next, ahead)
		if err != nil {
			return nil, err
		}
		if s.sharpen(out, d) {
			return out, nil
		}
	}
	return s.source.level(s.o, d, side, next, ahead)
}

// level returns the offset of a stand-in, widened by what it may lie off the source.
func (f *standIn) level(o OffsetOptions, d float64, side int, next, ahead float64) (Region, error) {
	if f.sides[side] == nil {
		f.sides[side] = newLevels(f.r, side == 1, o)
	}
	l := f.sides[side]
	l.t.ahead, l.t.next = ahead+f.slack, 0
	if next > 0 {
		l.t.next = next + f.slack
	}
	return l.at(d + f.slack)
}

// fitDense replaces the contours of r that are dense polylines by fits within tol,
// of which the slack is 0 when there are none.
func fitDense(r Region, tol float64) standIn {
	out := standIn{r: r}
	for i, c := range r {
		turn, ok := dense(c, tol)
		if !ok {
			continue
		}
		pts := make([]Point, len(c))
		for j, s := range c {
			pts[j] = s.A
		}
		f := (&fitter{tol: tol, ease: true}).fit(pts, true)
		if len(f) == 0 || len(f)*fitGain > len(c) {
			continue
		}
		if out.slack == 0 {
			out.r, out.slack = slices.Clone(r), tol+fitSlack
		}
		out.turn = max(out.turn, turn)
		out.r[i] = Contour(f)
	}
	return out
}

// dense reports whether a contour may be a curve in chords: without arcs, and
// with few turns that are sharp or too far apart for an arc to be so near. It
// returns the sine of the greatest of the others.
func dense(c Contour, tol float64) (turn float64, ok bool) {
	if len(c) < fitSize {
		return 0, false
	}
	sharp, most2 := 0, 0.0
	// An arc is off the middle of a chord of length l with a turn t at its end by
	// l*t/8 where it meets the ends, by half of that at best.
	most := 8 * 2.5 * tol
	for i, s := range c {
		if s.IsArc() {
			return 0, false
		}
		u, v := s.B.Sub(s.A), c[(i+1)%len(c)].B.Sub(s.B)
		if d, x := u.Dot(v), u.Cross(v); d <= 0 || math.Abs(x) > d/2 || math.Abs(x) > most*v.Len() {
			sharp++
		} else {
			most2 = max(most2, x*x/(u.Dot(u)*v.Dot(v)))
		}
	}
	return math.Sqrt(most2), sharp*2*fitGain < len(c)
}

// directions returns the directions of travel at the ends of a segment, of any length.
func (s *Seg) directions() (from, to Point) {
	if s.Turn == Straight {
		v := s.B.Sub(s.A)
		return v, v
	}
	turn := float64(s.Turn)
	return s.A.Sub(s.C).Left().Mul(turn), s.B.Sub(s.C).Left().Mul(turn)
}
