package nest

import (
	"context"
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// Turning says which ways a shape may be turned on the stock. The zero value is
// a shape that stays as it is drawn.
type Turning struct {
	Free      bool    // any way; nothing else counts then
	Angle     float64 // by which the outline is turned, radians counter-clockwise
	Tolerance float64 // by how much more or less it may be turned, radians
	HalfTurn  bool    // the other way round is as good
}

// allows reports whether an angle is one of those that the turning allows, to
// within the rounding of an angle.
func (t Turning) allows(angle float64) bool {
	if t.Free {
		return true
	}
	off := math.Abs(math.Remainder(angle-t.Angle, 2*math.Pi))
	if t.HalfTurn {
		off = math.Min(off, math.Pi-off)
	}
	return off <= t.Tolerance+angleRounding
}

// angleRounding is the rounding of an angle in radians: less than a nanometre
// on any stock.
const angleRounding = 1e-12

// Shape is one kind of closed shape in a nest.
type Shape struct {
	// Outline is the shape as cut, its own allowance included, in coordinates
	// of its own: one outer contour. Holes are allowed and count as filled:
	// nothing is placed in them.
	Outline geom.Region
	Count   int // how many are wanted; 0: as many as fit
	Turning Turning
}

// ShapeMix asks for closed shapes on one piece of stock. The shapes stand in
// the order of their priority: none of a later kind is placed at the cost of
// one of an earlier kind. The other fields are those of Problem.
type ShapeMix struct {
	Stock    geom.Region // one outline with existing holes as holes
	Keepouts []Keepout
	Shapes   []Shape
	Gap      float64
	Edge     float64
	// Touch leaves neighbours at exactly Gap where they lie against each other,
	// so that the cuts of neighbours coincide. Otherwise they keep up to twice
	// Ease more where there is room.
	Touch    bool
	Seed     uint64
	Effort   float64
	Progress func(Progress)
}

// PlacedShape is one shape of a layout: the outline of its kind turned by Angle
// about the origin of its own coordinates, counter-clockwise, then moved by At.
type PlacedShape struct {
	Kind  int // index into ShapeMix.Shapes
	At    geom.Point
	Angle float64 // radians, in (-pi, pi]
}

// Move returns the map from the shape's own coordinates to the stock's.
func (p PlacedShape) Move() geom.Similarity {
	return geom.Rotate(p.Angle).Then(geom.Translate(p.At))
}

// ShapeLayout is where the shapes of a mix go.
type ShapeLayout struct {
	Places    []PlacedShape // in rows from the bottom up, each row from the left
	Counts    []int         // of each kind
	StockArea float64
	Share     float64 // of StockArea that the shapes cover, their holes left out
	Slack     float64 // as in Layout
	// Bounds has for each kind a number that no layout of this kind alone can
	// exceed: what the area allows, or the count that is wanted.
	Bounds      []int
	Interrupted bool
	Short       []int // the kinds of which fewer than wanted were placed
}

const (
	// maxShapes bounds the shapes of a layout, all kinds together.
	maxShapes = 2000
	// boundArea is the name of the bound of a shape layout.
	boundArea = "area of the shapes grown by half the gap, in the area that they may take grown as much"
)

// BoundName returns the theorem behind the bounds of shape layouts.
func (l ShapeLayout) BoundName() string { return boundArea }

// Validate reports the first thing wrong with the mix, as Problem.Validate.
func (m ShapeMix) Validate() error {
	if len(m.Shapes) == 0 {
		return errors.New("nest: no shape")
	}
	if len(m.Shapes) > maxKinds {
		return fmt.Errorf("nest: %d kinds of shapes, more than the limit of %d", len(m.Shapes), maxKinds)
	}
	for _, l := range []struct {
		name  string
		value float64
	}{{"gap", m.Gap}, {"edge distance", m.Edge}, {"effort", m.Effort}} {
		if err := checkLength(l.value); err != nil {
			return fmt.Errorf("nest: %s: %w", l.name, err)
		}
	}
	for k, s := range m.Shapes {
		if err := s.validate(); err != nil {
			return fmt.Errorf("nest: shape %d: %w", k, err)
		}
	}
	if err := checkStock(m.Stock); err != nil {
		return err
	}
	return checkKeepouts(m.Keepouts)
}

func (s Shape) validate() error {
	if err := checkRegion(s.Outline); err != nil {
		return err
	}
	outer := 0
	for _, c := range s.Outline {
		if c.Area() > 0 {
			outer++
		}
	}
	switch t := s.Turning; {
	case outer != 1:
		return fmt.Errorf("a shape has one outline, this one has %d", outer)
	case s.Count < 0 || s.Count > maxShapes:
		return fmt.Errorf("the count has to lie between 0 and %d, it is %d", maxShapes, s.Count)
	case math.IsNaN(t.Angle) || math.IsInf(t.Angle, 0) || math.IsNaN(t.Tolerance):
		return fmt.Errorf("turning: %w", errNotFinite)
	case math.Abs(t.Angle) > 100:
		return fmt.Errorf("turning: %g radians is more than a few turns", t.Angle)
	case t.Tolerance < 0 || t.Tolerance > math.Pi:
		return fmt.Errorf("turning: the tolerance has to lie between 0 and pi radians, it is %g", t.Tolerance)
	}
	return nil
}

// filled returns the shape's outline without its holes.
func (s Shape) filled() geom.Region {
	for _, c := range s.Outline {
		if c.Area() > 0 {
			return geom.Region{c}
		}
	}
	return nil
}

// Shapes places closed shapes: as many of the first kind as are wanted or fit,
// then of the second, and so on. Shapes already placed move to make room but
// are never given up. It starts from layouts in which every shape lies against
// others as far to one side as it goes, and then adds shapes where overlaps can
// be parted. Every distance of the result was measured with the outlines
// themselves. Determinism, effort and interruption are as in Discs; a shape that
// does not fit is no error but listed in Short.
//
// The error is that of Validate, or tells of stock in several pieces, of an
// outline too finely detailed, or of too many shapes.
func Shapes(ctx context.Context, m ShapeMix) (*ShapeLayout, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	s, err := newShapeSearch(ctx, m)
	if err != nil {
		return nil, err
	}
	s.run()
	return s.finish()
}

// Check measures every distance of a layout with package geom, as Problem.Check
// does, that every shape is turned as it may be, and that no kind exceeds its
// count. It shares nothing with the search.
func (m ShapeMix) Check(l ShapeLayout) error {
	if err := m.Validate(); err != nil {
		return err
	}
	_, err := m.slack(l.Places)
	return err
}

// slack measures the least excess over all demanded distances.
func (m ShapeMix) slack(places []PlacedShape) (float64, error) {
	least := math.Inf(1)
	counts := make([]int, len(m.Shapes))
	short := func(have, want float64, format string, a ...any) error {
		least = math.Min(least, have-want)
		if !(have-want >= -shapeRounding) {
			return fmt.Errorf("nest: %s: %.9g mm, at least %.9g mm wanted", fmt.Sprintf(format, a...), have, want)
		}
		return nil
	}
	stock := geom.NewIndex(m.Stock)
	index := make([]*geom.Index, len(places))
	shape := make([]geom.Region, len(places))
	box := make([]geom.Box, len(places))
	for i, p := range places {
		if p.Kind < 0 || p.Kind >= len(m.Shapes) {
			return least, fmt.Errorf("nest: place %d: no shape %d", i, p.Kind)
		}
		if counts[p.Kind]++; m.Shapes[p.Kind].Count > 0 && counts[p.Kind] > m.Shapes[p.Kind].Count {
			return least, fmt.Errorf("nest: shape %d: more than the %d wanted", p.Kind, m.Shapes[p.Kind].Count)
		}
		if !p.At.Finite() || math.IsNaN(p.Angle) || math.IsInf(p.Angle, 0) {
			return least, fmt.Errorf("nest: place %d: %w", i, errNotFinite)
		}
		if !m.Shapes[p.Kind].Turning.allows(p.Angle) {
			return least, fmt.Errorf("nest: place %d: turned by %.6g radians, which shape %d may not be", i, p.Angle, p.Kind)
		}
		shape[i] = m.Shapes[p.Kind].filled().Transform(p.Move())
		index[i], box[i] = geom.NewIndex(shape[i]), shape[i].Bounds()
		depth := math.Inf(1)
		for _, g := range shape[i][0] {
			depth = math.Min(depth, stock.Depth(g))
		}
		for _, c := range m.Stock { // a hole of the stock inside the shape
			if c.Area() < 0 && index[i].Contains(c[0].A) != geom.Outside {
				depth = 0
			}
		}
		if depth == 0 && stock.Contains(shape[i][0][0].A) == geom.Outside {
			return least, fmt.Errorf("nest: place %d: not on the stock", i)
		}
		if err := short(depth, m.Edge, "place %d to the edge of the stock", i); err != nil {
			return least, err
		}
		for k, keep := range m.Keepouts {
			if len(keep.Area) == 0 {
				continue
			}
			if err := short(between(keep.Area, index[i]), keep.Margin, "place %d to keep-out %d", i, k); err != nil {
				return least, err
			}
		}
		for j := range i {
			if box[i].Distance(box[j]) > m.Gap+1 {
				continue
			}
			if err := short(between(shape[j], index[i]), m.Gap, "place %d to place %d", j, i); err != nil {
				return least, err
			}
		}
	}
	return least, nil
}

// shapeRounding is the shortfall of a distance between turned and moved
// outlines that counts as rounding: ten times that of discs, whose places are
// not turned.
const shapeRounding = 10 * Rounding

// between returns the least distance between a region and an indexed one: 0
// where one lies in the other.
func between(r geom.Region, x *geom.Index) float64 {
	d := math.Inf(1)
	for _, c := range r {
		for _, g := range c {
			d = math.Min(d, x.Distance(g))
		}
	}
	// The indexed region wholly inside the other.
	found := false
	x.Visit(x.Bounds(), func(_ geom.Ref, g geom.Seg) bool {
		found = r.Contains(g.A) != geom.Outside
		return false
	})
	if found {
		return 0
	}
	return d
}
