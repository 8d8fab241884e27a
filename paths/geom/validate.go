package geom

import (
	"fmt"
	"math"
)

// InvalidError says what is wrong with a path, contour or region, and where.
type InvalidError struct {
	Contour int // index of the contour, -1 for a lone path or contour
	Seg     int // index of the segment, -1 when the whole contour is meant
	At      Point
	Reason  string
}

// Error names contour and segment by index, counted from 0, and the place.
func (e *InvalidError) Error() string {
	where := ""
	if e.Contour >= 0 {
		where = fmt.Sprintf("contour %d: ", e.Contour)
	}
	if e.Seg >= 0 {
		where += fmt.Sprintf("segment %d at (%g, %g): ", e.Seg, e.At.X, e.At.Y)
	}
	return where + e.Reason
}

// maxCoordinate bounds coordinates and radii in mm: a million kilometres, where
// a float64 still tells squares apart from infinity by far.
const maxCoordinate = 1e12

// Validate refuses what the other functions give no meaning to: coordinates
// that are not finite or beyond 1e12 mm, an unknown turn, an arc whose ends lie
// at different distances from its centre or which has no radius, and a nearly
// full circle whose ends differ by less than Tol. A segment without length is allowed.
func (s Seg) Validate() error {
	if reason := s.fault(); reason != "" {
		return &InvalidError{Contour: -1, Seg: -1, At: s.A, Reason: reason}
	}
	return nil
}

// fault returns what is wrong with the segment, or nothing.
func (s Seg) fault() string {
	pts := [3]Point{s.A, s.B, s.C}
	if s.Turn == Straight {
		pts[2] = s.A // the centre means nothing
	}
	for _, p := range pts {
		if !p.Finite() {
			return "coordinate is not a finite number"
		}
		if math.Abs(p.X) > maxCoordinate || math.Abs(p.Y) > maxCoordinate {
			return fmt.Sprintf("coordinate beyond %g mm", maxCoordinate)
		}
	}
	switch s.Turn {
	case Straight:
		return ""
	case CCW, CW:
	default:
		return fmt.Sprintf("turn %d is none of straight, CCW, CW", s.Turn)
	}
	lo, hi := s.band()
	switch {
	case hi == 0 || lo == 0:
		return "arc has no radius"
	case hi-lo > Tol:
		return fmt.Sprintf("arc ends lie %g mm and %g mm from the centre, which differ by more than %g mm",
			s.A.Dist(s.C), s.B.Dist(s.C), Tol)
	case s.nearCircle():
		return fmt.Sprintf("arc is a full circle but for %g mm: a full circle ends exactly where it starts", s.A.Dist(s.B))
	}
	return ""
}

// nearCircle reports whether the segment is a full circle but for less than Tol.
func (s Seg) nearCircle() bool {
	if s.Turn == Straight || s.A == s.B || !(s.A.Dist(s.B) < Tol) {
		return false
	}
	_, r := s.band()
	return r > Tol && math.Abs(s.Sweep()) > math.Pi
}

// checkChain returns the first fault of the chain, with its place.
func checkChain(segs []Seg, closed bool) *InvalidError {
	for i, s := range segs {
		if reason := s.fault(); reason != "" {
			return &InvalidError{Contour: -1, Seg: i, At: s.A, Reason: reason}
		}
		if i > 0 {
			if gap := segs[i-1].B.Dist(s.A); gap > Tol {
				return &InvalidError{-1, i, s.A, fmt.Sprintf("starts %g mm from the end of the segment before", gap)}
			}
		}
	}
	if closed && len(segs) > 0 {
		last := segs[len(segs)-1]
		if gap := last.B.Dist(segs[0].A); gap > Tol {
			return &InvalidError{-1, len(segs) - 1, last.A, fmt.Sprintf("ends %g mm from the start of the contour: not closed", gap)}
		}
	}
	return nil
}

// Validate reports the first fault of the path as an *InvalidError: a fault of
// a segment (see Seg.Validate) or a gap wider than Tol between two of them.
func (p Path) Validate() error {
	if e := checkChain(p, false); e != nil {
		return e
	}
	return nil
}

// Validate reports the first fault of the contour as an *InvalidError: no
// segment, a fault of one, or a gap wider than Tol. Crossings are for Region.Validate.
func (c Contour) Validate() error {
	if e := c.check(); e != nil {
		return e
	}
	return nil
}

func (c Contour) check() *InvalidError {
	if len(c) == 0 {
		return &InvalidError{Contour: -1, Seg: -1, Reason: "contour has no segment"}
	}
	return checkChain(c, true)
}

// sideStep is how far beside a segment Region.Validate asks for inside and
// outside: well beyond Tol, well below anything that is cut.
const sideStep = 4 * Tol

