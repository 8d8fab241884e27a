package slab

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Surface is the height of a face of the stock over the plane.
type Surface = setup.Surface

const (
	// maxSlope is the slope above which probed heights are refused: 1 in 5, about
	// 11 degrees, is no face that lies on a machine table but a slipped probe.
	maxSlope = 0.2

	// maxProbe bounds the points of a fit; a probed grid of 140 by 140 is a day's
	// work for a machine.
	maxProbe = 20_000
)

// checkProbe refuses points that no face goes through.
func checkProbe(points []geom.Point3, least int) ([]geom.Point, error) {
	flat := make([]geom.Point, len(points))
	for i, p := range points {
		flat[i] = p.XY()
	}
	if err := checkPoints(flat, least, maxProbe); err != nil {
		return nil, err
	}
	for i, p := range points {
		if !p.Finite() {
			return nil, &PointError{[]int{i}, "the height is not a finite number"}
		}
		if math.Abs(p.Z) > maxExtent {
			return nil, &PointError{[]int{i}, fmt.Sprintf("the height %g is beyond %g m: check the unit", p.Z, maxExtent/1000)}
		}
	}
	if collinear(flat, samePlace) {
		return nil, fmt.Errorf("all %d points lie in one line, which leaves the tilt across it open: probe a point off it", len(points))
	}
	return flat, nil
}

// Plane is the plane z = Height0 + SlopeX (x - Origin.X) + SlopeY (y - Origin.Y).
type Plane struct {
	Origin         geom.Point // middle of the points it was fitted to
	Height0        float64    // height there, mm
	SlopeX, SlopeY float64    // rise over run
}

// Height returns the height in mm at p.
func (p Plane) Height(q geom.Point) float64 {
	return p.Height0 + p.SlopeX*(q.X-p.Origin.X) + p.SlopeY*(q.Y-p.Origin.Y)
}

// Lipschitz returns the slope.
func (p Plane) Lipschitz() float64 { return math.Hypot(p.SlopeX, p.SlopeY) }

// Tilt returns the angle between the plane and the level, in radians.
func (p Plane) Tilt() float64 { return math.Atan(p.Lipschitz()) }

// Direction returns the direction in which the plane rises most, as an angle from
// X in radians, counter-clockwise; 0 where it is level.
func (p Plane) Direction() float64 { return math.Atan2(p.SlopeY, p.SlopeX) }

// Flatness says how a surface and probed points differ.
type Flatness struct {
	Residuals []float64 // for each point, probed height minus that of the surface, mm
	RMS       float64   // root of the mean of their squares, mm
	Worst     int       // index of the largest

	// Bow is the height of the lowest slice between two planes parallel to the
	// fitted one that holds all points, mm: the largest residual less the least.
	Bow float64
}

// Deviation returns how the points differ from the surface. Heights that are not
// finite give numbers that are not.
func Deviation(s Surface, points []geom.Point3) Flatness {
	var f Flatness
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, p := range points {
		r := p.Z - s.Height(p.XY())
		f.Residuals = append(f.Residuals, r)
		f.RMS += r * r
		lo, hi = math.Min(lo, r), math.Max(hi, r)
		if math.Abs(r) > math.Abs(f.Residuals[f.Worst]) {
			f.Worst = i
		}
	}
	if n := len(points); n > 0 {
		f.RMS = math.Sqrt(f.RMS / float64(n))
		f.Bow = hi - lo
	}
	return f
}

// FitPlane returns the plane through probed points with the least sum of squared
// differences in height, and how the points differ from it. A difference of more
// than limit (mm) is an error that names the point; the plane and the differences
// are returned beside it. A limit of 0 allows any.
//
// Other errors: fewer than 3 points or more than 20 000, coordinates that are not
// finite or beyond 10 m, all points in one line, a slope over 1 in 5.
func FitPlane(points []geom.Point3, limit float64) (Plane, Flatness, error) {
	if !(limit >= 0) {
		return Plane{}, Flatness{}, fmt.Errorf("limit of %g mm is out of range", limit)
	}
	flat, err := checkProbe(points, 3)
	if err != nil {
		return Plane{}, Flatness{}, err
	}
	n := float64(len(points))
	var p Plane
	for i, q := range flat {
		p.Origin = p.Origin.Add(q.Mul(1 / n))
		p.Height0 += points[i].Z / n
	}
	var xx, xy, yy, xz, yz float64 // the normal equations about the middle
	for i, q := range flat {
		d, z := q.Sub(p.Origin), points[i].Z-p.Height0
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
		xz, yz = xz+d.X*z, yz+d.Y*z
	}
	det := xx*yy - xy*xy
	if !(det > 0) {
		return Plane{}, Flatness{}, errors.New("the points lie too nearly in one line for a plane")
	}
	p.SlopeX, p.SlopeY = (xz*yy-yz*xy)/det, (yz*xx-xz*xy)/det
	f := Deviation(p, points)
	switch worst := math.Abs(f.Residuals[f.Worst]); {
	case !(p.Lipschitz() <= maxSlope):
		return p, f, fmt.Errorf("the plane rises %.3g in 1, over %g: probe again, or set the slab straight", p.Lipschitz(), maxSlope)
	case limit > 0 && worst > limit:
		return p, f, &PointError{[]int{f.Worst}, fmt.Sprintf("lies %.3f mm from the plane, over the limit of %g mm", worst, limit)}
	}
	return p, f, nil
}
