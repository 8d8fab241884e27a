package hold

import (
	"math"
	"slices"

	"proofcut/paths/geom"
)

// stiffen moves the screws within the room that the parts leave to where the
// slab is held best, and keeps that when as many parts still fit. It is a
// pattern search: steps along and across, halved when none helps.
func (s *search) stiffen(o Outcome) (Outcome, error) {
	if s.j.plate == nil {
		return o, nil
	}
	n, err := s.p.Parts.Nest(s.ctx, o.Places, 0)
	if err != nil || n.Count < o.Parts {
		return o, err
	}
	places := slices.Clone(o.Places)
	if err := s.settleDown(places, n.Discs); err != nil {
		return o, err
	}
	if slices.Equal(places, o.Places) {
		return o, nil
	}
	moved, err := s.judge(places)
	if err != nil || moved.Err != nil || moved.Parts < o.Parts || moved.Spread.Reach >= o.Spread.Reach {
		return o, err
	}
	return moved, nil
}

const (
	// stiffenFirst is the first step of stiffen, mm: less than half a disc.
	stiffenFirst = 2.0
	// evenness is the weight of the mean distance beside the greatest: where two
	// ends of the slab are equally far, one of them may come nearer alone.
	evenness = 0.1
)

// settleDown moves places among discs that stay where they are.
func (s *search) settleDown(places []geom.Point, discs []Disc) error {
	value := func() (float64, error) {
		m, err := s.j.Spread(places)
		if err != nil || s.j.holds(m) != nil {
			return math.Inf(1), err
		}
		sum := 0.0
		list := spans(places)
		for _, x := range s.sites.samples {
			d := nearestSpan(list, x)
			sum += d * d
		}
		return m.Reach + evenness*math.Sqrt(sum/float64(len(s.sites.samples))), nil
	}
	best, err := value()
	if err != nil {
		return err
	}
	for step := stiffenFirst; step >= placeStep && s.ctx.Err() == nil; {
		better := false
		for i, was := range places {
			for k := range 8 {
				q := onStep(was.Add(geom.Polar(step, float64(k)*math.Pi/4)))
				if !s.roomFor(places, i, q, discs) {
					continue
				}
				places[i] = q
				v, err := value()
				if err != nil {
					return err
				}
				if v < best-SpreadTol*evenness {
					best, better, was = v, true, q
				} else {
					places[i] = was
				}
			}
		}
		if !better {
			step /= 2
		}
	}
	return nil
}

// roomFor reports whether screw i may stand at q among the other screws and the
// discs.
func (s *search) roomFor(places []geom.Point, i int, q geom.Point, discs []Disc) bool {
	for _, d := range discs {
		if q.Dist(d.Centre) < d.Radius+d.Keep+s.p.Head/2 {
			return false
		}
	}
	for k, other := range places {
		if k != i && other.Dist(q) < s.p.Head {
			return false
		}
	}
	_, err := s.j.Site(q)
	return err == nil
}
