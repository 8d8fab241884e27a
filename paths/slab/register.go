package slab

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// Defaults of FitOptions.
const (
	// DefaultFitLimit is the residual in mm above which a registration is refused:
	// what an edge finder and a careful hand reach together (common practice, no
	// source).
	DefaultFitLimit = 0.1

	// DefaultSpacing is the least distance in mm between two points: an error of
	// DefaultFitLimit over it turns the job by about a degree at most.
	DefaultSpacing = 5

	// maxFitPoints bounds the work of comparing all pairs.
	maxFitPoints = 1000
)

// FitOptions says how Register fits. The zero value turns and shifts only.
type FitOptions struct {
	Scale   bool    // also fit one scale for both axes
	Limit   float64 // largest residual allowed, mm; 0 means DefaultFitLimit
	Spacing float64 // least distance between two points, mm, before and after; 0 means DefaultSpacing
}

// Fit is a registration: the map from one set of coordinates to another.
type Fit struct {
	Map   geom.Similarity
	Angle float64 // of the turn, counter-clockwise, in (-pi, pi]
	Scale float64 // of the map, 1 unless it was asked for

	// Rigid is the map without its scale: the same turn, and the middle of the
	// points goes to the same place. It is for what keeps its size.
	Rigid geom.Similarity

	// Spare is how many measured coordinates there are beyond the unknowns: 0
	// means that nothing checks the fit.
	Spare int

	// Ratio is the scale that fits best, asked for or not: far from 1 it tells of
	// a wrong resolution or unit.
	Ratio float64

	Residuals []geom.Point // for each pair, where it was touched off minus where the map puts it, mm
	RMS       float64      // root of the mean square of their lengths
	Worst     int          // index of the longest
}

// Largest returns the length of the longest residual in mm.
func (f Fit) Largest() float64 {
	if f.Worst >= len(f.Residuals) {
		return 0
	}
	return f.Residuals[f.Worst].Len()
}

// Register returns the turn, shift and, if asked for, scale that take the points
// from to the points to, pair by pair, with the least sum of squared residuals.
// It is the closed form for the plane: with the points as complex numbers about
// their means, the turn is the angle of sum(conj(a) b), and the scale its size
// over sum |a|^2 (B. K. P. Horn, Closed-form solution of absolute orientation
// using unit quaternions, J. Opt. Soc. Am. A 4, 1987; S. Umeyama, Least-squares
// estimation of transformation parameters between two point patterns, IEEE Trans.
// PAMI 13, 1991).
//
// Two points fix turn and shift; only their distance checks them. With three or
// more it is known whether one set is the mirror image of the other.
//
// Errors: fewer than two pairs or more than 1000, lists of different length, a
// coordinate that is not finite or beyond 10 m, two points nearer together than
// o.Spacing, points that fit mirrored but not as they are, and a residual over
// o.Limit. With the last two the Fit is returned beside the error, so that its
// residuals can be shown.
func Register(from, to []geom.Point, o FitOptions) (Fit, error) {
	if err := o.normal(); err != nil {
		return Fit{}, err
	}
	if len(from) != len(to) {
		return Fit{}, fmt.Errorf("%d points, but %d places where they were touched off", len(from), len(to))
	}
	for _, side := range []struct {
		name   string
		points []geom.Point
	}{{"of the drawing", from}, {"touched off", to}} {
		if err := checkPoints(side.points, 2, maxFitPoints); err != nil {
			return Fit{}, fmt.Errorf("%s: %w", side.name, err)
		}
		if i, j, near := nearPair(side.points, o.Spacing); near {
			return Fit{}, fmt.Errorf("%s: %w", side.name, &PointError{[]int{i, j},
				fmt.Sprintf("only %.3f mm apart, which fixes no direction: take points at least %g mm apart", side.points[i].Dist(side.points[j]), o.Spacing)})
		}
	}
	f := fit(from, to, o.Scale, false)
	if f.Largest() <= o.Limit {
		return f, nil
	}
	if mirrored := fit(from, to, o.Scale, true); len(from) > 2 && mirrored.Largest() <= o.Limit {
		return f, fmt.Errorf("the points are mirrored: turned over they fit within %.3f mm, as they are only within %.3f mm; check the signs of X and Y and which face is up", mirrored.Largest(), f.Largest())
	}
	hint := ""
	if !o.Scale && fit(from, to, true, false).Largest() <= o.Limit {
		hint = fmt.Sprintf("; a scale of %.5f would fit", f.Ratio)
	}
	return f, &PointError{[]int{f.Worst}, fmt.Sprintf("lies %.3f mm from where the others put it, over the limit of %g mm%s", f.Largest(), o.Limit, hint)}
}

// normal fills in the defaults and refuses what is out of range.
func (o *FitOptions) normal() error {
	if o.Limit == 0 {
		o.Limit = DefaultFitLimit
	}
	if o.Spacing == 0 {
		o.Spacing = DefaultSpacing
	}
	switch {
	case !(o.Limit > 0 && o.Limit <= maxExtent):
		return fmt.Errorf("limit of %g mm is out of range", o.Limit)
	case !(o.Spacing >= samePlace && o.Spacing <= maxExtent):
		return fmt.Errorf("spacing of %g mm is out of range", o.Spacing)
	}
	return nil
}

// compose makes the maps from turn and scale and from where the middle goes.
func (f *Fit) compose(middle, to geom.Point, mirror bool) {
	m := geom.Translate(middle.Mul(-1))
	if mirror {
		m = m.Then(geom.MirrorX())
	}
	m = m.Then(geom.Rotate(f.Angle))
	f.Rigid = m.Then(geom.Translate(to))
	if f.Scale != 1 {
		m = m.Then(geom.Scale(f.Scale))
	}
	f.Map = m.Then(geom.Translate(to))
}

// fit returns the best map of the kind; the points are checked.
func fit(from, to []geom.Point, scale, mirror bool) Fit {
	n := float64(len(from))
	var p, q geom.Point // means
	for i := range from {
		p, q = p.Add(from[i].Mul(1/n)), q.Add(to[i].Mul(1/n))
	}
	var sum geom.Point // of conj(a) b
	size := 0.0
	for i := range from {
		a, b := from[i].Sub(p), to[i].Sub(q)
		if mirror {
			a.Y = -a.Y
		}
		sum = sum.Add(geom.Pt(a.Dot(b), a.Cross(b)))
		size += a.Dot(a)
	}
	f := Fit{Angle: sum.Angle(), Scale: 1, Ratio: sum.Len() / size}
	if scale && f.Ratio > 0 {
		f.Scale = f.Ratio
	}
	f.compose(p, q, mirror)
	f.Spare = 2*len(from) - 3
	if scale {
		f.Spare--
	}
	for i := range from {
		r := to[i].Sub(f.Map.Apply(from[i]))
		f.Residuals = append(f.Residuals, r)
		f.RMS += r.Dot(r)
		if r.Len() > f.Residuals[f.Worst].Len() {
			f.Worst = i
		}
	}
	f.RMS = math.Sqrt(f.RMS / n)
	return f
}
