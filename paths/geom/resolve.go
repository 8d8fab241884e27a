package geom

import (
	"fmt"
	"math"
)

// FillRule says which points a set of closed contours encloses, by the number
// of times that the contours run round the point, counter-clockwise positive.
type FillRule uint8

// The fill rules.
const (
	EvenOdd FillRule = iota // the number is odd
	NonZero                 // the number is not zero
)

// Resolve brings closed contours of any kind into the shape of a Region: they
// may cross and touch themselves and each other, overlap, nest, run either way,
// have spikes, repeated points and segments of no length. The result encloses
// the points that the rule names; it has no part without area. Arcs stay arcs:
// pieces of them end where curves cross, and keep their centres.
//
// Contours must be closed; gaps up to ten times Tol are closed silently.
// Errors: an open contour, a coordinate that is not finite or exceeds 2^36 mm,
// an unknown rule.
func Resolve(contours []Contour, rule FillRule) (Region, error) {
	if rule > NonZero {
		return nil, fmt.Errorf("unknown fill rule %d", rule)
	}
	return arrange(contours, nil, func(w windings) bool { return rule.encloses(w[0]) })
}

func (f FillRule) encloses(w int32) bool {
	if f == EvenOdd {
		return w&1 != 0
	}
	return w != 0
}

// arrange returns the faces of the arrangement of two groups of contours for
// which inside holds.
func arrange(a, b []Contour, inside func(windings) bool) (Region, error) {
	n, span := 0, 0.0
	for _, group := range [2][]Contour{a, b} {
		for _, c := range group {
			n += len(c)
			for _, s := range c {
				span = max(span, math.Abs(s.A.X), math.Abs(s.A.Y))
				if s.IsArc() {
					span = max(span, math.Abs(s.C.X), math.Abs(s.C.Y))
				}
			}
		}
	}
	l := newLattice(n, span)
	for i, c := range a {
		if err := l.add(c, 0, i); err != nil {
			return nil, err
		}
	}
	for i, c := range b {
		if err := l.add(c, 1, i); err != nil {
			return nil, err
		}
	}
	return l.faces(inside)
}

// faces settles the arrangement and returns the faces for which inside holds.
func (l *lattice) faces(inside func(windings) bool) (Region, error) {
	if err := l.settle(); err != nil {
		return nil, err
	}
	g, err := l.newGraph()
	if err != nil {
		return nil, err
	}
	return g.region(inside)
}
