package nest

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// Rounding is the shortfall of a distance, in mm, that counts as the rounding
// of a float64 and not as a violation. It is a thousandth of geom.Tol, so that
// discs which fit exactly (four of 10 mm in a square of 20 mm) are found.
const Rounding = geom.Tol / 1000

// Ease is the extra radius, in mm, that a layout takes where there is room: it
// outlasts the rounding of centres to 0.001 mm in a program text, which moves a
// centre by at most 0.00071 mm.
const Ease = 0.002

// MaxDiscs bounds the number of discs for which a problem is taken on.
const MaxDiscs = 20000

// Keepout is an area that no disc may come nearer to than Margin (edge of the
// disc to edge of the area, mm). A cutter runs round every disc, so for a zone
// the margin is the zone's clearance plus the cutter's diameter.
type Keepout struct {
	Area   geom.Region
	Margin float64
}

// Problem asks for equal discs on a piece of stock. Lengths are mm.
type Problem struct {
	Stock    geom.Region // outline with existing holes as holes
	Keepouts []Keepout

	Diameter float64 // of a disc as cut, allowance included
	Gap      float64 // least distance between two discs: cutter diameter plus web
	Edge     float64 // least distance from a disc to the edge of the stock
	Max      int     // most discs wanted; 0: as many as fit

	// Spread takes up the room that is left over by moving all discs apart and
	// away from edges and keep-outs as far as they go. Without it discs stay as
	// near as Gap allows (plus twice Ease, where there is room).
	Spread bool

	Seed uint64
	// Effort is how long to search, in nominal seconds of one core; the work is
	// counted, so the result does not depend on the machine's speed. 0 means
	// DefaultEffort.
	Effort float64

	// Progress, if set, is called on the caller's goroutine when something
	// changed and now and then between.
	Progress func(Progress)
}

// DefaultEffort is the search effort of a Problem that names none.
const DefaultEffort = 2.0

// workPerSecond turns nominal seconds into units of counted work. It is a
// measured rate of the search, rounded down; its exact value has no meaning.
const workPerSecond = 50e6

// Progress tells how far a search has come.
type Progress struct {
	Placed int     // discs in the best layout so far
	Trying int     // the count that is being tried
	Bound  int     // proven upper bound
	Done   float64 // share of the effort used, 0 to 1
}

// errNotFinite is the cause of every refusal of a NaN or an infinity.
var errNotFinite = errors.New("not a finite number")

// Validate reports the first thing wrong with the problem: a length that is
// negative or not finite, a region that is empty or not well formed, a count
// below zero.
func (p Problem) Validate() error {
	for _, l := range []struct {
		name  string
		value float64
	}{{"diameter", p.Diameter}, {"gap", p.Gap}, {"edge distance", p.Edge}, {"effort", p.Effort}} {
		if err := checkLength(l.value); err != nil {
			return fmt.Errorf("nest: %s: %w", l.name, err)
		}
	}
	if p.Diameter <= 0 {
		return errors.New("nest: diameter: must be greater than 0")
	}
	if p.Max < 0 {
		return fmt.Errorf("nest: at most %d discs: must not be negative", p.Max)
	}
	if err := checkStock(p.Stock); err != nil {
		return err
	}
	return checkKeepouts(p.Keepouts)
}

func checkLength(v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return errNotFinite
	}
	if v < 0 {
		return fmt.Errorf("%g is negative", v)
	}
	return nil
}

func checkStock(r geom.Region) error {
	if len(r) == 0 {
		return errors.New("nest: stock: no outline")
	}
	if err := checkRegion(r); err != nil {
		return fmt.Errorf("nest: stock: %w", err)
	}
	return nil
}

func checkKeepouts(ks []Keepout) error {
	for i, k := range ks {
		if err := checkLength(k.Margin); err != nil {
			return fmt.Errorf("nest: keep-out %d: margin: %w", i, err)
		}
		if err := checkRegion(k.Area); err != nil {
			return fmt.Errorf("nest: keep-out %d: %w", i, err)
		}
	}
	return nil
}

func checkRegion(r geom.Region) error {
	for _, contour := range r {
		for _, s := range contour {
			if !s.A.Finite() || !s.B.Finite() || s.Turn != geom.Straight && !s.C.Finite() {
				return errNotFinite
			}
		}
	}
	if err := r.Validate(); err != nil {
		return err
	}
	if len(r) > 0 && r.Area() <= 0 {
		return errors.New("area is not positive: outer contours run counter-clockwise")
	}
	return nil
}

// radius returns the radius of a disc.
func (p Problem) radius() float64 { return p.Diameter / 2 }

// spacing returns the least distance between two centres.
func (p Problem) spacing() float64 { return p.Diameter + p.Gap }

// groups prepares the boundaries that centres keep away from.
func (p Problem) groups() []group {
	gs := []group{{walls: newWalls(p.Stock), inside: true, offset: p.Edge}}
	for _, k := range p.Keepouts {
		if len(k.Area) > 0 {
			gs = append(gs, group{walls: newWalls(k.Area), offset: k.Margin})
		}
	}
	return gs
}
