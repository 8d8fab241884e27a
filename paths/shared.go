package paths

import (
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Where two walls lie one cutter diameter apart, one cut makes both. It is made
// with the first part that needs it; the second leaves it out, because a tool
// that runs again at full depth in a slot of its own width takes no chip and
// rubs on both walls.

// sameLine is how near two lines of the tool's axis may lie to be one: half of
// what a feature allows in plan in millimetre programs, so that a wall that is
// left to its neighbour's cut is as exact as the other.
const sameLine = 0.002

// shared remembers the lines that are cut already.
type shared struct {
	lines []geom.Path
	boxes []geom.Box
}

// newShared starts with the lines of the parts that were cut before.
func (p Profile) newShared(s *setup.Setup, extra float64) (*shared, error) {
	var out shared
	if len(p.Beside) == 0 || !p.CommonKerf {
		return &out, nil
	}
	before := p
	before.Shape = p.Beside
	centres, err := before.centres(s, extra)
	if err != nil {
		return nil, err
	}
	for _, r := range centres {
		for _, c := range r {
			out.add(c.Path())
		}
	}
	return &out, nil
}

func (s *shared) add(l geom.Path) {
	s.lines = append(s.lines, l)
	s.boxes = append(s.boxes, l.Bounds())
}

// once returns the stretches of lines that no line before them has cut, and
// whether something was left out, and remembers them.
func (s *shared) once(lines []geom.Path) (left []geom.Path, out bool, err error) {
	left = lines
	for i, before := range s.lines {
		var near bool
		for _, l := range left {
			near = near || l.Bounds().Distance(s.boxes[i]) <= sameLine
		}
		if !near {
			continue
		}
		band, err := geom.OffsetPath([]geom.Path{before}, sameLine, geom.OffsetOptions{})
		if err != nil {
			return nil, false, err
		}
		var kept []geom.Path
		for _, l := range left {
			in, rest, err := geom.Clip(l, band)
			if err != nil {
				return nil, false, err
			}
			if length(in) <= cutTol {
				kept = append(kept, l)
				continue
			}
			out = true
			for _, r := range rest {
				if r.Length() > cutTol {
					kept = append(kept, r)
				}
			}
		}
		left = kept
	}
	for _, l := range lines {
		s.add(l)
	}
	return left, out, nil
}

func length(ps []geom.Path) float64 {
	l := 0.0
	for _, p := range ps {
		l += p.Length()
	}
	return l
}

// apiece returns the parts of a region one by one, each with its holes.
func apiece(r geom.Region) []geom.Region {
	var out []geom.Region
	for _, c := range r {
		if c.Area() > 0 {
			out = append(out, geom.Region{c})
		}
	}
	for _, c := range r {
		if c.Area() > 0 {
			continue
		}
		// The smallest part that holds the hole.
		best := -1
		for i := range out {
			if (geom.Region{out[i][0]}).Contains(c[0].A) != geom.Outside && (best < 0 || out[i][0].Area() < out[best][0].Area()) {
				best = i
			}
		}
		if best >= 0 {
			out[best] = append(out[best], c)
		}
	}
	return out
}

// checkShared refuses a profile that would cut into a neighbour: where parts
// may share a kerf their offsets may touch, and nothing else has looked.
func (r *room) checkShared(p Profile, rails []profileRail) error {
	for _, l := range rails {
		for _, g := range l.path {
			if d := r.wall.Distance(g); d < r.away {
				return p.errorf("near x %.3f y %.3f the tool would come to %.3f mm from a part and needs %.3f mm: put the parts further apart or take a smaller tool", g.A.X, g.A.Y, d, r.away)
			}
		}
	}
	return nil
}
