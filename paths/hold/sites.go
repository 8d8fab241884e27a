package hold

import (
	"math"
	"math/bits"
	"math/rand/v2"

	"proofcut/paths/geom"
)

// sites are the places that are tried for screws, and the points of the slab
// that stand for all of it until a finished set is measured.
type sites struct {
	j       *Judge
	at      []geom.Point
	samples []geom.Point // of the slab
	rim     []geom.Point // corners of the slab's hull
	step    float64      // of the grid, 0 without one
	work    float64      // nominal seconds
}

const (
	// siteCount is about how many places are tried for one screw.
	siteCount = 1500
	// sampleCount is about how many points stand for the slab.
	sampleCount = 60
	// rimChord is how far the rim may lie inside the slab's hull, mm. What it
	// misses is found when the set is measured, and added.
	rimChord = 0.05
	// distanceWork is the time of one distance of a point from a line, in
	// nominal seconds, measured and rounded up.
	distanceWork = 10e-9
	// siteWork is the same for one place judged.
	siteWork = 2e-6
)

// placeStep is what places chosen freely are whole multiples of, mm: what a
// drawing shows and a person can set.
const placeStep = 0.01

func onStep(q geom.Point) geom.Point {
	r := func(v float64) float64 { return math.Round(v/placeStep) / math.Round(1/placeStep) }
	return geom.Pt(r(q.X), r(q.Y))
}

func newSites(j *Judge) *sites {
	s := &sites{j: j}
	try := func(q geom.Point) {
		s.work += siteWork
		if _, err := j.Site(q); err == nil {
			s.at = append(s.at, q)
		}
	}
	for _, q := range j.p.Plate.Places {
		try(q)
	}
	slab := j.p.Slab.Bounds()
	if j.plate != nil {
		b := slab.Grow(j.p.Head / 2)
		plate := j.p.Plate.Region.Bounds()
		b.Min = geom.Pt(math.Max(b.Min.X, plate.Min.X), math.Max(b.Min.Y, plate.Min.Y))
		b.Max = geom.Pt(math.Min(b.Max.X, plate.Max.X), math.Min(b.Max.Y, plate.Max.Y))
		if !b.Empty() {
			// Round steps, and a place on the middle lines: symmetric slabs have
			// their best places there.
			step := math.Max(placeStep, math.Sqrt(math.Max(b.Size().X*b.Size().Y, b.Size().X*b.Size().X/siteCount)/siteCount))
			s.step = step
			c := b.Center()
			nx, ny := int(b.Size().X/2/step), int(b.Size().Y/2/step)
			for iy := -ny; iy <= ny; iy++ {
				for ix := -nx; ix <= nx; ix++ {
					try(onStep(geom.Pt(c.X+float64(ix)*step, c.Y+float64(iy)*step)))
				}
			}
		}
		for _, q := range s.j.holes() {
			try(q)
		}
	}
	for _, c := range j.p.Slab {
		s.rim = geom.AppendFlatten(s.rim, c, rimChord)
	}
	s.rim = geom.ConvexHull(s.rim)
	s.samples = append(s.samples, s.rim...)
	step := math.Max(slab.Size().X, slab.Size().Y) / math.Sqrt(sampleCount)
	for y := slab.Min.Y + step/2; y < slab.Max.Y; y += step {
		for x := slab.Min.X + step/2; x < slab.Max.X; x += step {
			s.samples = append(s.samples, j.slab.Closest(geom.Pt(x, y)))
		}
	}
	return s
}

// holes returns the middles of the slab's holes.
func (j *Judge) holes() []geom.Point {
	var out []geom.Point
	for _, c := range j.p.Slab {
		if c.Area() < 0 {
			out = append(out, onStep(c.Bounds().Center()))
		}
	}
	return out
}

// set is a bit for every disc of a layout.
type set []uint64

func (s set) add(i int) { s[i/64] |= 1 << (i % 64) }

