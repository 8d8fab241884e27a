package hold

import (
	"context"
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// Screw is the kind of screw that holds the slab down, seen from above.
type Screw struct {
	Head float64 // diameter of the head, or of the washer under it, mm
	Hole float64 // diameter of the clearance hole in the slab, mm
}

// Plate says where the backing plate takes screws: anywhere in a region, or at
// the places that it has.
type Plate struct {
	Region geom.Region  // where a screw's axis may go; empty: Places alone
	Places []geom.Point // the only places, such as a grid of tapped holes
}

// Problem asks for the places of a number of screws. Lengths are mm.
type Problem struct {
	Slab    geom.Region   // outline with its holes
	Defects []geom.Region // cracks and inclusions: no hole comes nearer than Wall
	Raised  []geom.Region // what stands above the slab: no head may lie over it
	Plate   Plate
	Count   int // of screws

	Screw
	// Wall is the least width of slab between a screw's hole and the slab's edge,
	// a hole that is there, or a defect.
	Wall float64
	// Grip is the least width of slab under the head of a screw that stands in a
	// hole that is there, or beside the slab.
	Grip float64
	// Beside allows screws beside the slab, with the head over its edge.
	Beside bool

	Reach    float64 // no point of the slab farther from the lines between screws
	Overhang float64 // no point of the slab farther outside the screws' hull

	Parts  Parts
	Starts [][]geom.Point // places to begin with, such as those chosen by hand

	Seed uint64
	// Effort is how long to search, in nominal seconds of one core: work is
	// counted, the result does not depend on the machine. 0 means DefaultEffort.
	Effort   float64
	Progress func(Progress) // called on the caller's goroutine; may be nil
}

// DefaultEffort is the effort of a problem that names none.
const DefaultEffort = 6.0

// Limits that are not part of any trade: they keep the work of one problem to
// what a workshop can want.
const (
	MaxScrews = 12    // 66 lines between screws
	maxPlaces = 20000 // of a plate
	maxStarts = 100
)

// Progress tells how far a search has come.
type Progress struct {
	Parts int     // in the best so far, -1 before there is any
	Free  int     // parts without any screw
	Tried int     // sets of places that were nested
	Done  float64 // share of the effort used, 0 to 1
}

// Disc is a part seen as the least disc round it, and how far its edge has to
// stay from the edge of a screw's head.
type Disc struct {
	Centre geom.Point
	Radius float64
	Keep   float64
}

// Nested is what came out of placing parts among screws.
type Nested struct {
	Count       int
	Discs       []Disc
	Bound       int // no layout holds more; 0 when not known
	Interrupted bool
}

// Parts places what is to be made of the slab.
type Parts interface {
	// Nest places parts among the heads of screws at the places given, with an
	// effort in nominal seconds, 0 meaning the full effort of the job. With a
	// cancelled context it returns the best so far and no error.
	Nest(ctx context.Context, places []geom.Point, effort float64) (Nested, error)
	// Effort returns the full effort of the job.
	Effort() float64
	// Patterns returns quick layouts without screws, as starts.
	Patterns() [][]Disc
}

// Validate reports the first thing wrong with the problem: a length that is
// negative or not finite, a region that is empty or not well formed, a count out
// of range, a start with another number of places.
func (p *Problem) Validate() error {
	for _, l := range []struct {
		name  string
		value float64
		zero  bool // allowed
	}{
		{"head", p.Head, false}, {"hole", p.Hole, false}, {"wall", p.Wall, true}, {"grip", p.Grip, true},
		{"reach", p.Reach, false}, {"overhang", p.Overhang, true}, {"effort", p.Effort, true},
	} {
		switch {
		case math.IsNaN(l.value) || math.IsInf(l.value, 0):
			return fmt.Errorf("hold: %s: not a finite number", l.name)
		case l.value < 0 || l.value == 0 && !l.zero:
			return fmt.Errorf("hold: %s is %g mm; it has to be more than 0", l.name, l.value)
		}
	}
	switch {
	case p.Hole >= p.Head:
		return fmt.Errorf("hold: the head (%g mm) has to be larger than the hole (%g mm)", p.Head, p.Hole)
	case p.Count < 1 || p.Count > MaxScrews:
		return fmt.Errorf("hold: %d screws; from 1 to %d can be placed", p.Count, MaxScrews)
	case p.Parts == nil:
		return errors.New("hold: no parts to make")
	case len(p.Plate.Region) == 0 && len(p.Plate.Places) == 0:
		return errors.New("hold: the plate has no place for a screw")
	case len(p.Plate.Places) > maxPlaces:
		return fmt.Errorf("hold: the plate has %d places, more than the limit of %d", len(p.Plate.Places), maxPlaces)
	case len(p.Starts) > maxStarts:
		return fmt.Errorf("hold: %d starts, more than the limit of %d", len(p.Starts), maxStarts)
	}
	if err := checkRegion("slab", p.Slab); err != nil {
		return err
	}
	if len(p.Plate.Region) > 0 {
		if err := checkRegion("plate", p.Plate.Region); err != nil {
			return err
		}
	}
	for i, d := range p.Defects {
		if err := checkRegion(fmt.Sprintf("defect %d", i+1), d); err != nil {
			return err
		}
	}
	for i, d := range p.Raised {
		if err := checkRegion(fmt.Sprintf("raised area %d", i+1), d); err != nil {
			return err
		}
	}
	for i, q := range p.Plate.Places {
		if !q.Finite() {
			return fmt.Errorf("hold: plate: place %d is not finite", i+1)
		}
	}
	for i, s := range p.Starts {
		if len(s) != p.Count {
			return fmt.Errorf("hold: start %d has %d places, %d screws are wanted", i+1, len(s), p.Count)
		}
		for k, q := range s {
			if !q.Finite() {
				return fmt.Errorf("hold: start %d: place %d is not finite", i+1, k+1)
			}
		}
	}
	return nil
}

func checkRegion(name string, r geom.Region) error {
	if len(r) == 0 {
		return fmt.Errorf("hold: %s: no outline", name)
	}
	if err := r.Validate(); err != nil {
		return fmt.Errorf("hold: %s: %w", name, err)
	}
	if !(r.Area() > 0) {
		return fmt.Errorf("hold: %s: the area is not positive; outer contours run counter-clockwise", name)
	}
	return nil
}
