package interp

import (
	"math"

	"proofcut/paths/geom"
)

// motion executes the motion of the line, if it has one, and makes its code the
// active motion mode.
func (ip *interpreter) motion() error {
	l := &ip.line
	if l.motion == noMotion {
		if l.hasG(groupMotion) { // G80
			ip.st.Motion = g80
			ip.cycle.code = 0
		}
		return nil
	}
	if l.motion != ip.st.Motion {
		ip.st.Motion = l.motion
		ip.cycle.code = 0
	}
	switch l.motion {
	case g0, g1:
		return ip.straight()
	case g2, g3:
		return ip.arc()
	case g38_2:
		return ip.probe()
	case g33_1:
		return ip.tapOnce()
	}
	return ip.drill()
}

// needFeed refuses a move at feed rate when there is no feed.
func (ip *interpreter) needFeed() error {
	if ip.st.InverseTime && !ip.line.has(hasF) {
		return ip.failG(groupMotion, "under G93 every move at feed rate needs an F word of its own: add it, or write G94")
	}
	if ip.st.FeedRate == 0 {
		if ip.st.FeedSet {
			return ip.failG(groupMotion, "the feed is zero: give an F word above 0 (a change between G93 and G94 forgets the feed)")
		}
		return ip.failG(groupMotion, "no feed has been set: give an F word before the first move at feed rate")
	}
	return nil
}

// straight executes G0 and G1.
func (ip *interpreter) straight() error {
	kind := Traverse
	if ip.line.motion == g1 {
		kind = Feed
		if err := ip.needFeed(); err != nil {
			return err
		}
	}
	if ip.line.nonModal(g53) {
		return ip.machineMove(kind)
	}
	var to [6]float64
	if err := ip.target(&to); err != nil {
		return err
	}
	if ip.comp.on {
		return ip.compensatedStraight(kind, &to)
	}
	return ip.move(kind, &to)
}

// machineMove executes a straight move under G53.
func (ip *interpreter) machineMove(kind Kind) error {
	if ip.st.Relative {
		return ip.failG(groupNone, "G53 under G91: machine coordinates are absolute, write G90 before")
	}
	if ip.comp.on {
		return ip.failG(groupNone, "G53 is not possible while radius compensation is on: write G40 before")
	}
	to := ip.pos
	for i, c := range axisLetters {
		if !ip.line.has(1 << (c - 'A')) {
			continue
		}
		v, err := ip.axisValue(i)
		if err != nil {
			return err
		}
		to[i] = v - ip.st.Origin[i]
		if i == 2 {
			to[i] -= ip.st.LengthOffset
		}
		ip.st.Placed[i] = true
	}
	return ip.move(kind, &to)
}

// Tolerances of arcs.
const (
	// How far the radii at the two ends of an arc may differ (NISTIR 6556,
	// section 3.5.3, from memory).
	arcToleranceMM   = 0.002
	arcToleranceInch = 0.0002

	// sameRounding is how far apart two computed coordinates may lie and still
	// be the same place of the program: the rounding of sums of its numbers, far
	// below the nanometre.
	sameRounding = 1e-9

	// sameDirection is the angle within which two directions differ by the rounding
	// of their places alone, on any arc that a machine can have.
	sameDirection = 1e-9
)

// arcTolerance returns the published tolerance in millimetres.
func (ip *interpreter) arcTolerance() float64 {
	if ip.st.Inch {
		return arcToleranceInch * mmPerInch
	}
	return arcToleranceMM
}

// arcWords are the letters of an arc in one plane.
type arcWords struct {
	ends             letters // axis words in the plane
	first, second    byte    // offset words along the plane's axes
	wrong            byte    // the offset word along the normal
	offsets, wrongOf letters
	names            string
}

var arcPlanes = [...]arcWords{
	XY: {hasX | hasY, 'I', 'J', 'K', hasI | hasJ, hasK, "X and Y"},
	ZX: {hasZ | hasX, 'K', 'I', 'J', hasI | hasK, hasJ, "X and Z"},
	YZ: {hasY | hasZ, 'J', 'K', 'I', hasJ | hasK, hasI, "Y and Z"},
}

// circle is an arc in the plane: centre, sense and angle.
type circle struct {
	centre geom.Point
	turn   geom.Turn // seen from the positive end of the normal
	sweep  float64   // positive
	radius float64   // at the start
}

// arc executes G2 and G3.
func (ip *interpreter) arc() error {
	l := &ip.line
	w := &arcPlanes[ip.st.Plane]
	if !l.has(w.ends) {
		return ip.failG(groupMotion, "the arc has neither of %s, the axes of its plane %s: say where it ends, or select its plane", w.names, ip.st.Plane)
	}
	if err := ip.needFeed(); err != nil {
		return err
	}
	var to [6]float64
	if err := ip.target(&to); err != nil {
		return err
	}
	if ip.comp.on {
		return ip.compensatedArc(&to)
	}
	a, b, n := ip.st.Plane.axes()
	from, end := geom.Pt(ip.pos[a], ip.pos[b]), geom.Pt(to[a], to[b])
	c, err := ip.circle(from, end)
	if err != nil {
		return err
	}
	if ip.o.Lacks.Helices && to[n] != ip.pos[n] {
		return ip.failG(groupMotion, "this machine has no helices: keep the arc at one level")
	}
	return ip.sweep(c, &to)
}

