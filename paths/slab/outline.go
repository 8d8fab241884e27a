package slab

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// Join says how neighbouring points of an outline are joined.
type Join uint8

// The joins.
const (
	StraightJoin Join = iota // by a line
	SmoothJoin               // by two arcs that keep one tangent at every point but corners
)

// Options says how Outline makes a contour of points. The zero value orders the
// points and joins them by lines.
type Options struct {
	Join Join

	// Ordered takes the points in the order given, round the edge either way.
	// Otherwise the order in which they were measured means nothing.
	Ordered bool

	// Corner is the turn, in radians, above which a point of a smooth outline
	// stays a corner; 0 means DefaultCorner. Pi keeps no corner.
	Corner float64

	// Margin is how clear the order has to be, from 0 to 1; 0 means
	// DefaultMargin. See Outline.
	Margin float64
}

const (
	// DefaultCorner is 75 degrees: five points measured round a disc turn by 72
	// degrees each and are still round, the corner of a sawn board is not.
	DefaultCorner = 75 * math.Pi / 180

	// DefaultMargin asks that another order costs at least a quarter of the most
	// that such a change of order can cost: with a fifth, about one of two thousand
	// random slabs with a notch came out in a wrong order, with a quarter none.
	DefaultMargin = 0.25

	// samePlace is the distance in mm below which two measured points are one:
	// no caliper and no touch-off tells a hundredth of a millimetre apart.
	samePlace = 0.01

	// maxOutlinePoints bounds the work of ordering, which grows as the square: a few
	// seconds for a thousand. A person measures tens of points.
	maxOutlinePoints = 1000

	// maxExtent bounds coordinates in mm: ten metres is far beyond any machine
	// that this is for and far below where a float64 loses a nanometre.
	maxExtent = 1e4
)

// PointError says which points cannot be used, and why.
type PointError struct {
	Points []int // places in the list, counted from 0
	Reason string
}

// Error names the points, counted from 1.
func (e *PointError) Error() string { return nameList(e.Points) + ": " + e.Reason }

// nameList returns "point 3" or "points 3, 4 and 7", counted from 1.
func nameList(places []int) string {
	text := "point"
	if len(places) > 1 {
		text = "points"
	}
	for i, p := range places {
		switch {
		case i == 0:
			text += " "
		case i == len(places)-1:
			text += " and "
		default:
			text += ", "
		}
		text += fmt.Sprint(p + 1)
	}
	return text
}

// Outline returns the closed outline, counter-clockwise, through points measured
// round the edge of a piece. It does not cross or touch itself.
//
// Unless o.Ordered is set, the points may come in any order, and the same points
// in another order give the same contour: it starts at the leftmost point (the
// lowest of several). The order is that of the shortest closed tour found by
// 2-opt and Or-opt exchanges (G. A. Croes, 1958; I. Or, 1976) from several starts.
// It has to be clear: there must be no other outline that does not cross itself,
// made by moving up to three neighbouring points elsewhere or by turning a
// stretch round, which is longer by less than o.Margin of the most that the
// change could make it longer. Nor may another tour, to which no exchange leads,
// be longer by less than o.Margin of the joins that it has of its own. And no
// single point may make a spike that the convex hull does not force, with joins
// less than 75 degrees apart and sides that bend by more than 35 degrees. So a
// notch is clear when a few points were measured down its sides, about as far
// apart as it is wide; a narrow one with a single point at its bottom is not.
//
// Smooth joins are pairs of arcs; the tangent at a point is that of the circle
// through it and its two neighbours, so points on a circle give that circle.
// Where the outline turns by more than o.Corner it keeps a corner, and between
// two corners it is straight.
//
// Errors are a *PointError where points are to blame: fewer than 3 points, more
// than 1000, a coordinate that is not finite or beyond 10 m, two points within
// 0.01 mm of each other, all points in one line, an order that is not clear, an
// outline that crosses or touches itself.
func Outline(points []geom.Point, o Options) (geom.Contour, error) {
	if o.Corner == 0 {
		o.Corner = DefaultCorner
	}
	if o.Margin == 0 {
		o.Margin = DefaultMargin
	}
	switch {
	case o.Join > SmoothJoin:
		return nil, fmt.Errorf("unknown join %d", o.Join)
	case !(o.Corner > 0 && o.Corner <= math.Pi):
		return nil, fmt.Errorf("corner of %g rad is not between 0 and pi", o.Corner)
	case !(o.Margin > 0 && o.Margin <= 1):
		return nil, fmt.Errorf("margin %g is not between 0 and 1", o.Margin)
	}
	if err := checkPoints(points, 3, maxOutlinePoints); err != nil {
		return nil, err
	}
	if i, j, ok := nearPair(points, samePlace); ok {
		return nil, &PointError{[]int{i, j}, fmt.Sprintf("the same place twice (%.3f, %.3f): leave one out", points[i].X, points[i].Y)}
	}
	if collinear(points, samePlace) {
		return nil, fmt.Errorf("all %d points lie in one line: an outline needs a point off it", len(points))
	}
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	if !o.Ordered {
		t, err := clearOrder(points, o.Margin)
		if err != nil {
			return nil, err
		}
		order = t
	}
	j := joins{points: points, order: order}
	j.turnCCW()
	if err := j.checkFolds(); err != nil {
		return nil, err
	}
	if o.Join == SmoothJoin {
		j.smooth(o.Corner)
	} else {
		j.straight()
	}
	if err := j.checkApart(); err != nil {
		return nil, err
	}
	return j.contour, nil
}

// checkPoints refuses too few, too many and impossible points.
func checkPoints(points []geom.Point, least, most int) error {
	switch n := len(points); {
	case n < least:
		return fmt.Errorf("%d points: at least %d are needed", n, least)
	case n > most:
		return fmt.Errorf("%d points: at most %d are taken", n, most)
	}
	for i, p := range points {
		if !p.Finite() {
			return &PointError{[]int{i}, "a coordinate is not a finite number"}
		}
		if math.Abs(p.X) > maxExtent || math.Abs(p.Y) > maxExtent {
			return &PointError{[]int{i}, fmt.Sprintf("(%g, %g) is beyond %g m: check the unit", p.X, p.Y, maxExtent/1000)}
		}
	}
	return nil
}

// nearPair returns the first two points that lie nearer together than d.
func nearPair(points []geom.Point, d float64) (i, j int, ok bool) {
	for i := range points {
		for j := i + 1; j < len(points); j++ {
			if points[i].Dist(points[j]) < d {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// collinear reports whether no point lies further than d from a line through two
// of them that are far apart.
func collinear(points []geom.Point, d float64) bool {
	a, b := points[0], points[0]
	for _, p := range points {
		if p.Dist(points[0]) > a.Dist(points[0]) {
			a = p
		}
	}
	for _, p := range points {
		if p.Dist(a) > b.Dist(a) {
			b = p
		}
	}
	u := b.Sub(a).Unit()
	for _, p := range points {
		if math.Abs(u.Cross(p.Sub(a))) > d {
			return false
		}
	}
	return true
}