// Validate reports the first fault of the region as an *InvalidError: a fault of
// a contour (see Contour.Validate), two segments that cross or run along each
// other, or a segment that has not the inside to its left and the outside to its
// right (a contour travelled the wrong way round, or lying in another's inside
// without being its hole). Contours may touch at points, and run within 4 nm of each
// other: which side is inside is not looked at there. Cost grows as n log n.
func (r Region) Validate() error {
	for i, c := range r {
		if e := c.check(); e != nil {
			e.Contour = i
			return e
		}
	}
	x := NewIndex(r)
	for i, c := range r {
		for k, s := range c {
			if e := x.checkCrossing(Ref{i, k}, s); e != nil {
				return e
			}
		}
	}
	for i, c := range r {
		for k, s := range c {
			if e := x.checkSides(Ref{i, k}, s); e != nil {
				return e
			}
		}
	}
	return nil
}

// checkCrossing looks for a segment that crosses s away from the ends of both,
// or runs along it.
func (x *Index) checkCrossing(at Ref, s Seg) (fault *InvalidError) {
	x.Visit(s.Bounds(), func(o Ref, t Seg) bool {
		if o.Contour < at.Contour || o.Contour == at.Contour && o.Seg <= at.Seg {
			return true
		}
		hits := s.Intersect(t)
		for _, p := range hits {
			if p.Dist(s.A) > Tol && p.Dist(s.B) > Tol && p.Dist(t.A) > Tol && p.Dist(t.B) > Tol &&
				transverse(s, t, p) {
				fault = &InvalidError{at.Contour, at.Seg, s.A,
					fmt.Sprintf("crosses segment %d of contour %d at (%g, %g)", o.Seg, o.Contour, p.X, p.Y)}
				return false
			}
		}
		for i := 1; i < len(hits); i++ {
			mid := s.At((s.param(hits[i-1]) + s.param(hits[i])) / 2)
			if hits[i-1].Dist(hits[i]) > sideStep && t.Distance(mid) <= Tol && sameCarrier(s, t) {
				fault = &InvalidError{at.Contour, at.Seg, s.A,
					fmt.Sprintf("runs along segment %d of contour %d near (%g, %g)", o.Seg, o.Contour, mid.X, mid.Y)}
				return false
			}
		}
		return true
	})
	return fault
}

// transverse reports whether the segments pass through each other at p rather
// than touch: a touch leaves the depth of penetration within Tol.
func transverse(s, t Seg, p Point) bool {
	u, v := s.Tangent(s.param(p)), t.Tangent(t.param(p))
	bend := s.curvature() - t.curvature()
	if u.Dot(v) < 0 {
		bend = s.curvature() + t.curvature() // t runs the other way, and bends to its other side
	}
	sin := math.Abs(u.Cross(v))
	bend = math.Abs(bend)
	// Two curves that meet at angle a and bend apart by k are a x + k x^2/2 apart at x
	// on the one side. On the other they part again after 2a/k, having passed each
	// other by a^2/(2k).
	x := min(p.Dist(s.A), p.Dist(s.B), p.Dist(t.A), p.Dist(t.B))
	return sin*x+bend*x*x/2 > Tol && (bend == 0 || sin*sin/(2*bend) > Tol)
}

// checkSides asks for the winding numbers on both sides of s, at places along it
// that are not likely to be touched all by another contour. Between crossings
// the numbers are the same everywhere along s.
func (x *Index) checkSides(at Ref, s Seg) *InvalidError {
	if s.Length() < 4*sideStep || s.IsArc() && s.Radius() < 4*sideStep {
		return nil
	}
	var left, right, told int
	for _, t := range [3]float64{0.5, 0.31, 0.83} {
		p, step := s.At(t), s.Tangent(t).Left().Mul(sideStep)
		var onLeft, onRight bool
		left, onLeft = x.winding(p.Add(step), len(x.levels)-1, 0)
		right, onRight = x.winding(p.Sub(step), len(x.levels)-1, 0)
		if onLeft || onRight || left == 1 && right == 0 {
			return nil
		}
		if !x.crowded(at, p) {
			told++
		}
	}
	if told == 0 {
		return nil
	}
	reason := fmt.Sprintf("has winding number %d to its left and %d to its right, not 1 and 0: ", left, right)
	switch {
	case left == 0:
		reason += "an outer contour must run counter-clockwise"
	case left == 2:
		reason += "a hole must run clockwise, and areas must not overlap"
	default:
		reason += "contours overlap or cross"
	}
	return &InvalidError{at.Contour, at.Seg, s.A, reason}
}

// crowded reports whether another segment comes within sideStep of p: a step
// aside from there may cross it.
func (x *Index) crowded(at Ref, p Point) (near bool) {
	x.Visit(Box{p, p}.Grow(sideStep), func(o Ref, t Seg) bool {
		near = o != at && t.Distance(p) <= sideStep
		return !near
	})
	return near
}