// circle finds the programmed circle through both ends from the words of the
// line.
func (ip *interpreter) circle(from, end geom.Point) (circle, error) {
	l := &ip.line
	w := &arcPlanes[ip.st.Plane]
	c := circle{turn: geom.CW}
	if l.motion == g3 {
		c.turn = geom.CCW
	}
	switch {
	case l.has(hasR) && l.has(hasI|hasJ|hasK):
		return c, ip.failAt('R', "an arc has either R or centre offsets, not both: remove one of them")
	case l.has(hasR):
		return ip.circleByRadius(c, from, end)
	case l.has(w.wrongOf):
		return c, ip.failAt(w.wrong, "an arc in %s has no %c word: its centre lies in the plane", ip.st.Plane, w.wrong)
	case !l.has(w.offsets):
		return c, ip.failG(groupMotion, "the arc has neither R nor centre offsets: add R, or %c and %c", min(w.first, w.second), max(w.first, w.second))
	}
	var d geom.Point
	for i, letter := range [2]byte{w.first, w.second} {
		if !l.has(1 << (letter - 'A')) {
			continue
		}
		v := l.value(letter) * ip.scale
		if !(math.Abs(v) <= maxLength) {
			return c, ip.failAt(letter, "%c%v is out of range: check its decimal point and unit", letter, l.value(letter))
		}
		if i == 0 {
			d.X = v
		} else {
			d.Y = v
		}
	}
	c.centre = from.Add(d)
	c.radius = d.Len()
	r := end.Dist(c.centre)
	if c.radius <= sameRounding || r <= sameRounding {
		return c, ip.failG(groupMotion, "the radius of the arc is zero: its centre is one of its ends")
	}
	if diff, tol := math.Abs(c.radius-r), ip.arcTolerance(); diff > tol+sameRounding {
		return c, ip.failG(groupMotion, "the radii at start and end of the arc differ by %.4g %s, %.4g is allowed: correct the end or the centre",
			diff/ip.scale, ip.unit(), tol/ip.scale)
	}
	return c, ip.turns(&c, from, end)
}

func (ip *interpreter) unit() string {
	if ip.st.Inch {
		return "in"
	}
	return "mm"
}

// circleByRadius finds the circle of an arc in radius format. R above zero turns
// at most half a circle, below zero more.
func (ip *interpreter) circleByRadius(c circle, from, end geom.Point) (circle, error) {
	l := &ip.line
	if ip.o.Lacks.RadiusArcs {
		return c, ip.failAt('R', "this machine has no arcs with R: give centre offsets")
	}
	r := l.value('R') * ip.scale
	if !(math.Abs(r) <= maxLength) {
		return c, ip.failAt('R', "R%v is out of range: check its decimal point and unit", l.value('R'))
	}
	long := r < 0
	r = math.Abs(r)
	if r == 0 {
		return c, ip.failAt('R', "the radius of the arc is zero: give its radius or centre")
	}
	chord := end.Sub(from)
	half := chord.Len() / 2
	if half <= sameRounding {
		return c, ip.failAt('R', "an arc with R cannot end where it starts: write the full circle with centre offsets")
	}
	if half > r+sameRounding {
		return c, ip.failAt('R', "the radius is too small to reach the end: %.6g %s at least", half/ip.scale, ip.unit())
	}
	height := math.Sqrt(math.Max(0, (r-half)*(r+half)))
	// Seen along the chord the centre of a short counter-clockwise arc lies left.
	if (c.turn == geom.CW) != long {
		height = -height
	}
	c.centre = from.Lerp(end, 0.5).Add(chord.Unit().Left().Mul(height))
	c.radius = from.Dist(c.centre)
	angle := 2 * math.Atan2(half, math.Abs(height))
	if long {
		angle = 2*math.Pi - angle
	}
	c.sweep = angle
	return c, nil
}

// turns sets the sweep of a circle given by its centre. Ends that differ and lie in
// one direction from the centre are no full circle to the letter and no turn either:
// controls do this or that.
func (ip *interpreter) turns(c *circle, from, end geom.Point) error {
	apart := from.Dist(end)
	c.sweep = sweepOf(from.Sub(c.centre), end.Sub(c.centre), apart, c.turn)
	if apart > sameRounding && math.Min(c.sweep, 2*math.Pi-c.sweep) < sameDirection {
		return ip.failG(groupMotion, "the arc ends %.4g %s beside its start in the same direction from the centre: end it where it starts for a full circle, or leave it out",
			apart/ip.scale, ip.unit())
	}
	return nil
}

// sweepOf returns the angle from direction u to direction v in the sense turn,
// in (0, 2 pi]. Ends that lie together make a full circle.
func sweepOf(u, v geom.Point, apart float64, turn geom.Turn) float64 {
	if apart <= sameRounding {
		return 2 * math.Pi
	}
	a := math.Atan2(u.Cross(v), u.Dot(v)) * float64(turn)
	if a <= 0 {
		a += 2 * math.Pi
	}
	return a
}

// sweep emits an arc.
func (ip *interpreter) sweep(c circle, to *[6]float64) error {
	a, b, n := ip.st.Plane.axes()
	var centre [3]float64
	centre[a], centre[b], centre[n] = c.centre.X, c.centre.Y, ip.pos[n]
	ev := &ip.ev
	ev.Centre = geom.Point3{X: centre[0], Y: centre[1], Z: centre[2]}
	ev.Turn, ev.Sweep = c.turn, c.sweep
	err := ip.move(Arc, to)
	ev.Centre, ev.Turn, ev.Sweep = geom.Point3{}, geom.Straight, 0
	return err
}
