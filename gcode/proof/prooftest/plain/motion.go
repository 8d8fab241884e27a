package plain

import "math"

// move makes the motion of a block.
func (r *reader) move(b *block, n needs) {
	switch {
	case n.motion == 0:
	case isCycle(n.motion) && r.g93:
		r.fail("a cycle under G93")
	case n.motion == 382 && r.g93:
		r.fail("a probe under G93")
	case r.g93 && !b.has("F"):
		r.fail("no F under G93")
	case r.stale:
		r.open("the feed after G93")
	case r.state.Rate == 0:
		r.fail("no feed")
	}
	if isCycle(n.motion) {
		r.cannedCycle(b, n.motion)
		return
	}
	if n.motion != 382 && r.comp.side != 0 {
		r.compensated(b, n)
		return
	}
	r.leaveComp(b)
	to, known := r.target(b, n.once == 530)
	switch n.motion {
	case 0:
		r.straight(Rapid, to)
	case 10:
		r.straight(Feed, to)
	case 20, 30:
		r.arc(r.arcWords(b, n.motion, r.at, to), to)
	case 382:
		r.probe(b, to)
		return
	}
	r.known = known
}

// circle is what an arc turns about.
type circle struct {
	first, second int // axes of the plane
	centre        [2]float64
	turn          int
	radius        float64 // at the end
	byRadius      bool
}

// axes returns the axes of the plane (section 3.5.3): counter-clockwise turns the
// first towards the second.
func (r *reader) axes() (first, second int) { return (r.plane + 1) % 3, (r.plane + 2) % 3 }

// How far the radii at both ends of an arc may differ (section 3.5.3, from memory).
const (
	arcMM   = 0.002
	arcInch = 0.0002
	same    = 1e-9 // mm: two places that are written alike
	near    = 1e-6 // and such that rounding could make one of

	// What a control may round to: the finest step that programs are written in
	// (common practice, no source).
	resolved = 0.001
)

// arcWords reads the words of an arc from one place to another.
func (r *reader) arcWords(b *block, code int, from, to [6]float64) circle {
	p, q := r.axes()
	c := circle{first: p, second: q, turn: 1}
	if code == 20 {
		c.turn = -1
	}
	if !b.has(axisLetters[p:p+1]) && !b.has(axisLetters[q:q+1]) {
		r.fail("an arc without an end in its plane")
	}
	offsets := b.has("IJK")
	switch {
	case offsets && b.has("R"):
		r.fail("R and offsets")
	case !offsets && !b.has("R"):
		r.fail("an arc without a centre")
	case b.has("IJK"[r.plane : r.plane+1]):
		r.fail("an offset along the normal")
	}
	if b.has("R") {
		c.byRadius = true
		r.byRadius(&c, b.words['R']*r.scale(), from, to)
		return c
	}
	c.centre = [2]float64{from[p] + b.words["IJK"[p]]*r.scale(), from[q] + b.words["IJK"[q]]*r.scale()}
	r0 := math.Hypot(from[p]-c.centre[0], from[q]-c.centre[1])
	c.radius = math.Hypot(to[p]-c.centre[0], to[q]-c.centre[1])
	tol := arcMM
	if r.inch {
		tol = arcInch * inch
	}
	switch off := math.Abs(r0 - c.radius); {
	case r0 < same:
		r.fail("an arc with radius 0")
	case off > tol+same:
		r.fail("the radii differ by %.4f mm", off)
	}
	return c
}

func (r *reader) byRadius(c *circle, radius float64, from, to [6]float64) {
	dx, dy := to[c.first]-from[c.first], to[c.second]-from[c.second]
	d := math.Hypot(dx, dy)
	half := math.Sqrt(math.Max(0, radius*radius-d*d/4))
	switch short := d - 2*math.Abs(radius); {
	case d < same:
		r.fail("an arc by radius that ends where it starts")
	case d < near:
		r.open("an arc by radius that ends where it starts, nearly")
	case short > arcInch*inch:
		r.fail("the radius does not reach")
	case short > same:
		r.open("a radius that nearly reaches")
	}
	// The centre lies on the left of the way for a counter-clockwise arc of at most
	// half a turn.
	if side := float64(c.turn); radius > 0 {
		half *= side
	} else {
		half *= -side
	}
	c.radius = math.Abs(radius)
	c.centre = [2]float64{(from[c.first]+to[c.first])/2 - dy/d*half, (from[c.second]+to[c.second])/2 + dx/d*half}
}

// arc makes the step.
func (r *reader) arc(c circle, to [6]float64) {
	s := Step{Kind: Arc, To: to, Normal: 3 - c.first - c.second, Turn: c.turn}
	s.Centre[c.first], s.Centre[c.second] = c.centre[0], c.centre[1]
	s.Centre[s.Normal] = r.at[s.Normal]
	angle := func(p [6]float64) float64 {
		return math.Atan2(p[c.second]-c.centre[1], p[c.first]-c.centre[0])
	}
	s.Sweep = math.Mod(float64(c.turn)*(angle(to)-angle(r.at))+4*math.Pi, 2*math.Pi)
	switch d := math.Hypot(to[c.first]-r.at[c.first], to[c.second]-r.at[c.second]); {
	case d < same:
		s.Sweep = 2 * math.Pi
	case s.Sweep < 1e-9 || s.Sweep > 2*math.Pi-1e-9:
		r.open("an arc that ends in the direction in which it starts")
	case d < resolved && s.Sweep < math.Pi && !c.byRadius:
		r.open("an arc that ends where it starts once a control has rounded")
	}
	r.step(s)
}

// closest is how near to its end a probing move may start (section 3.5.9).
const closest = 0.01 * inch

// probe does G38.2.
func (r *reader) probe(b *block, to [6]float64) {
	var from, end [3]float64
	copy(from[:], r.at[:])
	copy(end[:], to[:])
	d := math.Sqrt((end[0]-from[0])*(end[0]-from[0]) + (end[1]-from[1])*(end[1]-from[1]) + (end[2]-from[2])*(end[2]-from[2]))
	switch {
	case !b.has("XYZ"):
		r.fail("a probe without X, Y or Z")
	case r.comp.side != 0:
		r.fail("a probe under compensation")
	case to[3] != r.at[3] || to[4] != r.at[4] || to[5] != r.at[5]:
		r.fail("a probe that turns")
	case math.Abs(d-closest) < same:
		r.open("a probe from just the least distance")
	case d < closest:
		r.fail("a probe too near to its end")
	case r.c.Touch == nil:
		r.open("a probe and nothing to touch")
	}
	at, hit := r.c.Touch(from, end)
	if !hit {
		r.straight(Probe, to)
		r.fail("the probe meets nothing")
	}
	to = r.at
	copy(to[:], at[:])
	r.straight(Probe, to)
	for i := range 6 {
		r.par[5061+i] = r.at[i] - r.shift(i)
	}
}