// kills returns for every site the discs that a screw there would cost.
func (s *sites) kills(discs []Disc, places []geom.Point) []set {
	out := make([]set, len(places))
	for i, q := range places {
		out[i] = make(set, (len(discs)+63)/64)
		for k, d := range discs {
			need := d.Radius + d.Keep + s.j.p.Head/2
			if v := q.Sub(d.Centre); v.Dot(v) < need*need {
				out[i].add(k)
			}
		}
	}
	s.work += float64(len(places)*len(discs)) * distanceWork / 2
	return out
}

// union returns how many discs two sets hold together.
func union(a, b set) int {
	n := 0
	for i := range a {
		n += bits.OnesCount64(a[i] | b[i])
	}
	return n
}

// lack returns by how many millimetres the slab's sample points fail to be held
// by the screws others and one at q, given the square base of the distance of
// each sample from the lines between the others. It gives up at limit.
func (s *sites) lack(base []float64, others []geom.Point, q geom.Point, limit float64) float64 {
	p := s.j.p
	worst := p.Reach * p.Reach
	stop := math.Inf(1)
	if top := p.Reach + limit; top < 1e6 { // of a slab: squares stay exact enough
		stop = top * top
	}
	looked := 0
	for i, x := range s.samples {
		d := base[i]
		if len(others) == 0 {
			d = span{q, q}.dist2(x)
		}
		for _, o := range others {
			if d <= worst {
				break
			}
			looked++
			if e := (span{o, q}).dist2(x); e < d {
				d = e
			}
		}
		if d > worst {
			if worst = d; worst >= stop {
				// The point that told this one off is likely to tell the next off.
				s.samples[0], s.samples[i] = s.samples[i], s.samples[0]
				base[0], base[i] = base[i], base[0]
				break
			}
		}
	}
	s.work += float64(looked+len(s.samples)) * distanceWork
	lack := math.Sqrt(worst) - p.Reach
	// The hull holds the lines: what lies near them lies near it.
	if lack >= limit || p.Overhang >= p.Reach && lack == 0 {
		return lack
	}
	hull := geom.ConvexHull(append(others[:len(others):len(others)], q))
	over := 0.0
	for _, x := range s.rim {
		over = math.Max(over, hullDistance(hull, x)-p.Overhang)
	}
	s.work += float64(len(s.rim)*len(hull)) * distanceWork
	return lack + over
}

// base returns the square of the distance of every sample from the lines between places.
func (s *sites) base(places []geom.Point) []float64 {
	out := make([]float64, len(s.samples))
	list := spans(places)
	if len(places) == 1 {
		list = nil // the line will run from here to the next screw
	}
	for i, x := range s.samples {
		d := nearestSpan(list, x)
		out[i] = d * d
	}
	s.work += float64(len(out)*len(list)) * distanceWork
	return out
}

// learn adds the points at which a set of places failed.
func (s *sites) learn(m Spread) {
	if m.Reach > s.j.p.Reach+SpreadTol {
		s.samples = append(s.samples, m.ReachAt)
	}
	if m.Overhang > s.j.p.Overhang+SpreadTol {
		s.rim = append(s.rim, m.OverhangAt)
	}
}

// cloudCount is how many places off the grid are tried beside it.
const cloudCount = 300

// cloudReach is how far, in steps of the grid, half of them lie from a place
// that is known to be good.
const cloudReach = 2

// cloud returns places between those of the grid, half of them near a place,
// others each time.
func (s *sites) cloud(near geom.Point, rng *rand.Rand) []geom.Point {
	var out []geom.Point
	if s.step == 0 {
		return nil
	}
	for k := range cloudCount {
		q, width := near, 2*cloudReach*s.step
		if k%2 == 0 {
			q, width = s.at[rng.IntN(len(s.at))], s.step
		}
		q = onStep(geom.Pt(q.X+width*(rng.Float64()-0.5), q.Y+width*(rng.Float64()-0.5)))
		s.work += siteWork
		if _, err := s.j.Site(q); err == nil {
			out = append(out, q)
		}
	}
	return out
}

// without returns a set of places without the i-th.
func without(places []geom.Point, i int) []geom.Point {
	out := make([]geom.Point, 0, len(places))
	out = append(out, places[:i]...)
	return append(out, places[i+1:]...)
}
