package slab

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// maxHoles bounds the holes of a piece: each is held against every other.
const maxHoles = 500

// Piece returns the one piece that the shapes of a drawing show: the largest
// contour is its outline, all others are its holes, whichever way they run. The
// outline runs counter-clockwise, the holes clockwise, in the order of the
// drawing.
//
// Errors are *SVGError with the line of the shape to blame: a shape that is not
// closed, a contour that crosses itself or another, one that lies beside the
// outline or in a hole. Also no closed shape at all, and more
// than 500 holes.
func Piece(shapes []Shape) (geom.Region, error) {
	var contours []geom.Contour
	var owner []Shape
	for _, s := range shapes {
		if err := s.closed(); err != nil {
			return nil, err
		}
		for _, c := range s.Contours {
			contours, owner = append(contours, c), append(owner, s)
		}
	}
	if len(contours) == 0 {
		return nil, errors.New("the drawing shows no closed shape: the outline of a piece is needed")
	}
	if len(contours) > 1+maxHoles {
		return nil, fmt.Errorf("the drawing has %d closed contours: a piece has an outline and %d holes at most", len(contours), maxHoles)
	}
	outer := 0
	for i, c := range contours {
		if math.Abs(c.Area()) > math.Abs(contours[outer].Area()) {
			outer = i
		}
	}
	// The outline first; then region and shapes have the same numbers.
	contours = append([]geom.Contour{contours[outer]}, append(contours[:outer:outer], contours[outer+1:]...)...)
	owner = append([]Shape{owner[outer]}, append(owner[:outer:outer], owner[outer+1:]...)...)
	region := make(geom.Region, len(contours))
	for i, c := range contours {
		if hole := i > 0; hole == (c.Area() > 0) {
			c = c.Reverse()
		}
		region[i] = c
	}
	for i, s := range owner {
		alone := region[i]
		if i > 0 {
			alone = alone.Reverse()
		}
		if err := geom.RegionOf(alone).Validate(); err != nil {
			return nil, s.blame(err)
		}
		if i > 0 && !nested(region[0], region[i]) && !crossing(region[0], region[i]) {
			p := region[i][0].A
			return nil, &SVGError{s.Line, fmt.Sprintf("%s at (%.3f, %.3f) lies beside the outline, %s in line %d: a drawing shows one piece", s.name(), p.X, p.Y, owner[0].name(), owner[0].Line)}
		}
		for k := 1; k < i; k++ {
			if nested(region[k], region[i]) {
				return nil, &SVGError{s.Line, fmt.Sprintf("%s and %s in line %d lie one in the other: a piece has an outline and holes, and nothing in a hole", s.name(), owner[k].name(), owner[k].Line)}
			}
		}
	}
	if err := region.Validate(); err != nil {
		var e *geom.InvalidError
		if errors.As(err, &e) && e.Contour >= 0 && e.Contour < len(owner) {
			return nil, owner[e.Contour].blame(err)
		}
		return nil, err
	}
	return region, nil
}

// closed is an error when a subpath of the shape is not.
func (s Shape) closed() error {
	if len(s.Paths) == 0 {
		return nil
	}
	a, b := s.Paths[0].Start(), s.Paths[0].End()
	return &SVGError{s.Line, fmt.Sprintf("%s is not closed: it goes from (%.3f, %.3f) to (%.3f, %.3f)", s.name(), a.X, a.Y, b.X, b.Y)}
}

// blame puts a fault of geometry to the shape.
func (s Shape) blame(err error) error {
	reason := err.Error()
	var e *geom.InvalidError
	if errors.As(err, &e) {
		reason = fmt.Sprintf("%s, at (%.3f, %.3f)", e.Reason, e.At.X, e.At.Y)
	}
	return &SVGError{s.Line, s.name() + ": " + reason}
}

// nested reports whether one of two contours that do not cross lies in the other.
func nested(a, b geom.Contour) bool {
	return a.Bounds().Overlaps(b.Bounds()) && !crossing(a, b) && (a.Winding(b[0].A) != 0 || b.Winding(a[0].A) != 0)
}

// crossing reports whether two contours meet.
func crossing(a, b geom.Contour) bool {
	x := geom.NewIndex(geom.Region{a})
	for _, s := range b {
		if x.BoundaryDistance(s) == 0 {
			return true
		}
	}
	return false
}
