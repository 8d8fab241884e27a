package hold

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// Site is how a screw meets the slab.
type Site uint8

// The ways of a screw to hold the slab.
const (
	Through  Site = iota // in a new hole through the slab
	Existing             // in a hole that the slab has
	Edge                 // beside the slab, its head over the edge
)

// String returns the way in words.
func (s Site) String() string {
	return [...]string{"through the slab", "in a hole of the slab", "beside the slab"}[s]
}

// Judge answers whether places can take screws and whether they hold the slab.
// It keeps what it has worked out about the slab, so it is quick for many
// questions and not safe for concurrent use.
type Judge struct {
	p       *Problem
	slab    *geom.Index
	around  geom.Region // the slab with its holes filled
	plate   *geom.Index
	defects []*geom.Index
	raised  []*geom.Index
	cover   *cover
}

// NewJudge prepares the judge of a problem. The error is that of Validate.
func NewJudge(p Problem) (*Judge, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	j := &Judge{p: &p, slab: geom.NewIndex(p.Slab)}
	for _, c := range p.Slab {
		if c.Area() > 0 {
			j.around = append(j.around, c)
		}
	}
	if len(p.Plate.Region) > 0 {
		j.plate = geom.NewIndex(p.Plate.Region)
	}
	for _, d := range p.Defects {
		j.defects = append(j.defects, geom.NewIndex(d))
	}
	for _, d := range p.Raised {
		j.raised = append(j.raised, geom.NewIndex(d))
	}
	var err error
	j.cover, err = newCover(p.Slab)
	return j, err
}

func dot(q geom.Point) geom.Seg { return geom.Line(q, q) }

// Site returns how a screw at q would meet the slab; the error says why none can
// stand there and what is short by how much.
func (j *Judge) Site(q geom.Point) (Site, error) {
	p := j.p
	if !q.Finite() {
		return 0, fmt.Errorf("the place is not finite")
	}
	if err := j.onPlate(q); err != nil {
		return 0, err
	}
	for i, d := range j.raised {
		if have := d.Distance(dot(q)); have < p.Head/2-geom.Tol {
			return 0, fmt.Errorf("the head lies over what stands above the slab (raised area %d): %.3f mm from it, %.3f mm needed", i+1, have, p.Head/2)
		}
	}
	edge := j.slab.BoundaryDistance(dot(q))
	if j.slab.Contains(q) == geom.Inside && edge >= p.Hole/2 {
		if need := p.Hole/2 + p.Wall; edge < need-geom.Tol {
			return 0, fmt.Errorf("the hole would leave %.3f mm of slab to its edge, %.3f mm needed", edge-p.Hole/2, p.Wall)
		}
		for i, d := range j.defects {
			if have := d.Distance(dot(q)) - p.Hole/2; have < p.Wall-geom.Tol {
				return 0, fmt.Errorf("the hole would lie %.3f mm from defect %d, %.3f mm needed", math.Max(0, have), i+1, p.Wall)
			}
		}
		return Through, nil
	}
	// What is left stands in free air and grips the slab with the rim of its head.
	if edge < p.Hole/2-geom.Tol || j.slab.Contains(q) == geom.Inside {
		return 0, fmt.Errorf("the screw's hole (%.3f mm) would run into the slab's edge", p.Hole)
	}
	site := Edge
	if j.around.Contains(q) == geom.Inside {
		site = Existing
	} else if !p.Beside {
		return 0, fmt.Errorf("it is beside the slab, which the job does not allow")
	}
	if grip := p.Head/2 - edge; grip < p.Grip-geom.Tol {
		return 0, fmt.Errorf("%s, the head would grip %.3f mm of it, %.3f mm needed", site, math.Max(0, grip), p.Grip)
	}
	return site, nil
}

// onPlate reports why the plate cannot take a screw at q.
func (j *Judge) onPlate(q geom.Point) error {
	if j.plate != nil && j.plate.Contains(q) != geom.Outside {
		return nil
	}
	nearest := math.Inf(1)
	for _, h := range j.p.Plate.Places {
		nearest = math.Min(nearest, h.Dist(q))
	}
	if nearest <= samePlace {
		return nil
	}
	if j.plate != nil {
		return fmt.Errorf("it is %.3f mm outside of where the plate takes screws", j.plate.Distance(dot(q)))
	}
	return fmt.Errorf("the plate has no hole there; the nearest is %.3f mm away", nearest)
}

// samePlace is the distance in mm within which a place counts as that of a hole
// that is there: what a caliper shows.
const samePlace = 0.01

// PlaceError says which screw of a set cannot stand where it is, or what the set
// does not hold.
type PlaceError struct {
	Screw int // from 0; -1: the set as a whole
	At    geom.Point
	Text  string
}

func (e *PlaceError) Error() string {
	if e.Screw < 0 {
		return "the screws do not hold the slab: " + e.Text
	}
	return fmt.Sprintf("screw %d at x %.3f y %.3f: %s", e.Screw+1, e.At.X, e.At.Y, e.Text)
}

// Check reports the first reason, a *PlaceError, for which places cannot be
// used: a place that takes no screw, two heads that overlap, a slab that is not
// held. It returns what was measured in any case in which the slab was reached.
func (j *Judge) Check(places []geom.Point) (Spread, error) {
	for i, q := range places {
		if _, err := j.Site(q); err != nil {
			return Spread{}, &PlaceError{i, q, err.Error()}
		}
		for k := range i {
			if d := q.Dist(places[k]); d < j.p.Head-geom.Tol {
				return Spread{}, &PlaceError{i, q, fmt.Sprintf("its head overlaps that of screw %d: %.3f mm from axis to axis, %.3f mm needed", k+1, d, j.p.Head)}
			}
		}
	}
	s, err := j.Spread(places)
	if err != nil {
		return s, err
	}
	return s, j.holds(s)
}

// holds compares a spread with what is asked for. A spread is up to SpreadTol
// above the true one, which an exact fit must not suffer from.
func (j *Judge) holds(s Spread) error {
	if s.Reach > j.p.Reach+SpreadTol {
		return &PlaceError{-1, s.ReachAt, fmt.Sprintf("its point x %.3f y %.3f is %.3f mm from the nearest line between two screws, %.3f mm allowed (reach)", s.ReachAt.X, s.ReachAt.Y, s.Reach, j.p.Reach)}
	}
	if s.Overhang > j.p.Overhang+SpreadTol {
		return &PlaceError{-1, s.OverhangAt, fmt.Sprintf("its point x %.3f y %.3f hangs %.3f mm over the outline of the screws, %.3f mm allowed (overhang)", s.OverhangAt.X, s.OverhangAt.Y, s.Overhang, j.p.Overhang)}
	}
	return nil
}

// Spread measures how well one place or more hold the slab.
func (j *Judge) Spread(places []geom.Point) (Spread, error) {
	if len(places) == 0 {
		return Spread{}, fmt.Errorf("hold: no screw holds nothing")
	}
	return j.cover.spread(places)
}
