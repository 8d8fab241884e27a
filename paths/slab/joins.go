package slab

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"proofcut/paths/geom"
)

// joins is an outline in the making: points in their order and the segments that
// join each to the next.
type joins struct {
	points  []geom.Point // as the caller gave them
	order   []int        // indices into points, round the edge
	contour geom.Contour
	from    []int // for each segment, the place in order of the point it comes from
}

func (j *joins) at(k int) geom.Point {
	n := len(j.order)
	return j.points[j.order[((k%n)+n)%n]]
}

// turnCCW makes the outline run counter-clockwise from the same first point.
func (j *joins) turnCCW() {
	area := 0.0
	for k := range j.order {
		area += j.at(k).Sub(j.at(0)).Cross(j.at(k + 1).Sub(j.at(0)))
	}
	if area < 0 {
		slices.Reverse(j.order[1:])
	}
}

// checkFolds refuses an outline that runs back along itself at a point.
func (j *joins) checkFolds() error {
	n := len(j.order)
	for k := range j.order {
		a, b, c := j.at(k-1), j.at(k), j.at(k+1)
		u, v := b.Sub(a), c.Sub(b)
		if u.Dot(v) < 0 && geom.Line(a, b).DistanceTo(geom.Line(c, c)) <= geom.Tol ||
			u.Dot(v) < 0 && geom.Line(b, c).DistanceTo(geom.Line(a, a)) <= geom.Tol {
			return &PointError{[]int{j.order[(k-1+n)%n], j.order[k], j.order[(k+1)%n]},
				"the outline runs back along itself here"}
		}
	}
	return nil
}

func (j *joins) add(k int, s geom.Seg) {
	if s.A != s.B {
		j.contour = append(j.contour, s)
		j.from = append(j.from, k)
	}
}

func (j *joins) straight() {
	for k := range j.order {
		j.add(k, geom.Line(j.at(k), j.at(k+1)))
	}
}

// smooth joins the points by biarcs. Where the outline turns by more than corner
// the joins on both sides are free to leave in any direction.
func (j *joins) smooth(corner float64) {
	n := len(j.order)
	tangent := make([]geom.Point, n) // zero at a corner
	for k := range n {
		u, v := j.at(k).Sub(j.at(k-1)), j.at(k+1).Sub(j.at(k))
		if turn := math.Abs(math.Atan2(u.Cross(v), u.Dot(v))); turn <= corner {
			// The tangent at b of the circle through a, b and c has the direction
			// u/|u|^2 + v/|v|^2: the derivative there of the parabola through the
			// three and of the circle have one direction after inversion about b.
			tangent[k] = u.Mul(1 / u.Dot(u)).Add(v.Mul(1 / v.Dot(v))).Unit()
		}
	}
	for k := range n {
		a, b := j.at(k), j.at(k+1)
		s, e := tangent[k], tangent[(k+1)%n]
		chord := b.Sub(a).Unit()
		mirror := func(t geom.Point) geom.Point { return chord.Mul(2 * chord.Dot(t)).Sub(t) }
		none := geom.Point{}
		switch {
		case s == none && e == none:
			s, e = chord, chord
		case s == none:
			s = mirror(e) // one arc
		case e == none:
			e = mirror(s)
		}
		first, second := biarc(a, s, b, e)
		j.add(k, first)
		j.add(k, second)
	}
}

// biarc returns two arcs or lines from a to b that leave a along the unit vector
// s, reach b along e and meet with one tangent. Of the one-parameter family it is
// the pair whose control polygons have legs of one length d, the root of
//
//	2 d^2 (1 - s.e) + 2 d v.(s+e) - v.v = 0,   v = b - a
//
// (K. M. Bolton, Biarc curves, Computer-Aided Design 7, 1975).
func biarc(a, s, b, e geom.Point) (first, second geom.Seg) {
	v := b.Sub(a)
	p, q := v.Dot(s.Add(e)), 1-s.Dot(e)
	// The root free of cancellation: (sqrt(p^2 + 2 q v.v) - p) / (2 q). Tangents
	// within a right angle of the chord, as here, have p > 0.
	d := v.Dot(v) / (p + math.Sqrt(p*p+2*q*v.Dot(v)))
	if !(p > 0) || !(d > 0) {
		return geom.Line(a, b), geom.Seg{}
	}
	joint := a.Lerp(b, 0.5).Add(s.Sub(e).Mul(d / 2))
	return arcAlong(a, s, joint), arcAlong(b, e.Mul(-1), joint).Reverse()
}

// arcAlong returns the arc from a to b that leaves along the unit vector t, or
// the line where the arc is as good as straight.
func arcAlong(a, t, b geom.Point) geom.Seg {
	w, n := b.Sub(a), t.Left()
	off := w.Dot(n) // the rise of the arc over its chord is a quarter of this
	if math.Abs(off) < geom.Tol {
		return geom.Line(a, b)
	}
	r := w.Dot(w) / (2 * off)
	turn := geom.CCW
	if r < 0 {
		turn = geom.CW
	}
	return geom.Arc(a, b, a.Add(n.Mul(r)), turn)
}

// checkApart refuses an outline that crosses or touches itself.
func (j *joins) checkApart() error {
	n := len(j.order)
	x := geom.NewIndex(geom.Region{j.contour})
	var fault error
	for i, s := range j.contour {
		k := j.from[i]
		x.Visit(s.Bounds().Grow(geom.Tol), func(o geom.Ref, t geom.Seg) bool {
			m := j.from[o.Seg]
			if o.Seg <= i || m == k || m == (k+1)%n || k == (m+1)%n || s.DistanceTo(t) > geom.Tol {
				return true
			}
			fault = j.crossing(k, m, s.Intersect(t))
			return false
		})
		if fault != nil {
			return fault
		}
	}
	// What is left are joins that share a point and meet again.
	if err := (geom.Region{j.contour}).Validate(); err != nil {
		var e *geom.InvalidError
		if errors.As(err, &e) && e.Seg >= 0 && e.Seg < len(j.from) {
			k := j.from[e.Seg]
			return &PointError{[]int{j.order[k], j.order[(k+1)%n]}, "the join between them " + e.Reason}
		}
		return err
	}
	return nil
}

func (j *joins) crossing(k, m int, at []geom.Point) error {
	n := len(j.order)
	place := ""
	if len(at) > 0 {
		place = fmt.Sprintf(" near (%.3f, %.3f)", at[0].X, at[0].Y)
	}
	return &PointError{[]int{j.order[k], j.order[(k+1)%n], j.order[m], j.order[(m+1)%n]},
		fmt.Sprintf("the outline crosses or touches itself%s: the join from %d to %d meets that from %d to %d",
			place, j.order[k]+1, j.order[(k+1)%n]+1, j.order[m]+1, j.order[(m+1)%n]+1)}
}
